/** Limits of one ship by the plan: abort fuel by track, recovery fuel, bingo, and what each push requires. */
import type { Position } from '../contracts/quantities.ts'
import { abortFuelKg, bingoKg, recoveryFuelKg, type Recovery } from '../fuel/limits.ts'
import { requiredAtPushKg, type Need, type PointAhead } from '../fuel/need.ts'
import type { Brief, FlightBrief, PhaseBrief, ShipBrief, VisitBrief } from './brief.ts'

/** How a ship flies home: one object for each ship, by which what follows from it is kept. */
export const recoveryOf = (plan: Brief, ship: ShipBrief): Recovery => limitsOf(plan, ship).recovery

const makeRecovery = (plan: Brief, ship: ShipBrief): Recovery => ({
  trueAirspeedMPerS: ship.recoveryAirspeedMPerS,
  wind: plan.wind,
  flowKgPerS: ship.recoveryFlowKgPerS,
  approachKg: ship.approachKg,
  reserveKg: ship.reserveKg
})

interface Limits {
  recovery: Recovery
  abort: Map<string, number>
  needs: Map<string, Need>
  /** By place in the route: bingo with that phase and all after it still ahead. */
  bingo: readonly (number | undefined)[]
}

const known = new WeakMap<ShipBrief, { plan: Brief; limits: Limits }>()

function limitsOf(plan: Brief, ship: ShipBrief): Limits {
  const had = known.get(ship)
  if (had?.plan === plan) return had.limits
  const flight = plan.flights.get(ship.flightId)
  const limits: Limits = { recovery: makeRecovery(plan, ship), abort: new Map(), needs: new Map(), bingo: [] }
  known.set(ship, { plan, limits })
  if (flight) limits.bingo = bingoAhead(plan, flight, ship)
  return limits
}

/** Recovery fuel from a position to a base of the plan, kg; undefined when it is out of reach in this wind. */
export function recoveryKg(plan: Brief, ship: ShipBrief, from: Position, baseId: string): number | undefined {
  const base = plan.bases.get(baseId)
  return base && recoveryFuelKg(from, base, recoveryOf(plan, ship))
}

/**
 * Abort fuel on a track, kg: the worst turn point of its orbit.
 * @throws RangeError when the track is unknown or its abort base is out of reach: shared/plan/check.ts refuses both.
 */
export function abortKg(plan: Brief, ship: ShipBrief, trackId: string): number {
  const { abort } = limitsOf(plan, ship)
  const had = abort.get(trackId)
  if (had !== undefined) return had
  const track = plan.tracks.get(trackId)
  const base = track && plan.bases.get(track.abortBaseId)
  const kg = base && abortFuelKg(track.orbit, base, recoveryOf(plan, ship))
  if (kg === undefined) throw new RangeError(`track ${trackId} has no abort base within reach of ${ship.callSign}`)
  abort.set(trackId, kg)
  return kg
}

/** Phases whose points count for bingo. */
export const isTask = (phase: { kind: string }): boolean => phase.kind === 'combat' || phase.kind === 'loiter'

function bingoAhead(plan: Brief, flight: FlightBrief, ship: ShipBrief): (number | undefined)[] {
  const points = flight.phases.map((phase) =>
    isTask(phase) ? [phase.from, phase.to].flatMap((at) => recoveryKg(plan, ship, at, flight.recoveryBaseId) ?? []) : []
  )
  return flight.phases.map((_, index) => bingoKg(points.slice(index).flat()))
}

/** Bingo, kg, with the phase and all after it still ahead; undefined where no task point is. */
export function bingoFrom(plan: Brief, ship: ShipBrief, phaseIndex: number): number | undefined {
  return limitsOf(plan, ship).bingo[Math.max(0, phaseIndex)]
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

export const requiredKg = (plan: Brief, flight: FlightBrief, ship: ShipBrief, visit: VisitBrief): number =>
  needOf(plan, flight, ship, visit).requiredKg

function makeNeed(plan: Brief, flight: FlightBrief, ship: ShipBrief, visit: VisitBrief): Need {
  const from = flight.phases.findIndex((phase) => phase.visit?.id === visit.id)
  const ahead: PhaseBrief[] = []
  let next: VisitBrief | undefined
  for (const phase of flight.phases.slice(from + 1)) {
    next = phase.visit
    if (next) break
    ahead.push(phase)
  }
  let burnKg = 0
  const points: PointAhead[] = []
  const point = (at: Position): void => {
    const recovery = recoveryKg(plan, ship, at, flight.recoveryBaseId)
    if (recovery !== undefined) points.push({ burnFromPushKg: burnKg, recoveryKg: recovery })
  }
  const here = flight.phases[from]
  if (here) point(here.to)
  let taskEnd: { burnFromPushKg: number; bingoKg: number } | undefined
  for (const phase of ahead) {
    burnKg += (phase.flowKgPerS * ship.dragFactor * phase.durationMs) / 1000
    point(phase.to)
    if (isTask(phase)) {
      const bingo = recoveryKg(plan, ship, phase.to, flight.recoveryBaseId)
      taskEnd = bingo === undefined ? undefined : { burnFromPushKg: burnKg, bingoKg: bingo }
    }
  }
  if (next) {
    const tanker = plan.tankers.get(next.tankerId)
    const method = tanker?.stations.find((station) => station.method === flight.method)
    const hookUpKg = (flight.refuellingFlowKgPerS * ship.dragFactor * (method?.hookUpMs ?? 0)) / 1000
    return requiredAtPushKg({
      points,
      taskEnd,
      nextVisit: { burnToContactKg: burnKg + hookUpKg, abortKg: abortKg(plan, ship, tanker?.trackId ?? '') }
    })
  }
  const { approachKg, reserveKg } = ship
  const last = ahead.at(-1)?.to ?? here?.to
  const onwardKg = last ? (recoveryKg(plan, ship, last, flight.recoveryBaseId) ?? Infinity) - approachKg - reserveKg : 0
  return requiredAtPushKg({
    points,
    taskEnd,
    home: { burnFromPushKg: burnKg + Math.max(0, onwardKg), approachKg, reserveKg }
  })
}
