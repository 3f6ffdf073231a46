/** Abort fuel, bingo, joker, and what a push requires: each from the way home that asks for most. */
import type { HandLimit } from '../contracts/kinds.ts'
import type { LandingReserve } from '../contracts/plan.ts'
import type { Position } from '../contracts/quantities.ts'
import { legTimeS } from '../fuel/burn.ts'
import { distanceM } from '../geodesy.ts'
import { abortBaseOf } from '../plan/abort.ts'
import type { PhaseBrief, ShipBrief, VisitBrief } from '../plan/brief.ts'
import {
  abortRuling,
  bingoRuling,
  isTask,
  jokerRuling,
  needOf,
  plannedKg,
  recoveryKg,
  recoveryOf,
  requiredRuling,
  reserveOf,
  reserveRuleOf,
  uncountedKg,
  weighingHome
} from '../plan/limits.ts'
import { landingReserveKg } from '../fuel/limits.ts'
import { quantityKg } from '../units.ts'
import { add, COMPUTED, divide, greatest, growth, multiply, type Expression, type Paper } from './paper.ts'
import type { Stage } from './stage.ts'
import { handLimitOf, inPlan, minutes, onSheet, phaseFlowOf, receiverTypeOf } from './typed.ts'

interface Home {
  readonly stage: Stage
  readonly ship: ShipBrief
}

/** A flow of the sheet with the drag of what is fitted. */
function dragged(paper: Paper, { stage, ship }: Home, kind: 'recovery' | 'holding', flowKgPerS: number): Expression {
  const typed = receiverTypeOf(stage.plan.plan, ship)?.flows[kind]
  const name = `${kind} flow`
  if (ship.dragFactor === 1) return paper.input(name, 'flow', flowKgPerS, onSheet(typed))
  const clean = paper.input(name, 'flow', flowKgPerS / ship.dragFactor, onSheet(typed))
  const drag = paper.input('drag of what is fitted', 'factor', ship.dragFactor, onSheet(undefined))
  return paper.line(`${kind} flow as fitted`, 'flow', multiply(clean, drag), undefined, flowKgPerS)
}

/** What it must land with at a base, by the rule of the plan. */
export function landingReserve(paper: Paper, home: Home, baseId: string, trackId?: string): Expression {
  const { stage, ship } = home
  const { plan } = stage
  const term = (rule: LandingReserve): Expression => {
    switch (rule.kind) {
      case 'minutes': {
        if (ship.weighing) {
          const kg = landingReserveKg(
            reserveRuleOf(plan, ship, rule, baseId, trackId),
            ship.holdingFlowKgPerS,
            weighingHome(ship)
          )
          return paper.input('held until the last drop', 'mass', kg, COMPUTED)
        }
        const holding = paper.input('holding time', 'span', rule.holdingMin * 60, minutes(rule.holdingMin))
        return multiply(holding, dragged(paper, home, 'holding', ship.holdingFlowKgPerS))
      }
      case 'fixed':
        return paper.input('fixed reserve', 'mass', quantityKg(rule.fuel, plan.fuelKgPerM3), inPlan(rule.fuel))
      case 'share':
      case 'rendezvous': {
        const percent = { value: rule.sharePercent, unit: '%' }
        const asked = rule.kind === 'rendezvous' && trackId === undefined ? 0 : rule.sharePercent / 100
        const share = paper.input('share of the fuel planned', 'factor', asked, inPlan(percent))
        const planned = paper.input(
          'fuel planned from take-off',
          'mass',
          plannedKg(plan, ship, baseId, trackId),
          COMPUTED
        )
        if (rule.kind === 'rendezvous') return multiply(share, planned)
        return greatest(
          multiply(share, planned),
          paper.input('floor', 'mass', quantityKg(rule.floor, plan.fuelKgPerM3), inPlan(rule.floor))
        )
      }
      case 'greatest':
        return greatest(...rule.of.map(term))
    }
  }
  const kg = reserveOf(plan, ship, baseId, trackId).kg
  return paper.line('landing reserve', 'mass', term(plan.landingReserve), baseId, kg)
}

/** Recovery fuel from a place to a base, and what it is made of; after an abort by way of that track. */
export function recovery(
  paper: Paper,
  home: Home,
  from: Position,
  baseId: string,
  trackId?: string
): Expression | undefined {
  const { stage, ship } = home
  const { plan } = stage
  const base = plan.bases.get(baseId)
  if (!base) return undefined
  const way = { trueAirspeedMPerS: ship.recoveryAirspeedMPerS, wind: plan.wind }
  const timeS = legTimeS(from, base, way)
  if (timeS === undefined) return undefined
  const reserveBaseId = trackId === undefined ? recoveryBaseOf(home) : baseId
  const reserve = landingReserve(paper, home, reserveBaseId, trackId)
  const type = receiverTypeOf(plan.plan, ship)
  const approach = paper.input('approach fuel', 'mass', ship.approachKg, onSheet(type?.approachFuel))
  const farM = distanceM(from, base)
  let time: Expression
  if (farM > 0 && timeS > 0) {
    paper.input('true airspeed home', 'speed', ship.recoveryAirspeedMPerS, onSheet(type?.recoveryAirspeed))
    const far = paper.input('distance', 'distance', farM, COMPUTED, baseId)
    const speed = paper.input('speed over the ground', 'speed', farM / timeS, COMPUTED)
    time = paper.line('time home', 'span', divide(far, speed), baseId, timeS)
  } else time = paper.input('time home', 'span', timeS, COMPUTED, baseId)
  const flow = dragged(paper, home, 'recovery', ship.recoveryFlowKgPerS)
  const burn = ship.weighing
    ? burnHome(paper, ship, { time, flow, left: add(approach, reserve) })
    : multiply(time, flow)
  return paper.line('recovery fuel', 'mass', add(burn, approach, reserve), baseId)
}

/** Burn of a ship that grows lighter on the way home, counted back from landing. */
function burnHome(
  paper: Paper,
  ship: ShipBrief,
  { time, flow, left }: { time: Expression; flow: Expression; left: Expression }
): Expression {
  const { weighing, id } = ship
  const zeroFuel = paper.input('weight without fuel', 'mass', weighing?.zeroFuelKg ?? 0, onSheet(undefined), id)
  const uncounted = paper.input(
    'aboard and not counted, at most',
    'mass',
    uncountedKg(ship.sheet, ship.fit.jettisoned),
    COMPUTED,
    id
  )
  const empty = add(zeroFuel, uncounted)
  const reference = paper.input('reference weight', 'mass', weighing?.referenceKg ?? 1, onSheet(undefined), id)
  return multiply(add(empty, left), growth(multiply(divide(flow, reference), time)))
}

const recoveryBaseOf = ({ stage, ship }: Home): string => stage.plan.flights.get(ship.flightId)?.recoveryBaseId ?? ''

/** The greatest of what several places ask for: the worst in full, the others as computed. */
function worstOf(
  paper: Paper,
  home: Home,
  points: readonly Position[],
  baseId: string,
  trackId?: string
): Expression | undefined {
  const kgs = points.map((point) => fuelFrom(home, point, baseId, trackId))
  let worst = -1
  kgs.forEach((kg, index) => {
    if (kg !== undefined && kg > (kgs[worst] ?? -Infinity)) worst = index
  })
  const point = points[worst]
  if (!point) return undefined
  const most = recovery(paper, home, point, baseId, trackId)
  if (!most || points.length === 1) return most
  const others = kgs.flatMap((kg, index) =>
    kg === undefined || index === worst
      ? []
      : [paper.input('recovery fuel from another point', 'mass', kg, COMPUTED, String(index + 1))]
  )
  return others.length === 0 ? most : paper.line('greatest of all points', 'mass', greatest(most, ...others))
}

function fuelFrom({ stage, ship }: Home, from: Position, baseId: string, trackId?: string): number | undefined {
  const kg = recoveryKg(stage.plan, ship, from, baseId)
  if (kg === undefined || trackId === undefined) return kg
  return kg - recoveryOf(stage.plan, ship).reserveKg + reserveOf(stage.plan, ship, baseId, trackId).kg
}

/** A limit by hand rules where it lies above the computed one. */
function ruled(paper: Paper, { stage, ship }: Home, limit: HandLimit, computed: Expression, kg: number): Expression {
  const byHandKg = ship.fit.byHandKg[limit]
  if (byHandKg === undefined) return paper.line(limit, 'mass', add(computed), undefined, kg)
  const byHand = paper.input('set by hand', 'mass', byHandKg, handLimitOf(stage.state, ship, limit))
  return paper.line(limit, 'mass', greatest(computed, byHand), undefined, kg)
}

export function abort(paper: Paper, home: Home, trackId: string): Expression | undefined {
  const { plan } = home.stage
  const track = plan.tracks.get(trackId)
  const flight = plan.flights.get(home.ship.flightId)
  const to = flight && abortBaseOf(plan, flight, trackId)
  const computed = track && to && worstOf(paper, home, track.orbit, to.baseId, trackId)
  if (to?.why !== undefined) paper.because({ why: to.why, baseId: to.baseId, firstBaseId: track?.abortBaseId ?? '' })
  return computed && ruled(paper, home, 'abort', computed, abortRuling(plan, home.ship, trackId).kg)
}

export function bingo(paper: Paper, home: Home, phaseIndex: number): Expression | undefined {
  const { plan } = home.stage
  const ruling = bingoRuling(plan, home.ship, phaseIndex)
  const phases = plan.flights.get(home.ship.flightId)?.phases ?? []
  const points = phases.slice(Math.max(0, phaseIndex)).flatMap((phase) => (isTask(phase) ? [phase.from, phase.to] : []))
  const computed = worstOf(paper, home, points, recoveryBaseOf(home))
  return computed && ruling && ruled(paper, home, 'bingo', computed, ruling.kg)
}

export function joker(paper: Paper, home: Home, phaseIndex: number): Expression | undefined {
  const { plan } = home.stage
  const ruling = jokerRuling(plan, home.ship, phaseIndex)
  const above = bingo(paper, home, phaseIndex)
  if (!above || !ruling) return undefined
  const typed = plan.plan.rules.jokerAllowance
  const allowance = paper.input('joker allowance', 'mass', plan.jokerAllowanceKg, inPlan(typed))
  const computed = paper.line('bingo and allowance', 'mass', add(above, allowance))
  return ruled(paper, home, 'joker', computed, ruling.kg)
}

/** What a ship must hold at its push: all terms weighed, the one that asks for most written out. */
export function required(paper: Paper, home: Home, visit: VisitBrief): Expression | undefined {
  const { stage, ship } = home
  const { plan } = stage
  const flight = plan.flights.get(ship.flightId)
  if (!flight) return undefined
  const need = needOf(plan, flight, ship, visit)
  const after = flight.phases.slice(visit.phaseIndex + 1)
  const nextAt = after.findIndex((phase) => phase.visit !== undefined)
  const ahead = nextAt < 0 ? after : after.slice(0, nextAt)
  const burnOf = (phase: PhaseBrief): Expression => phaseBurn(paper, home, phase, flight.phases.indexOf(phase))
  const burned = (phases: readonly PhaseBrief[]): Expression[] =>
    phases.filter((phase) => phase.durationMs > 0).map(burnOf)
  const whole = (terms: readonly (Expression | undefined)[]): Expression => {
    const sum = add(...terms.flatMap((term) => term ?? []))
    const { kg, byHandKg } = requiredRuling(plan, flight, ship, visit)
    return byHandKg === undefined
      ? paper.line('required', 'mass', sum, visit.id, need.requiredKg)
      : ruled(paper, home, 'required', paper.line('required as computed', 'mass', sum, visit.id, need.requiredKg), kg)
  }
  switch (need.binds) {
    case 'next contact': {
      const next = after[nextAt]
      const tanker = next?.visit && plan.tankers.get(next.visit.tankerId)
      if (!next?.visit || !tanker) return undefined
      const flow = paper.input(
        'flow waiting and hooking up',
        'flow',
        ship.burnsKgPerS[flight.phases.indexOf(next)] ?? 0,
        COMPUTED
      )
      const { waitAllowanceMs } = next.visit
      const wait = paper.input('wait allowed for', 'span', waitAllowanceMs / 1000, minutes(waitAllowanceMs / 60_000))
      const hookUpS = (tanker.stations.find((one) => one.method === flight.method)?.hookUpMs ?? 0) / 1000
      const hookUp = paper.input('hook-up', 'span', hookUpS, minutes(hookUpS / 60))
      const limit = abort(paper, home, tanker.trackId)
      return whole([...burned(ahead), paper.line('wait and hook-up', 'mass', multiply(add(wait, hookUp), flow)), limit])
    }
    case 'recovery': {
      // Points are told only where the way home can be flown; the first is the end of the visit itself.
      const points = [flight.phases[visit.phaseIndex], ...ahead].flatMap((phase, at) =>
        phase && recoveryKg(plan, ship, phase.to, flight.recoveryBaseId) !== undefined ? [{ phase, at }] : []
      )
      const point = points[need.pointIndex ?? 0]
      if (!point) return undefined
      const burns = burned(ahead.slice(0, point.at))
      return whole([...burns, recovery(paper, home, point.phase.to, flight.recoveryBaseId)])
    }
    case 'bingo': {
      const last = ahead.findLastIndex((phase) => isTask(phase))
      const task = ahead[last]
      if (!task) return undefined
      const burns = burned(ahead.slice(0, last + 1))
      const home1 = recovery(paper, home, task.to, flight.recoveryBaseId)
      const byHandKg = ship.fit.byHandKg.bingo
      const kg = recoveryKg(plan, ship, task.to, flight.recoveryBaseId) ?? 0
      return whole([...burns, home1 && ruled(paper, home, 'bingo', home1, Math.max(kg, byHandKg ?? 0))])
    }
    case 'home': {
      const end = ahead.at(-1) ?? flight.phases[visit.phaseIndex]
      const burns = burned(ahead)
      return end && whole([...burns, recovery(paper, home, end.to, flight.recoveryBaseId)])
    }
  }
}

/** Burn of one phase of the plan, as fitted now. */
function phaseBurn(paper: Paper, { stage, ship }: Home, phase: PhaseBrief, phaseIndex: number): Expression {
  const { plan } = stage.plan
  const burnKgPerS = ship.burnsKgPerS[phaseIndex] ?? 0
  const seconds = phase.durationMs / 1000
  const time = paper.input('time in the phase', 'span', seconds, timeSource(stage, ship, phase), phase.id)
  const clean = phase.flowKgPerS
  const drag = ship.dragFactor
  let flow: Expression
  if (Math.abs(clean * drag - burnKgPerS) < 1e-9) {
    const typed = phaseFlowOf(plan, ship, phase)
    const named = paper.input('flow in the phase', 'flow', clean, typed, phase.id)
    flow =
      drag === 1 ? named : multiply(named, paper.input('drag of what is fitted', 'factor', drag, onSheet(undefined)))
  } else flow = paper.input('flow in the phase', 'flow', burnKgPerS, COMPUTED, phase.id)
  return paper.line('burn of the phase', 'mass', multiply(time, flow), phase.id, seconds * burnKgPerS)
}

export function timeSource(stage: Stage, ship: ShipBrief, phase: PhaseBrief) {
  const route = stage.plan.plan.flights.find((one) => one.id === ship.flightId)?.route
  const typed = route?.find((one) => one.id === phase.id)
  return typed && typed.kind !== 'refuelling' && typed.span.by !== 'leg'
    ? inPlan({ value: typed.span.durationMin, unit: 'min' })
    : COMPUTED
}
