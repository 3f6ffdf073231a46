import type { Method, StationState } from '../contracts/kinds.ts'
import type { ProblemCode } from '../contracts/problem.ts'
import type { SlotIn, Sequences } from './times.ts'

/*
 * One named function for each rule: undefined when it holds, else the reason as data.
 */

export interface Refusal {
  readonly code: ProblemCode
  readonly slotId?: string
  readonly stationId?: string
}

/** Receiver and station refuel by the same method. */
export function methodFits(pair: { readonly receiver: Method; readonly station: Method }): Refusal | undefined {
  return pair.receiver === pair.station ? undefined : { code: 'method-mismatch' }
}

export interface ClearanceRow {
  readonly receiverTypeId: string
  readonly tankerTypeId: string
  readonly stationId: string
}

/** The clearance table lists this receiver type on this station of this tanker type: what is not listed is not allowed. */
export function clearanceAllows(use: ClearanceRow, clearances: readonly ClearanceRow[]): Refusal | undefined {
  const listed = clearances.some(
    (row) =>
      row.receiverTypeId === use.receiverTypeId &&
      row.tankerTypeId === use.tankerTypeId &&
      row.stationId === use.stationId
  )
  return listed ? undefined : { code: 'no-clearance', stationId: use.stationId }
}

export interface SpeedBand {
  readonly lowMPerS: number
  readonly highMPerS: number
}

/** The speeds both can refuel at, m/s; undefined when there is none. One shared speed is a band. */
export function sharedBand(a: SpeedBand, b: SpeedBand): SpeedBand | undefined {
  const lowMPerS = Math.max(a.lowMPerS, b.lowMPerS)
  const highMPerS = Math.min(a.highMPerS, b.highMPerS)
  return lowMPerS <= highMPerS ? { lowMPerS, highMPerS } : undefined
}

/** Receiver and tanker have a refuelling speed in common. */
export function speedsOverlap(pair: { readonly receiver: SpeedBand; readonly tanker: SpeedBand }): Refusal | undefined {
  return sharedBand(pair.receiver, pair.tanker) === undefined ? { code: 'speed-mismatch' } : undefined
}

/** The station takes somebody new: a suspect or failed one does not until the tanker calls it good. */
export function stationTakes(station: { readonly id: string; readonly status: StationState }): Refusal | undefined {
  return station.status === 'good' ? undefined : { code: 'station-closed', stationId: station.id }
}

/** Every id stands for a station or slot of the plan. */
export function idsKnown(order: {
  readonly sequences: Sequences
  readonly slotIds: ReadonlySet<string>
  readonly stationIds: ReadonlySet<string>
}): Refusal | undefined {
  for (const [stationId, slotIds] of order.sequences) {
    if (!order.stationIds.has(stationId)) return { code: 'unknown-station', stationId }
    const slotId = slotIds.find((id) => !order.slotIds.has(id))
    if (slotId !== undefined) return { code: 'unknown-slot', slotId, stationId }
  }
  return undefined
}

/** No slot stands twice. */
export function eachSlotOnce(sequences: Sequences): Refusal | undefined {
  const seen = new Set<string>()
  for (const [stationId, slotIds] of sequences) {
    for (const slotId of slotIds) {
      if (seen.has(slotId)) return { code: 'ship-twice', slotId, stationId }
      seen.add(slotId)
    }
  }
  return undefined
}

type Slot = Pick<SlotIn<never>, 'id' | 'pinned' | 'gone'> & { readonly fixed: { readonly done: boolean } | undefined }

/** Done or gone: nothing of it is left to order. */
const over = (slot: Slot): boolean => slot.gone || slot.fixed?.done === true

/** Every slot still to be flown stands somewhere. */
export function eachSlotOrdered(sequences: Sequences, slots: readonly Slot[]): Refusal | undefined {
  const ordered = new Set([...sequences.values()].flat())
  const slot = slots.find((one) => !over(one) && !ordered.has(one.id))
  return slot === undefined ? undefined : { code: 'slot-missing', slotId: slot.id }
}

/** Place of each slot still to be flown: its station, and its turn among those still to be flown. */
function placesOf(sequences: Sequences, slots: readonly Slot[]): Map<string, string> {
  const past = new Set(slots.filter(over).map((slot) => slot.id))
  const places = new Map<string, string>()
  for (const [stationId, slotIds] of sequences) {
    slotIds.filter((id) => !past.has(id)).forEach((id, turn) => places.set(id, `${String(turn)} ${stationId}`))
  }
  return places
}

export interface OrderChange {
  readonly sequences: Sequences
  readonly inForce: Sequences
  readonly slots: readonly Slot[]
}

function staying(change: OrderChange, code: ProblemCode, stays: (slot: Slot) => boolean): Refusal | undefined {
  const before = placesOf(change.inForce, change.slots)
  const after = placesOf(change.sequences, change.slots)
  const slot = change.slots.find((one) => stays(one) && before.has(one.id) && before.get(one.id) !== after.get(one.id))
  return slot === undefined ? undefined : { code, slotId: slot.id }
}

/** A slot in contact keeps its station and its turn. */
export const inContactStays = (change: OrderChange): Refusal | undefined =>
  staying(change, 'slot-in-contact', (slot) => slot.fixed?.done === false)

/** A pinned slot keeps its station and its turn among those still to be flown. */
export const pinnedStays = (change: OrderChange): Refusal | undefined =>
  staying(change, 'slot-pinned', (slot) => slot.pinned && !over(slot))

/** All that is wrong with an order, one reason for each rule that does not hold. */
export function orderRefusals(change: OrderChange & { readonly stationIds: ReadonlySet<string> }): readonly Refusal[] {
  const slotIds = new Set(change.slots.map((slot) => slot.id))
  return [
    idsKnown({ sequences: change.sequences, stationIds: change.stationIds, slotIds }),
    eachSlotOnce(change.sequences),
    eachSlotOrdered(change.sequences, change.slots),
    inContactStays(change),
    pinnedStays(change)
  ].filter((refusal) => refusal !== undefined)
}
