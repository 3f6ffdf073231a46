/**
 * The fuel of every ship along its way, as a picture draws it: planned fuel with the contacts of the order as steps, and
 * the limits that are in force where. Made of the same scenes as the view, for a plan that nobody has flown yet.
 */
import type { Plan } from '../contracts/plan.ts'
import type { FlightView } from '../contracts/view.ts'
import { brief, type Brief, type FlightBrief } from '../plan/brief.ts'
import { abortKg, abortWithinReach, bingoRuling, isTask, jokerRuling, recoveryKg } from '../plan/limits.ts'
import { fillCurve } from '../tanks/fill.ts'
import { totalKg } from '../tanks/sheet.ts'
import type { Bend } from './ahead.ts'
import { positionOn, type Leg } from './course.ts'
import { burnAt, crewsOf, judgeOrder } from './slots.ts'
import { emptyState } from './state.ts'
import { rungsOf, weakestOf } from './view/flight.ts'
import { sceneOf, type Scene } from './view/scene.ts'

/** Recovery fuel bends along a leg: it is told so often, ms. */
const RECOVERY_STEP_MS = 60_000

export interface LimitSpan {
  readonly limit: 'abort' | 'bingo' | 'joker'
  readonly fromMs: number
  readonly toMs: number
  readonly kg: number
}

export interface FuelLine {
  readonly shipId: string
  readonly flightId: string
  /** Linear between two of them; at a disconnect, and where an external tank is seen to give, two stand at one instant. */
  readonly points: readonly { readonly atMs: number; readonly fuelKg: number; readonly countedKg: number }[]
  /** Start of each phase, and the end of the last. */
  readonly rungs: FlightView['ladder']
  /** To the recovery base; a way home against too much wind has none. */
  readonly recovery: readonly { readonly atMs: number; readonly kg: number }[]
  readonly limits: readonly LimitSpan[]
  readonly weakest: FlightView['weakest']
  /** When nothing is left in it on its planned way. */
  readonly emptyAtMs: number | undefined
}

interface Stage {
  readonly plan: Brief
  readonly scenes: ReadonlyMap<string, Scene>
  readonly lines: Map<string, FuelLine>
}

/** The last stage of each plan: a page asks for one ship after the other. */
const stages = new WeakMap<Plan, Stage>()

function stageOf(document: Plan): Stage {
  const known = stages.get(document)
  if (known) return known
  const nowMs = document.opensAtMs
  const state = { ...emptyState('lines'), plan: document }
  const plan = brief(document)
  const crews = crewsOf(state, plan, nowMs)
  const order = judgeOrder(state, plan, crews, nowMs, undefined)
  const outs = new Map(order.judged.slots.map((out) => [out.slotId, out]))
  const pushes = new Map(order.judged.pushes.map((push) => [push.pushGroupId, push.pushAtMs]))
  const scenes = new Map(
    [...crews.values()].map((crew) => [
      crew.ship.id,
      sceneOf(plan, crew, order, outs, (visit) => pushes.get(visit.pushGroupId), nowMs)
    ])
  )
  const stage = { plan, scenes, lines: new Map<string, FuelLine>() }
  stages.set(document, stage)
  return stage
}

/**
 * The line of a ship of a checked plan, at its opening; instants are event time in ms, masses kg. Undefined where there is
 * no such ship. Checked: tests/shared/live/lines.test.ts, by hand and against the view.
 */
export function lineOf(document: Plan, shipId: string): FuelLine | undefined {
  const { plan, scenes, lines } = stageOf(document)
  const scene = scenes.get(shipId)
  const known = lines.get(shipId)
  if (known || !scene) return known
  const fresh = makeLine(plan, scene.crew.flight, scene)
  lines.set(shipId, fresh)
  return fresh
}

/** The fill of one contact, as the order has it: until all groups are full, and where it ends. */
export interface SlotCurve {
  readonly groups: readonly { readonly id: string; readonly name: string }[]
  readonly points: readonly { readonly atS: number; readonly onLoadKg: number; readonly closes: readonly string[] }[]
  readonly kneeIndex: number | null
  readonly minutesMin: number
  readonly onLoadKg: number
}

/** The curve of a slot, s from contact, kg; undefined where it gets no contact, or there is no such slot. */
export function curveOf(document: Plan, slotId: string): SlotCurve | undefined {
  for (const { way, slots, crew } of stageOf(document).scenes.values()) {
    const slot = slots.find(({ placed }) => placed.id === slotId)
    if (!slot) continue
    const { placed, out } = slot
    const atContact = way.atContact.get(slotId)
    if (!atContact) return undefined
    const { groups } = crew.ship.sheet
    const burnKgPerS = burnAt(crew, placed.visit)
    const curve = fillCurve(crew.ship.sheet, atContact, { stationRateKgPerS: placed.station.rateKgPerS, burnKgPerS })
    return {
      groups,
      points: curve.points.map(({ atS, onLoadKg, closes }) => ({
        atS,
        onLoadKg,
        closes: closes.flatMap((group) => groups[group]?.id ?? [])
      })),
      kneeIndex: curve.kneeIndex ?? null,
      minutesMin: (out.disconnectAtMs - out.contactAtMs) / 60_000,
      onLoadKg: out.onLoadKg
    }
  }
  return undefined
}

function makeLine(plan: Brief, flight: FlightBrief, scene: Scene): FuelLine {
  const { crew, way, legs } = scene
  const { ship } = crew
  const flown = legs.filter(({ kind }) => kind !== 'planned' && kind !== 'ended')
  return {
    shipId: ship.id,
    flightId: flight.id,
    points: way.bends.flatMap((bend, place) => pointsAt(scene, bend, way.bends[place + 1])),
    rungs: rungsOf(plan, flight, scene),
    recovery: flown.flatMap((leg) => recoveryAlong(plan, scene, leg)),
    limits: flown.flatMap((leg) => limitsOn(plan, flight, scene, leg)),
    weakest: weakestOf(plan, flight, scene),
    emptyAtMs: way.empty[0]?.fromMs
  }
}

function pointsAt({ crew }: Scene, bend: Bend, next: Bend | undefined): FuelLine['points'] {
  const { leg, atMs, state, countedKg } = bend
  if (leg.kind === 'planned') return []
  const fuelKg = totalKg(crew.ship.sheet, state)
  const point = { atMs, fuelKg, countedKg }
  const burnedKg = next?.leg === leg ? fuelKg - totalKg(crew.ship.sheet, next.state) : 0
  // Fuel falls and what counts rises: an external tank is seen to give, which happens as soon as it does.
  if (!next || burnedKg <= 0 || next.countedKg <= countedKg) return [point]
  return [point, { atMs, fuelKg, countedKg: next.countedKg + burnedKg }]
}

function recoveryAlong(plan: Brief, { crew }: Scene, leg: Leg): FuelLine['recovery'] {
  const spanMs = leg.toAtMs - leg.fromAtMs
  const steps = leg.from === leg.to ? 1 : Math.max(1, Math.ceil(spanMs / RECOVERY_STEP_MS))
  return Array.from({ length: steps + 1 }, (_, step) => leg.fromAtMs + (step / steps) * spanMs).flatMap((atMs) => {
    const kg = recoveryKg(plan, crew.ship, positionOn(leg, atMs), crew.flight.recoveryBaseId)
    return kg === undefined ? [] : [{ atMs, kg }]
  })
}

/** Abort fuel while it is on a track; bingo and joker from the push before a task to the end of it. */
function limitsOn(plan: Brief, flight: FlightBrief, { crew }: Scene, leg: Leg): LimitSpan[] {
  const { ship } = crew
  const { fromAtMs: fromMs, toAtMs: toMs, phaseIndex } = leg
  if (leg.visit) {
    const trackId = plan.tankers.get(leg.visit.tankerId)?.trackId ?? ''
    return abortWithinReach(plan, ship, trackId)
      ? [{ limit: 'abort', fromMs, toMs, kg: abortKg(plan, ship, trackId) }]
      : []
  }
  const ahead = flight.phases.slice(phaseIndex)
  const untilVisit = ahead.findIndex((phase) => phase.visit !== undefined)
  const taskAhead = (untilVisit < 0 ? ahead : ahead.slice(0, untilVisit)).some(isTask)
  const pushed = flight.phases.slice(0, phaseIndex).some((phase) => phase.visit !== undefined)
  if (!taskAhead || !pushed) return []
  const bingo = bingoRuling(plan, ship, phaseIndex)
  const joker = jokerRuling(plan, ship, phaseIndex)
  return [
    ...(bingo ? [{ limit: 'bingo' as const, fromMs, toMs, kg: bingo.kg }] : []),
    ...(joker ? [{ limit: 'joker' as const, fromMs, toMs, kg: joker.kg }] : [])
  ]
}
