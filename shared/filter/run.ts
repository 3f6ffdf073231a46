/** Beliefs taken on through time along a watch. */
import { added, burned, type Belief } from './belief.ts'
import { steadyOf, wanderOf, type Noise } from './noise.ts'
import type { Stretch, Watch } from './watch.ts'

/** What is taken on together: the belief, what stands beside it, the last believed figure. */
export interface Runner {
  readonly atMs: number
  readonly belief: Belief
  /** As it would be had the waiting call been believed. */
  readonly rival: Belief | undefined
  /** As it would be had the last call that counted not done so; only where that one is to be checked. */
  readonly before: Belief | undefined
  /** The last believed figure of all fuel, less what was burned since as then believed, kg. */
  readonly carriedKg: number | undefined
}

/**
 * The runner at a later instant; an earlier one leaves it where it is. What happens at the instant of arrival has
 * happened, what happened at the instant of departure is in the runner already.
 * Checked: tests/shared/filter/belief.test.ts, in parts and as a whole.
 */
export function carriedTo(watch: Watch, noise: Noise, runner: Runner, toMs: number): Runner {
  const fromMs = runner.atMs
  if (!(toMs > fromMs)) return runner
  const restless = wanderOf(noise)
  const steady = steadyOf(noise, restless)
  let { belief, rival, before, carriedKg } = runner
  let last: Stretch | undefined
  for (const stretch of watch.stretches) {
    if (stretch.fromAtMs > toMs) break
    if (stretch.toAtMs > fromMs) {
      const { burnKgPerS: flowKgPerS } = stretch
      if (stretch.fromAtMs > fromMs) {
        const step = flowKgPerS - (last !== undefined && last.toAtMs === stretch.fromAtMs ? last.burnKgPerS : 0)
        const varKg2 = (step * (stretch.entrySdS ?? noise.entrySdS)) ** 2
        belief = added(belief, 0, varKg2)
        rival = rival && added(rival, 0, varKg2)
        before = before && added(before, 0, varKg2)
      }
      const durationS = (Math.min(toMs, stretch.toAtMs) - Math.max(fromMs, stretch.fromAtMs)) / 1000
      if (durationS > 0 && flowKgPerS > 0) {
        carriedKg = carriedKg === undefined ? undefined : carriedKg - belief.burnFactor * flowKgPerS * durationS
        const wander = stretch.steady === true ? steady : restless
        belief = burned(belief, { flowKgPerS, durationS }, wander)
        rival = rival && burned(rival, { flowKgPerS, durationS }, wander)
        before = before && burned(before, { flowKgPerS, durationS }, wander)
      }
    }
    last = stretch
  }
  for (const transfer of watch.transfers) {
    const part = partOf(transfer.fromAtMs, transfer.toAtMs, fromMs, toMs)
    if (part === 0) continue
    const kg = part * transfer.addedKg
    const varKg2 = part * transfer.sdKg ** 2
    ;({ belief, rival, before, carriedKg } = withMass({ atMs: toMs, belief, rival, before, carriedKg }, kg, varKg2))
  }
  return { atMs: toMs, belief, rival, before, carriedKg }
}

/** The runner after so much came aboard, or left below 0, kg, with this variance, kg². */
export function withMass(runner: Runner, kg: number, varKg2: number): Runner {
  const { atMs, belief, rival, before, carriedKg } = runner
  return {
    atMs,
    belief: added(belief, kg, varKg2),
    rival: rival && added(rival, kg, varKg2),
    before: before && added(before, kg, varKg2),
    carriedKg: carriedKg === undefined ? undefined : carriedKg + kg
  }
}

/** Which part of a span lies after one instant and up to another; an instant lies there whole or not at all. */
function partOf(beginMs: number, endMs: number, fromMs: number, toMs: number): number {
  if (!(endMs > beginMs)) return beginMs > fromMs && beginMs <= toMs ? 1 : 0
  return Math.max(0, Math.min(endMs, toMs) - Math.max(beginMs, fromMs)) / (endMs - beginMs)
}
