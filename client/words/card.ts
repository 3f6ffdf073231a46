import type { Base } from '../../shared/contracts/plan.ts'
import { dayMark, minuteText } from '../figures.ts'

/** The rows of a card, in turn. */
export const CARD_ROWS = {
  station: 'Station',
  after: 'After',
  start: 'Slot start',
  contact: 'Contact',
  latest: 'Latest contact',
  onLoad: 'On-load',
  atContact: 'Fuel at contact',
  abort: 'Abort fuel',
  abortBase: 'Abort base',
  hold: 'Hold externals',
  release: 'No contact by then: select again',
  required: 'Required at push',
  atPush: 'Fuel at push',
  push: 'Push'
} as const
export type CardRowName = keyof typeof CARD_ROWS

export const CARD = {
  ship: 'Ship',
  spare: 'air spare',
  visit: (count: number, of: number) => (of === 1 ? 'Visit' : `Visit ${count} of ${of}`),
  again: 'once more',
  pushes: 'push group',
  first: 'first',
  noSlot: 'no slot',
  noContact: 'no contact',
  none: 'none',
  short: (text: string) => `▲ short by ${text}`,
  runsOut: 'runs out before',
  done: 'done',
  /** Its own. */
  gauge: (text: string) => `gauge ${text}`,
  least: (text: string) => `least ${text}`,
  from: (text: string) => `from ${text}`,
  noHold: 'no hold',
  notOnGauge: 'not on its gauge',
  second: (base: string) => `else ${base}`,
  recovery: 'Recovery',
  diverts: 'Diverts',
  noDiverts: 'none named',
  fuel: 'fuel there',
  noFuel: 'no fuel there',
  track: 'Track',
  onStation: 'on station',
  leaves: 'leaves',
  give: 'give',
  promised: 'promised',
  time: 'Contact',
  station: 'Station',
  start: 'Start',
  changeover: 'Gap before',
  onLoad: 'On-load',
  off: 'Off',
  left: 'Left when off',
  push: 'Push',
  who: (tanker: string) => `Who comes to ${tanker}`,
  nobody: 'Nobody comes.',
  continued: 'continued'
} as const

/** A base with what was said of it: `Flail Strip, no fuel there, open 09:08Z to 10:49Z`; times of another day than `dayMs` say so. */
export function baseWords({ name, fuelThere, opensAtMs, closesAtMs }: Base, dayMs: number): string {
  const from =
    opensAtMs === undefined ? '' : ` from ${minuteText(opensAtMs, 'up')}${dayMark(opensAtMs, dayMs, 'up', 60)}`
  const until =
    closesAtMs === undefined ? '' : ` until ${minuteText(closesAtMs)}${dayMark(closesAtMs, dayMs, 'down', 60)}`
  return [
    name,
    ...(fuelThere === undefined ? [] : [fuelThere ? CARD.fuel : CARD.noFuel]),
    ...(from === '' && until === '' ? [] : [`open${from}${until}`])
  ].join(', ')
}
