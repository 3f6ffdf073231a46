import type { TankerOrder } from '../shared/contracts/plan.ts'
import type { ProblemCode } from '../shared/contracts/problem.ts'
import type { SlotView, View } from '../shared/contracts/view.ts'
import type { Labels } from './labels.ts'

/** Orders of all tankers, as a changed order is drafted from them. */
export type Orders = readonly TankerOrder[]

const mayMove = (slot: SlotView | undefined): boolean =>
  slot !== undefined && (slot.state === 'planned' || slot.state === 'missed') && !slot.pinned

interface Place {
  tankerIndex: number
  sequenceIndex: number
  index: number
}

function placeOf(orders: Orders, slotId: string): Place | undefined {
  for (const [tankerIndex, order] of orders.entries()) {
    for (const [sequenceIndex, sequence] of order.sequences.entries()) {
      const index = sequence.slots.findIndex((slot) => slot.id === slotId)
      if (index !== -1) return { tankerIndex, sequenceIndex, index }
    }
  }
  return undefined
}

/** Swaps a slot with the next one before or behind it that may move; undefined when there is none. */
export function movedInSequence(orders: Orders, view: View, slotId: string, by: -1 | 1): Orders | undefined {
  const place = placeOf(orders, slotId)
  const slots = new Map(view.slots.map((slot) => [slot.slotId, slot]))
  if (place === undefined || !mayMove(slots.get(slotId))) return undefined
  const next = structuredClone(orders) as TankerOrder[]
  const sequence = next[place.tankerIndex]?.sequences[place.sequenceIndex]?.slots
  if (sequence === undefined) return undefined
  let other = place.index + by
  // Passing a ship that has gone changes nothing.
  while (slots.get(sequence[other]?.id ?? '')?.state === 'gone') other += by
  const moving = sequence[place.index]
  const passed = sequence[other]
  if (moving === undefined || passed === undefined || !mayMove(slots.get(passed.id))) return undefined
  sequence[place.index] = passed
  sequence[other] = moving
  return next
}

/**
 * Puts a slot into another station's sequence, before the first slot there that comes to contact after it, or behind all
 * where that would give a pinned slot another turn; undefined where that would too.
 */
export function movedToStation(
  orders: Orders,
  view: View,
  slotId: string,
  to: { tankerId: string; stationId: string }
): Orders | undefined {
  const place = placeOf(orders, slotId)
  const slots = new Map(view.slots.map((slot) => [slot.slotId, slot]))
  const slot = slots.get(slotId)
  if (place === undefined || slot === undefined || !mayMove(slot)) return undefined
  const next = structuredClone(orders) as TankerOrder[]
  const from = next[place.tankerIndex]?.sequences[place.sequenceIndex]
  const order = next.find((one) => one.tankerId === to.tankerId)
  const moving = from?.slots[place.index]
  if (from === undefined || order === undefined || moving === undefined) return undefined
  let target = order.sequences.find((sequence) => sequence.stationId === to.stationId)
  if (target === from) return undefined
  if (target === undefined) {
    target = { stationId: to.stationId as typeof from.stationId, slots: [] }
    order.sequences.push(target)
  }
  from.slots.splice(place.index, 1)
  const behind = target.slots.findIndex((other) => {
    const seen = slots.get(other.id)
    return mayMove(seen) && seen !== undefined && seen.contactAtMs > slot.contactAtMs
  })
  const turn = behind === -1 ? target.slots.length : behind
  target.slots.splice(turn, 0, moving)
  if (heldMoved(orders, next, view) === undefined) return next
  target.slots.push(...target.slots.splice(turn, 1))
  return heldMoved(orders, next, view) === undefined ? next : undefined
}

/** What an order may say of a slot beside its turn. */
export type Said = 'not before' | 'internals only'

/** Takes back what the order says of a slot; undefined where it says no such thing, or the slot is begun. */
export function lifted(orders: Orders, view: View, slotId: string, said: Said): Orders | undefined {
  const place = placeOf(orders, slotId)
  const state = view.slots.find((one) => one.slotId === slotId)?.state
  if (place === undefined || (state !== 'planned' && state !== 'missed')) return undefined
  const next = structuredClone(orders) as TankerOrder[]
  const slot = next[place.tankerIndex]?.sequences[place.sequenceIndex]?.slots[place.index]
  const field = said === 'not before' ? 'notBeforeAtMs' : 'internalsOnly'
  if (slot?.[field] === undefined) return undefined
  Reflect.deleteProperty(slot, field)
  return next
}

/** Stations of the slot's tanker that would take its ship, in the tanker's order, and where its own stands among them. */
export function stationsFor(
  view: View,
  slot: SlotView,
  mayUse: (shipId: string, tankerId: string, stationId: string) => boolean
): { stationIds: string[]; own: number } {
  const tanker = view.tankers.find((one) => one.tankerId === slot.tankerId)
  const stationIds = (tanker?.stations ?? [])
    .map((station) => station.stationId)
    .filter((stationId) => stationId === slot.stationId || mayUse(slot.shipId, slot.tankerId, stationId))
  return { stationIds, own: stationIds.indexOf(slot.stationId) }
}

/** The orders of all tankers, with those that change in their places. */
export const withChanged = (inForce: Orders, changed: readonly TankerOrder[]): Orders =>
  inForce.map((order) => changed.find((one) => one.tankerId === order.tankerId) ?? order)

/** Where a slot is put: before another slot of the station, or behind all. */
export interface Target {
  tankerId: string
  stationId: string
  beforeSlotId: string | undefined
}

/** Why a slot cannot be put somewhere, as the service would refuse it. */
export type PlaceFault = Extract<
  ProblemCode,
  'slot-in-contact' | 'visit-done' | 'slot-pinned' | 'method-mismatch' | 'no-clearance' | 'station-closed'
>

/** Puts a slot at a place; undefined when there is no such slot or place. */
export function placed(orders: Orders, slotId: string, to: Target): Orders | undefined {
  if (to.beforeSlotId === slotId) return orders
  const place = placeOf(orders, slotId)
  if (place === undefined) return undefined
  const next = structuredClone(orders) as TankerOrder[]
  const moving = next[place.tankerIndex]?.sequences[place.sequenceIndex]?.slots.splice(place.index, 1)[0]
  const order = next.find((one) => one.tankerId === to.tankerId)
  if (order === undefined || moving === undefined) return undefined
  let target = order.sequences.find((sequence) => sequence.stationId === to.stationId)
  if (target === undefined) {
    target = { stationId: to.stationId as TankerOrder['sequences'][number]['stationId'], slots: [] }
    order.sequences.push(target)
  }
  const at =
    to.beforeSlotId === undefined ? target.slots.length : target.slots.findIndex((slot) => slot.id === to.beforeSlotId)
  if (at === -1) return undefined
  target.slots.splice(at, 0, moving)
  return next
}

/** Why a slot cannot be put at a place; undefined where it can. The service judges it again. */
export function placeFault(
  orders: Orders,
  view: View,
  { slotId, to, misfit }: { slotId: string; to: Target; misfit: Labels['misfit'] }
): PlaceFault | undefined {
  const slot = view.slots.find((one) => one.slotId === slotId)
  if (slot === undefined || isOver(slot, view)) return 'visit-done'
  if (slot.state === 'in contact') return 'slot-in-contact'
  if (slot.pinned) return 'slot-pinned'
  const moved = placed(orders, slotId, to)
  if (moved === undefined) return 'visit-done'
  if (slot.tankerId !== to.tankerId || slot.stationId !== to.stationId) {
    const unfit = misfit(slot.shipId, to.tankerId, to.stationId)
    if (unfit !== undefined) return unfit
    const station = view.tankers
      .find((tanker) => tanker.tankerId === to.tankerId)
      ?.stations.find((one) => one.stationId === to.stationId)
    if (station?.status !== 'good') return 'station-closed'
  }
  const held = heldMoved(orders, moved, view)
  return held === undefined ? undefined : held.pinned ? 'slot-pinned' : 'slot-in-contact'
}

/** A pinned slot or one in contact that has another station or turn than before, among those still to be flown. */
export function heldMoved(before: Orders, after: Orders, view: View): SlotView | undefined {
  const [was, becomes] = [turnsOf(before, view), turnsOf(after, view)]
  return view.slots.find((slot) => {
    const held = slot.state === 'in contact' || (slot.pinned && !isOver(slot, view))
    return held && was.get(slot.slotId) !== becomes.get(slot.slotId)
  })
}

/** Flown, or of a ship that has left; one whose earlier visit is lost may still be flown by another order. */
export const isOver = (slot: SlotView, { ships }: View): boolean =>
  slot.state === 'done' || (slot.state === 'gone' && ships.find((ship) => ship.shipId === slot.shipId)?.left !== null)

function turnsOf(orders: Orders, view: View): Map<string, string> {
  const over = new Set(view.slots.flatMap((slot) => (isOver(slot, view) ? [slot.slotId] : [])))
  const turns = new Map<string, string>()
  for (const { tankerId, sequences } of orders) {
    for (const sequence of sequences) {
      const left = sequence.slots.filter((slot) => !over.has(slot.id))
      for (const [turn, slot] of left.entries()) turns.set(slot.id, `${tankerId}/${sequence.stationId} ${turn}`)
    }
  }
  return turns
}
