import { describe, expect, it } from 'vitest'
import { draggedFlowKgPerS, legTimeS } from '../../../shared/fuel/burn.ts'
import { groundSpeedMPerS } from '../../../shared/fuel/wind.ts'
import { alongLeg, bearingRad, distanceM, legOf } from '../../../shared/geodesy.ts'
import { speedMPerS } from '../../../shared/units.ts'
import truth from '../../truth/burn.json' with { type: 'json' }

const calm = { fromRad: 0, speedMPerS: 0 }

describe('time along a leg', () => {
  it('is what the worked examples print, without wind', () => {
    for (const { inputs, expected, id } of truth.legs) {
      // A leg of that length along the equator.
      const from = { latitudeDeg: 0, longitudeDeg: 0 }
      const lengthM = inputs.distance_nm * 1852
      const to = alongLeg(
        from,
        { latitudeDeg: 0, longitudeDeg: 10 },
        lengthM / distanceM(from, { latitudeDeg: 0, longitudeDeg: 10 })
      )
      const timeS = legTimeS(from, to, {
        trueAirspeedMPerS: speedMPerS({ value: inputs.GS_kt, unit: 'kt' }),
        wind: calm
      })
      const printed =
        typeof expected === 'number'
          ? expected * 3600
          : expected.ete.split('+').reduce((total, part) => total * 60 + Number(part), 0)
      expect(Math.abs((timeS ?? NaN) - printed), id).toBeLessThan(0.01)
    }
  })

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
      const flow = 'flow' in inputs ? inputs.flow : inputs.flow_kg_h
      expect(Math.abs((flow / 3600) * inputs.time_min * 60 - expected), id).toBeLessThanOrEqual(tolerance.abs)
    }
  })

  it('is multiplied by the drag of each thing carried', () => {
    expect(draggedFlowKgPerS(0.8, [])).toBe(0.8)
    expect(draggedFlowKgPerS(0.8, [1.1, 1.05])).toBeCloseTo(0.924, 12)
  })
})
