import { describe, expect, it } from 'vitest'
import { alongLeg, bearingRad, distanceM, legOf, midpoint } from '../../shared/geodesy.ts'

const at = (latitudeDeg: number, longitudeDeg: number): { latitudeDeg: number; longitudeDeg: number } => ({
  latitudeDeg,
  longitudeDeg
})

describe('shortest paths', () => {
  it('are halved and quartered by length', () => {
    // Constructed: across an ocean, and past the antimeridian.
    for (const [from, to] of [
      [at(40.6, -73.8), at(51.6, -0.5)],
      [at(52, 179), at(51, -179)]
    ] as const) {
      const half = midpoint(from, to)
      expect(distanceM(from, half)).toBeCloseTo(distanceM(half, to), 5)
      expect(distanceM(from, alongLeg(from, to, 0.25)) / distanceM(from, to)).toBeCloseTo(0.25, 9)
    }
  })

  it('give one length and one first course, asked either way', () => {
    const [from, to] = [at(54.5, 1), at(55.2, 3.5)]
    const leg = legOf(from, to)
    expect(leg.distanceM).toBeCloseTo(distanceM(from, to), 6)
    expect(leg.courseAt(0)).toBeCloseTo(bearingRad(from, to), 12)
    expect(bearingRad(to, from)).toBeGreaterThan(Math.PI)
  })

  it('have no length between one position and itself', () => {
    expect(distanceM(at(51, 2), at(51, 2))).toBe(0)
  })
})
