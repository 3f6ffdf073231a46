import { ladder, type LadderStep } from '../../shared/fuel/ladder.ts'
import { interleaved, latencies, rowOf, type Row } from './timing.ts'

const BATCHES = 120
const START_KG = 8_000
const weighing = { zeroFuelKg: 11_000, referenceKg: 15_000 }

/** Twelve phases: four charted whole, the rest at a flow. */
const STEPS: readonly LadderStep[] = Array.from({ length: 12 }, (_, index) =>
  index % 3 === 1
    ? { kind: 'lump', durationS: 420, fuelKg: 160 }
    : { kind: 'flow', durationS: 600 + 60 * index, flowKgPerS: 0.4 + 0.05 * index }
)

/** The ladder of a ship whose burn grows with its weight, against the same closed form written out by hand. */
export function ladderRows(): Row[] {
  const ours = (): number => {
    const { fuelKg, burnsKgPerS } = ladder(START_KG, STEPS, weighing)
    return (fuelKg[12] ?? NaN) + (burnsKgPerS[11] ?? NaN)
  }
  if (Math.abs(ours() - bare()) > 1e-6) throw new Error('the bare ladder is not the same ladder')
  const times = interleaved({ ours, bare }, BATCHES)
  const us = (name: 'ours' | 'bare') => latencies(times[name].map((ms) => ms * 1_000))
  return [rowOf('ladder of 12 phases', 'µs', BATCHES, us('ours'), us('bare'))]
}

function bare(): number {
  let weightKg = weighing.zeroFuelKg + START_KG
  let rateKgPerS = 0
  for (const step of STEPS) {
    const burnedKg =
      step.kind === 'lump'
        ? step.fuelKg
        : weightKg * (1 - Math.exp((-step.flowKgPerS / weighing.referenceKg) * step.durationS))
    rateKgPerS = burnedKg / step.durationS
    weightKg -= burnedKg
  }
  return weightKg - weighing.zeroFuelKg + rateKgPerS
}
