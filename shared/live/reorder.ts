/** Whether an order may be taken: whole or not at all, every contact still to be flown at a station its ship may use. */
import type { OrderedSlot, TankerOrder } from '../contracts/plan.ts'
import { orderRefusals } from '../order/rules.ts'
import { stationKey } from '../plan/brief.ts'
import { stationFault } from '../plan/stations.ts'
import { refuse, type Decision, type Ground } from './decision.ts'
import { standing, type Standing } from './standing.ts'
import { orderOf, ordersInForce, pinOf, stationStatusOf, type LiveState } from './state.ts'

interface Placed {
  slot: OrderedSlot
  key: string
}

/**
 * The order of some tankers as facts, or why it is refused. A slot may be new: a ship's further contact in a visit it has
 * not pushed from. One that nobody has begun may be left out as long as another contact of its ship in that visit stays.
 */
export function decideOrder(ground: Ground, orders: readonly TankerOrder[], basedOnSeq: number): Decision {
  const { state, plan, atMs } = ground
  const before = new Map<string, Placed>()
  const inForce = new Map<string, string[]>()
  for (const { tankerId } of orders) {
    const tanker = plan.tankers.get(tankerId)
    if (!tanker) return refuse('unknown-tanker', `${tankerId} is not in the plan in force`)
    const { seq, sequences } = orderOf(state, tankerId)
    const changedSeq = Math.max(seq, state.orderWithdrawnSeqs.get(tankerId) ?? 0)
    if (changedSeq > basedOnSeq)
      return refuse('stale-order', `the order of ${tanker.callSign} changed at fact ${String(changedSeq)}`)
    for (const placed of placesOf([{ tankerId, sequences: [...sequences] }])) before.set(placed.slot.id, placed)
    for (const { stationId, slots } of sequences) inForce.set(stationKey(tankerId, stationId), idsOf(slots))
  }
  const sequences = new Map<string, string[]>()
  for (const { tankerId, sequences: given } of orders) {
    for (const { stationId, slots } of given) {
      const key = stationKey(tankerId, stationId)
      if (sequences.has(key)) return refuse('unknown-station', `${key} stands twice in the order`)
      sequences.set(key, idsOf(slots))
    }
  }
  const given = placesOf(orders)
  const flown = flownSlots(state)
  const used = usedSlots(state)
  const elsewhere = placesOf(ordersInForce(state)).filter(({ slot }) => !before.has(slot.id))
  for (const { slot } of given) {
    const was = before.get(slot.id)?.slot
    const known = was ?? used.get(slot.id)
    const isFree = was !== undefined || (!flown.has(slot.id) && !elsewhere.some((one) => one.slot.id === slot.id))
    if (known && !(isFree && sameContact(known, slot))) {
      return refuse('unknown-slot', `slot ${slot.id} is not in the order in force of these tankers`)
    }
    if (was && was.notBeforeAtMs !== slot.notBeforeAtMs && pinOf(state, slot.id).pinned) {
      return refuse('slot-pinned', `slot ${slot.id} would come at another time`)
    }
    const flight = plan.flights.get(plan.ships.get(slot.shipId)?.flightId ?? '')
    if (slot.internalsOnly && was?.internalsOnly !== true && flight?.mayTakeInternalsOnly === false) {
      return refuse('internals-not-allowed', `slot ${slot.id} of ${flight.callSign}`)
    }
  }
  const listed = new Set(given.map(({ slot }) => slot.id))
  const slots = [...before.values()].map(({ slot }) => {
    const done = flown.get(slot.id)
    const { pinned } = pinOf(state, slot.id)
    const isSpare =
      done === undefined &&
      !pinned &&
      !listed.has(slot.id) &&
      ([...given, ...elsewhere].some((one) => sameContact(one.slot, slot)) || hasFlown(state, slot))
    const gone = isSpare || (done === undefined && isOver(ground, slot) !== undefined)
    return { id: slot.id, pinned, gone, fixed: done === undefined ? undefined : { done } }
  })
  const fresh = [...listed]
    .filter((id) => !before.has(id))
    .map((id) => ({ id, pinned: false, gone: false, fixed: undefined }))
  const stationIds = new Set(plan.stations.keys())
  const [wrong] = orderRefusals({ sequences, inForce, slots: [...slots, ...fresh], stationIds })
  if (wrong) {
    const slot = slots.find((one) => one.id === wrong.slotId)
    const isMissing = wrong.code === 'slot-missing'
    const code = isMissing && slot?.fixed ? 'slot-in-contact' : isMissing && slot?.pinned ? 'slot-pinned' : wrong.code
    return refuse(code, wrong.slotId ?? wrong.stationId ?? 'the order')
  }
  for (const { slot, key } of given) {
    const was = before.get(slot.id)
    const refusal = was?.key === key ? undefined : misplaced(ground, slot, key, flown)
    if (refusal) return refusal
  }
  return {
    facts: orders.map((order) => ({ kind: 'orderSet', atMs, tankerId: order.tankerId, sequences: order.sequences }))
  }
}

/** Why a slot that is new, or stood elsewhere, may not stand at a station. */
function misplaced(
  ground: Ground,
  slot: OrderedSlot,
  key: string,
  flown: ReadonlyMap<string, boolean>
): Decision | undefined {
  const { state, plan } = ground
  if (flown.has(slot.id)) return refuse('visit-done', `slot ${slot.id} has been flown where it stood`)
  const over = isOver(ground, slot)
  if (over) return over
  const ship = plan.ships.get(slot.shipId)
  const flight = ship && plan.flights.get(ship.flightId)
  const station = plan.stations.get(key)
  if (!flight || !station) return refuse('unknown-station', `${key} is not in the plan in force`)
  const misfit = stationFault(plan, flight, station)
  if (misfit) return refuse(misfit.code, `${ship.callSign} on ${station.name}: ${misfit.detail}`)
  const status = stationStatusOf(state, key)
  return status === 'good' ? undefined : refuse('station-closed', `${station.name} is ${status}`)
}

/** Why nobody can fly a slot any more: it stands in the record and binds nobody. */
function isOver({ state, plan }: Ground, { id, shipId, visitId }: OrderedSlot): Decision | undefined {
  const ship = plan.ships.get(shipId)
  const flight = ship && plan.flights.get(ship.flightId)
  if (!flight) return refuse('unknown-ship', `${shipId} is not in the plan in force`)
  if (!flight.visits.some((visit) => visit.id === visitId)) {
    return refuse('unknown-slot', `slot ${id}: ${visitId} is no visit of ${ship.callSign}`)
  }
  const its = standingOf(state, shipId)
  if (its.left ?? its.landed ?? its.noShow) return refuse('ship-gone', `${ship.callSign} has left or does not come`)
  return its.pushed.has(visitId) ? refuse('visit-done', `${ship.callSign} has pushed from it`) : undefined
}

const standingOf = (state: LiveState, shipId: string): Standing => standing(state.ships.get(shipId) ?? [])

const idsOf = (slots: readonly OrderedSlot[]): string[] => slots.map((slot) => slot.id)

const placesOf = (orders: readonly TankerOrder[]): Placed[] =>
  orders.flatMap(({ tankerId, sequences }) =>
    sequences.flatMap(({ stationId, slots }) => slots.map((slot) => ({ slot, key: stationKey(tankerId, stationId) })))
  )

const sameContact = (a: OrderedSlot, b: OrderedSlot): boolean => a.shipId === b.shipId && a.visitId === b.visitId

/** Slots somebody made contact in: whether it is over. */
function flownSlots(state: LiveState): ReadonlyMap<string, boolean> {
  const flown = new Map<string, boolean>()
  for (const record of state.ships.values()) {
    const its = standing(record)
    for (const contact of its.contacts) flown.set(contact.slotId, contact !== its.inContact)
  }
  return flown
}

/** Every slot the plan or an order of this event has named. */
function usedSlots(state: LiveState): ReadonlyMap<string, OrderedSlot> {
  const orders = [...(state.plan?.orders ?? []), ...[...state.orders.values()].flat()]
  return new Map(placesOf(orders).map(({ slot }) => [slot.id, slot]))
}

/** The ship has made contact in this visit. */
function hasFlown(state: LiveState, { shipId, visitId }: OrderedSlot): boolean {
  const used = usedSlots(state)
  return standingOf(state, shipId).contacts.some(({ slotId }) => used.get(slotId)?.visitId === visitId)
}
