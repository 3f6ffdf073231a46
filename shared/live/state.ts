/**
 * What an event is made of once its facts are folded: the plan in force, the clock, and what was observed, by
 * ship and tanker, in order of observed time. Nothing derived is kept; `estimate` derives.
 */
import type { FactOf } from '../contracts/facts.ts'
import type { StationState } from '../contracts/kinds.ts'
import type { Plan, Sequence, TankerOrder } from '../contracts/plan.ts'
import type { EventClock } from '../contracts/stream.ts'
import { REAL_CLOCK } from './clock.ts'
import { Table } from './table.ts'

/** Facts that tell something of one ship, as they stand in its record. */
export type ShipFact = FactOf<
  | 'shipJoined'
  | 'fuelCalled'
  | 'contactMade'
  | 'fuelFlowing'
  | 'disconnected'
  | 'pushed'
  | 'shipLeft'
  | 'landed'
  | 'externalsSet'
  | 'troubleSet'
  | 'jettisoned'
  | 'readySet'
  | 'noShowSet'
>

/** Observations of one ship, ordered by observed time, then by sequence number. */
export type ShipRecord = readonly ShipFact[]

export interface OrderInForce {
  seq: number
  sequences: readonly Sequence[]
}

/**
 * What the event has changed of the plan, oldest first; the last counts, and what names something the plan lacks
 * changes nothing. `planInForce` applies it.
 */
export interface Changes {
  /** By flight. */
  priorities: ReadonlyMap<string, readonly FactOf<'prioritySet'>[]>
  /** By `ship/visit`. */
  onLoads: ReadonlyMap<string, readonly FactOf<'onLoadSet'>[]>
  /** By tanker. */
  tankerTimes: ReadonlyMap<string, readonly FactOf<'tankerTimesSet'>[]>
  /** By tanker. */
  gives: ReadonlyMap<string, readonly FactOf<'giveSet'>[]>
  bases: ReadonlyMap<string, readonly FactOf<'baseSet'>[]>
  /** Receivers nobody planned, by flight. */
  receivers: ReadonlyMap<string, readonly FactOf<'receiverAdded'>[]>
}

export interface LiveState extends Changes {
  eventId: string
  seq: number
  clock: EventClock
  plan: Plan | undefined
  revision: number
  /** Sequence number at which the plan in force was adopted. */
  adoptedSeq: number
  opened: boolean
  closed: boolean
  ships: ReadonlyMap<string, ShipRecord>
  tankerCalls: ReadonlyMap<string, readonly FactOf<'tankerFuelCalled'>[]>
  /** By `tanker/station`. */
  stations: ReadonlyMap<string, readonly FactOf<'stationStatus'>[]>
  /** Orders set for a tanker since the plan in force was adopted, oldest first; the last is in force. */
  orders: ReadonlyMap<string, readonly FactOf<'orderSet'>[]>
  pins: ReadonlyMap<string, readonly FactOf<'pinSet'>[]>
  /** Limits set by hand during the event, by ship. */
  limits: ReadonlyMap<string, readonly FactOf<'limitSet'>[]>
  /** Who has read what of its slot, by ship. */
  seen: ReadonlyMap<string, readonly FactOf<'slotSeen'>[]>
  /** Who looks after each tanker, oldest first; the last counts. */
  held: ReadonlyMap<string, readonly FactOf<'tankerHeld'>[]>
  withdrawn: ReadonlySet<number>
  /** When an order of a tanker was withdrawn last: whoever read its orders before has read others. */
  orderWithdrawnSeqs: ReadonlyMap<string, number>
}

export function emptyState(eventId: string): LiveState {
  return {
    eventId,
    seq: 0,
    clock: REAL_CLOCK,
    plan: undefined,
    revision: 0,
    adoptedSeq: 0,
    opened: false,
    closed: false,
    ships: Table.empty(),
    tankerCalls: Table.empty(),
    stations: Table.empty(),
    orders: Table.empty(),
    pins: Table.empty(),
    limits: Table.empty(),
    priorities: Table.empty(),
    onLoads: Table.empty(),
    tankerTimes: Table.empty(),
    gives: Table.empty(),
    bases: Table.empty(),
    receivers: Table.empty(),
    seen: Table.empty(),
    held: Table.empty(),
    withdrawn: new Set(),
    orderWithdrawnSeqs: Table.empty()
  }
}

/** The order in force of one tanker: the last one set, else the plan's. */
export function orderOf(state: LiveState, tankerId: string): OrderInForce {
  const set = state.orders.get(tankerId)?.at(-1)
  if (set) return { seq: set.seq, sequences: set.sequences }
  const planned = state.plan?.orders.find((order) => order.tankerId === tankerId)
  return { seq: state.adoptedSeq, sequences: planned?.sequences ?? [] }
}

/** What was read last of a ship's slot: of the newest revision, as it stood last. */
export function seenOf({ seen }: LiveState, shipId: string): FactOf<'slotSeen'> | undefined {
  const facts = seen.get(shipId) ?? []
  return facts.toSorted((a, b) => a.revision - b.revision || a.seenSeq - b.seenSeq || a.seq - b.seq).at(-1)
}

/** The link that looks after a tanker, and since when; undefined where nobody does in particular. */
export function holderOf({ held }: LiveState, tankerId: string): { linkId: string; atMs: number } | undefined {
  const last = held.get(tankerId)?.at(-1)
  return last?.holder && { linkId: last.holder, atMs: last.atMs }
}

/** The orders in force of all tankers, as a document to change. */
export function ordersInForce(state: LiveState): TankerOrder[] {
  return (state.plan?.tankers ?? []).map(({ id }) => ({ tankerId: id, sequences: [...orderOf(state, id).sequences] }))
}

/** Status of a station, `good` until something else is called. */
export function stationStatusOf(state: LiveState, key: string): StationState {
  return state.stations.get(key)?.at(-1)?.status ?? 'good'
}

export function pinOf(state: LiveState, slotId: string): { pinned: boolean; serveAnyway: boolean } {
  const set = state.pins.get(slotId)?.at(-1)
  return { pinned: set?.pinned ?? false, serveAnyway: set?.serveAnyway ?? false }
}

/** A fact that may be withdrawn and still stands, by its sequence number. */
export function withdrawable(
  state: LiveState,
  seq: number
): { seq: number; by: string; kind: string; requestId: string } | undefined {
  const kept = [
    ...[state.ships, state.tankerCalls, state.stations, state.orders, state.pins, state.limits, state.seen, state.held],
    ...[state.priorities, state.onLoads, state.tankerTimes, state.gives, state.bases, state.receivers]
  ]
  for (const lists of kept) {
    for (const list of lists.values()) {
      const fact = list.find((one) => one.seq === seq)
      if (fact) return fact
    }
  }
  return undefined
}
