import type { HoldRefusal } from '../../shared/contracts/kinds.ts'
import type { ShipView } from '../../shared/contracts/view.ts'

export const SLOT = {
  pick: 'Ship',
  pickFirst: 'Choose a ship.',
  noSlot: 'No slot is planned for this ship.',
  noShip: 'This ship is in the plan no more. Ask the package commander before you count on any figure told earlier.',
  contact: 'Contact',
  countdown: 'in',
  sinceContact: 'in contact, off at',
  done: 'done',
  after: 'after',
  first: 'first on the station',
  track: 'track',
  onLoad: 'On-load',
  expected: 'Fuel at contact',
  gauge: 'own gauge',
  abort: 'Abort fuel',
  base: 'abort base',
  latest: 'Latest contact',
  slack: 'slack',
  past: 'past by',
  required: 'Required at push',
  has: 'with',
  runsOut: 'runs out before push',
  short: 'short by',
  push: 'Push',
  latestPush: 'latest',
  margin: 'Margin',
  fuel: 'Fuel now',
  called: 'called',
  noCall: 'no call yet',
  ago: 'ago',
  counts: 'limits count',
  check: 'lower than expected: read your gauge again',
  waits: 'higher than expected: call it once more',
  ownFuel: 'Your fuel',
  ownFuelHint: '6.4 or 6400',
  nearFigures: 'Figures near to your gauge',
  lower: 'Lower figures',
  higher: 'Higher figures',
  lastKnownAt: (time: string, age: string, isBack: boolean) =>
    `${isBack ? 'Contact is back; the newest is on its way.' : 'No contact.'} This is the slot as it was known at ${time}, ${age} ago.`,
  send: 'Send',
  sent: 'Sent',
  notSent: 'Not sent',
  then: 'Then',
  least: 'least',
  hold: 'Hold externals',
  holdFrom: 'from',
  holdAt: 'at',
  onGauge: 'on the own gauge',
  release: 'no contact: select again',
  saves: 'saves',
  noHold: 'No hold',
  band: 'Externals give: own gauge',
  bandTo: 'to',
  feedLow: 'Low-level light on',
  feedLowAt: 'Low-level light at'
} as const

/** Why no hold is advised, where that is worth a word. */
export const NO_HOLD: Record<HoldRefusal, string> = {
  'no externals': '',
  'not selected': 'externals are off',
  jettison: 'externals are thrown off later',
  floor: 'too little would count at contact',
  'under half a minute': 'it would save under half a minute'
}

/** What the last reading of an internal gauge says of the externals. */
export const READ_WORDS: Record<NonNullable<ShipView['externalsRead']>, string> = {
  'in band': 'externals give',
  unclear: 'externals unclear',
  empty: 'externals empty',
  'not giving': 'externals not giving'
}

export const READ_URGENCY: Record<NonNullable<ShipView['externalsRead']>, 'calm' | 'soon' | 'now'> = {
  'in band': 'calm',
  unclear: 'soon',
  empty: 'calm',
  'not giving': 'now'
}
