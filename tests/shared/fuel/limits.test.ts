import { describe, expect, it } from 'vitest'
import {
  abortFuelKg,
  bingoKg,
  jokerKg,
  landingReserveKg,
  recoveryFuelKg,
  type Recovery
} from '../../../shared/fuel/limits.ts'
import { alongLeg, distanceM } from '../../../shared/geodesy.ts'
import rows from '../../truth/reserve.json' with { type: 'json' }

const base = { latitudeDeg: 54, longitudeDeg: 1 }
const recovery: Recovery = {
  trueAirspeedMPerS: 200,
  wind: { fromRad: 0, speedMPerS: 0 },
  flowKgPerS: 0.8,
  approachKg: 200,
  reserveKg: 500
}

describe('the landing reserve', () => {
  it('follows the published rules', () => {
    for (const { inputs, expected, id } of rows) {
      if ('share' in inputs) {
        const rule = {
          kind: 'share',
          share: inputs.share,
          plannedKg: Number(inputs.planned),
          floorKg: Number(inputs.floor)
        } as const
        expect(landingReserveKg(rule, 1), id).toBeCloseTo(expected, 9)
      } else expect(landingReserveKg({ kind: 'minutes', holdingS: expected * 60 }, 0.5), id).toBe(expected * 30)
    }
  })

  it('is the greatest of several, and 0 of none', () => {
    const minutes = { kind: 'minutes', holdingS: 1200 } as const
    const fixed = { kind: 'fixed', fuelKg: 700 } as const
    expect(landingReserveKg({ kind: 'greatest', of: [minutes, fixed] }, 0.5)).toBe(700)
    expect(landingReserveKg({ kind: 'greatest', of: [minutes, fixed] }, 0.6)).toBe(720)
    expect(landingReserveKg({ kind: 'greatest', of: [] }, 1)).toBe(0)
  })
})

describe('fuel to come home', () => {
  it('is burn to the base, approach and reserve', () => {
    const from = { latitudeDeg: 55, longitudeDeg: 4 }
    expect(recoveryFuelKg(from, base, recovery)).toBeCloseTo((distanceM(from, base) / 200) * 0.8 + 700, 9)
    expect(recoveryFuelKg(base, base, recovery)).toBe(700)
    const gale = { ...recovery, wind: { fromRad: Math.PI / 4, speedMPerS: 210 } }
    expect(recoveryFuelKg({ latitudeDeg: 53, longitudeDeg: 0 }, base, gale)).toBeUndefined()
  })

  it('asks most at a turn point of the orbit, in any wind', () => {
    const orbit = [
      { latitudeDeg: 55.2, longitudeDeg: 3.5 },
      { latitudeDeg: 55.2, longitudeDeg: 4.8 },
      { latitudeDeg: 55.5, longitudeDeg: 4.8 },
      { latitudeDeg: 55.5, longitudeDeg: 3.5 }
    ]
    for (let bearing = 0; bearing < 6.28; bearing += 0.5) {
      const windy = { ...recovery, wind: { fromRad: bearing, speedMPerS: 60 } }
      const abortKg = abortFuelKg(orbit, base, windy) ?? NaN
      for (let leg = 0; leg < orbit.length; leg++) {
        for (let share = 0; share < 1; share += 0.05) {
          const from = orbit[leg] ?? base
          const to = orbit[(leg + 1) % orbit.length] ?? base
          // Parallels bow by a few metres from shortest paths: a gram.
          expect(recoveryFuelKg(alongLeg(from, to, share), base, windy)).toBeLessThanOrEqual(abortKg + 1e-3)
        }
      }
    }
  })

  it('has no abort fuel when the wind bars the way from one turn point', () => {
    const gale = { ...recovery, wind: { fromRad: Math.PI, speedMPerS: 205 } }
    expect(abortFuelKg([base, { latitudeDeg: 55, longitudeDeg: 1 }], base, gale)).toBeUndefined()
    expect(() => abortFuelKg([], base, recovery)).toThrow(RangeError)
  })
})

describe('bingo and joker', () => {
  it('are the greatest recovery fuel ahead, and a briefed mass above it', () => {
    expect(bingoKg([900, 1300, 1100])).toBe(1300)
    expect(bingoKg([])).toBeUndefined()
    expect(jokerKg({ bingoKg: 1300, allowanceKg: 400 })).toBe(1700)
  })
})
