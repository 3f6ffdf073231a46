/** A link leaves this device, and all that was kept of it. */
export const SIGN_OUT = {
  title: 'Sign out on this device',
  what: 'The link and everything kept of it leave this browser: the last slots, calls, drafts of the plan. The link itself goes on elsewhere; whoever is to come back here opens it again.',
  library: 'Types, tracks and bases of your own library stay: they belong to this browser, and to no link.',
  unsent: (count: number) =>
    `${String(count)} ${count === 1 ? 'call was' : 'calls were'} never answered, and ${count === 1 ? 'is' : 'are'} lost here:`,
  drafts: (count: number) =>
    `${String(count)} ${count === 1 ? 'draft of a plan was' : 'drafts of a plan were'} never saved, and ${count === 1 ? 'is' : 'are'} lost.`,
  out: 'Sign out',
  outAnyway: 'Sign out all the same',
  stay: 'Stay',
  busy: 'Signing out …',
  failed: 'Nothing was taken away: the link can leave this browser only with contact to the service.',
  done: 'Signed out: this browser has neither that link nor anything kept of it.'
} as const
