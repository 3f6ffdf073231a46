import { nextTick, onScopeDispose, shallowRef, type ShallowRef } from 'vue'
import { differences } from '../../shared/tables/differences.ts'
import type { Draft } from '../../shared/tables/table.ts'
import { newRequestId } from '../api.ts'
import { browserShelf, keptDrafts, type DraftShelf, type FirstTry, type KeptDraft } from '../plan/shelf.ts'
import { leaveDraft, takeDraft } from '../plan/tab.ts'

/** A draft that is open: where it is kept, and what it began from. */
export interface OpenDraft {
  id: string
  shelf: DraftShelf
  beginning: { revision: number; base: Draft; kept: Draft | undefined; firstTry: FirstTry | undefined }
}

/** A draft of another tab, or of one that is gone; how much it changes, where that is known. */
export interface OfferedDraft {
  id: string
  kept: KeptDraft
  changes: number | undefined
}

export interface Drafts {
  opened: ShallowRef<OpenDraft | undefined>
  offered: ShallowRef<readonly OfferedDraft[]>
  begin: () => Promise<void>
  takeUp: (draft: OfferedDraft) => Promise<void>
  drop: (draft: OfferedDraft) => Promise<void>
}

/**
 * The draft of this tab, and those that others have left: one tab goes on with its own, and takes up another only when told
 * to. The one it had then is offered in its turn.
 */
export function useDrafts(parts: {
  as: string
  /** The event, or what stands in for one that is not made yet. */
  eventId: string
  /** The newest revision. */
  revision: number
  baseAt: (revision: number) => Promise<Draft>
}): Drafts {
  const { as, eventId, revision, baseAt } = parts
  const opened = shallowRef<OpenDraft>()
  const offered = shallowRef<readonly OfferedDraft[]>([])

  async function start(id: string, kept: KeptDraft | undefined) {
    // A draft goes on from the revision it began from: only against that is it known what was changed in it.
    const from = Math.min(kept?.revision ?? revision, revision)
    const beginning = { revision: from, base: await baseAt(from), kept: kept?.draft, firstTry: kept?.firstTry }
    opened.value = { id, shelf: browserShelf(as, eventId, id), beginning }
  }
  async function look() {
    const others = (await keptDrafts(as, eventId)).filter(({ id }) => id !== opened.value?.id)
    const counted = await Promise.all(
      others.map(async (one) => ({ ...one, changes: await changesIn(one.kept).catch(() => undefined) }))
    )
    offered.value = counted.filter(({ changes }) => changes !== 0)
  }
  const changesIn = async (kept: KeptDraft) =>
    differences(await baseAt(Math.min(kept.revision, revision)), kept.draft).length

  const leave = () => {
    if (opened.value !== undefined) leaveDraft(as, eventId, opened.value.id)
  }
  const comeBack = () => {
    takeDraft(as, eventId)
  }
  window.addEventListener('pagehide', leave)
  window.addEventListener('pageshow', comeBack)
  onScopeDispose(() => {
    window.removeEventListener('pagehide', leave)
    window.removeEventListener('pageshow', comeBack)
    leave()
  })

  return {
    opened,
    offered,
    begin: async () => {
      const id = takeDraft(as, eventId) ?? newRequestId()
      await start(id, await browserShelf(as, eventId, id).read())
      await look()
    },
    takeUp: async ({ id, kept }) => {
      // The tab it is of may be open still, and goes on under its own id.
      const own = newRequestId()
      if (await browserShelf(as, eventId, own).put(kept)) await browserShelf(as, eventId, id).drop()
      await start(own, kept)
      await nextTick()
      await look()
    },
    drop: async ({ id }) => {
      await browserShelf(as, eventId, id).drop()
      await look()
    }
  }
}
