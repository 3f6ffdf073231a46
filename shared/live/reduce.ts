import type { Fact, FactOf } from '../contracts/facts.ts'
import type { FactKind } from '../contracts/kinds.ts'
import { standsAs } from './standing.ts'
import type { LiveState, ShipFact } from './state.ts'
import { Table } from './table.ts'

/*
 * Folds one fact into the state: total, without a clock, and never throwing on any subset of a valid log. Lists
 * are kept in order of observed time, so a call that arrives late falls into its place. A withdrawn fact is
 * taken out of its list, which gives the same state as never having folded it.
 */

/** What a fact changes of a state. */
type Handler<Kind extends FactKind> = (state: LiveState, fact: FactOf<Kind>) => Partial<LiveState>

/** Inserts by observed time, then sequence number. Lists are short: an insertion from the end. */
function placed<F extends { atMs: number; seq: number }>(list: readonly F[] | undefined, fact: F): readonly F[] {
  if (!list) return [fact]
  let place = list.length
  for (let before = list[place - 1]; before; before = list[place - 1]) {
    if (before.atMs < fact.atMs || (before.atMs === fact.atMs && before.seq < fact.seq)) break
    place -= 1
  }
  return list.toSpliced(place, 0, fact)
}

const withEntry = <V>(map: ReadonlyMap<string, V>, key: string, value: V): ReadonlyMap<string, V> =>
  Table.of(map).with(key, value)

/** A map with one more fact at the end of a list. */
const added = <F>(map: ReadonlyMap<string, readonly F[]>, key: string, fact: F): ReadonlyMap<string, readonly F[]> =>
  withEntry(map, key, [...(map.get(key) ?? []), fact])

const ofShip = (state: LiveState, fact: ShipFact): Partial<LiveState> => ({
  ships: withEntry(state.ships, fact.shipId, placed(state.ships.get(fact.shipId), fact))
})

/** Takes a fact out of whichever list holds it; the map is returned untouched when none does. */
function without<F extends { seq: number }>(
  map: ReadonlyMap<string, readonly F[]>,
  seq: number
): ReadonlyMap<string, readonly F[]> {
  for (const [key, list] of map) {
    if (!list.some((fact) => fact.seq === seq)) continue
    return withEntry(
      map,
      key,
      list.filter((fact) => fact.seq !== seq)
    )
  }
  return map
}

/** Which tanker's order goes with a fact, if one does. */
function orderWithdrawn(
  { orders, orderWithdrawnSeqs }: LiveState,
  seq: number,
  bySeq: number
): ReadonlyMap<string, number> {
  const [tankerId] = [...orders].find(([, list]) => list.some((fact) => fact.seq === seq)) ?? []
  return tankerId === undefined ? orderWithdrawnSeqs : withEntry(orderWithdrawnSeqs, tankerId, bySeq)
}

const HANDLERS: { [Kind in FactKind]: Handler<Kind> } = {
  planAdopted: (_, fact) => ({
    plan: fact.plan,
    revision: fact.revision,
    adoptedSeq: fact.seq,
    orders: Table.empty()
  }),
  eventOpened: () => ({ opened: true }),
  eventClosed: () => ({ closed: true }),
  clockSet: (_, { realAtMs, eventAtMs, rateFactor }) => ({ clock: { realAtMs, eventAtMs, rateFactor } }),
  shipJoined: ofShip,
  fuelCalled: (state, fact) => {
    const before = state.ships.get(fact.shipId)
    const record = placed(before, fact)
    standsAs(record, before)
    return { ships: withEntry(state.ships, fact.shipId, record) }
  },
  contactMade: ofShip,
  fuelFlowing: ofShip,
  disconnected: ofShip,
  pushed: ofShip,
  shipLeft: ofShip,
  landed: ofShip,
  externalsSet: ofShip,
  troubleSet: ofShip,
  jettisoned: ofShip,
  readySet: ofShip,
  noShowSet: ofShip,
  tankerFuelCalled: (state, fact) => ({
    tankerCalls: withEntry(state.tankerCalls, fact.tankerId, placed(state.tankerCalls.get(fact.tankerId), fact))
  }),
  stationStatus: (state, fact) => {
    const key = `${fact.tankerId}/${fact.stationId}`
    return { stations: withEntry(state.stations, key, placed(state.stations.get(key), fact)) }
  },
  // A limit, an order, a pin and a change of the plan count from when they were recorded, whatever their observed time.
  limitSet: (state, fact) => ({ limits: added(state.limits, fact.shipId, fact) }),
  pinSet: (state, fact) => ({ pins: added(state.pins, fact.slotId, fact) }),
  orderSet: (state, fact) => ({ orders: added(state.orders, fact.tankerId, fact) }),
  prioritySet: (state, fact) => ({ priorities: added(state.priorities, fact.flightId, fact) }),
  onLoadSet: (state, fact) => ({
    onLoads: added(state.onLoads, `${fact.shipId}/${fact.visitId}`, fact)
  }),
  tankerTimesSet: (state, fact) => ({ tankerTimes: added(state.tankerTimes, fact.tankerId, fact) }),
  giveSet: (state, fact) => ({ gives: added(state.gives, fact.tankerId, fact) }),
  baseSet: (state, fact) => ({ bases: added(state.bases, fact.baseId, fact) }),
  receiverAdded: (state, fact) => ({ receivers: added(state.receivers, fact.flight.id, fact) }),
  tankerHeld: (state, fact) => ({ held: added(state.held, fact.tankerId, fact) }),
  slotSeen: (state, fact) => ({ seen: added(state.seen, fact.shipId, fact) }),
  factWithdrawn: (state, { withdrawnSeq: seq, seq: bySeq }) => ({
    withdrawn: new Set(state.withdrawn).add(seq),
    orderWithdrawnSeqs: orderWithdrawn(state, seq, bySeq),
    ships: without(state.ships, seq),
    tankerCalls: without(state.tankerCalls, seq),
    stations: without(state.stations, seq),
    orders: without(state.orders, seq),
    pins: without(state.pins, seq),
    limits: without(state.limits, seq),
    priorities: without(state.priorities, seq),
    onLoads: without(state.onLoads, seq),
    tankerTimes: without(state.tankerTimes, seq),
    gives: without(state.gives, seq),
    bases: without(state.bases, seq),
    receivers: without(state.receivers, seq),
    seen: without(state.seen, seq),
    held: without(state.held, seq)
  })
}

/** The state after one more fact. */
export function reduce(state: LiveState, fact: Fact): LiveState {
  const handler = HANDLERS[fact.kind] as Handler<FactKind> | undefined
  // A kind of a later version keeps its number; the page asks to be reloaded.
  // One spread for all kinds: where each has its own, states are built in so many ways that a copy takes many times as long.
  return Object.assign({ ...state }, handler?.(state, fact), { seq: fact.seq })
}
