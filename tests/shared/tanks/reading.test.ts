import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { feed } from '../../../shared/tanks/feed.ts'
import { withReading } from '../../../shared/tanks/reading.ts'
import {
  capacityKg,
  externalKg,
  fullState,
  internalKg,
  startState,
  totalKg,
  type Sheet,
  type TankState
} from '../../../shared/tanks/sheet.ts'
import { anyShip, holding, kelp, troubled } from './ships.ts'

const rounded = (state: TankState): number[][] =>
  state.quantitiesKg.map((tanks) => tanks.map((kg) => Math.round(kg * 1e6) / 1e6))

describe('a gauge reading', () => {
  it('lower than carried drains in feed order', () => {
    const carried = startState(kelp, 5000, 'selected')
    expect(rounded(carried)).toEqual([[900], [1500, 1500], [800], [150, 150]])
    expect(rounded(withReading(kelp, carried, { figureKg: 4800, covers: 'total' }))).toEqual([
      [900],
      [1500, 1500],
      [800],
      [50, 50]
    ])
    expect(rounded(withReading(kelp, carried, { figureKg: 4516, covers: 'total' }))).toEqual([
      [900],
      [1400, 1400],
      [800],
      [8, 8]
    ])
  })

  it('higher than carried goes back the way it was drained', () => {
    const carried = startState(kelp, 1000, 'selected')
    for (const figureKg of [1200, 1800, 3000, 5000, 6700]) {
      expect(rounded(withReading(kelp, carried, { figureKg, covers: 'total' }))).toEqual(
        rounded(startState(kelp, figureKg, 'selected'))
      )
    }
  })

  it('never raises a tank above capacity', () => {
    const brim = withReading(kelp, startState(kelp, 1000, 'selected'), { figureKg: 9000, covers: 'total' })
    expect(rounded(brim)).toEqual([[900], [1500, 1500], [800], [1000, 1000]])
  })

  it('leaves held externals alone while the internals can make up the figure', () => {
    const held = holding(kelp, [900, 700, 800, 600], { externals: 'held' })
    const lower = withReading(kelp, held, { figureKg: 4000, covers: 'total' })
    expect(rounded(lower)).toEqual([[900], [550, 550], [800], [600, 600]])
    const higher = withReading(kelp, held, { figureKg: 5300, covers: 'total' })
    expect(rounded(higher)).toEqual([[900], [1200, 1200], [800], [600, 600]])
    const muchHigher = withReading(kelp, held, { figureKg: 6100, covers: 'total' })
    expect(rounded(muchHigher)).toEqual([[900], [1500, 1500], [800], [700, 700]])
  })

  it('of an internal gauge moves internals alone', () => {
    const carried = holding(kelp, [900, 1500, 800, 700])
    const lower = withReading(kelp, carried, { figureKg: 4000, covers: 'internal' })
    expect(rounded(lower)).toEqual([[900], [1150, 1150], [800], [700, 700]])
    expect(rounded(withReading(kelp, lower, { figureKg: 4700, covers: 'internal' }))).toEqual(rounded(carried))
  })

  it('below all that the engines can have takes idle tanks next and the unusable rests last', () => {
    const stuck = troubled(holding(kelp, [20, 15, 5, 500], { externals: 'off' }), 1, 0, 'not giving')
    expect(totalKg(kelp, stuck)).toBe(1055)
    expect(rounded(withReading(kelp, stuck, { figureKg: 555, covers: 'total' }))[3]).toEqual([250, 250])
    const rests = rounded(withReading(kelp, stuck, { figureKg: 35.5, covers: 'total' }))
    expect(rests).toEqual([[10], [7.5, 7.5], [2.5], [4, 4]])
  })

  it('is what the gauge then shows, on any ship and for any figure', () => {
    const shows = (of: Sheet, state: TankState, covers: 'total' | 'internal'): number =>
      covers === 'total' ? totalKg(of, state) : internalKg(of, state)
    fc.assert(
      fc.property(
        anyShip,
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.constantFrom('total' as const, 'internal' as const),
        ({ sheet: of, state }, share, covers) => {
          const brimKg = shows(
            of,
            { ...fullState(of, 'off'), troubles: state.troubles, quantitiesKg: fullState(of, 'off').quantitiesKg },
            covers
          )
          const figureKg = share * brimKg
          const read = withReading(of, state, { figureKg, covers })
          expect(shows(of, read, covers)).toBeCloseTo(figureKg, 6)
          if (covers === 'internal') expect(externalKg(of, read)).toBeCloseTo(externalKg(of, state), 9)
          read.quantitiesKg.forEach((tanks, g) => {
            for (const kg of tanks) {
              expect(kg).toBeGreaterThanOrEqual(0)
              expect(kg).toBeLessThanOrEqual((of.groups[g]?.capacityKg ?? 0) + 1e-9)
            }
          })
        }
      ),
      { numRuns: 300 }
    )
  })

  it('moves every tank one way only, on any ship', () => {
    fc.assert(
      fc.property(anyShip, fc.double({ min: 0, max: 1, noNaN: true }), ({ sheet: of, state }, share) => {
        const figureKg = share * capacityKg(of)
        const read = withReading(of, state, { figureKg, covers: 'total' })
        const way = Math.sign(figureKg - totalKg(of, state))
        read.quantitiesKg.forEach((tanks, g) => {
          tanks.forEach((kg, i) => {
            if (state.troubles[g]?.[i] === 'gone') return
            expect((kg - (state.quantitiesKg[g]?.[i] ?? NaN)) * way).toBeGreaterThanOrEqual(-1e-6)
          })
        })
      })
    )
  })

  it('that says what a slow burn left changes nothing worth naming', () => {
    // The feed path at a burn below every transfer rate is the drain path.
    for (const seconds of [500, 2000, 4000, 4800, 5600]) {
      const carried = feed(kelp, fullState(kelp, 'selected'), 1, seconds).state
      const drained = startState(kelp, totalKg(kelp, carried), 'selected')
      expect(rounded(drained)).toEqual(rounded(carried))
    }
  })

  it('refuses a figure below zero', () => {
    expect(() => withReading(kelp, fullState(kelp, 'off'), { figureKg: -5, covers: 'total' })).toThrow(
      'figureKg must be at least 0, is -5'
    )
  })
})
