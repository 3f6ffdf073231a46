import type { TankerOrder } from '../shared/contracts/plan.ts'
import type { SlotView, View } from '../shared/contracts/view.ts'

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

/** Puts a slot into another station's sequence, before the first slot there that comes to contact after it. */
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
  target.slots.splice(behind === -1 ? target.slots.length : behind, 0, moving)
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

/** The orders that differ from those in force: all that need be sent. */
export const changedOrders = (inForce: Orders, moved: Orders): TankerOrder[] =>
  moved.filter(
    (order) => JSON.stringify(order) !== JSON.stringify(inForce.find((one) => one.tankerId === order.tankerId))
  )
