/**
 * Limits of one ship by the plan: abort fuel by track, recovery fuel, bingo, joker, and what each push requires. They
 * count with what is fitted now: no limit rests on a jettison still to come, nor on a transfer.
 */
import type { HandLimit } from '../contracts/kinds.ts'
import type { LandingReserve } from '../contracts/plan.ts'
import type { Position } from '../contracts/quantities.ts'
import { legTimeS } from '../fuel/burn.ts'
import {
  abortFuelKg,
  bingoKg,
  jokerKg,
  landingReserve,
  recoveryFuelKg,
  ruling,
  type Recovery,
  type Reserve,
  type ReserveRule,
  type Ruling
} from '../fuel/limits.ts'
import { requiredAtPushKg, type Need, type PointAhead } from '../fuel/need.ts'
import type { Sheet } from '../tanks/sheet.ts'
import { quantityKg } from '../units.ts'
import { abortBaseOf } from './abort.ts'
import type { Brief, FlightBrief, ShipBrief, VisitBrief } from './brief.ts'
import type { Frame } from './frame.ts'

interface Limits {
  recovery: Recovery
  abort: Map<string, Ruling>
  needs: Map<string, Need>
  /** By place in the route: bingo with that phase and all after it still ahead. */
  bingo: readonly (number | undefined)[]
}

const known = new WeakMap<ShipBrief, { frame: Frame; limits: Limits }>()

function limitsOf(plan: Brief, ship: ShipBrief): Limits {
  const had = known.get(ship)
  if (had?.frame === plan.frame) return had.limits
  const flight = plan.flights.get(ship.flightId)
  const limits: Limits = { recovery: makeRecovery(plan, ship), abort: new Map(), needs: new Map(), bingo: [] }
  known.set(ship, { frame: plan.frame, limits })
  if (flight) limits.bingo = bingoAhead(plan, flight, ship)
  return limits
}

/** How a ship flies home: one object for each ship, by which what follows from it is kept. */
export const recoveryOf = (plan: Brief, ship: ShipBrief): Recovery => limitsOf(plan, ship).recovery

function makeRecovery(plan: Brief, ship: ShipBrief, trackId?: string): Recovery {
  const flight = plan.flights.get(ship.flightId)
  const abort = trackId === undefined || !flight ? undefined : abortBaseOf(plan, flight, trackId)
  return {
    trueAirspeedMPerS: ship.recoveryAirspeedMPerS,
    wind: plan.wind,
    flowKgPerS: ship.recoveryFlowKgPerS,
    weighing: weighingHome(ship),
    approachKg: ship.approachKg,
    reserveKg: reserveOf(plan, ship, abort ? abort.baseId : (flight?.recoveryBaseId ?? ''), trackId).kg
  }
}

/** Fuel that may be aboard and counts for nothing, kg: full externals, unusable rests. It is flown home all the same. */
export const uncountedKg = (sheet: Sheet, gone: readonly string[]): number =>
  sheet.groups.reduce((kg, group) => {
    if (gone.includes(group.id)) return kg
    return kg + group.tankCount * (group.place === 'external' ? group.capacityKg : group.unusableKg)
  }, 0)

/** Weight on the way home, where flows grow with it: without the fuel that counts, with the fuel that does not. */
export const weighingHome = ({
  weighing,
  sheet,
  fit
}: Pick<ShipBrief, 'weighing' | 'sheet' | 'fit'>): ShipBrief['weighing'] =>
  weighing && { ...weighing, zeroFuelKg: weighing.zeroFuelKg + uncountedKg(sheet, fit.jettisoned) }

/** The rule of the plan in SI, for a base, by way of a control point where one is given. */
export function reserveRuleOf(
  plan: Brief,
  ship: ShipBrief,
  rule: LandingReserve,
  baseId: string,
  trackId?: string
): ReserveRule {
  switch (rule.kind) {
    case 'minutes':
      return { kind: 'minutes', holdingS: rule.holdingMin * 60 }
    case 'fixed':
      return { kind: 'fixed', fuelKg: quantityKg(rule.fuel, plan.fuelKgPerM3) }
    case 'share':
      return {
        kind: 'share',
        share: rule.sharePercent / 100,
        plannedKg: plannedKg(plan, ship, baseId, trackId),
        floorKg: quantityKg(rule.floor, plan.fuelKgPerM3)
      }
    case 'rendezvous':
      return {
        kind: 'rendezvous',
        share: rule.sharePercent / 100,
        plannedKg: trackId === undefined ? undefined : plannedKg(plan, ship, baseId, trackId)
      }
    case 'greatest':
      return { kind: 'greatest', of: rule.of.map((one) => reserveRuleOf(plan, ship, one, baseId, trackId)) }
  }
}

/** What a ship must land with at a base, kg; after an abort by way of that track. */
export const reserveOf = (plan: Brief, ship: ShipBrief, baseId: string, trackId?: string): Reserve =>
  landingReserve(
    reserveRuleOf(plan, ship, plan.landingReserve, baseId, trackId),
    ship.holdingFlowKgPerS,
    weighingHome(ship)
  )

/**
 * Fuel planned from take-off to a base, kg: along the route to the control point of a track and home from there, or
 * along the whole route. Taxi comes before take-off; waiting for a tanker is no part of it.
 */
export function plannedKg(plan: Brief, ship: ShipBrief, baseId: string, trackId?: string): number {
  const flight = plan.flights.get(ship.flightId)
  const base = plan.bases.get(baseId)
  if (!flight || !base) return 0
  let kg = 0
  let at: Position | undefined = flight.phases[0]?.from
  for (const [index, phase] of flight.phases.entries()) {
    at = phase.to
    if (phase.visit && trackId !== undefined && plan.tankers.get(phase.visit.tankerId)?.trackId === trackId) break
    if (phase.visit || phase.kind === 'taxi') continue
    kg += ((ship.burnsKgPerS[index] ?? 0) * phase.durationMs) / 1000
  }
  const from = (trackId === undefined ? undefined : plan.tracks.get(trackId)?.controlPoint) ?? at
  const home = { trueAirspeedMPerS: ship.recoveryAirspeedMPerS, wind: plan.wind }
  const timeS = from && legTimeS(from, base, home)
  return kg + (timeS ?? 0) * ship.recoveryFlowKgPerS + ship.approachKg
}

/** Recovery fuel from a position to a base of the plan, kg; undefined when it is out of reach in this wind. */
export function recoveryKg(plan: Brief, ship: ShipBrief, from: Position, baseId: string): number | undefined {
  const base = plan.bases.get(baseId)
  return base && recoveryFuelKg(from, base, recoveryOf(plan, ship))
}

/** A limit as computed and as set by hand, and which of the two rules. */
const ruled = (ship: ShipBrief, limit: HandLimit, computedKg: number): Ruling =>
  ruling({ computedKg, byHandKg: ship.fit.byHandKg[limit] })

/**
 * Abort fuel on a track, kg: the worst turn point of its orbit, or what is set by hand above that.
 * @throws RangeError when the track is unknown or its abort base is out of reach: shared/plan/check.ts refuses both.
 */
export function abortRuling(plan: Brief, ship: ShipBrief, trackId: string): Ruling {
  const { abort } = limitsOf(plan, ship)
  const had = abort.get(trackId)
  if (had !== undefined) return had
  const kg = computedAbortKg(plan, ship, trackId)
  if (kg === undefined) throw new RangeError(`track ${trackId} has no abort base within reach of ${ship.callSign}`)
  const fresh = ruled(ship, 'abort', kg)
  abort.set(trackId, fresh)
  return fresh
}

function computedAbortKg(plan: Brief, ship: ShipBrief, trackId: string): number | undefined {
  const track = plan.tracks.get(trackId)
  const flight = plan.flights.get(ship.flightId)
  const base = track && flight && plan.bases.get(abortBaseOf(plan, flight, trackId).baseId)
  return base && abortFuelKg(track.orbit, base, makeRecovery(plan, ship, trackId))
}

/** Whether a ship has abort fuel on a track at all: the abort base is within reach from all of the orbit. */
export const abortWithinReach = (plan: Brief, ship: ShipBrief, trackId: string): boolean =>
  limitsOf(plan, ship).abort.has(trackId) || computedAbortKg(plan, ship, trackId) !== undefined

export const abortKg = (plan: Brief, ship: ShipBrief, trackId: string): number => abortRuling(plan, ship, trackId).kg

/** Phases whose points count for bingo. */
export const isTask = (phase: { kind: string }): boolean => phase.kind === 'combat' || phase.kind === 'loiter'

function bingoAhead(plan: Brief, flight: FlightBrief, ship: ShipBrief): (number | undefined)[] {
  const points = flight.phases.map((phase) =>
    isTask(phase) ? [phase.from, phase.to].flatMap((at) => recoveryKg(plan, ship, at, flight.recoveryBaseId) ?? []) : []
  )
  return flight.phases.map((_, index) => bingoKg(points.slice(index).flat()))
}

/** Bingo with the phase and all after it still ahead; undefined where no task point is. */
export function bingoRuling(plan: Brief, ship: ShipBrief, phaseIndex: number): Ruling | undefined {
  const kg = limitsOf(plan, ship).bingo[Math.max(0, phaseIndex)]
  return kg === undefined ? undefined : ruled(ship, 'bingo', kg)
}
export const bingoFrom = (plan: Brief, ship: ShipBrief, phaseIndex: number): number | undefined =>
  bingoRuling(plan, ship, phaseIndex)?.kg

/** Joker above the bingo that rules there. */
export function jokerRuling(plan: Brief, ship: ShipBrief, phaseIndex: number): Ruling | undefined {
  const bingo = bingoFrom(plan, ship, phaseIndex)
  if (bingo === undefined) return undefined
  return ruled(ship, 'joker', jokerKg({ bingoKg: bingo, allowanceKg: plan.jokerAllowanceKg }))
}

/** What a ship must hold at the push of a visit, and which term asks for it. */
export function needOf(plan: Brief, flight: FlightBrief, ship: ShipBrief, visit: VisitBrief): Need {
  const { needs } = limitsOf(plan, ship)
  const had = needs.get(visit.id)
  if (had) return had
  const need = makeNeed(plan, flight, ship, visit)
  needs.set(visit.id, need)
  return need
}

/** What a ship must hold at the push of a visit, or what is set by hand above that. */
export const requiredRuling = (plan: Brief, flight: FlightBrief, ship: ShipBrief, visit: VisitBrief): Ruling =>
  ruled(ship, 'required', needOf(plan, flight, ship, visit).requiredKg)
export const requiredKg = (plan: Brief, flight: FlightBrief, ship: ShipBrief, visit: VisitBrief): number =>
  requiredRuling(plan, flight, ship, visit).kg

function makeNeed(plan: Brief, flight: FlightBrief, ship: ShipBrief, visit: VisitBrief): Need {
  const from = flight.phases.findIndex((phase) => phase.visit?.id === visit.id)
  const burnOf = (index: number): number => ship.burnsKgPerS[index] ?? 0
  let next: { visit: VisitBrief; index: number } | undefined
  let burnKg = 0
  const points: PointAhead[] = []
  const point = (at: Position): void => {
    const recovery = recoveryKg(plan, ship, at, flight.recoveryBaseId)
    if (recovery !== undefined) points.push({ burnFromPushKg: burnKg, recoveryKg: recovery })
  }
  const here = flight.phases[from]
  let last = here?.to
  if (here) point(here.to)
  let taskEnd: { burnFromPushKg: number; bingoKg: number } | undefined
  for (const [index, phase] of flight.phases.entries()) {
    if (index <= from) continue
    if (phase.visit) {
      next = { visit: phase.visit, index }
      break
    }
    burnKg += (burnOf(index) * phase.durationMs) / 1000
    point(phase.to)
    last = phase.to
    if (isTask(phase)) {
      const bingo = recoveryKg(plan, ship, phase.to, flight.recoveryBaseId)
      const ruledKg = bingo === undefined ? undefined : ruled(ship, 'bingo', bingo).kg
      taskEnd = ruledKg === undefined ? undefined : { burnFromPushKg: burnKg, bingoKg: ruledKg }
    }
  }
  if (next) {
    const tanker = plan.tankers.get(next.visit.tankerId)
    const method = tanker?.stations.find((station) => station.method === flight.method)
    const waitBurnKgPerS = burnOf(next.index)
    return requiredAtPushKg({
      points,
      taskEnd,
      nextVisit: {
        burnToContactKg: burnKg,
        waitKg: (waitBurnKgPerS * next.visit.waitAllowanceMs) / 1000,
        hookUpKg: (waitBurnKgPerS * (method?.hookUpMs ?? 0)) / 1000,
        abortKg: abortKg(plan, ship, tanker?.trackId ?? '')
      }
    })
  }
  const { approachKg, reserveKg: landingKg } = recoveryOf(plan, ship)
  const onwardKg = last ? (recoveryKg(plan, ship, last, flight.recoveryBaseId) ?? Infinity) - approachKg - landingKg : 0
  return requiredAtPushKg({
    points,
    taskEnd,
    home: { burnFromPushKg: burnKg + Math.max(0, onwardKg), approachKg, reserveKg: landingKg }
  })
}
