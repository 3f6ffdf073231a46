/**
 * Where a ship is on its route at any event time, and what its tanks hold there: the planned phases as the calls
 * have shifted them, with contacts as known inputs. Exact between events; nothing is stepped.
 */
import { OFF_LOAD_SLACK_FACTOR } from '../contracts/bounds.ts'
import type { PhaseKind } from '../contracts/kinds.ts'
import type { Position } from '../contracts/quantities.ts'
import { legTimeS } from '../fuel/burn.ts'
import { alongLeg } from '../geodesy.ts'
import { refitted, type Brief, type FlightBrief, type ShipBrief, type VisitBrief } from '../plan/brief.ts'
import { dumpFor, dumpTimeS } from '../tanks/dump.ts'
import { feed, type FeedResult } from '../tanks/feed.ts'
import { fillCurve, onLoadAt, stopAt } from '../tanks/fill.ts'
import { externalKg, type Sheet, type TankState } from '../tanks/sheet.ts'
import { without } from './troubles.ts'
import { currentVisit, type Standing } from './standing.ts'

export interface Leg {
  /** Place in the route; -1 before the start, the number of phases after its end. */
  phaseIndex: number
  phaseId: string | undefined
  kind: PhaseKind | 'refuelling' | 'planned' | 'diverting' | 'ended'
  fromAtMs: number
  toAtMs: number
  burnKgPerS: number
  from: Position
  to: Position
  visit: VisitBrief | undefined
  /** Groups the plan throws off when the leg begins. */
  jettisons: readonly string[]
  /** Usable fuel down to which it dumps, kg. */
  dumpToKg: number | undefined
  /** Burn over the burn planned; 1 where left out. */
  burnFactor?: number
}

const PLAIN: Pick<Leg, 'visit' | 'jettisons' | 'dumpToKg'> = { visit: undefined, jettisons: [], dumpToKg: undefined }

/** The legs of a ship's course, in time, without gaps, from the beginning of time to its end. */
export function legsOf(
  plan: Brief,
  flight: FlightBrief,
  ship: ShipBrief,
  its: Standing,
  nowMs: number,
  pushAtMs: (visit: VisitBrief) => number | undefined
): Leg[] {
  const origin = flight.phases[0]?.from ?? { latitudeDeg: 0, longitudeDeg: 0 }
  const legs: Leg[] = [
    {
      phaseIndex: -1,
      phaseId: undefined,
      kind: 'planned',
      fromAtMs: -Infinity,
      toAtMs: flight.startsAtMs,
      burnKgPerS: 0,
      from: origin,
      to: origin,
      ...PLAIN
    }
  ]
  const current = currentVisit(flight.visits, its)
  let t = flight.startsAtMs
  for (const [phaseIndex, phase] of flight.phases.entries()) {
    const burnKgPerS = ship.plannedBurnsKgPerS[phaseIndex] ?? 0
    const { visit } = phase
    let toAtMs = t + phase.durationMs
    if (visit) {
      const pushed = its.pushed.get(visit.id)
      // As it has said, else as planned; until then it goes on as in the phase before.
      const dueAtMs = its.ready.get(visit.id) ?? t
      const late = visit === current && its.left === undefined ? Math.max(dueAtMs, nowMs) : dueAtMs
      const ready = its.joined.get(visit.id) ?? (pushed === undefined ? late : Math.min(dueAtMs, pushed))
      shiftEnd(legs, ready)
      t = ready
      const waits = visit === current ? Math.max(ready, nowMs) : ready
      toAtMs = Math.max(ready, pushed ?? Math.max(pushAtMs(visit) ?? visit.plannedPushAtMs, waits))
    }
    legs.push({
      phaseIndex,
      phaseId: phase.id,
      kind: phase.kind,
      fromAtMs: t,
      toAtMs,
      burnKgPerS,
      from: phase.from,
      to: phase.to,
      visit,
      jettisons: phase.jettisons,
      dumpToKg: phase.dumpToKg
    })
    t = toAtMs
  }
  const end = legs.at(-1)?.to ?? origin
  legs.push(ended(flight.phases.length, t, end))
  if (its.left) divert(plan, ship, legs, its.left)
  if (its.landed) {
    cut(legs, its.landed.atMs)
    legs.push(ended(flight.phases.length, its.landed.atMs, plan.bases.get(its.landed.baseId) ?? end))
  }
  return its.jettisoned.length > 0 ? asFitted(plan, ship, legs, its) : legs
}

/** The legs with the burn of what was fitted when they were flown: a jettison in the middle of one makes two of it. */
function asFitted(plan: Brief, ship: ShipBrief, legs: readonly Leg[], its: Standing): Leg[] {
  const carried = plan.ships.get(ship.id) ?? ship
  const turns = [...new Set(its.jettisoned.map((one) => one.atMs))].sort((a, b) => a - b)
  const shipAt = (atMs: number): ShipBrief =>
    refitted(plan, carried, {
      ...ship.fit,
      jettisoned: its.jettisoned.filter((one) => one.atMs <= atMs).map((one) => one.groupId)
    })
  return legs.flatMap((leg) => {
    const bounds = [leg.fromAtMs, ...turns.filter((atMs) => atMs > leg.fromAtMs && atMs < leg.toAtMs), leg.toAtMs]
    return bounds.slice(1).map((toAtMs, part): Leg => {
      const fromAtMs = bounds[part] ?? leg.fromAtMs
      const { plannedBurnsKgPerS, divertBurnKgPerS } = shipAt(fromAtMs)
      return {
        ...leg,
        fromAtMs,
        toAtMs,
        from: positionOn(leg, fromAtMs),
        to: positionOn(leg, toAtMs),
        jettisons: part === 0 ? leg.jettisons : [],
        burnKgPerS:
          leg.burnKgPerS === 0
            ? 0
            : leg.kind === 'diverting'
              ? divertBurnKgPerS
              : (plannedBurnsKgPerS[leg.phaseIndex] ?? leg.burnKgPerS)
      }
    })
  })
}

const ended = (phaseIndex: number, fromAtMs: number, at: Position): Leg => ({
  phaseIndex,
  phaseId: undefined,
  kind: 'ended',
  fromAtMs,
  toAtMs: Infinity,
  burnKgPerS: 0,
  from: at,
  to: at,
  ...PLAIN
})

/** The ship arrived earlier or later than planned: the legs flown end at the instant it was seen. */
function shiftEnd(legs: Leg[], atMs: number): void {
  for (const leg of legs) {
    if (leg.fromAtMs > atMs) leg.fromAtMs = atMs
    if (leg.toAtMs > atMs) leg.toAtMs = atMs
  }
  const last = legs.at(-1)
  if (last) last.toAtMs = atMs
}

/** Ends the course at an instant, wherever the ship is then. */
function cut(legs: Leg[], atMs: number): void {
  const place = legs.findIndex((leg) => leg.toAtMs > atMs)
  const leg = legs[place]
  if (!leg) return
  const at = positionOn(leg, atMs)
  legs.length = place + 1
  leg.toAtMs = atMs
  leg.to = at
}

function divert(plan: Brief, ship: ShipBrief, legs: Leg[], left: { baseId: string; atMs: number }): void {
  cut(legs, left.atMs)
  const last = legs.at(-1)
  const to = plan.bases.get(left.baseId)
  if (!last || !to) return
  const timeS = legTimeS(last.to, to, { trueAirspeedMPerS: ship.recoveryAirspeedMPerS, wind: plan.wind }) ?? 0
  const toAtMs = left.atMs + timeS * 1000
  legs.push({
    phaseIndex: last.phaseIndex,
    phaseId: undefined,
    kind: 'diverting',
    fromAtMs: left.atMs,
    toAtMs,
    burnKgPerS: ship.divertBurnKgPerS,
    from: last.to,
    to,
    ...PLAIN
  })
  legs.push(ended(last.phaseIndex + 1, toAtMs, to))
}

/** The legs with the burn of a ship that burns so many times what is planned. */
export const atFactor = (legs: readonly Leg[], burnFactor: number): readonly Leg[] =>
  burnFactor === 1
    ? legs
    : legs.map((leg) => ({
        ...leg,
        burnKgPerS: leg.burnKgPerS * burnFactor,
        burnFactor: (leg.burnFactor ?? 1) * burnFactor
      }))

/** The leg an instant lies on. */
export function legAt(legs: readonly Leg[], atMs: number): Leg {
  const leg = legs.find((one) => one.toAtMs > atMs) ?? legs.at(-1)
  if (!leg) throw new RangeError('a course without legs')
  return leg
}

/** Where the ship is on a leg; the share of the leg flown is that of its time. */
export function positionOn(leg: Leg, atMs: number): Position {
  const spanMs = leg.toAtMs - leg.fromAtMs
  if (!(spanMs > 0) || spanMs === Infinity) return leg.from
  if (leg.from === leg.to || atMs <= leg.fromAtMs) return leg.from
  if (atMs >= leg.toAtMs) return leg.to
  return alongLeg(leg.from, leg.to, (atMs - leg.fromAtMs) / spanMs)
}

/** A contact that has begun, or is planned. */
export interface ContactOn {
  slotId: string
  stationRateKgPerS: number
  hookedAtMs: number
  flowAtMs: number
  /** State when fuel began to flow, as a call since then tells of it; undefined before. */
  atFlow: TankState | undefined
}

/** What a ship holds at an instant from which its future follows. */
export interface Anchor {
  atMs: number
  state: TankState
  contact: ContactOn | undefined
}

export const shutExternals = (state: TankState): TankState =>
  state.externals === 'selected' ? { ...state, externals: 'off' } : state

/** Anchor moved on along the legs; through a contact where it is in one. */
export function advance(ship: ShipBrief, legs: readonly Leg[], from: Anchor, toMs: number): Anchor {
  if (toMs <= from.atMs) return from
  const { contact } = from
  if (!contact) return { atMs: toMs, state: burned(ship, legs, from.state, from.atMs, toMs), contact }
  let { state } = from
  let atMs = from.atMs
  let { atFlow } = contact
  if (atMs < contact.flowAtMs) {
    const untilMs = Math.min(toMs, contact.flowAtMs)
    state = burned(ship, legs, shutExternals(state), atMs, untilMs)
    atMs = untilMs
  }
  if (atMs < toMs) {
    atFlow ??= state
    const burnKgPerS = legAt(legs, atMs).burnKgPerS
    const curve = fillCurve(ship.sheet, shutExternals(state), {
      stationRateKgPerS: contact.stationRateKgPerS,
      burnKgPerS
    })
    state = curve.stateAt((toMs - atMs) / 1000)
  }
  return { atMs: toMs, state, contact: { ...contact, atFlow } }
}

/** A part of one leg: burned, and dumped where the plan dumps. */
export function flown(
  sheet: Sheet,
  state: TankState,
  leg: Pick<Leg, 'burnKgPerS' | 'dumpToKg'>,
  durationS: number
): FeedResult {
  const { burnKgPerS, dumpToKg } = leg
  if (dumpToKg === undefined) return feed(sheet, state, burnKgPerS, durationS)
  const dumpS = Math.min(durationS, dumpTimeS(sheet, state, burnKgPerS, dumpToKg) ?? durationS)
  const dumped = dumpFor(sheet, state, burnKgPerS, dumpS)
  const rest = feed(sheet, dumped.state, burnKgPerS, durationS - dumpS)
  const later = (atS: number | undefined) => (atS === undefined ? undefined : atS + dumpS)
  return {
    state: rest.state,
    events: [...dumped.events, ...rest.events.map((event) => ({ ...event, atS: event.atS + dumpS }))],
    starvedAtS: dumped.starvedAtS ?? later(rest.starvedAtS),
    lackedKg: dumped.lackedKg + rest.lackedKg,
    dryAtS: dumped.dryAtS ?? later(rest.dryAtS)
  }
}

/** Fuel burned along the legs, by the feed. */
function burned(ship: ShipBrief, legs: readonly Leg[], from: TankState, fromMs: number, toMs: number): TankState {
  let state = from
  for (const leg of legs) {
    const start = Math.max(fromMs, leg.fromAtMs)
    const stop = Math.min(toMs, leg.toAtMs)
    // A leg of no length burns nothing; what it throws off is gone all the same.
    if (stop < start || (stop === start && leg.toAtMs !== leg.fromAtMs)) continue
    if (start === leg.fromAtMs) state = without(ship.sheet, state, leg.jettisons)
    if (stop === start || leg.burnKgPerS === 0) continue
    state = flown(ship.sheet, state, leg, (stop - start) / 1000).state
  }
  return state
}

/** External transfer after a contact: as commanded, else selected again wherever externals hold something. */
export function reselected(
  ship: ShipBrief,
  state: TankState,
  commanded: TankState['externals'] | undefined
): TankState {
  return { ...state, externals: commanded ?? (externalKg(ship.sheet, state) > 0 ? 'selected' : 'off') }
}

/** The course of what flows in a contact, from where fuel began to. */
function curveOf(ship: ShipBrief, legs: readonly Leg[], contact: ContactOn, atFlow: TankState) {
  const { stationRateKgPerS, flowAtMs } = contact
  const burnKgPerS = legAt(legs, flowAtMs).burnKgPerS
  return fillCurve(ship.sheet, shutExternals(atFlow), { stationRateKgPerS, burnKgPerS })
}

/** The most that can have flowed in a contact up to an instant, kg: by the fill since the hook-up, with some slack. */
export function mostFlowedKg(ship: ShipBrief, legs: readonly Leg[], { atMs, contact }: Anchor): number {
  if (!contact?.atFlow) return 0
  const curve = curveOf(ship, legs, contact, contact.atFlow)
  return onLoadAt(curve, (atMs - contact.hookedAtMs) / 1000) * OFF_LOAD_SLACK_FACTOR
}

/** Ends a contact at an instant, with the off-load called (kg) or as computed. */
export function disconnected(
  ship: ShipBrief,
  legs: readonly Leg[],
  anchor: Anchor,
  atMs: number,
  offLoadKg: number | undefined,
  commanded: TankState['externals'] | undefined
): Anchor {
  const reached = advance(ship, legs, anchor, atMs)
  const contact = reached.contact
  if (!contact) return reached
  const after = (state: TankState): Anchor => ({
    atMs: reached.atMs,
    state: reselected(ship, state, commanded),
    contact: undefined
  })
  if (offLoadKg === undefined || !contact.atFlow) return after(reached.state)
  const stop = stopAt(curveOf(ship, legs, contact, contact.atFlow), { kind: 'onLoad', onLoadKg: offLoadKg })
  // A flow slower than the sheet's took longer: the rest of the time only burned.
  const restMs = reached.atMs - contact.flowAtMs - stop.durationS * 1000
  const state = restMs > 0 ? burned(ship, legs, stop.state, reached.atMs - restMs, reached.atMs) : stop.state
  return after(state)
}
