import type { Position } from '../contracts/quantities.ts'
import { legOf } from '../geodesy.ts'
import { groundSpeedMPerS, type Wind } from './wind.ts'

/**
 * Fuel flow with everything that is fitted, kg/s: the reference flow times the drag factor of each group carried.
 * Checked: tests/shared/fuel/burn.test.ts.
 */
export const draggedFlowKgPerS = (referenceKgPerS: number, dragFactors: readonly number[]): number =>
  dragFactors.reduce((flow, factor) => flow * factor, referenceKgPerS)

/** Weight of a ship without fuel, and the weight its flows are stated at: flows grow with weight in proportion. */
export interface Weighing {
  readonly zeroFuelKg: number
  readonly referenceKg: number
}

/** A stretch at one flow; where a weighing is given the flow is that at its reference weight. */
export interface Stretch {
  readonly durationS: number
  readonly flowKgPerS: number
}

/**
 * Flow of a ship of so much fuel, kg/s: as stated, or in proportion to its weight where a weighing is given.
 * @throws RangeError when the reference weight is not above 0.
 * Source: Breguet's assumption, constant specific consumption and lift over drag. Checked: tests/truth/breguet.json.
 */
export const flowWithKgPerS = (fuelKg: number, flowKgPerS: number, weighing?: Weighing): number =>
  weighing === undefined ? flowKgPerS : sharePerS(flowKgPerS, weighing) * (weighing.zeroFuelKg + fuelKg)

/**
 * Fuel burned over a stretch begun with so much, kg. With a weighing the weight falls as W = W0 e^(-kt), k = flow over
 * reference weight: the closed form, no steps.
 * @throws RangeError when the reference weight is not above 0.
 * Source: Breguet endurance, E = (L/D)/c ln(W0/W1), as k = c/(L/D). Checked: tests/truth/breguet.json.
 */
export const burnedFromKg = (fuelKg: number, { durationS, flowKgPerS }: Stretch, weighing?: Weighing): number =>
  weighing === undefined
    ? durationS * flowKgPerS
    : -(weighing.zeroFuelKg + fuelKg) * Math.expm1(-sharePerS(flowKgPerS, weighing) * durationS)

/**
 * Fuel burned over a stretch that ends with so much left, kg: the same backwards.
 * @throws RangeError when the reference weight is not above 0.
 * Source: as burnedFromKg. Checked: tests/shared/fuel/burn.test.ts, there and back.
 */
export const burnedDownToKg = (leftKg: number, { durationS, flowKgPerS }: Stretch, weighing?: Weighing): number =>
  weighing === undefined
    ? durationS * flowKgPerS
    : (weighing.zeroFuelKg + leftKg) * Math.expm1(sharePerS(flowKgPerS, weighing) * durationS)

/**
 * Time until so much is left, s; 0 when it is so already, Infinity at no flow.
 * @throws RangeError when the reference weight is not above 0.
 * Source: as burnedFromKg. Checked: tests/truth/breguet.json, tests/truth/fuel-burn.json.
 */
export function enduranceS(
  { fuelKg, leftKg, flowKgPerS }: { readonly fuelKg: number; readonly leftKg: number; readonly flowKgPerS: number },
  weighing?: Weighing
): number {
  if (fuelKg <= leftKg) return 0
  if (weighing === undefined) return (fuelKg - leftKg) / flowKgPerS
  return Math.log1p((fuelKg - leftKg) / (weighing.zeroFuelKg + leftKg)) / sharePerS(flowKgPerS, weighing)
}

/** Share of its weight that a ship burns in a second. */
function sharePerS(flowKgPerS: number, { referenceKg }: Weighing): number {
  if (!(referenceKg > 0)) throw new RangeError(`a reference weight is above 0 kg, is ${referenceKg}`)
  return flowKgPerS / referenceKg
}

export interface Airspeed {
  readonly trueAirspeedMPerS: number
  readonly wind: Wind
}

/**
 * Time along the shortest path in a constant wind, s; undefined when some part of it leaves no ground speed. The course
 * turns along the path: time is Simpson's rule over start, middle and end.
 * Checked: tests/truth/fuel-burn.json; tests/shared/fuel/burn.test.ts against 2,000 short legs, within 0.05 s over 500 km.
 */
export function legTimeS(from: Position, to: Position, { trueAirspeedMPerS, wind }: Airspeed): number | undefined {
  const leg = legOf(from, to)
  if (leg.distanceM === 0) return 0
  if (wind.speedMPerS === 0) return trueAirspeedMPerS > 0 ? leg.distanceM / trueAirspeedMPerS : undefined
  const speedAt = (share: number): number | undefined =>
    groundSpeedMPerS({
      trackRad: leg.courseAt(share),
      trueAirspeedMPerS,
      windFromRad: wind.fromRad,
      windMPerS: wind.speedMPerS
    })
  const start = speedAt(0)
  const middle = speedAt(0.5)
  const end = speedAt(1)
  if (start === undefined || middle === undefined || end === undefined) return undefined
  return (leg.distanceM * (1 / start + 4 / middle + 1 / end)) / 6
}
