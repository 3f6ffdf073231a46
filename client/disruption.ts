import type { OrderedSlot, TankerOrder } from '../shared/contracts/plan.ts'
import type { View } from '../shared/contracts/view.ts'
import type { Unsent } from '../shared/entry/understanding.ts'
import type { Labels } from './labels.ts'
import type { Orders } from './order.ts'

/*
 * What comes otherwise than planned, each with one key and one word of the entry line. A key puts the word into the line,
 * behind whoever is named there or chosen: what it means is shown, and nothing is recorded before Enter.
 */

/** Whom a word is said of. */
type Of = 'ship' | 'tanker' | 'station' | 'base' | 'nobody'
interface Disruption {
  /** With Alt: letters that browsers leave free. */
  letter: string
  of: Of
  word: string
  /** A figure, a time or a name follows. */
  more: boolean
}

export const DISRUPTIONS = {
  late: { letter: 'L', of: 'ship', word: 'late', more: true },
  'no-show': { letter: 'N', of: 'ship', word: 'no-show', more: false },
  partial: { letter: 'O', of: 'ship', word: 'partial', more: true },
  priority: { letter: 'R', of: 'ship', word: 'priority', more: true },
  'top-off': { letter: 'M', of: 'ship', word: 'top-off', more: false },
  'not before': { letter: 'W', of: 'ship', word: 'lift not before', more: false },
  'internals only': { letter: 'K', of: 'ship', word: 'full on-load', more: false },
  suspect: { letter: 'U', of: 'station', word: 'suspect', more: false },
  failed: { letter: 'X', of: 'station', word: 'failed', more: false },
  good: { letter: 'G', of: 'station', word: 'good', more: false },
  'tanker late': { letter: 'A', of: 'tanker', word: 'late', more: true },
  leaves: { letter: 'Q', of: 'tanker', word: 'leaves', more: true },
  gives: { letter: 'I', of: 'tanker', word: 'gives', more: true },
  closed: { letter: 'C', of: 'base', word: 'closed', more: false },
  open: { letter: 'J', of: 'base', word: 'open', more: false },
  stray: { letter: 'Y', of: 'nobody', word: 'stray', more: true }
} as const satisfies Record<string, Disruption>
export type DisruptionName = keyof typeof DISRUPTIONS

/** By the key's place on the keyboard, which is the same whatever Alt makes of the letter. */
export const DISRUPTION_KEYS: Readonly<Record<string, DisruptionName>> = Object.fromEntries(
  Object.entries(DISRUPTIONS).map(([name, { letter }]) => [`Key${letter}`, name as DisruptionName])
)

/** The line a word makes behind a name, ready for what follows. */
export function lineOf(name: DisruptionName, whom: string): string {
  const { word, more } = DISRUPTIONS[name]
  return `${whom} ${word}${more ? ' ' : ''}`.trimStart().toLowerCase()
}

/** Whom a word is said of where only a ship is chosen: itself, its tanker, its station, its abort base. */
export function whomOf(
  name: DisruptionName,
  shipId: string | undefined,
  view: View,
  labels: Labels
): string | undefined {
  const { of } = DISRUPTIONS[name]
  if (of === 'nobody') return ''
  const ship = view.ships.find((one) => one.shipId === shipId)
  if (ship === undefined || of === 'ship') return ship?.callSign
  const slot = view.slots.find((one) => one.slotId === ship.slotId)
  if (of === 'base') {
    // While it is closed the ship itself has none.
    const baseId = slot?.abortBaseId ?? ship.abortBaseId
    return baseId === null ? undefined : labels.base(baseId)
  }
  if (slot === undefined) return undefined
  return of === 'tanker' ? labels.tanker(slot.tankerId) : labels.station(slot.tankerId, slot.stationId)
}

const ALWAYS: ReadonlySet<Unsent['kind']> = new Set([
  'setReady',
  'setNoShow',
  'setPriority',
  'setOnLoad',
  'setStation',
  'setTankerTimes',
  'setGive',
  'setBase',
  'addReceiver'
])

/** After these an order may be found that is better than the one in force. */
export const disrupts = (request: Unsent): boolean =>
  ALWAYS.has(request.kind) || (request.kind === 'disconnect' && request.how === 'partial')

/**
 * The order with which a ship comes once more: at the station of its slot, behind all of its flight that stand there, and
 * behind whoever may not be put off. Undefined where it has no slot.
 */
export function topOffRequest(
  shipId: string,
  { slots, ships }: View,
  inForce: Orders,
  seq: number
): Unsent | undefined {
  const ship = ships.find((one) => one.shipId === shipId)
  const slot = slots.find((one) => one.slotId === ship?.slotId)
  const order = inForce.find((one) => one.tankerId === slot?.tankerId)
  if (slot === undefined || order === undefined) return undefined
  const held = new Set(
    slots.flatMap((one) => (one.pinned || one.state === 'in contact' || one.state === 'done' ? [one.slotId] : []))
  )
  // No second one is based on the same fact.
  const again = { id: `again-${seq}-${shipId}`.slice(0, 60), shipId, visitId: slot.visitId } as OrderedSlot
  const sequences = order.sequences.map((one) => {
    if (one.stationId !== slot.stationId) return one
    const behind = one.slots.findLastIndex(({ id, visitId }) => visitId === slot.visitId || held.has(id))
    return { ...one, slots: one.slots.toSpliced(behind + 1, 0, again) }
  })
  const orders: TankerOrder[] = [{ ...order, sequences }]
  return { kind: 'setOrder', orders, basedOnSeq: seq }
}
