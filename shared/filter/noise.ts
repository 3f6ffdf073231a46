/** How far gauges, meters and burns are from what they should be: every figure editable, every default assumed. */
import type { Wander } from './belief.ts'

export interface Noise {
  /** Standard deviation of one reading, share of the full scale of what the gauge shows; readings are independent. */
  readonly gaugeShare: number
  /** Standard deviation of the burn factor before any call; its mean is 1. */
  readonly burnFactorSd: number
  /** Standard deviation that the burn factor gains in an hour. */
  readonly burnFactorSdPerHour: number
  /** Variance of burned fuel a second, over the square of the planned flow, s. */
  readonly burstS: number
  /** Of walk and burst, so much where a ship flies steadily. */
  readonly steadyShare: number
  /** Standard deviation of the instant at which a phase begins, s. */
  readonly entrySdS: number
  /** Standard deviation of an off-load as called, share of it. */
  readonly meterShare: number
  /** Standard deviation of an off-load as computed, share of it. */
  readonly computedShare: number
  /** A figure further off than so many standard deviations is beyond reason. */
  readonly gate: number
}

/**
 * Defaults of the filter.
 * Gauge: 1 % of full scale is read as the standard deviation of one reading. Burn factor 1.00 ± 0.05 before any call.
 * Walk of the factor: in a quarter of an hour it may go as far from where it was as it was thought to be from 1, for the
 * next phase is flown at another height and in another manner than the last.
 * Burst: one at three times the planned flow of half a minute in every five minutes burns (2 × 30 s)² / 300 s = 12 s.
 * Steady: between places and beside a tanker ships keep a formation and a speed; full power belongs to the task and to
 * the way out and down (common practice, no source). A third of the variance of both is left for that: where ships burst
 * on their way all the same, the low side is kept 90 times in a hundred; with a tenth left it is 87, and ships long unheard
 * rank worst a little less often. To be safe comes first.
 * Entry: a phase begins within about a minute of its time (two standard deviations), where no call says when.
 * Meter 1 % and computed 5 % of the off-load. Gate 3: one honest figure in 740 on each side is beyond reason.
 * Walk and burst were set where ships that burst, are late and burn 5 % off the sheet keep above the low side 90 times in
 * a hundred; half of each leaves them below.
 * Source: assumed, all of it.
 * Checked: tests/shared/filter/coverage.test.ts.
 */
export const NOISE: Noise = {
  gaugeShare: 0.01,
  burnFactorSd: 0.05,
  burnFactorSdPerHour: 0.1,
  burstS: 12,
  steadyShare: 1 / 3,
  entrySdS: 30,
  meterShare: 0.01,
  computedShare: 0.05,
  gate: 3
}

/** One-sided 95 % of a normal distribution, in standard deviations. Source: tables of the normal distribution. */
export const LOW_SIDE = 1.645

const S_PER_HOUR = 3600
/** Nobody speaks finer than a kilogram, whatever the contract lets through, kg². */
const LEAST_VAR_KG2 = 1 / 12

export const wanderOf = (noise: Noise): Wander => ({
  burnFactorVarPerS: noise.burnFactorSdPerHour ** 2 / S_PER_HOUR,
  burstS: noise.burstS
})

/** The same where a ship flies steadily. */
export const steadyOf = ({ steadyShare }: Noise, { burnFactorVarPerS, burstS }: Wander): Wander => ({
  burnFactorVarPerS: steadyShare * burnFactorVarPerS,
  burstS: steadyShare * burstS
})

/**
 * Variance of a figure as spoken, kg²: the gauge's own, and that of a rounding to the nearest step, uniform over it.
 * Source: variance of a uniform distribution, step² / 12. Checked: tests/shared/filter/calls.test.ts.
 */
export const readingVarKg2 = (noise: Noise, fullScaleKg: number, roundingKg: number): number =>
  Math.max(LEAST_VAR_KG2, (noise.gaugeShare * fullScaleKg) ** 2 + roundingKg ** 2 / 12)

/** Standard deviation of an off-load, kg: as the tanker called it from its meter, or as computed where nobody did. */
export const offLoadSdKg = (noise: Noise, offLoadKg: number, known: 'called' | 'computed'): number =>
  Math.abs(offLoadKg) * (known === 'called' ? noise.meterShare : noise.computedShare)
