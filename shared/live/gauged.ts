/**
 * A ship's fuel as its calls tell of it, beside its tanks as they are carried from call to call: what the filter is told
 * of burn, contacts and externals, and what the tanks are told back.
 */
import { begun, carried, fuelAt, heard, isInsideKnown, turned, type Folded, type FuelNow } from '../filter/fold.ts'
import { NOISE, offLoadSdKg, readingVarKg2 } from '../filter/noise.ts'
import type { Call, Outside, Stretch } from '../filter/watch.ts'
import type { ShipBrief } from '../plan/brief.ts'
import { withReading } from '../tanks/reading.ts'
import { externalKg, internalKg, totalKg, type Sheet, type TankState } from '../tanks/sheet.ts'
import { gives } from '../tanks/trouble.ts'
import { quantityKg } from '../units.ts'
import type { FactOf } from '../contracts/facts.ts'
import type { Leg } from './course.ts'
import type { Standing } from './standing.ts'

/** Flown at one speed, from place to place or beside a tanker. Source: common practice, no source. */
const STEADY: ReadonlySet<Leg['kind']> = new Set<Leg['kind']>(['transit', 'refuelling', 'recovery', 'diverting'])
/** Nothing is asked of a rounding finer than this, in the unit spoken. */
const STEPS = [100, 50, 10, 5]
/** Masses closer than this are one, kg. */
const SAME_KG = 1e-6

/** What of a call the filter is told. */
type Called = Pick<FactOf<'fuelCalled'>, 'seq' | 'atMs' | 'fuel' | 'covers'>

/** The step to which a figure was rounded, as its last digits show it, kg. Source: common practice, no source. */
export function roundingKg({ fuel }: Pick<Called, 'fuel'>, fuelKgPerM3: number): number {
  const step = STEPS.find((one) => fuel.value % one === 0) ?? 1
  return quantityKg({ value: step, unit: fuel.unit }, fuelKgPerM3)
}

const fullScaleKg = (sheet: Sheet): Readonly<Record<Call['covers'], number>> => {
  const sum = (external: boolean): number =>
    sheet.groups.reduce(
      (kg, group) => ((group.place === 'external') === external ? kg + group.tankCount * group.capacityKg : kg),
      0
    )
  return { internal: sum(false), total: sum(false) + sum(true) }
}

/** The legs as the filter takes them: where a call says when one begins, that is known. */
function stretchesOf(legs: readonly Leg[], its: Standing): Stretch[] {
  return legs.flatMap((leg, index): Stretch[] => {
    if (!(leg.toAtMs > leg.fromAtMs)) return []
    const before = legs[index - 1]?.visit
    const called =
      leg.kind === 'diverting' ||
      leg.kind === 'ended' ||
      (leg.visit !== undefined && its.joined.has(leg.visit.id)) ||
      (before !== undefined && its.pushed.has(before.id))
    const { fromAtMs, toAtMs, burnKgPerS, kind } = leg
    return [{ fromAtMs, toAtMs, burnKgPerS, entrySdS: called ? 0 : undefined, steady: STEADY.has(kind) }]
  })
}

/** What the filter believes before any call: the plan's start fuel, which is taken as it is. */
export const planned = (ship: ShipBrief, legs: readonly Leg[], its: Standing): Folded =>
  begun({
    start: { atMs: legs[0]?.toAtMs ?? 0, fuelKg: totalKg(ship.sheet, ship.start), sdKg: 0 },
    fullScaleKg: fullScaleKg(ship.sheet),
    stretches: stretchesOf(legs, its),
    transfers: [],
    outside: [],
    calls: []
  })

/** Burn of the plan between two instants, kg. */
function plannedBurnKg({ watch }: Folded, fromMs: number, toMs: number): number {
  let kg = 0
  for (const { fromAtMs, toAtMs, burnKgPerS } of watch.stretches) {
    const ms = Math.min(toMs, toAtMs) - Math.max(fromMs, fromAtMs)
    if (ms > 0) kg += (burnKgPerS * ms) / 1000
  }
  return kg
}

/** The tanks at the instant of the filter and at a later one. */
interface Course {
  readonly from: TankState
  readonly to: TankState
  /** The tanker called what it gave. */
  readonly called?: boolean
}

/** What came aboard or left beside the burn, as the tanks have it; of the inside alone where that is known apart. */
function besideBurn(sheet: Sheet, folded: Folded, toMs: number, { from, to, called = false }: Course) {
  const held = isInsideKnown(folded) ? internalKg : totalKg
  const burnedKg = folded.runner.belief.burnFactor * plannedBurnKg(folded, folded.runner.atMs, toMs)
  const kg = held(sheet, to) - held(sheet, from) + burnedKg
  const addedKg = Math.abs(kg) < SAME_KG ? 0 : kg
  return { addedKg, sdKg: offLoadSdKg(folded.noise, addedKg, called ? 'called' : 'computed') }
}

/** The filter taken on with the tanks to a later instant. */
export const takenOn = (sheet: Sheet, folded: Folded, atMs: number, course: Course): Folded =>
  carried(folded, atMs, besideBurn(sheet, folded, atMs, course))

/** The fuel at an instant no earlier than all calls, to which the tanks have been carried along these legs as planned. */
export function fuelNow(
  sheet: Sheet,
  folded: Folded,
  { legs, its, atMs }: { legs: readonly Leg[]; its: Standing; atMs: number },
  course: Course
): FuelNow {
  const folding = along(folded, legs, its)
  const moved = besideBurn(sheet, folding, atMs, course)
  const transfers = [{ fromAtMs: folded.runner.atMs, toAtMs: atMs, ...moved }]
  return fuelAt({ ...folding, watch: { ...folding.watch, transfers } }, atMs)
}

/** The filter on its way along legs as they are now known. */
export const along = (folded: Folded, legs: readonly Leg[], its: Standing): Folded => ({
  ...folded,
  watch: { ...folded.watch, stretches: stretchesOf(legs, its) }
})

/** What is known of the fuel that an internal gauge does not show, as the tanks stand; undefined with nothing outside. */
export function outsideOf(sheet: Sheet, state: TankState, inContact: boolean): Outside | undefined {
  if (sheet.gauge !== 'internal') return undefined
  const heldKg = externalKg(sheet, state)
  const sdKg = NOISE.gaugeShare * fullScaleKg(sheet).internal
  let leastKg = 0
  let mostKg = 0
  let count = 0
  let givingKg = 0
  sheet.groups.forEach((group, g) => {
    if (group.place !== 'external') return
    state.quantitiesKg[g]?.forEach((quantityKg, tank) => {
      const trouble = state.troubles[g]?.[tank]
      if (trouble === 'gone') return
      count++
      const isGiving = gives(trouble)
      leastKg += isGiving ? Math.min(quantityKg, group.unusableKg) : quantityKg
      mostKg += isGiving ? group.capacityKg : quantityKg
      if (isGiving) givingKg += Math.max(0, quantityKg - group.unusableKg)
    })
  })
  if (count === 0) return { kind: 'keeps', outsideKg: 0, sdKg: 0 }
  // The fill tells what they hold; a reading of the inside is weighed beside it.
  if (inContact) return { kind: 'keeps', outsideKg: heldKg, sdKg }
  if (state.externals === 'selected' && givingKg > SAME_KG) return { kind: 'moving', leastKg, mostKg }
  if (givingKg <= SAME_KG && mostKg - heldKg > SAME_KG) return { kind: 'keeps', outsideKg: heldKg, sdKg }
  return { kind: 'stopped', insideKg: internalKg(sheet, state), sdKg }
}

/** Whether what is outside goes on as it was: a new word on it would end what has been learnt of it since. */
const goesOn = (had: Outside | undefined, next: Outside): boolean =>
  had?.kind === next.kind &&
  (next.kind === 'stopped' || (had.kind === 'keeps' && next.kind === 'keeps' && had.outsideKg === next.outsideKg))

/** The filter told of what lies outside, where that has changed. */
export const toldOutside = (folded: Folded, outside: Outside | undefined): Folded =>
  outside === undefined || goesOn(folded.outside, outside) ? folded : turned(folded, outside)

/** A reading of the inside from which on what is outside is not to be had, or not to be known. */
export function stoppedAt(folded: Folded, call: Call): Folded {
  if (isInsideKnown(folded)) return folded
  const varKg2 = readingVarKg2(folded.noise, folded.watch.fullScaleKg.internal, call.roundingKg)
  return turned(folded, { kind: 'stopped', insideKg: call.figureKg, sdKg: Math.sqrt(varKg2) })
}

/** The call as the filter takes it: beside a gauge of all fuel, a figure of the inside is one of all with what is carried. */
export function callOf(sheet: Sheet, state: TankState, fact: Called, fuelKgPerM3: number): Call {
  const kg = quantityKg(fact.fuel, fuelKgPerM3)
  const carries = fact.covers === 'internal' && sheet.gauge === 'total'
  return {
    seq: fact.seq,
    atMs: fact.atMs,
    figureKg: carries ? kg + externalKg(sheet, state) : kg,
    covers: carries ? 'total' : fact.covers,
    roundingKg: roundingKg(fact, fuelKgPerM3)
  }
}

/** The filter with one call more, and whether the call counts. */
export function withCall(folded: Folded, call: Call): { folded: Folded; counts: boolean } {
  const after = heard(folded, call)
  return { folded: after, counts: after.heard.at(-1)?.verdict !== 'waiting' }
}

/** The figure at which the tanks stand by the estimate. */
export function estimated(sheet: Sheet, folded: Folded): { figureKg: number; covers: Call['covers'] } {
  const { belief } = folded.runner
  const [kg, covers] = isInsideKnown(folded)
    ? ([belief.fuelKg - belief.outsideKg, 'internal'] as const)
    : ([belief.fuelKg, 'total'] as const)
  return { figureKg: Math.min(fullScaleKg(sheet)[covers], Math.max(0, kg)), covers }
}

export const asEstimated = (sheet: Sheet, state: TankState, folded: Folded): TankState =>
  withReading(sheet, state, estimated(sheet, folded))

/** What of the mean limits do not count on, kg: the mean less the lower of its low side and the last call carried on. */
export function unsureKg(folded: Folded, now: FuelNow): number {
  const amount = (isInsideKnown(folded) ? now.inside : undefined) ?? now
  return amount.meanKg - amount.limitKg
}
