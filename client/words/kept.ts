/** Calls that wait to be sent. */
export const KEPT = {
  label: 'Calls kept on this device',
  waiting: (count: number) =>
    `${String(count)} ${count === 1 ? 'call' : 'calls'} kept here, not recorded yet. Sent in order when contact is back.`,
  /** The line seems good, and no answer comes: the service may have no room, or a network stands before it. */
  trying: (count: number) =>
    `${String(count)} ${count === 1 ? 'call' : 'calls'} kept here, not recorded yet. Tried again until recorded; no need to enter ${count === 1 ? 'it' : 'them'} again.`,
  /** Of a link that has ended. */
  ended: (count: number) => `${String(count)} ${count === 1 ? 'call' : 'calls'} kept here, not recorded.`,
  refused: (count: number) => `${String(count)} kept ${count === 1 ? 'call was' : 'calls were'} refused:`,
  kept: 'Kept, not sent yet',
  underWay: 'On its way, no answer yet',
  mayBeSent: 'may be recorded',
  dropped: (sentence: string) => `Taken back, never sent: ${sentence}`,
  mayStand: 'Your last call may be recorded already: undo it when contact is back.',
  drop: 'Drop',
  dismiss: 'Dismiss',
  dropOne: (sentence: string) => `Drop: ${sentence}`,
  dismissOne: (sentence: string) => `Dismiss: ${sentence}`
} as const
