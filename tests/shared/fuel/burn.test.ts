import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  burnedDownToKg,
  burnedFromKg,
  draggedFlowKgPerS,
  enduranceS,
  flowWithKgPerS,
  legTimeS
} from '../../../shared/fuel/burn.ts'
import { groundSpeedMPerS } from '../../../shared/fuel/wind.ts'
import { alongLeg, bearingRad, distanceM, legOf } from '../../../shared/geodesy.ts'
import truth from '../../truth/burn.json' with { type: 'json' }

describe('time along a leg', () => {
  it('agrees with many short legs in wind', () => {
    const from = { latitudeDeg: 58, longitudeDeg: 2 }
    const to = { latitudeDeg: 60, longitudeDeg: 10.5 }
    const wind = { fromRad: 5, speedMPerS: 45 }
    const parts = 2000
    let sumS = 0
    for (let i = 0; i < parts; i++) {
      const a = alongLeg(from, to, i / parts)
      const b = alongLeg(from, to, (i + 1) / parts)
      const ground = groundSpeedMPerS({
        trackRad: bearingRad(a, b),
        trueAirspeedMPerS: 210,
        windFromRad: wind.fromRad,
        windMPerS: wind.speedMPerS
      })
      sumS += distanceM(a, b) / (ground ?? NaN)
    }
    expect(legOf(from, to).distanceM).toBeGreaterThan(500_000)
    expect(Math.abs((legTimeS(from, to, { trueAirspeedMPerS: 210, wind }) ?? NaN) - sumS)).toBeLessThan(0.05)
  })

  it('is 0 to the same place and undefined against too much wind', () => {
    const from = { latitudeDeg: 50, longitudeDeg: 0 }
    const north = { latitudeDeg: 51, longitudeDeg: 0 }
    const gale = { fromRad: 0, speedMPerS: 100 }
    expect(legTimeS(from, from, { trueAirspeedMPerS: 90, wind: gale })).toBe(0)
    expect(legTimeS(from, north, { trueAirspeedMPerS: 90, wind: gale })).toBeUndefined()
    expect(legTimeS(north, from, { trueAirspeedMPerS: 90, wind: gale })).toBeCloseTo(distanceM(north, from) / 190, 6)
  })
})

describe('fuel flow', () => {
  it('burns what the worked examples print', () => {
    for (const { inputs, expected, tolerance, id } of truth.burns) {
      const stretch = { durationS: inputs.time_min * 60, flowKgPerS: inputs.flow / 3600 }
      expect(Math.abs(burnedFromKg(9000, stretch) - expected), id).toBeLessThanOrEqual(tolerance.abs)
      expect(burnedDownToKg(9000, stretch), id).toBe(burnedFromKg(9000, stretch))
    }
  })

  it('is multiplied by the drag of each thing carried', () => {
    expect(draggedFlowKgPerS(0.8, [])).toBe(0.8)
    expect(draggedFlowKgPerS(0.8, [1.1, 1.05])).toBeCloseTo(0.924, 12)
  })
  it('grows with weight where a weighing is given, and is as stated at the reference weight', () => {
    const weighing = { zeroFuelKg: 11_000, referenceKg: 14_000 }
    expect(flowWithKgPerS(3000, 0.8)).toBe(0.8)
    expect(flowWithKgPerS(3000, 0.8, weighing)).toBeCloseTo(0.8, 15)
    expect(flowWithKgPerS(6500, 0.8, weighing)).toBeCloseTo(1, 12)
    expect(() => flowWithKgPerS(3000, 0.8, { ...weighing, referenceKg: NaN })).toThrow(RangeError)
  })

  it('burns and lasts as one closed form, there and back', () => {
    const kg = fc.double({ min: 1, max: 20_000, noNaN: true })
    const flow = fc.double({ min: 0.01, max: 5, noNaN: true })
    const time = fc.double({ min: 1, max: 36_000, noNaN: true })
    const any = fc.option(
      fc.record({ zeroFuelKg: kg, referenceKg: fc.double({ min: 2000, max: 40_000, noNaN: true }) }),
      {
        nil: undefined
      }
    )
    fc.assert(
      fc.property(kg, flow, time, any, (leftKg, flowKgPerS, durationS, weighing) => {
        const neededKg = leftKg + burnedDownToKg(leftKg, { durationS, flowKgPerS }, weighing)
        const rest = neededKg - burnedFromKg(neededKg, { durationS, flowKgPerS }, weighing)
        expect(Math.abs(rest - leftKg)).toBeLessThanOrEqual(1e-12 * (neededKg + (weighing?.zeroFuelKg ?? 0)))
        const lasts = enduranceS({ fuelKg: neededKg, leftKg, flowKgPerS }, weighing)
        expect(Math.abs(lasts / durationS - 1)).toBeLessThan(1e-6)
      })
    )
    expect(enduranceS({ fuelKg: 900, leftKg: 1000, flowKgPerS: 1 })).toBe(0)
    expect(enduranceS({ fuelKg: 1000, leftKg: 900, flowKgPerS: 0 })).toBe(Infinity)
  })
})
