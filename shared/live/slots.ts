/**
 * The order in force, judged on the state as it stands: ships become slots with service curves, tankers become
 * stations with a give. The judge itself (shared/order) knows nothing of tanks.
 */
import type { FactOf } from '../contracts/facts.ts'
import type { HandLimit } from '../contracts/kinds.ts'
import type { Sequence, TankerOrder } from '../contracts/plan.ts'
import type { FuelNow } from '../filter/fold.ts'
import { giveKg } from '../order/ledger.ts'
import {
  judge,
  type Before,
  type Judged,
  type OrderIn,
  type Ready,
  type SlotIn,
  type StationIn,
  type TankerIn
} from '../order/times.ts'
import { legTimeS } from '../fuel/burn.ts'
import {
  refitted,
  stationKey,
  type Brief,
  type FlightBrief,
  type ShipBrief,
  type StationBrief,
  type TankerBrief,
  type VisitBrief
} from '../plan/brief.ts'
import { abortKg, requiredKg } from '../plan/limits.ts'
import { feed } from '../tanks/feed.ts'
import { fillCurve, stopAt, type FillTarget } from '../tanks/fill.ts'
import { latestContactMs, serveAt, serviceTable, type ServiceTable } from '../tanks/service.ts'
import { totalKg, usableKg, type TankState } from '../tanks/sheet.ts'
import { quantityKg } from '../units.ts'
import { assumedKg, foldCalls, type Folded } from './calls.ts'
import { advance, atFactor, flown, legsOf, reselected, type Leg } from './course.ts'
import { fuelNow, unsureKg } from './gauged.ts'
import { currentVisit, standing, type Contact, type Standing } from './standing.ts'
import { without } from './troubles.ts'
import { orderOf, pinOf, stationStatusOf, type LiveState, type ShipRecord } from './state.ts'

/** One ship with what its calls say. */
export interface Crew {
  ship: ShipBrief
  flight: FlightBrief
  record: ShipRecord
  its: Standing
  current: VisitBrief | undefined
  /** Legs by planned pushes, at the burn as believed: right up to now, and as far ahead as its next visit. */
  legs: readonly Leg[]
  folded: Folded
  /** What its tanks hold now. */
  tanks: TankState
  /** Its fuel as estimated, within SPREAD_STEP_MS before now. */
  fuel: FuelNow
  /** Aboard by nobody's word, kg: flow that is only assumed. */
  assumedKg: number
  /** What of its fuel limits do not count on, kg; what is only assumed is in it. */
  unsureKg: number
}

const NO_CALLS: ShipRecord = []
/** The spread of a fuel grows by less than half a kilogram meanwhile; so long what hangs on it alone stays as it is. */
const SPREAD_STEP_MS = 10_000

/** The ship with what it has thrown off and the limits set for it in the event. */
export function asItIs(state: LiveState, plan: Brief, planned: ShipBrief, its: Standing): ShipBrief {
  const set = state.limits.get(planned.id)
  if (its.jettisoned.length === 0 && set === undefined) return planned
  return refitted(plan, planned, {
    jettisoned: [...new Set(its.jettisoned.map((one) => one.groupId))].sort(),
    byHandKg: byHandKg(planned, set ?? [], plan.fuelKgPerM3)
  })
}

/** Limits by hand: the plan's, as the event has changed them. */
function byHandKg(
  planned: ShipBrief,
  set: readonly FactOf<'limitSet'>[],
  fuelKgPerM3: number
): ShipBrief['fit']['byHandKg'] {
  const kg: { -readonly [L in HandLimit]?: number } = { ...planned.fit.byHandKg }
  for (const { limit, fuel } of set) {
    if (fuel) kg[limit] = quantityKg(fuel, fuelKgPerM3)
    else Reflect.deleteProperty(kg, limit)
  }
  return kg
}

export function crewsOf(state: LiveState, plan: Brief, nowMs: number): Map<string, Crew> {
  const crews = new Map<string, Crew>()
  for (const flight of plan.flights.values()) {
    for (const planned of flight.ships) crews.set(planned.id, crewOf(state, plan, { flight, planned }, nowMs))
  }
  return crews
}

/** One ship with its calls folded up to an instant: what is needed of it to judge another figure. */
export function foldedOf(
  state: LiveState,
  plan: Brief,
  { flight, planned }: { flight: FlightBrief; planned: ShipBrief },
  nowMs: number
) {
  const record = state.ships.get(planned.id) ?? NO_CALLS
  const its = standing(record, nowMs)
  const ship = asItIs(state, plan, planned, its)
  const asPlanned = legsOf(plan, flight, ship, its, nowMs, (visit) => visit.plannedPushAtMs)
  const courseAt = (atMs: number) => {
    const then = standing(record, atMs)
    return { its: then, legs: legsOf(plan, flight, ship, then, atMs, (visit) => visit.plannedPushAtMs) }
  }
  const folded = foldCalls(plan, ship, record, courseAt, nowMs)
  return { ship, record, its, asPlanned, folded, legs: atFactor(asPlanned, folded.burnFactor) }
}

/** One ship with what its calls say at an instant. */
export function crewOf(
  state: LiveState,
  plan: Brief,
  of: { flight: FlightBrief; planned: ShipBrief },
  nowMs: number
): Crew {
  const { flight } = of
  const { ship, record, its, asPlanned, folded, legs } = foldedOf(state, plan, of, nowMs)
  const current = currentVisit(flight.visits, its)
  const tanks = advance(ship, legs, folded.anchor, nowMs).state
  const atMs = Math.max(folded.anchor.atMs, Math.floor(nowMs / SPREAD_STEP_MS) * SPREAD_STEP_MS)
  const course = { from: folded.anchor.state, to: advance(ship, legs, folded.anchor, atMs).state }
  const fuel = fuelNow(ship.sheet, folded.filtered, { legs: asPlanned, its, atMs }, course)
  const byNobodyKg = assumedKg(ship, legs, folded, its, nowMs)
  return {
    ...{ ship, flight, record, its, current, legs, folded, tanks, fuel },
    assumedKg: byNobodyKg,
    unsureKg: unsureKg(folded.filtered, fuel) + byNobodyKg
  }
}

/** A ship waiting on the track, from an instant on. */
interface Holding {
  tanks: TankState
  fromMs: number
  /** Tells this state from others of the same ship: what it came from. */
  tag: string
  /** Where it was served last in this visit. */
  trackId?: string | undefined
}

export interface PlacedSlot {
  id: string
  shipId: string
  visit: VisitBrief
  crew: Crew
  station: StationBrief
  tanker: TankerBrief
  contact: Contact | undefined
  pin: { pinned: boolean; serveAnyway: boolean }
  /** Where the order in force has it, and since when; undefined: nowhere. */
  sent: { tanker: TankerBrief; atMs: number } | undefined
  /** It comes no earlier than this, event time. */
  notBeforeAtMs: number | undefined
  /** The order has it leave with its internal tanks full, whatever its rule asks for. */
  internalsOnly: boolean
}

/** Beyond this after its tanker leaves nothing is worked out. */
const HORIZON_MS = 4 * 3_600_000
/** Keeps of a late ship change every second; old ones are dropped. */
const KEPT_MOST = 400

/** Slots by station, as the judge takes them: those flown first, in order of contact, then those to come. */
export function placedSlots(
  state: LiveState,
  plan: Brief,
  crews: ReadonlyMap<string, Crew>,
  orders?: readonly TankerOrder[]
) {
  const slots = new Map<string, PlacedSlot>()
  const flown = new Map<string, PlacedSlot[]>()
  const ahead = new Map<string, PlacedSlot[]>()
  for (const key of plan.stations.keys()) {
    flown.set(key, [])
    ahead.set(key, [])
  }
  for (const tankerId of plan.tankers.keys()) {
    const sequences =
      orders?.find((order) => order.tankerId === tankerId)?.sequences ?? orderOf(state, tankerId).sequences
    for (const { stationId, slots: listed } of sequences) {
      for (const { id, shipId, visitId, notBeforeAtMs, internalsOnly = false } of listed) {
        const crew = crews.get(shipId)
        const visit = crew?.flight.visits.find((one) => one.id === visitId)
        if (!crew || !visit || slots.has(id)) continue
        const contact = crew.its.contacts.find((one) => one.slotId === id)
        const key = contact ? stationKey(contact.tankerId, contact.stationId) : stationKey(tankerId, stationId)
        const station = plan.stations.get(key)
        const tanker = station && plan.tankers.get(station.tankerId)
        if (!tanker) continue
        const asked = { pin: pinOf(state, id), sent: sentTo(state, plan, id), notBeforeAtMs, internalsOnly }
        const slot: PlacedSlot = { id, shipId, visit, crew, station, tanker, contact, ...asked }
        slots.set(id, slot)
        ;(contact ? flown : ahead).get(key)?.push(slot)
      }
    }
  }
  const sequences = new Map<string, string[]>()
  for (const key of plan.stations.keys()) {
    const first = flown.get(key) ?? []
    first.sort((a, b) => (a.contact?.contactAtMs ?? 0) - (b.contact?.contactAtMs ?? 0))
    sequences.set(
      key,
      [...first, ...(ahead.get(key) ?? [])].map((slot) => slot.id)
    )
  }
  return { slots, sequences }
}

/** The tanker that the order in force has a slot at, and since which order; −Infinity: as planned from the beginning. */
function sentTo(state: LiveState, plan: Brief, slotId: string): PlacedSlot['sent'] {
  const has = (sequences: readonly Sequence[]): boolean =>
    sequences.some(({ slots }) => slots.some(({ id }) => id === slotId))
  for (const tanker of plan.tankers.values()) {
    if (!has(orderOf(state, tanker.id).sequences)) continue
    const set = state.orders.get(tanker.id) ?? []
    const before = set.findLastIndex(({ sequences }) => !has(sequences))
    const first = set[before + 1]
    const planned = before < 0 && has(plan.plan.orders.find((one) => one.tankerId === tanker.id)?.sequences ?? [])
    return { tanker, atMs: planned || !first ? -Infinity : first.atMs }
  }
  return undefined
}

/** Fuel a tanker has given up to an instant, kg; what flows just now counts up to now. */
export function givenKg(
  tankerId: string,
  crews: ReadonlyMap<string, Crew>,
  nowMs: number,
  sinceMs = -Infinity
): number {
  let kg = 0
  for (const { ship, its, folded, legs } of crews.values()) {
    for (const contact of its.contacts) {
      if (contact.tankerId !== tankerId) continue
      const done = folded.flown.get(contact.slotId)
      if (done) {
        if ((contact.disconnectAtMs ?? Infinity) > sinceMs) kg += done.onLoadKg
      } else if (contact === its.inContact) kg += flowedKg(ship, legs, folded, contact, nowMs)
    }
  }
  return kg
}

/** What has flowed from a tanker in contacts under way, kg. */
export function flowedNowKg(tankerId: string, crews: ReadonlyMap<string, Crew>, nowMs: number): number {
  let kg = 0
  for (const { ship, its, folded, legs } of crews.values())
    if (its.inContact?.tankerId === tankerId) kg += flowedKg(ship, legs, folded, its.inContact, nowMs)
  return kg
}

/** What has flowed in a contact so far, kg. */
function flowedKg(ship: ShipBrief, legs: readonly Leg[], folded: Folded, contact: Contact, nowMs: number): number {
  if (nowMs <= contact.flowAtMs) return 0
  const now = advance(ship, legs, folded.anchor, nowMs)
  const before = now.contact?.atFlow
  if (!before) return 0
  const burnKgPerS = legs.find((leg) => leg.toAtMs > contact.flowAtMs)?.burnKgPerS ?? 0
  const burnedKg = (burnKgPerS * (nowMs - contact.flowAtMs)) / 1000
  return Math.max(0, totalKg(ship.sheet, now.state) - totalKg(ship.sheet, before) + burnedKg)
}

/** Fuel aboard a tanker at an event time, kg: its last call, else what it came with, less burn and what it gave since. */
export function tankerFuelKg(
  state: LiveState,
  tanker: TankerBrief,
  crews: ReadonlyMap<string, Crew>,
  nowMs: number
): number {
  const call = state.tankerCalls.get(tanker.id)?.findLast((fact) => fact.atMs <= nowMs)
  const sinceMs = call?.atMs ?? tanker.onStationAtMs
  const thenKg = call ? quantityKg(call.fuel, tanker.fuelKgPerM3) : tanker.fuelOnStationKg
  const burnedKg = (tanker.burnKgPerS * Math.max(0, nowMs - sinceMs)) / 1000
  return thenKg - burnedKg - givenKg(tanker.id, crews, nowMs, call?.atMs)
}

/** What a ship burns waiting, hooking up and in contact at a visit, kg/s. */
export const burnAt = (crew: Crew, visit: VisitBrief): number => burnIn(crew, visit.phaseIndex)

/** What a ship burns in a phase to come, as believed, kg/s. */
export const burnIn = ({ ship, folded }: Crew, phaseIndex: number): number =>
  (ship.plannedBurnsKgPerS[phaseIndex] ?? 0) * folded.burnFactor

type Target = Parameters<typeof serviceTable>[2]['target']

/** The on-load rule of a slot: its ship's own, else the visit's. */
export const onLoadRuleOf = ({ crew, visit }: Pick<PlacedSlot, 'crew' | 'visit'>): VisitBrief['onLoad'] =>
  crew.ship.onLoads.get(visit.id) ?? visit.onLoad

/** What a slot is asked to take: by the order, by its ship's own rule, else by the visit's. */
export function targetOf(
  plan: Brief,
  { crew, visit, internalsOnly }: Pick<PlacedSlot, 'crew' | 'visit' | 'internalsOnly'>
): Target {
  if (internalsOnly) return { kind: 'internals' }
  const rule = onLoadRuleOf({ crew, visit })
  switch (rule.kind) {
    case 'required':
      return {
        kind: 'required',
        requiredKg: requiredKg(plan, crew.flight, crew.ship, visit),
        pushAtMs: visit.plannedPushAtMs
      }
    case 'fixed':
      return { kind: 'onLoad', onLoadKg: quantityKg(rule.fuel, plan.fuelKgPerM3) }
    case 'internals':
    case 'full':
      return rule
  }
}

/** The same target as the fill sees it from an instant on. */
export function fillTargetOf(target: Target, fromMs: number, burnKgPerS: number): FillTarget {
  if (target.kind !== 'required') return target
  return { kind: 'until', requiredKg: target.requiredKg, untilS: (target.pushAtMs - fromMs) / 1000, burnKgPerS }
}

export interface Order {
  judged: Judged
  slots: ReadonlyMap<string, PlacedSlot>
}

/** Judges the order in force, or the given one, at an event time. */
export function judgeOrder(
  state: LiveState,
  plan: Brief,
  crews: ReadonlyMap<string, Crew>,
  nowMs: number,
  orders?: readonly TankerOrder[]
): Order {
  const { input, slots } = orderIn(state, plan, crews, nowMs, orders)
  return { judged: judge(input), slots }
}

/** What the judge takes: the order in force, or the given one, at an event time. */
export function orderIn(
  state: LiveState,
  plan: Brief,
  crews: ReadonlyMap<string, Crew>,
  nowMs: number,
  orders?: readonly TankerOrder[]
): { input: OrderIn<Holding>; slots: ReadonlyMap<string, PlacedSlot> } {
  const { slots, sequences } = placedSlots(state, plan, crews, orders)
  const inForce = orders ? placedSlots(state, plan, crews).sequences : undefined
  const stations = [...plan.stations.values()].map((station): StationIn => {
    const tanker = plan.tankers.get(station.tankerId)
    return {
      id: station.key,
      tankerId: station.tankerId,
      opensAtMs: station.opensAtMs,
      closesAtMs: station.closesAtMs,
      hookUpMs: station.hookUpMs,
      changeoverWithinFlightMs: plan.changeoverWithinFlightMs,
      changeoverBetweenMs: station.changeoverBetweenMs,
      takesNew: stationStatusOf(state, station.key) === 'good',
      freeAtMs: tanker?.onStationAtMs ?? 0,
      lastFlightId: undefined,
      excludes: station.excludes,
      methodChangeMs: station.methodChangeMs
    }
  })
  const tankers = [...plan.tankers.values()].map((tanker): TankerIn => {
    const aboardKg = tankerFuelKg(state, tanker, crews, nowMs)
    const inContactKg = flowedNowKg(tanker.id, crews, nowMs)
    const doneKg = givenKg(tanker.id, crews, nowMs) - inContactKg
    return {
      id: tanker.id,
      leavesAtMs: tanker.leavesAtMs,
      giveKg: (leavesAtMs) =>
        inContactKg +
        giveKg({
          mostTransferableKg: tanker.mostTransferableKg - doneKg - inContactKg,
          aboardKg,
          aboardAtMs: Math.max(nowMs, tanker.onStationAtMs),
          burnKgPerS: tanker.burnKgPerS,
          keepsKg: tanker.keepsKg,
          leavesAtMs
        })
    }
  })
  const pushGroups = [...plan.pushGroups.values()].map((group) => ({
    id: group.id,
    plannedAtMs: group.pushAtMs,
    reformMs: plan.reformMs,
    pushedAtMs: pushedAt(crews, group.id),
    notBeforeMs: nowMs
  }))
  const input: OrderIn<Holding> = {
    slots: [...slots.values()].map((slot) => slotIn(plan, slots, slot, nowMs)),
    stations,
    sequences,
    pushGroups,
    tankers,
    inForce,
    nowMs
  }
  return { input, slots }
}

/** When a push group has pushed: the last push, once every ship that is still in it has. */
function pushedAt(crews: ReadonlyMap<string, Crew>, pushGroupId: string): number | undefined {
  let last: number | undefined
  for (const { flight, its } of crews.values()) {
    for (const visit of flight.visits) {
      if (visit.pushGroupId !== pushGroupId) continue
      const atMs = its.pushed.get(visit.id)
      // Whoever went home without pushing, or never came, holds nobody up; whoever has pushed and landed since has pushed.
      if (atMs === undefined && (its.left ?? its.landed ?? its.noShow)) continue
      if (atMs === undefined) return undefined
      last = Math.max(last ?? -Infinity, atMs)
    }
  }
  return last
}

function slotIn(plan: Brief, slots: ReadonlyMap<string, PlacedSlot>, slot: PlacedSlot, nowMs: number): SlotIn<Holding> {
  const { crew, visit, station } = slot
  const { ship, flight, its } = crew
  const burnKgPerS = burnAt(crew, visit)
  const target = targetOf(plan, slot)
  // Judged at another tanker than its own, the abort fuel of that track counts.
  const tankerAt = (at: Pick<StationIn, 'tankerId'> | undefined): TankerBrief =>
    plan.tankers.get(at?.tankerId ?? '') ?? slot.tanker
  const serviceOf = (at: Pick<StationIn, 'id' | 'tankerId'>, ready: Ready<Holding>) => ({
    readyAtMs: ready.state.fromMs,
    untilAtMs: Math.max(tankerAt(at).leavesAtMs, ready.state.fromMs) + HORIZON_MS,
    burnKgPerS,
    stationRateKgPerS: plan.stations.get(at.id)?.rateKgPerS ?? station.rateKgPerS,
    abortKg: abortKg(plan, ship, tankerAt(at).trackId),
    target
  })
  const unsure = unsureAt(slot)
  const safe = new Map<ServiceTable, ServiceTable>()
  const table = (at: Pick<StationIn, 'id' | 'tankerId'>, ready: Ready<Holding>): ServiceTable => {
    const inputs = serviceOf(at, ready)
    // A limit set by hand is no call of the ship: what hangs on it is part of the name.
    const asked = `${target.kind} ${target.kind === 'required' ? String(target.requiredKg) : ''}`
    const key = `curve ${visit.id} ${ready.state.tag} ${String(inputs.readyAtMs)} ${String(inputs.stationRateKgPerS)} ${asked} ${String(inputs.abortKg)}`
    const mean = keep(crew.folded.kept, key, () => serviceTable(ship.sheet, ready.state.tanks, inputs))
    if (unsure === 0) return mean
    const known = safe.get(mean)
    if (known) return known
    // Times come from the mean, the latest contact from the low side.
    const latestContactAtMs = latestContactMs(ship.sheet, ready.state.tanks, {
      ...inputs,
      abortKg: inputs.abortKg + unsure
    })
    const fresh = { ...mean, latestContactAtMs }
    safe.set(mean, fresh)
    return fresh
  }
  const earlier = earlierOf(slots, slot)
  /**
   * What the order says is for a ship as it was then: it never keeps one waiting into its late margin. A later visit comes
   * as its earlier one lets it.
   */
  const notBeforeMs = (): number | undefined => {
    if (slot.notBeforeAtMs === undefined || slot.contact || earlier) return undefined
    const own = { id: station.key, tankerId: station.tankerId }
    const latestMs = table(own, readyFor(plan, slot, undefined, nowMs, slot.tanker)).latestContactAtMs ?? Infinity
    return Math.min(slot.notBeforeAtMs, latestMs - station.hookUpMs - plan.lateMarginS * 1000)
  }
  return {
    id: slot.id,
    shipId: ship.id,
    flightId: flight.id,
    visitId: visit.id,
    pushGroupId: visit.pushGroupId,
    weight: flight.weight,
    pinned: slot.pin.pinned,
    serveAnyway: slot.pin.serveAnyway,
    afterSlotId: earlier?.id,
    notBeforeMs: notBeforeMs(),
    fixed: fixedOf(slot, target, nowMs),
    gone:
      slot.contact === undefined && ((its.left ?? its.landed ?? its.noShow) !== undefined || its.pushed.has(visit.id)),
    requiredAtPushKg: requiredKg(plan, flight, ship, visit),
    waitBurnKgPerS: burnKgPerS,
    ready: (after, at) => readyFor(plan, slot, after, nowMs, tankerAt(at)),
    curve: table,
    serve: (at, ready, contactAtMs, limitKg) => {
      const served = serveAt(ship.sheet, ready.state.tanks, serviceOf(at, ready), contactAtMs, {
        giveKg: limitKg,
        windowS: windowS(at.closesAtMs, contactAtMs)
      })
      const disconnectAtMs = contactAtMs + served.durationS * 1000
      const atContactKg = usableKg(ship.sheet, served.atContact)
      return {
        disconnectAtMs,
        onLoadKg: served.onLoadKg,
        fuelAtContactKg: atContactKg,
        fuelAtDisconnectKg: usableKg(ship.sheet, served.state),
        state: {
          tanks: reselected(ship, served.state, its.externals),
          fromMs: disconnectAtMs,
          tag: '',
          trackId: tankerAt(at).trackId
        },
        endedBy: served.endedBy,
        neededKg: neededKg(target, burnKgPerS, atContactKg, contactAtMs, served)
      }
    }
  }
}

/**
 * What of a ship's fuel its latest contact does not count on, kg: at the visit ahead. Before a later one it will have been
 * called anew.
 */
export const unsureAt = ({ crew, visit }: Pick<PlacedSlot, 'crew' | 'visit'>): number =>
  crew.current?.id === visit.id ? crew.unsureKg : 0

/** What the rule asks the tanker for, kg, whether or not it has it; of a fixed on-load no more than there is room for. */
function neededKg(
  target: Target,
  burnKgPerS: number,
  atContactKg: number,
  contactAtMs: number,
  { durationS, onLoadKg, endedBy }: Pick<ReturnType<typeof serveAt>, 'durationS' | 'onLoadKg' | 'endedBy'>
): number {
  if (target.kind === 'onLoad') return endedBy === 'full' ? onLoadKg : target.onLoadKg
  if (target.kind !== 'required') return onLoadKg
  const untilS = Math.max((target.pushAtMs - contactAtMs) / 1000, durationS)
  return Math.max(0, target.requiredKg + burnKgPerS * untilS - atContactKg)
}

/**
 * The slot of the same ship that must be over first: of the same visit, what it tops off; else the last one of the visit
 * before, while that one is still to come. The slots of one visit follow each other as they were flown, then by their ids.
 */
export function earlierOf(slots: ReadonlyMap<string, PlacedSlot>, slot: PlacedSlot): PlacedSlot | undefined {
  const { crew, visit, shipId } = slot
  const ofVisit = (index: number): PlacedSlot[] =>
    [...slots.values()]
      .filter((one) => one.shipId === shipId && one.visit.index === index)
      .sort((a, b) => contactOf(a) - contactOf(b) || (a.id < b.id ? -1 : 1))
  const its = ofVisit(visit.index)
  const first = its.indexOf(slot)
  if (first > 0) return its[first - 1]
  const stillAhead = visit.index > 0 && crew.current !== undefined && crew.current.index < visit.index
  return stillAhead ? ofVisit(visit.index - 1).at(-1) : undefined
}

/** Slots not flown yet come last. */
const contactOf = ({ contact }: PlacedSlot): number => contact?.contactAtMs ?? Number.MAX_SAFE_INTEGER

/** What was made for this key before, else made now and kept with what else follows from the same calls. */
export function keep<T>(kept: Map<string, unknown>, key: string, make: () => T): T {
  if (kept.size > KEPT_MOST) kept.clear()
  const known = kept.get(key) as T | undefined
  if (known !== undefined) return known
  const made = make()
  kept.set(key, made)
  return made
}

/** When a ship is ready for a visit and what it holds then. */
function readyFor(
  plan: Brief,
  slot: PlacedSlot,
  before: Before<Holding> | undefined,
  nowMs: number,
  tanker: TankerBrief
): Ready<Holding> {
  const { crew, visit } = slot
  const { ship, flight, legs, folded } = crew
  if (before) {
    const earlier = flight.visits[visit.index - 1] ?? visit
    const burnKgPerS = burnAt(crew, earlier)
    let tanks = before.state.tanks
    const fromMs = Math.max(before.disconnectAtMs, before.state.fromMs)
    if (before.pushAtMs === undefined) {
      const tag = `topped after ${String(before.disconnectAtMs)} ${String(totalKg(ship.sheet, tanks))}`
      return moved(ship, { tanks, fromMs, tag }, wayBetween(plan, ship, before.state.trackId, tanker.trackId))
    }
    const waitS = Math.max(0, before.pushAtMs - fromMs) / 1000
    tanks = feed(ship.sheet, tanks, burnKgPerS, waitS).state
    let atMs = Math.max(before.pushAtMs, fromMs)
    for (let index = earlier.phaseIndex + 1; index < visit.phaseIndex; index++) {
      const phase = flight.phases[index]
      if (!phase) break
      const leg = { burnKgPerS: burnIn(crew, index), dumpToKg: phase.dumpToKg }
      tanks = flown(ship.sheet, without(ship.sheet, tanks, phase.jettisons), leg, phase.durationMs / 1000).state
      atMs += phase.durationMs
    }
    const tag = `after ${String(before.disconnectAtMs)} ${String(before.pushAtMs)} ${String(totalKg(ship.sheet, before.state.tanks))}`
    const planned = plan.tankers.get(visit.tankerId)?.trackId
    return moved(ship, { tanks, fromMs: atMs, tag }, wayBetween(plan, ship, planned, tanker.trackId))
  }
  const leg = legs.find((one) => one.visit?.id === visit.id)
  const readyAtMs = leg?.fromAtMs ?? nowMs
  const { anchor, kept } = folded
  const way = wayTo(plan, slot, tanker, readyAtMs, nowMs)
  const departMs = way?.departMs ?? readyAtMs
  const arrivesMs = departMs + (way?.ms ?? 0)
  if (anchor.atMs >= arrivesMs) return { atMs: arrivesMs, state: { tanks: anchor.state, fromMs: anchor.atMs, tag: '' } }
  if (way && anchor.atMs >= departMs) {
    // A call on the way over.
    const leftMs = arrivesMs - anchor.atMs
    return moved(ship, { tanks: anchor.state, fromMs: anchor.atMs, tag: '' }, { ...way, ms: leftMs })
  }
  const tanks = keep(
    kept,
    `ready ${visit.id} ${String(departMs)}`,
    () => advance(ship, legs, { ...anchor, contact: undefined }, departMs).state
  )
  return moved(ship, { tanks, fromMs: departMs, tag: '' }, way)
}

interface Transit {
  ms: number
  burnKgPerS: number
  trackId: string
}

/**
 * The way to another tanker's track than the one a ship is at or on its way to, from when on, at recovery speed and flow:
 * from its ready time, or from the order that sent it there when that came later; an order that is not set sends it now.
 * Undefined where it need not move.
 */
export function wayTo(
  plan: Brief,
  { crew, visit, sent }: PlacedSlot,
  tanker: TankerBrief,
  dueAtMs: number,
  nowMs: number
): (Transit & { departMs: number }) | undefined {
  const plannedTrackId = plan.tankers.get(visit.tankerId)?.trackId
  const joinedAtMs = crew.its.joined.get(visit.id)
  const joinedThere = sent !== undefined && joinedAtMs !== undefined && sent.atMs <= joinedAtMs
  const atTrackId = joinedThere ? sent.tanker.trackId : plannedTrackId
  const isSent = sent?.tanker.trackId === tanker.trackId
  // Whoever was sent elsewhere does not report where it was due: it left there in time, as far as anybody knows.
  const readyAtMs = isSent && joinedAtMs === undefined ? Math.min(dueAtMs, plannedReadyMs(crew, visit)) : dueAtMs
  const onward = wayBetween(plan, crew.ship, atTrackId, tanker.trackId)
  const departMs = Math.max(readyAtMs, isSent ? sent.atMs : nowMs)
  if (isSent || sent === undefined || joinedThere) return onward && { ...onward, departMs }
  // Sent elsewhere and on its way: what it has flown of that comes back first.
  const out = wayBetween(plan, crew.ship, atTrackId, sent.tanker.trackId)
  const backMs = out ? Math.min(out.ms, Math.max(0, nowMs - Math.max(readyAtMs, sent.atMs))) : 0
  if (!out || backMs === 0) return onward && { ...onward, departMs }
  return { ms: backMs + (onward?.ms ?? 0), burnKgPerS: out.burnKgPerS, trackId: tanker.trackId, departMs }
}

/** When a ship is ready for a visit by the plan, or as it told. */
function plannedReadyMs({ flight, its }: Crew, visit: VisitBrief): number {
  const before = flight.visits[visit.index - 1]
  const fromMs = before ? its.pushed.get(before.id) : flight.startsAtMs
  if (fromMs === undefined) return Infinity
  const phases = flight.phases.slice(before ? before.phaseIndex + 1 : 0, visit.phaseIndex)
  return its.ready.get(visit.id) ?? phases.reduce((atMs, phase) => atMs + phase.durationMs, fromMs)
}

/** The way from the control point of one track to that of another; undefined where they are one. */
export function wayBetween(
  plan: Brief,
  ship: ShipBrief,
  fromId: string | undefined,
  toId: string
): Transit | undefined {
  const from = plan.tracks.get(fromId ?? '')
  const to = plan.tracks.get(toId)
  if (!from || !to || from === to) return undefined
  const timeS = legTimeS(from.controlPoint, to.controlPoint, {
    trueAirspeedMPerS: ship.recoveryAirspeedMPerS,
    wind: plan.wind
  })
  return timeS === undefined ? undefined : { ms: timeS * 1000, burnKgPerS: ship.divertBurnKgPerS, trackId: to.id }
}

function moved(ship: ShipBrief, at: Holding, onTo: Transit | undefined): Ready<Holding> {
  if (!onTo) return { atMs: at.fromMs, state: at }
  const tanks = feed(ship.sheet, at.tanks, onTo.burnKgPerS, onTo.ms / 1000).state
  const atMs = at.fromMs + onTo.ms
  return { atMs, state: { tanks, fromMs: atMs, tag: `${at.tag} moved ${onTo.trackId}` } }
}

/** What its station's closing leaves of a contact, s; undefined where it does not close. */
const windowS = (closesAtMs: number, contactAtMs: number): number | undefined =>
  closesAtMs === Infinity ? undefined : Math.max(0, (closesAtMs - contactAtMs) / 1000)

/** A slot flown or being flown: its instants stand. */
function fixedOf(slot: PlacedSlot, target: Target, nowMs: number): SlotIn<Holding>['fixed'] {
  const { contact, crew, station } = slot
  if (!contact) return undefined
  const { ship, folded, legs, its } = crew
  const burnKgPerS = burnAt(crew, slot.visit)
  const done = folded.flown.get(slot.id)
  if (done) {
    // A call after the disconnect knows better what it holds, until it has pushed.
    const { anchor } = folded
    const called = its.contacts.at(-1) === contact && !anchor.contact && !its.pushed.has(slot.visit.id)
    const since = called && anchor.atMs > (contact.disconnectAtMs ?? nowMs) ? anchor : undefined
    return {
      contactAtMs: contact.contactAtMs,
      disconnectAtMs: contact.disconnectAtMs ?? nowMs,
      onLoadKg: done.onLoadKg,
      fuelAtContactKg: done.fuelAtContactKg,
      fuelAtDisconnectKg: done.fuelAtDisconnectKg,
      latestContactAtMs: undefined,
      done: true,
      since: since && { atMs: since.atMs, usableKg: usableKg(ship.sheet, since.state) },
      state: {
        tanks: since?.state ?? done.after,
        fromMs: since?.atMs ?? contact.disconnectAtMs ?? nowMs,
        tag: '',
        trackId: slot.tanker.trackId
      }
    }
  }
  const reached = advance(ship, legs, folded.anchor, Math.max(nowMs, contact.flowAtMs + 1))
  const before = reached.contact?.atFlow ?? reached.state
  const curve = fillCurve(ship.sheet, before, { stationRateKgPerS: station.rateKgPerS, burnKgPerS })
  const limits = { windowS: windowS(station.closesAtMs, contact.flowAtMs) }
  const stop = stopAt(curve, fillTargetOf(target, contact.flowAtMs, burnKgPerS), limits)
  // Past its target and still hooked up: it goes on filling until a disconnect is called.
  const overS = Math.max(0, (nowMs - contact.flowAtMs) / 1000 - stop.durationS)
  const disconnectAtMs = contact.flowAtMs + (stop.durationS + overS) * 1000
  const tanks = overS > 0 ? curve.stateAt(stop.durationS + overS) : stop.state
  return {
    contactAtMs: contact.contactAtMs,
    disconnectAtMs,
    onLoadKg:
      stop.onLoadKg +
      (overS > 0 ? totalKg(ship.sheet, tanks) - totalKg(ship.sheet, stop.state) + burnKgPerS * overS : 0),
    fuelAtContactKg: usableKg(ship.sheet, before),
    fuelAtDisconnectKg: usableKg(ship.sheet, tanks),
    latestContactAtMs: undefined,
    done: false,
    state: {
      tanks: reselected(ship, tanks, its.externals),
      fromMs: disconnectAtMs,
      tag: '',
      trackId: slot.tanker.trackId
    }
  }
}
