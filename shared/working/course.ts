/** Fuel aboard along a ship's course: from what was last called, leg by leg and contact by contact. */
import { quantityKg } from '../units.ts'
import type { FactOf } from '../contracts/facts.ts'
import { readingVarKg2 } from '../filter/noise.ts'
import { foldCalls, type Folded } from '../live/calls.ts'
import { advance, atFactor, flown, legAt, type Anchor, type Leg } from '../live/course.ts'
import type { Crew } from '../live/slots.ts'
import type { Scene } from '../live/view/scene.ts'
import { without } from '../live/troubles.ts'
import { fillCurve } from '../tanks/fill.ts'
import { countedKg, externalKg, gaugeKg, totalKg, usableKg, type TankState } from '../tanks/sheet.ts'
import { add, ASSUMED, COMPUTED, divide, multiply, subtract, type Expression, type Paper } from './paper.ts'
import { fill } from './fill.ts'
import { timeSource } from './limits.ts'
import type { Stage } from './stage.ts'
import { called, phaseFlowOf, startOf, stationRateOf } from './typed.ts'

/** Below this a difference is rounding, kg. */
const SAME_KG = 1e-7

/** What changed beside the burn: dumped, thrown off, not to be had for the engines. */
function corrected(
  paper: Paper,
  name: string,
  before: Expression,
  burned: Expression,
  afterKg: number,
  about?: string
): Expression {
  const expected = subtract(before, burned)
  const beside = paper.value(expected) - afterKg
  if (Math.abs(beside) < SAME_KG) return paper.line(name, 'mass', expected, about, afterKg)
  const other = paper.input('lost beside the burn', 'mass', beside, COMPUTED, about)
  return paper.line(name, 'mass', subtract(before, burned, other), about, afterKg)
}

/** A stretch at the burn of a leg. */
function stretch(
  paper: Paper,
  stage: Stage,
  crew: Crew,
  leg: Pick<Leg, 'phaseIndex' | 'phaseId' | 'kind' | 'burnKgPerS' | 'burnFactor'>,
  seconds: number,
  before: Expression,
  afterKg: number
): Expression {
  const { ship, flight } = crew
  const phase = leg.kind === 'diverting' ? undefined : flight.phases[leg.phaseIndex]
  const about = leg.kind === 'diverting' ? 'diverting' : (leg.phaseId ?? undefined)
  const plannedKgPerS = leg.burnKgPerS / (leg.burnFactor ?? 1)
  const plain = phase && Math.abs(phase.flowKgPerS - plannedKgPerS) < 1e-12
  const whole = phase !== undefined && Math.abs(phase.durationMs / 1000 - seconds) < 1e-9
  const flowFrom = plain ? phaseFlowOf(stage.plan.plan, ship, phase) : COMPUTED
  const time = paper.input(
    'time in the phase',
    'span',
    seconds,
    whole ? timeSource(stage, ship, phase) : COMPUTED,
    about
  )
  const flow = paper.input('flow in the phase', 'flow', plannedKgPerS, flowFrom, about)
  return corrected(paper, 'fuel after the phase', before, multiply(time, flow, ...factorOf(paper, leg)), afterKg, about)
}

/** How many times the plan's flow it burns, by its calls; nothing where it is as planned. */
function factorOf(paper: Paper, { burnFactor = 1 }: Pick<Leg, 'burnFactor'>): Expression[] {
  return burnFactor === 1 ? [] : [paper.input('burn factor by its calls', 'factor', burnFactor, COMPUTED)]
}

/** Legs between two instants, burned along without a contact; gives the fuel left and the tanks then. */
export function burn(
  paper: Paper,
  stage: Stage,
  crew: Crew,
  legs: readonly Leg[],
  from: { fuel: Expression; tanks: TankState; atMs: number },
  toMs: number
): { fuel: Expression; tanks: TankState } {
  const { sheet } = crew.ship
  let { fuel, tanks } = from
  for (const leg of legs) {
    const start = Math.max(from.atMs, leg.fromAtMs)
    const stop = Math.min(toMs, leg.toAtMs)
    if (stop < start || (stop === start && leg.toAtMs !== leg.fromAtMs)) continue
    const carriedKg = totalKg(sheet, tanks)
    if (start === leg.fromAtMs) tanks = without(sheet, tanks, leg.jettisons)
    if (stop === start || leg.burnKgPerS === 0) {
      const offKg = carriedKg - totalKg(sheet, tanks)
      if (Math.abs(offKg) < SAME_KG) continue
      const thrown = paper.input('thrown off', 'mass', offKg, COMPUTED, leg.phaseId)
      fuel = paper.line('fuel after the phase', 'mass', subtract(fuel, thrown), leg.phaseId, totalKg(sheet, tanks))
      continue
    }
    tanks = flown(sheet, tanks, leg, (stop - start) / 1000).state
    fuel = stretch(paper, stage, crew, leg, (stop - start) / 1000, fuel, totalKg(sheet, tanks))
  }
  return { fuel, tanks }
}

/** A ship after so many calls of its record, folded apart from what the event keeps, with its legs at the burn of then. */
function foldedAfter(stage: Stage, crew: Crew, count: number): Folded {
  const { ship, its, legs, record, folded } = crew
  if (count === record.length) return folded
  return foldCalls(
    stage.plan,
    ship,
    record.slice(0, count),
    () => ({ its, legs: atFactor(legs, 1 / folded.burnFactor) }),
    Infinity
  )
}

const legsThen = (legs: readonly Leg[], { folded }: Crew, then: Folded): readonly Leg[] =>
  atFactor(legs, then.burnFactor / folded.burnFactor)

/**
 * All fuel aboard at an instant that is not ahead of now, from the last figure called, or from the start. The tanks are
 * those of the model at that instant.
 */
export function fuelAt(
  paper: Paper,
  stage: Stage,
  scene: Pick<Scene, 'crew' | 'legs'>,
  atMs: number
): { fuel: Expression; anchor: Anchor } {
  const { crew } = scene
  const { ship, record } = crew
  const { sheet } = ship
  const counts = record.filter((fact) => fact.atMs <= atMs).length
  let first = record.slice(0, counts).findLastIndex((fact) => fact.kind === 'fuelCalled')
  const since = foldedAfter(stage, crew, first + 1)
  let { anchor } = since
  const call = record[first]
  let fuel: Expression
  if (call?.kind === 'fuelCalled') fuel = calledFuel(paper, stage, crew, call, foldedAfter(stage, crew, first), since)
  else {
    first = -1
    const kg = totalKg(sheet, ship.start)
    fuel = paper.line(
      'fuel at the start',
      'mass',
      add(paper.input('start fuel', 'mass', kg, startOf(stage.plan.plan, ship)))
    )
  }
  for (let index = first + 1; index <= counts; index++) {
    const fact = record[index]
    const last = index === counts
    const toMs = last ? atMs : Math.max(fact?.atMs ?? atMs, anchor.atMs)
    const legs = legsThen(last ? scene.legs : crew.legs, crew, since)
    const there = advance(ship, legs, anchor, toMs)
    fuel = passed(paper, stage, crew, legs, { fuel, anchor, there })
    const next = last ? there : foldedAfter(stage, crew, index + 1).anchor
    const changed = totalKg(sheet, next.state) - totalKg(sheet, there.state)
    if (!last && Math.abs(changed) > SAME_KG && next.atMs >= there.atMs) {
      const about = fact?.kind ?? ''
      const source = fact ? called(fact, 'offLoad' in fact && fact.offLoad ? fact.offLoad : undefined) : COMPUTED
      const by = paper.input('change called', 'mass', changed, source, about)
      fuel = paper.line('fuel as called', 'mass', add(fuel, by), about, totalKg(sheet, next.state))
    }
    anchor = next
  }
  return { fuel, anchor }
}

/** A call weighed against what was expected: how much it counts follows from how sure either is. */
function calledFuel(
  paper: Paper,
  stage: Stage,
  crew: Crew,
  call: FactOf<'fuelCalled'>,
  before: Folded,
  after: Folded
): Expression {
  const { ship } = crew
  const { sheet } = ship
  const calledKg = quantityKg(call.fuel, stage.plan.fuelKgPerM3)
  const figure = paper.input('fuel called', 'mass', calledKg, called(call, call.fuel))
  const there = advance(ship, legsThen(crew.legs, crew, before), before.anchor, Math.max(call.atMs, before.anchor.atMs))
  const [expectedKg, kg] = [totalKg(sheet, there.state), totalKg(sheet, after.anchor.state)]
  const expected = paper.input('expected before the call', 'mass', expectedKg, COMPUTED)
  const externals = call.covers === 'internal' ? externalKg(sheet, after.anchor.state) : 0
  const told =
    externals > 0 ? [figure, paper.input('carried in external tanks', 'mass', externals, COMPUTED)] : [figure]
  const off = paper.line('call less what was expected', 'mass', subtract(add(...told), expected))
  const offKg = paper.value(off)
  if (Math.abs(offKg) < SAME_KG) {
    // Expected and called are one, or the call moved what else there is.
    const moved =
      Math.abs(kg - expectedKg) < SAME_KG ? [] : [paper.input('change called', 'mass', kg - expectedKg, COMPUTED)]
    return paper.line('fuel when called', 'mass', add(expected, ...moved), undefined, kg)
  }
  const weight = weightOf(paper, after, call, (kg - expectedKg) / offKg)
  return paper.line('fuel when called', 'mass', add(expected, multiply(weight, off)), undefined, kg)
}

/** What share of the difference counts: all of it but the share of the reading's own spread, squared. */
function weightOf(paper: Paper, { filtered }: Folded, call: FactOf<'fuelCalled'>, weight: number): Expression {
  const its = filtered.heard.findLast((one) => one.call.seq === call.seq)
  if (its?.innovationVarKg2 === undefined) return paper.input('weight of the call', 'factor', weight, COMPUTED)
  const { roundingKg, covers } = its.call
  const readVarKg2 = readingVarKg2(filtered.noise, filtered.watch.fullScaleKg[covers], roundingKg)
  const spreadVarKg2 = its.verdict === 'check' ? (its.innovationKg ?? 0) ** 2 : its.innovationVarKg2
  if (Math.abs(1 - readVarKg2 / spreadVarKg2 - weight) > 1e-9)
    return paper.input('weight of the call', 'factor', weight, COMPUTED)
  const read = paper.input('spread of one reading', 'mass', Math.sqrt(readVarKg2), ASSUMED)
  const spread = paper.input('spread of call and estimate together', 'mass', Math.sqrt(spreadVarKg2), COMPUTED)
  const own = divide(multiply(read, read), multiply(spread, spread))
  return paper.line('weight of the call', 'factor', subtract({ number: 1 }, own), undefined, weight)
}

/** From one anchor to a later one without a call between: legs burned, or a contact filled. */
function passed(
  paper: Paper,
  stage: Stage,
  crew: Crew,
  legs: readonly Leg[],
  { fuel, anchor, there }: { fuel: Expression; anchor: Anchor; there: Anchor }
): Expression {
  const { ship } = crew
  const { contact } = anchor
  if (!contact) return burn(paper, stage, crew, legs, { fuel, tanks: anchor.state, atMs: anchor.atMs }, there.atMs).fuel
  let before = fuel
  let atMs = anchor.atMs
  if (atMs < contact.flowAtMs) {
    const untilMs = Math.min(there.atMs, contact.flowAtMs)
    const reached = advance(ship, legs, anchor, untilMs)
    before = burn(paper, stage, crew, legs, { fuel: before, tanks: shut(anchor.state), atMs }, untilMs).fuel
    atMs = untilMs
    if (there.atMs <= untilMs) return before
    return filled(paper, stage, crew, legs, { before, from: reached, there })
  }
  return there.atMs > atMs ? filled(paper, stage, crew, legs, { before, from: anchor, there }) : before
}

const shut = (state: TankState): TankState => (state.externals === 'selected' ? { ...state, externals: 'off' } : state)

function filled(
  paper: Paper,
  stage: Stage,
  crew: Crew,
  legs: readonly Leg[],
  { before, from, there }: { before: Expression; from: Anchor; there: Anchor }
): Expression {
  const { contact } = from
  if (!contact) return before
  const { sheet } = crew.ship
  const burnKgPerS = legAt(legs, from.atMs).burnKgPerS
  const flow = { stationRateKgPerS: contact.stationRateKgPerS, burnKgPerS }
  const curve = fillCurve(sheet, shut(from.state), flow)
  const seconds = (there.atMs - from.atMs) / 1000
  const placed = stage.order.slots.get(contact.slotId)
  const rate = placed && stationRateOf(stage.plan.plan, placed.tanker.id, placed.station.stationId)
  const taken = fill(paper, { stage, ship: crew.ship, curve, flow, rate: rate ?? COMPUTED }, seconds)
  const time = paper.input('time fuel flowed', 'span', seconds, COMPUTED)
  const burned = paper.line(
    'burn in contact',
    'mass',
    multiply(time, paper.input('flow in contact', 'flow', burnKgPerS, COMPUTED))
  )
  return corrected(paper, 'fuel in contact', add(before, taken.onLoad), burned, totalKg(sheet, there.state))
}

/** Of all fuel aboard, what the engines can have. */
export function usable(
  paper: Paper,
  crew: Crew,
  fuel: Expression,
  tanks: TankState,
  about?: string,
  kg?: number
): Expression {
  const { sheet } = crew.ship
  const rest = totalKg(sheet, tanks) - usableKg(sheet, tanks)
  const kept = paper.input('unusable or not giving', 'mass', rest, COMPUTED)
  return paper.line('usable fuel', 'mass', subtract(fuel, kept), about, kg ?? usableKg(sheet, tanks))
}

/** Of all fuel aboard, what limits count on. */
export function countedOf(paper: Paper, crew: Crew, fuel: Expression, tanks: TankState, about?: string): Expression {
  const { sheet } = crew.ship
  const kept = paper.input('unusable or not giving', 'mass', totalKg(sheet, tanks) - usableKg(sheet, tanks), COMPUTED)
  const apart = usableKg(sheet, tanks) - countedKg(sheet, tanks)
  if (apart < SAME_KG) return paper.line('counted fuel', 'mass', subtract(fuel, kept), about, countedKg(sheet, tanks))
  const held = paper.input('externals held or not seen to give', 'mass', apart, COMPUTED)
  return paper.line('counted fuel', 'mass', subtract(fuel, kept, held), about, countedKg(sheet, tanks))
}

/** Of all fuel aboard, what the ship's own gauge shows. */
export function gauge(paper: Paper, crew: Crew, fuel: Expression, tanks: TankState, kg: number): Expression {
  const { sheet } = crew.ship
  const apart = totalKg(sheet, tanks) - gaugeKg(sheet, tanks)
  if (apart < SAME_KG) return paper.line('own gauge', 'mass', add(fuel), undefined, kg)
  const externals = paper.input('carried in external tanks', 'mass', apart, COMPUTED)
  return paper.line('own gauge', 'mass', subtract(fuel, externals), undefined, kg)
}
