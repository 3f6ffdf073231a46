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

/** Why a slot cannot stand where it is held. */
export const PLACE_FAULTS: Record<PlaceFault, string> = {
  'slot-in-contact': 'in contact: it stays',
  'visit-done': 'flown: it stays',
  'slot-pinned': 'a pinned slot stays',
  'method-mismatch': 'refuels by another method',
  'no-clearance': 'no clearance is listed for its type',
  'station-closed': 'takes nobody new'
}
