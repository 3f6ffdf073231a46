/** A ship that left, followed until it is down: where it goes, when, and with how much it gets there. */
import type { ShipView } from '../../contracts/view.ts'
import { beliefOf, burned, type Belief } from '../../filter/belief.ts'
import { LOW_SIDE, NOISE, readingVarKg2, wanderOf } from '../../filter/noise.ts'
import { recoveryKg } from '../../plan/limits.ts'
import { usableKg } from '../../tanks/sheet.ts'
import { advance } from '../course.ts'
import type { Scene } from './scene.ts'

/** Where a ship that left goes, and what it holds there before the approach. */
export function leftView(scene: Scene): ShipView['left'] {
  const { plan, crew, legs, nowMs } = scene
  const { ship, its, folded } = crew
  if (!its.left) return null
  const { baseId, atMs } = its.left
  const leg = legs.find((one) => one.kind === 'diverting')
  if (!leg || !plan.bases.has(baseId)) {
    return { baseId, atMs, arrivesAtMs: null, fuelOnArrivalKg: null, fuelOnArrivalLowKg: null, reserveKg: null }
  }
  const thereMs = Math.max(leg.toAtMs, nowMs)
  const there = advance(ship, legs, folded.anchor, thereMs)
  const fuelOnArrivalKg = usableKg(ship.sheet, there.state)
  return {
    baseId,
    atMs,
    arrivesAtMs: leg.toAtMs,
    fuelOnArrivalKg,
    fuelOnArrivalLowKg: Math.max(0, fuelOnArrivalKg - LOW_SIDE * sdOnArrivalKg(scene, thereMs)),
    // From the base itself nothing is left to burn but the approach.
    reserveKg: recoveryKg(plan, ship, leg.to, baseId) ?? null
  }
}

/**
 * Standard deviation of the fuel at an instant to come, kg: a reading's own, and that of the burn since the last call, or
 * since the start. Checked: tests/shared/live/left.test.ts.
 */
function sdOnArrivalKg({ crew, legs }: Scene, atMs: number): number {
  const { ship, record } = crew
  const sinceMs = record.findLast(({ kind, atMs: calledAtMs }) => kind === 'fuelCalled' && calledAtMs <= atMs)?.atMs
  const readKg = Math.sqrt(readingVarKg2(NOISE, ship.capacityKg, 0))
  let belief: Belief = beliefOf({ kg: 0, sdKg: readKg }, { mean: 1, sd: NOISE.burnFactorSd })
  for (const leg of legs) {
    const durationS = (Math.min(leg.toAtMs, atMs) - Math.max(leg.fromAtMs, sinceMs ?? -Infinity)) / 1000
    if (durationS > 0 && leg.burnKgPerS > 0) {
      belief = burned(belief, { flowKgPerS: leg.burnKgPerS, durationS }, wanderOf(NOISE))
    }
  }
  return Math.sqrt(belief.fuelVarKg2)
}
