import type { View } from '../../shared/contracts/view.ts'

export const BOARD = {
  read: 'Read',
  readOf: (tanker: string) => `Read out ${tanker}`,
  rank: 'rank',
  ship: 'ship',
  status: 'state',
  fuel: 'fuel now',
  age: 'called',
  vessel: 'fuel and room',
  margin: 'margin',
  lane: (minutes: number) => `next ${minutes} min`,
  neverCalled: 'no call',
  old: 'old',
  check: 'check',
  waits: 'waits',
  /** What a word beside the age of a call asks for. */
  means: {
    old: 'The call is old: ask again.',
    check: 'Lower than it should be: it counts; ask again.',
    waits: 'Higher than it should be: it counts when a second call says so.'
  },
  counts: 'limits count',
  lastKnown: 'last known',
  noMargin: 'no limit applies',
  noLimitAhead: 'no limit ahead',
  noAbortBase: 'no abort base',
  abortTo: (base: string) => `abort to ${base}`,
  pastBy: 'past by',
  latest: 'latest contact',
  latestPush: 'latest push',
  noSlot: 'no slot',
  push: 'push',
  pinned: 'pinned',
  inContact: 'in contact',
  next: 'next',
  free: 'free',
  disconnects: 'disconnects',
  give: 'give left',
  promised: 'promised',
  short: 'short',
  more: 'More',
  moreOf: (callSign: string) => `More of ${callSign}`,
  change: 'Change',
  changeOf: (tanker: string) => `Change ${tanker}`,
  rows: 'Ships, worst first',
  tankers: 'Tankers',
  ships: 'Ships, worst first',
  aloud: 'Say',
  earlier: 'Earlier',
  later: 'Later',
  toward: (station: string) => `To ${station}`,
  accept: 'Accept order',
  refuse: 'Refuse',
  pending: 'Moved, not yet accepted',
  pendingOf: (name: string) => `${name.charAt(0).toUpperCase()}${name.slice(1)}, not yet accepted`,
  /** Beside what is of an order that is not in force. */
  draft: 'draft',
  listIsDraft: 'is of the moved order, a draft, not yet accepted.',
  pin: 'Pin',
  unpin: 'Unpin',
  contact: 'Contact',
  disconnect: 'Disconnect',
  joined: 'Joined',
  pushed: 'Pushed',
  leave: 'Leaves',
  notOpen: 'The event is not open yet: nothing is recorded.',
  open: 'Open the event',
  opened: 'The event is open.',
  closed: 'The event is closed: nothing more is recorded.',
  notPublished: 'No plan is published for this event yet. The commander publishes it on the plan screen.'
} as const

/** Ships that hold their externals as told, and must select them again when the changed order comes. */
export function holdsBroken(inForce: View, moved: View): string[] {
  const released = (view: View) =>
    view.reasons.flatMap(({ kind, shipId }) => (kind === 'hold to release' && shipId !== null ? [shipId] : []))
  const already = new Set(released(inForce))
  return released(moved).filter((shipId) => !already.has(shipId))
}

export const holdsBrokenText = (ships: readonly string[]): string =>
  ships.length === 0 ? '' : ` It breaks the hold of ${ships.join(' and ')}: tell them to select their externals.`

/** How the judgement moves with the changed order, in words; the first level that differs decides. */
export function judgementDifference(inForce: View, moved: View): string {
  const lost = (view: View) => view.slots.filter((slot) => slot.state === 'missed').length
  const lostDifference = lost(moved) - lost(inForce)
  const weight = moved.judgement.lostWeight - inForce.judgement.lostWeight
  if (lostDifference !== 0 || weight !== 0) {
    const better = weight < 0
    return `${better ? 'Better' : 'Worse'}: ${lost(moved)} past latest contact, was ${lost(inForce)}.`
  }
  const levels = [
    ['shortage at push', moved.judgement.shortage - inForce.judgement.shortage],
    ['late pushes', moved.judgement.lateness - inForce.judgement.lateness],
    ['last disconnect', moved.judgement.lastDisconnect - inForce.judgement.lastDisconnect]
  ] as const
  for (const [level, difference] of levels) {
    if (difference !== 0) return `${difference < 0 ? 'Better' : 'Worse'}: ${level} ${difference < 0 ? 'less' : 'more'}.`
  }
  return 'No difference that counts.'
}
