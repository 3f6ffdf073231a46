/*
 * Which draft a tab goes on with when it is loaded anew. It leaves the id behind only as it goes: while it is open the id
 * stands nowhere, so that a copy of the tab, which has all that the tab has stored, does not go on with the same draft.
 */

const keyOf = (as: string, eventId: string): string => `ullage draft of this tab ${as} ${eventId}`

/** Leaves the id of a draft behind for whoever comes next in this tab. */
export function leaveDraft(as: string, eventId: string, id: string): void {
  try {
    sessionStorage.setItem(keyOf(as, eventId), id)
  } catch {
    // Full or forbidden: the draft is offered like that of any other tab.
  }
}

/** Takes the id that was left behind in this tab; undefined where none was. */
export function takeDraft(as: string, eventId: string): string | undefined {
  try {
    const id = sessionStorage.getItem(keyOf(as, eventId)) ?? undefined
    sessionStorage.removeItem(keyOf(as, eventId))
    return id
  } catch {
    return undefined
  }
}
