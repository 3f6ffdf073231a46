import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { feed, feedUntil } from '../../../shared/tanks/feed.ts'
import { bothEnds, gaugeAtLevel, readingOf, withReading } from '../../../shared/tanks/reading.ts'
import {
  capacityKg,
  countedKg,
  externalKg,
  fullState,
  gaugeKg,
  internalKg,
  startState,
  totalKg,
  usableKg,
  type Sheet,
  type TankState
} from '../../../shared/tanks/sheet.ts'
import { anyShip, group, holding, kelp, rate, sheet, troubled } from './ships.ts'

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

describe('what a figure of an internal gauge tells of the externals', () => {
  // Constructed: inside 4700 kg, band 4550 to 4650, below 4300 they give no more; pylons 2 x 1000.
  const banded: Sheet = {
    ...kelp,
    gauge: 'internal',
    gaugeBandKg: { lowKg: 4550, highKg: 4650 },
    notGivingBelowKg: 4300
  }
  const full = fullState(banded, 'selected')

  it('is the band at its low end and above, what is unclear below it', () => {
    expect(readingOf(banded, full, 4700)).toBe('in band')
    expect(readingOf(banded, full, 4600)).toBe('in band')
    expect(readingOf(banded, full, 4550)).toBe('in band')
    expect(readingOf(banded, full, 4549)).toBe('unclear')
    expect(readingOf(banded, full, 4300)).toBe('unclear')
  })

  it('is not giving below the mark while the carried fuel has them wet, empty once it has them dry', () => {
    expect(readingOf(banded, full, 4299)).toBe('not giving')
    // 1 % of 4700 kg is 47 kg: more than the gauge is wrong by is left, or less.
    expect(readingOf(banded, holding(banded, [900, 1500, 800, 8 + 24]), 4299)).toBe('not giving')
    expect(readingOf(banded, holding(banded, [900, 1500, 800, 8 + 23]), 4299)).toBe('empty')
    expect(readingOf(banded, holding(banded, [900, 1500, 800, 8]), 4299)).toBe('empty')
  })

  it('is empty after the plan put the switch off because they ran dry', () => {
    const dry = feed(banded, full, 1, 2500).state
    expect(dry.externals).toBe('off')
    expect(readingOf(banded, dry, gaugeKg(banded, dry))).toBe('empty')
    expect(readingOf(banded, dry, 4400)).toBe('unclear')
  })

  it('stays not giving while a tank that was called so holds fuel, and is in the band when that proves wrong', () => {
    const called = troubled(troubled(full, 3, 0, 'not giving'), 3, 1, 'not giving')
    const later = feed(banded, called, 1, 600).state
    expect(later.externals).toBe('off')
    expect(readingOf(banded, later, 4100)).toBe('not giving')
    // Carried inside 4100, shown 4600: it came from outside.
    expect(readingOf(banded, later, 4600)).toBe('in band')
    // Full inside after a contact tells nothing.
    expect(readingOf(banded, { ...called, externals: 'off' }, 4700)).toBe('not selected')
  })

  it('is nothing where there is nothing to tell', () => {
    expect(readingOf(kelp, full, 4000)).toBe('total gauge')
    const gone = troubled(troubled(full, 3, 0, 'gone'), 3, 1, 'gone')
    expect(readingOf(banded, gone, 4000)).toBe('no externals')
    expect(readingOf(banded, { ...full, externals: 'held' }, 4000)).toBe('not selected')
    expect(readingOf(banded, { ...full, externals: 'off' }, 4000)).toBe('not selected')
  })

  it('tells nothing while the inside, low from a hold, is still being filled as carried', () => {
    // Wet outside, selected; carried inside 900 + 2 x + 800. Three errors of 47 kg are 141 kg.
    const carried = (insideKg: number) => holding(banded, [900, (insideKg - 1700) / 2, 800, 700])
    expect(readingOf(banded, carried(4000), 3990)).toBe('filling')
    expect(readingOf(banded, carried(4000), 4400)).toBe('filling')
    expect(readingOf(banded, carried(4000), 4560)).toBe('in band')
    // At the mark of 4300 as carried: what is as far below as no gauge is wrong does not give.
    expect(readingOf(banded, carried(4300), 4160)).toBe('filling')
    expect(readingOf(banded, carried(4300), 4158)).toBe('not giving')
    expect(readingOf(banded, carried(4299), 3500)).toBe('filling')
    // In the band as carried, at 4550: below it is unclear, not expected.
    expect(readingOf(banded, carried(4550), 4408)).toBe('unclear')
    expect(readingOf(banded, carried(4549), 4350)).toBe('filling')
  })

  it('is never more than unclear on a sheet without the mark, or without a band', () => {
    const markless = { ...banded, notGivingBelowKg: undefined }
    expect(readingOf(markless, full, 4600)).toBe('in band')
    expect(readingOf(markless, full, 1000)).toBe('unclear')
    expect(readingOf({ ...banded, gaugeBandKg: undefined }, full, 4600)).toBe('unclear')
  })

  it('plans both ends of what is unclear: brim and rest, but for a tank known not to give', () => {
    const partly = troubled(holding(banded, [900, 1400, 800, 300]), 3, 1, 'not giving')
    const { full: brim, empty } = bothEnds(banded, partly)
    expect(brim.quantitiesKg).toEqual([[900], [1400, 1400], [800], [1000, 300]])
    expect(empty.quantitiesKg).toEqual([[900], [1400, 1400], [800], [8, 300]])
    expect(usableKg(banded, empty)).toBeLessThan(usableKg(banded, partly))
  })
})

describe('a level as the ship\u2019s own gauge shows it', () => {
  const internal: Sheet = { ...kelp, gauge: 'internal' }
  const full = fullState(kelp, 'selected')

  it('is what is left inside when it comes to it, by hand', () => {
    // Counted 2000 after the pylons are dry: inside 2000 and the rests of 55; a total gauge sees the pylons' 16 as well.
    expect(gaugeAtLevel(kelp, full, 1, 'counted', 2000)).toBeCloseTo(2071, 6)
    expect(gaugeAtLevel(internal, full, 1, 'counted', 2000)).toBeCloseTo(2055, 6)
    // Held pylons are full: a total gauge shows them and counted fuel does not.
    expect(gaugeAtLevel(kelp, { ...full, externals: 'held' }, 1, 'counted', 2000)).toBeCloseTo(4055, 6)
    expect(gaugeAtLevel(internal, { ...full, externals: 'held' }, 1, 'counted', 2000)).toBeCloseTo(2055, 6)
    // A level passed while the pylons give: the inside is full.
    expect(gaugeAtLevel(internal, full, 1, 'usable', 6000)).toBeCloseTo(4700, 6)
  })

  it('does not depend on the burn where every stage can feed it, nor on there being one', () => {
    for (const burnKgPerS of [0, 0.3, 2.5]) {
      expect(gaugeAtLevel(kelp, full, burnKgPerS, 'counted', 2000)).toBeCloseTo(2071, 6)
    }
  })

  it('below the level already is the gauge with what lacks put back, and none where that does not fit', () => {
    const low = holding(kelp, [500, 15, 800, 8], { proven: [true, true, true, true] })
    expect(countedKg(kelp, low)).toBe(480 + 795)
    expect(gaugeAtLevel(kelp, low, 1, 'counted', 1500)).toBeCloseTo(gaugeKg(kelp, low) + 225, 9)
    expect(gaugeAtLevel(internal, low, 1, 'counted', 1500)).toBeCloseTo(gaugeKg(internal, low) + 225, 9)
    // Inside is room for 3370 kg; what more is asked of usable fuel goes outside, where an internal gauge sees nothing.
    expect(gaugeAtLevel(internal, low, 1, 'usable', 1275 + 3370 + 100)).toBeCloseTo(4700, 9)
    expect(gaugeAtLevel(kelp, low, 1, 'usable', 1275 + 3370 + 100)).toBeCloseTo(gaugeKg(kelp, low) + 3470, 9)
    expect(gaugeAtLevel(kelp, { ...low, externals: 'held' }, 1, 'counted', 5000)).toBeUndefined()
    expect(gaugeAtLevel(kelp, low, 1, 'usable', 7000)).toBeUndefined()
  })

  it('is none where the engines can never come down to it', () => {
    const of = sheet([group({ role: { kind: 'feed' }, capacityKg: 300 }), group({ transferRateKgPerS: 0.5 })])
    expect(gaugeAtLevel(of, holding(of, [300, 1000]), 2, 'total', -1)).toBeUndefined()
  })

  it('is the gauge at the instant of the level, on any ship', () => {
    let found = 0
    fc.assert(
      fc.property(
        anyShip,
        rate(0.2, 4),
        fc.constantFrom('total' as const, 'usable' as const, 'counted' as const),
        fc.double({ min: 0.05, max: 0.95, noNaN: true }),
        fc.constantFrom('total' as const, 'internal' as const),
        ({ sheet: any, state }, burnKgPerS, measure, share, gauge) => {
          const of = { ...any, gauge }
          const measures = { total: totalKg, usable: usableKg, counted: countedKg }
          const levelKg = share * measures[measure](of, state)
          const atS = feedUntil(of, state, burnKgPerS, measure, levelKg, 86_400)
          const shownKg = gaugeAtLevel(of, state, burnKgPerS, measure, levelKg)
          if (atS === undefined || levelKg === 0) return
          found++
          expect(shownKg).toBeCloseTo(gaugeKg(of, feed(of, state, burnKgPerS, atS).state), 5)
        }
      ),
      { numRuns: 300 }
    )
    expect(found).toBeGreaterThan(100)
  })
})
