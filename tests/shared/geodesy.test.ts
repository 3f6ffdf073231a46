import { describe, expect, it } from 'vitest'
import { alongLeg, bearingRad, distanceM, legOf, midpoint } from '../../shared/geodesy.ts'
import rows from '../truth/geodesy.json' with { type: 'json' }

const DEG = 180 / Math.PI
const at = (latitudeDeg: number, longitudeDeg: number): { latitudeDeg: number; longitudeDeg: number } => ({
  latitudeDeg,
  longitudeDeg
})
const turned = (deg: number): number => ((deg % 360) + 360) % 360

describe('shortest paths', () => {
  it('have the published lengths and courses', () => {
    let checked = 0
    for (const { inputs, expected, id } of rows) {
      if (inputs.lat2 === undefined) continue
      const from = at(inputs.lat1, inputs.lon1)
      const to = at(inputs.lat2, inputs.lon2)
      const lengthM = typeof expected === 'number' ? expected : (expected.s12_m ?? NaN)
      expect(Math.abs(distanceM(from, to) - lengthM), id).toBeLessThan(typeof expected === 'number' ? 1e-3 : 1e-5)
      expect(Math.abs(legOf(from, to).distanceM - lengthM), id).toBeLessThan(typeof expected === 'number' ? 1e-3 : 1e-5)
      checked++
      if (typeof expected === 'number') continue
      expect(Math.abs(bearingRad(from, to) * DEG - turned(expected.azi1 ?? NaN)), id).toBeLessThan(1e-9)
      expect(Math.abs(legOf(from, to).courseAt(1) * DEG - turned(expected.azi2)), id).toBeLessThan(1e-9)
    }
    expect(checked).toBeGreaterThanOrEqual(19)
  })

  it('go through the published points', () => {
    const direct = rows.filter(({ inputs }) => inputs.lat2 === undefined)
    expect(direct.length).toBeGreaterThanOrEqual(2)
    for (const { inputs, expected, id } of direct) {
      if (typeof expected === 'number') throw new Error(`row ${id} has no point`)
      // The path from the start to the published point has the published length and first course.
      const from = at(inputs.lat1, inputs.lon1)
      const to = at(expected.lat2 ?? NaN, expected.lon2 ?? NaN)
      expect(Math.abs(distanceM(from, to) - (inputs.s12_m ?? NaN)), id).toBeLessThan(2e-3)
      // Half of it is half way from both ends.
      const half = midpoint(from, to)
      expect(distanceM(from, half)).toBeCloseTo(distanceM(half, to), 5)
      expect(distanceM(from, alongLeg(from, to, 0.25)) / distanceM(from, to)).toBeCloseTo(0.25, 9)
    }
  })

  it('have no length between one position and itself', () => {
    expect(distanceM(at(51, 2), at(51, 2))).toBe(0)
  })
})
