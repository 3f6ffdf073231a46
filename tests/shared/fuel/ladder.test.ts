import { describe, expect, it } from 'vitest'
import { ladderKg, weakestPoint, type ProofPiece } from '../../../shared/fuel/ladder.ts'
import { recoveryFuelKg, type Recovery } from '../../../shared/fuel/limits.ts'
import { alongLeg } from '../../../shared/geodesy.ts'
import truth from '../../truth/burn.json' with { type: 'json' }

describe('the fuel ladder', () => {
  it('is what the worked examples print', () => {
    for (const { inputs, expected, id } of truth.ladders) {
      const phases = inputs.steps.map((step) =>
        'mass' in step
          ? { durationS: 60, flowKgPerS: step.mass / 60 }
          : { durationS: step.time_min * 60, flowKgPerS: step.flow_per_h / 3600 }
      )
      const ladder = ladderKg(inputs.start, phases)
      expect(ladder.length, id).toBe(expected.length)
      ladder.forEach((kg, index) => {
        expect(kg, id).toBeCloseTo(expected[index] ?? NaN, 9)
      })
    }
  })
})

describe('the weakest point of a route', () => {
  const recovery: Recovery = {
    trueAirspeedMPerS: 200,
    wind: { fromRad: 4.2, speedMPerS: 35 },
    flowKgPerS: 0.8,
    approachKg: 200,
    reserveKg: 500
  }
  const west = { id: 'west', position: { latitudeDeg: 54, longitudeDeg: 0 } }
  const east = { id: 'east', position: { latitudeDeg: 54.3, longitudeDeg: 9 } }
  const out = { latitudeDeg: 54.5, longitudeDeg: 1 }
  const far = { latitudeDeg: 54.5, longitudeDeg: 8.5 }
  const crossing: ProofPiece = { fromS: 0, toS: 2400, fuelFromKg: 2600, fuelToKg: 2300, from: out, to: far }

  it('lies between two bases where they change places, as sampling finds', () => {
    const bases = [west, east]
    const found = weakestPoint([crossing], bases, recovery)
    let sampledKg = Infinity
    for (let atS = 0; atS <= 2400; atS += 2) {
      const position = alongLeg(out, far, atS / 2400)
      const leastKg = Math.min(...bases.map((base) => recoveryFuelKg(position, base.position, recovery) ?? Infinity))
      sampledKg = Math.min(sampledKg, 2600 - (300 * atS) / 2400 - leastKg)
    }
    expect(found?.atS).toBeGreaterThan(300)
    expect(found?.atS).toBeLessThan(2100)
    expect(Math.abs((found?.marginKg ?? NaN) - sampledKg)).toBeLessThan(2)
    expect(found?.marginKg).toBeCloseTo((found?.fuelKg ?? NaN) - (found?.recoveryKg ?? NaN), 9)
  })

  it('lies at the end of a leg away from the only base', () => {
    const found = weakestPoint([crossing], [west], recovery)
    expect(found).toMatchObject({ atS: 2400, baseId: 'west', fuelKg: 2300 })
  })

  it('lies at the end of a wait, and across pieces at the least of all', () => {
    const wait: ProofPiece = { fromS: 2400, toS: 4200, fuelFromKg: 2300, fuelToKg: 900, from: far, to: far }
    const filled: ProofPiece = { fromS: 4200, toS: 4800, fuelFromKg: 3000, fuelToKg: 2600, from: far, to: far }
    const found = weakestPoint([crossing, wait, filled], [west, east], recovery)
    expect(found).toMatchObject({ atS: 4200, fuelKg: 900, baseId: 'east' })
    expect(found?.marginKg).toBeCloseTo(900 - (recoveryFuelKg(far, east.position, recovery) ?? NaN), 9)
  })

  it('is unknown where no base is open or none can be reached', () => {
    expect(weakestPoint([crossing], [], recovery)).toBeUndefined()
    expect(weakestPoint([], [west], recovery)).toBeUndefined()
    const gale = { ...recovery, wind: { fromRad: 0, speedMPerS: 220 } }
    expect(
      weakestPoint([crossing], [{ ...west, position: { latitudeDeg: 60, longitudeDeg: 2 } }], gale)
    ).toBeUndefined()
  })
})
