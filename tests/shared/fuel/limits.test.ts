import { describe, expect, it } from 'vitest'
import { enduranceS } from '../../../shared/fuel/burn.ts'
import {
  abortFuelKg,
  bingoKg,
  jokerKg,
  landingReserve,
  landingReserveKg,
  recoveryFuelKg,
  ruling,
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
  const minutes = { kind: 'minutes', holdingS: 1200 } as const
  const fixed = { kind: 'fixed', fuelKg: 700 } as const

  it('is a share or its floor, whichever is more, as the fuel plan of a trainer prints it', () => {
    for (const { inputs, expected, id } of rows) {
      const { share, planned, floor } = inputs
      const rule = { kind: 'share', share, plannedKg: planned, floorKg: floor } as const
      expect(landingReserve(rule, 1).kg, id).toBeCloseTo(expected, 9)
    }
    expect(rows.map(({ inputs }) => inputs.planned)).toEqual([580, 700])
  })

  it('names what asks for most: the rule of several, the share or its floor', () => {
    // Constructed.
    const share = { kind: 'share', share: 0.1, plannedKg: 8000, floorKg: 300, floorHoldingS: 1200 } as const
    expect(landingReserve(minutes, 0.5)).toEqual({ kg: 600, by: 'minutes', ruleIndex: undefined })
    expect(landingReserve(share, 0.5)).toEqual({ kg: 800, by: 'share', ruleIndex: undefined })
    expect(landingReserve(share, 0.7)).toEqual({ kg: 840, by: 'floor', ruleIndex: undefined })
    expect(landingReserve({ ...share, plannedKg: 0 }, 0.1)).toEqual({ kg: 300, by: 'floor', ruleIndex: undefined })
    const several = { kind: 'greatest', of: [minutes, fixed, share] } as const
    expect(landingReserve(several, 0.5)).toEqual({ kg: 800, by: 'share', ruleIndex: 2 })
    expect(landingReserve({ kind: 'greatest', of: [minutes, fixed] }, 0.5)).toMatchObject({ by: 'fixed', ruleIndex: 1 })
    expect(landingReserve({ kind: 'greatest', of: [fixed, minutes, fixed] }, 0.1).ruleIndex).toBe(0)
  })

  it('is the greatest of several, and 0 of none', () => {
    expect(landingReserveKg({ kind: 'greatest', of: [minutes, fixed] }, 0.5)).toBe(700)
    expect(landingReserveKg({ kind: 'greatest', of: [minutes, fixed] }, 0.6)).toBe(720)
    expect(landingReserve({ kind: 'greatest', of: [] }, 1)).toEqual({ kg: 0, by: undefined, ruleIndex: undefined })
  })

  it('asks a rendezvous share by way of a control point, and nothing with none on the way', () => {
    // Constructed: 3,200 to the control point, 2,400 on to the field.
    const rule = { kind: 'rendezvous', share: 0.1, plannedKg: 3200 + 2400 } as const
    expect(landingReserve(rule, 1)).toEqual({ kg: 560, by: 'rendezvous', ruleIndex: undefined })
    expect(landingReserve({ ...rule, plannedKg: undefined }, 1).kg).toBe(0)
    const several = { kind: 'greatest', of: [{ kind: 'minutes', holdingS: 500 }, rule] } as const
    expect(landingReserve(several, 1)).toEqual({ kg: 560, by: 'rendezvous', ruleIndex: 1 })
  })

  it('lasts its minutes to the last drop where burn grows with weight', () => {
    const weighing = { zeroFuelKg: 11_000, referenceKg: 14_000 }
    const { kg } = landingReserve({ kind: 'minutes', holdingS: 1800 }, 0.8, weighing)
    expect(enduranceS({ fuelKg: kg, leftKg: 0, flowKgPerS: 0.8 }, weighing)).toBeCloseTo(1800, 6)
    expect(kg).toBeLessThan(1800 * 0.8)
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

  it('is counted back from landing where burn grows with weight', () => {
    const from = { latitudeDeg: 55, longitudeDeg: 4 }
    const weighing = { zeroFuelKg: 11_000, referenceKg: 14_000 }
    const kg = recoveryFuelKg(from, base, { ...recovery, weighing }) ?? NaN
    // Flown on from there by seconds, W' = -flow x W / reference.
    const timeS = distanceM(from, base) / 200
    const steps = Math.ceil(timeS)
    let weightKg = 11_000 + kg
    for (let i = 0; i < steps; i++) {
      const half = weightKg - (0.5 * timeS * 0.8 * weightKg) / steps / 14_000
      weightKg -= (timeS * 0.8 * half) / steps / 14_000
    }
    expect(weightKg - 11_000).toBeCloseTo(700, 4)
    // Lighter than the reference all the way home, it burns less than at the constant flow.
    expect(kg).toBeLessThan(recoveryFuelKg(from, base, recovery) ?? NaN)
    const heavier = { zeroFuelKg: 14_000, referenceKg: 14_000 }
    expect(recoveryFuelKg(from, base, { ...recovery, weighing: heavier })).toBeGreaterThan(
      recoveryFuelKg(from, base, recovery) ?? NaN
    )
  })

  it.each([
    ['at a constant burn', undefined],
    ['with a burn that grows with weight', { zeroFuelKg: 11_000, referenceKg: 14_000 }]
  ])('asks most at a turn point of the orbit, in any wind, %s', (_, weighing) => {
    const orbit = [
      { latitudeDeg: 55.2, longitudeDeg: 3.5 },
      { latitudeDeg: 55.2, longitudeDeg: 4.8 },
      { latitudeDeg: 55.5, longitudeDeg: 4.8 },
      { latitudeDeg: 55.5, longitudeDeg: 3.5 }
    ]
    for (let bearing = 0; bearing < 6.28; bearing += 0.5) {
      const windy = { ...recovery, weighing, wind: { fromRad: bearing, speedMPerS: 60 } }
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

describe('a limit set by hand', () => {
  it('rules from the computed value upwards, never below it', () => {
    expect(ruling({ computedKg: 1300 })).toMatchObject({ kg: 1300, by: 'computed', overruledKg: undefined })
    expect(ruling({ computedKg: 1300, byHandKg: 1500 })).toEqual({
      kg: 1500,
      by: 'hand',
      computedKg: 1300,
      byHandKg: 1500,
      overruledKg: undefined
    })
    expect(ruling({ computedKg: 1300, byHandKg: 1300 }).by).toBe('hand')
    // The computed one has risen above it.
    expect(ruling({ computedKg: 1600, byHandKg: 1500 })).toEqual({
      kg: 1600,
      by: 'computed',
      computedKg: 1600,
      byHandKg: 1500,
      overruledKg: 1500
    })
  })
})
