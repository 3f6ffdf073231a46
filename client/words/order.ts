import type { SlotView } from '../../shared/contracts/view.ts'
import { clockText } from '../figures.ts'
import type { PlaceFault } from '../order.ts'

/** The order as a list, and on paper. */
export const ORDER = {
  title: 'The order',
  asList: 'Order as a list',
  asRows: 'Ships again',
  hint: 'Drag a slot to its turn, or choose it and move it by Alt and an arrow.',
  nobody: 'nobody',
  flown: (count: number) => `${count} flown`,
  grip: (ship: string) => `Drag ${ship}`,
  pin: 'pin',
  pinned: 'pinned',
  pinShip: (ship: string) => `Pin ${ship}`,
  unpinShip: (ship: string) => `Unpin ${ship}`,
  slack: 'slack',
  past: 'past by',
  inContact: 'in contact',
  to: (station: string) => `to ${station}`,
  before: (ship: string) => `before ${ship}`,
  last: 'last',
  turn: 'turn',
  ship: 'ship',
  contact: 'contact',
  onLoad: 'on-load',
  disconnect: 'disconnect',
  unserved: 'no contact',
  noContact: 'no contact by this order',
  abort: 'abort fuel',
  printed: (at: string, seq: number) => `printed at ${at}, as of fact ${seq}`,
  by: (eventClock: string) => `by the ${eventClock}`,
  sheetOf: (tanker: string) => `${tanker}: the order in force`
} as const

type SaidOf = Pick<SlotView, 'notBeforeAtMs' | 'internalsOnly'>

/** What the order says of a slot beside its turn; empty where it says nothing. An instant is never shown too early. */
export const saidWords = ({ notBeforeAtMs, internalsOnly }: SaidOf): string =>
  [
    ...(notBeforeAtMs === null ? [] : [`not before ${clockText(notBeforeAtMs, 'up')}`]),
    ...(internalsOnly ? ['internal fuel only'] : [])
  ].join(', ')

/** What another order says of a slot that the one before does not, and what it no longer says. */
export function saidChange(before: SaidOf | undefined, after: SaidOf): string {
  const { notBeforeAtMs: was = null, internalsOnly: wasInternals = false } = before ?? {}
  const { notBeforeAtMs: becomes, internalsOnly: becomesInternals } = after
  const news = saidWords({
    notBeforeAtMs: becomes === was ? null : becomes,
    internalsOnly: becomesInternals && !wasInternals
  })
  return [
    ...(news === '' ? [] : [news]),
    ...(was !== null && becomes === null ? ['as soon as it can'] : []),
    ...(wasInternals && !becomesInternals ? ['full on-load'] : [])
  ].join(', ')
}

/** Why a slot cannot stand where it is held. */
export const PLACE_FAULTS: Record<PlaceFault, string> = {
  'slot-in-contact': 'in contact: it stays',
  'visit-done': 'flown: it stays',
  'slot-pinned': 'a pinned slot stays',
  'method-mismatch': 'refuels by another method',
  'no-clearance': 'no clearance is listed for its type',
  'station-closed': 'takes nobody new'
}

/** What another has changed meanwhile. */
export const STALE = {
  placed: (ship: string, station: string, place: number) => `${ship} is now number ${String(place)} at ${station}`,
  gone: (ship: string) => `${ship} is gone from it`,
  changed: (told: { tanker: string; by: string; at: string; places: readonly string[]; more: number }) => {
    const { tanker, by, at, places, more } = told
    const moved = [...places, ...(more > 0 ? [`${String(more)} more moved`] : [])].join(', ')
    return `${tanker} was changed by ${by} at ${at}${moved === '' ? '' : `: ${moved}`}.`
  }
} as const
