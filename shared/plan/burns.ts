/** Constant burns of a route's phases, from its ladder: what feed, fill, hold and order are worked out with. */
import { ladder, type LadderStep } from '../fuel/ladder.ts'
import type { Weighing } from './brief.ts'

export interface RoutePhase {
  durationS: number
  /** With drag, at the reference weight where the sheet has one. */
  flowKgPerS: number
  /** A refuelling: it lasts as long as the order makes it, and from then on the ladder counts a full ship. */
  fullAfter: boolean
  /** Fuel is given whole: it does not grow with weight. */
  lump: boolean
}

/**
 * Burn of each phase, kg/s. Where flows grow with weight the weight is that of the ladder from the start fuel; at a
 * refuelling the ship counts as full, the heaviest it can be, so that no need after it comes out too low.
 */
export function flownBurnsKgPerS(
  phases: readonly RoutePhase[],
  ship: { startKg: number; fullKg: number; weighing: Weighing | undefined }
): readonly number[] {
  const { weighing } = ship
  if (!weighing) return phases.map((phase) => phase.flowKgPerS)
  const burns: number[] = []
  let kg = ship.startKg
  for (const phase of phases) {
    if (phase.fullAfter) kg = ship.fullKg
    // A phase without length burns at the weight it is met with.
    const step: LadderStep = phase.lump
      ? { kind: 'lump', durationS: phase.durationS, fuelKg: phase.flowKgPerS * phase.durationS }
      : { kind: 'flow', durationS: phase.durationS, flowKgPerS: phase.flowKgPerS }
    const { fuelKg, burnsKgPerS } = ladder(kg, [step], weighing)
    burns.push(
      phase.durationS > 0
        ? (burnsKgPerS[0] ?? 0)
        : (phase.flowKgPerS * (weighing.zeroFuelKg + kg)) / weighing.referenceKg
    )
    kg = fuelKg.at(-1) ?? kg
  }
  return burns
}
