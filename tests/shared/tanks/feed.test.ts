import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { feed, feedDownTo, feedPieces, feedUntil, measured, type Measure } from '../../../shared/tanks/feed.ts'
import {
  countedKg,
  fullState,
  startState,
  totalKg,
  usableKg,
  type Sheet,
  type TankState
} from '../../../shared/tanks/sheet.ts'
import { anyShip, group, holding, kelp, rate, sheet, troubled } from './ships.ts'
import { stepped } from './steps.ts'

const burn = rate(0.2, 4)
const seconds = fc.double({ min: 1, max: 6000, noNaN: true })

describe('feeding the engines', () => {
  it('empties the constructed ship in its order, at times worked out by hand', () => {
    // Constructed. 6000 kg aboard, 1.1 kg/s: externals hold 2 x 642 usable, wings 2 x 1485, feed 900 down to the mark
    // of 500, fin 795, feed 500 down to 20. Each stage gives more than the engines drink, so times are masses over 1.1.
    const { state, events, starvedAtS } = feed(kelp, startState(kelp, 6000, 'selected'), 1.1, 6000)
    const times = [1284, 4254, 4654, 5449, 5929].map((kg) => kg / 1.1)
    expect(events.map(({ kind, group: g }) => [kind, g])).toEqual([
      ['group dry', 3],
      ['externals dry', 3],
      ['group dry', 1],
      ['reserve released', 2],
      ['group dry', 2],
      ['group dry', 0]
    ])
    const expected = [times[0], times[0], times[1], times[2], times[3], times[4]]
    events.forEach(({ atS }, index) => {
      expect(atS).toBeCloseTo(expected[index] ?? NaN, 6)
    })
    expect(starvedAtS).toBeUndefined()
    expect(state.externals).toBe('off')
    expect(state.proven).toEqual([true, true, true, true])
    expect(usableKg(kelp, state)).toBe(0)
  })

  it('fills the feed group at the transfer rate and then gives what the engines drink', () => {
    // Constructed. Feed 100 of 400, stage gives 3, engines drink 1: full after 150 s, stage then at 1 kg/s.
    const of = sheet([group({ role: { kind: 'feed' }, capacityKg: 400 }), group({ transferRateKgPerS: 3 })])
    expect(feed(of, holding(of, [100, 1000]), 1, 150).state.quantitiesKg).toEqual([[400], [550]])
    expect(feed(of, holding(of, [100, 1000]), 1, 250).state.quantitiesKg).toEqual([[400], [450]])
  })

  it('scales groups of one stage by one factor when they would overfill', () => {
    const of = sheet([
      group({ role: { kind: 'feed' }, capacityKg: 400 }),
      group({ transferRateKgPerS: 3 }),
      group({ transferRateKgPerS: 1 })
    ])
    expect(feed(of, holding(of, [400, 1000, 1000]), 2, 100).state.quantitiesKg).toEqual([[400], [850], [950]])
  })

  it('keeps silenced groups silent while externals are selected, and not when they are held', () => {
    const full = fullState(kelp, 'selected')
    expect(feed(kelp, full, 1, 100).state.quantitiesKg[1]).toEqual([1500, 1500])
    const held = feed(kelp, { ...full, externals: 'held' }, 1, 100).state
    expect(held.quantitiesKg[1]).toEqual([1450, 1450])
    expect(held.quantitiesKg[3]).toEqual([1000, 1000])
    expect(held.proven[3]).toBe(false)
  })

  it('says when the feed group starves while others hold fuel', () => {
    // Constructed. Stage gives 0.5 of the 2 drunk: feed 300 falls by 1.5 kg/s, dry after 200 s, the stage still holds 900.
    const of = sheet([group({ role: { kind: 'feed' }, capacityKg: 300 }), group({ transferRateKgPerS: 0.5 })])
    const { events, starvedAtS, state } = feed(of, holding(of, [300, 1000]), 2, 400)
    expect(starvedAtS).toBe(200)
    expect(events).toContainEqual({ atS: 200, kind: 'starved', group: 0 })
    expect(state.quantitiesKg[1]?.[0]).toBeCloseTo(800, 9)
    expect(feedUntil(of, holding(of, [300, 1000]), 2, 'usable', 0, 400)).toBe(200)
    expect(feedUntil(of, holding(of, [300, 1000]), 2, 'usable', 950, 400)).toBeCloseTo(175, 9)
  })

  it('starves when all that is left is held outside', () => {
    const of = sheet([group({ role: { kind: 'feed' }, capacityKg: 300 }), group({ place: 'external' })])
    const held = holding(of, [300, 500], { externals: 'held' })
    expect(feed(of, held, 1, 500).starvedAtS).toBe(300)
  })

  it('takes nothing from a tank that does not give, and says so by an earlier end', () => {
    const stuck = troubled(fullState(kelp, 'off'), 1, 0, 'not giving')
    const { state } = feed(kelp, stuck, 1, 1000)
    expect(state.quantitiesKg[1]).toEqual([1500, 500])
  })

  it('agrees with a fine time-step integration on any ship', () => {
    fc.assert(
      fc.property(anyShip, burn, fc.double({ min: 100, max: 6000, noNaN: true }), (ship, burnKgPerS, durationS) => {
        const exact = feed(ship.sheet, ship.state, burnKgPerS, durationS).state.quantitiesKg
        const rough = stepped(ship.sheet, ship.state, burnKgPerS, durationS)
        exact.forEach((tanks, g) => {
          tanks.forEach((kg, i) => {
            expect(Math.abs(kg - (rough[g]?.[i] ?? NaN))).toBeLessThan(1e-4)
          })
        })
      }),
      { numRuns: 200 }
    )
  })

  it('conserves mass on any ship: what is gone was drunk, unless it starved', () => {
    fc.assert(
      fc.property(anyShip, burn, seconds, ({ sheet: of, state }, burnKgPerS, durationS) => {
        const after = feed(of, state, burnKgPerS, durationS)
        const drunkKg = totalKg(of, state) - totalKg(of, after.state)
        const wantedKg = burnKgPerS * durationS
        expect(drunkKg).toBeLessThanOrEqual(wantedKg + 1e-6)
        if (usableKg(of, after.state) > 1e-6 && after.starvedAtS === undefined) expect(drunkKg).toBeCloseTo(wantedKg, 5)
        for (const [g, tanks] of after.state.quantitiesKg.entries()) {
          for (const kg of tanks) {
            expect(kg).toBeGreaterThanOrEqual(0)
            expect(kg).toBeLessThanOrEqual((of.groups[g]?.capacityKg ?? 0) + 1e-9)
          }
        }
      })
    )
  })

  it('is the same in one run as in two halves', () => {
    fc.assert(
      fc.property(anyShip, burn, seconds, seconds, ({ sheet: of, state }, burnKgPerS, firstS, secondS) => {
        const once = feed(of, state, burnKgPerS, firstS + secondS).state
        const twice = feed(of, feed(of, state, burnKgPerS, firstS).state, burnKgPerS, secondS).state
        expect(twice.externals).toBe(once.externals)
        once.quantitiesKg.forEach((tanks, g) => {
          tanks.forEach((kg, i) => {
            expect(twice.quantitiesKg[g]?.[i]).toBeCloseTo(kg, 5)
          })
        })
      })
    )
  })

  it('refuses burns and times below zero or without end', () => {
    const full = fullState(kelp, 'selected')
    expect(() => feed(kelp, full, -1, 1)).toThrow('burnKgPerS must be at least 0, is -1')
    expect(() => feed(kelp, full, 1, Infinity)).toThrow('durationS must be at least 0, is Infinity')
    expect(() => feedUntil(kelp, full, 1, 'total', 0, NaN)).toThrow(RangeError)
  })
})

describe('the instant a measure falls to a level', () => {
  const held = (measure: Measure, of: Sheet, state: TankState): number =>
    measure === 'total' ? totalKg(of, state) : measure === 'usable' ? usableKg(of, state) : countedKg(of, state)

  it('is 0 when it is there already and undefined when it stays above', () => {
    const full = fullState(kelp, 'off')
    expect(feedUntil(kelp, full, 1, 'counted', 4645, 100)).toBe(0)
    expect(feedUntil(kelp, full, 1, 'counted', 4000, 100)).toBeUndefined()
    expect(feedUntil(kelp, full, 1, 'counted', 4000, 1000)).toBeCloseTo(645, 9)
  })

  it('counts selected externals from the moment they give', () => {
    // Counted is 4645 before, 4645 + 1984 once the pylons give: 4700 is passed when 1929 kg are drunk.
    expect(feedUntil(kelp, fullState(kelp, 'selected'), 1, 'counted', 4644, 9000)).toBeCloseTo(1985, 6)
  })

  it('is where feed() says the measure is at the level, on any ship', () => {
    fc.assert(
      fc.property(
        anyShip,
        burn,
        fc.constantFrom<Measure>('total', 'usable', 'counted'),
        fc.double({ min: 0.05, max: 0.95, noNaN: true }),
        ({ sheet: of, state }, burnKgPerS, measure, share) => {
          const levelKg = share * held(measure, of, state)
          fc.pre(levelKg > 1)
          const atS = feedUntil(of, state, burnKgPerS, measure, levelKg, 20_000)
          if (atS === undefined) {
            expect(held(measure, of, feed(of, state, burnKgPerS, 20_000).state)).toBeGreaterThan(levelKg - 1e-6)
            return
          }
          const then = feed(of, state, burnKgPerS, atS)
          if (then.starvedAtS !== undefined || measure !== 'total') {
            const starvedS = feed(of, state, burnKgPerS, atS + 1e-3).starvedAtS
            if (starvedS !== undefined && Math.abs(starvedS - atS) < 1e-6) return
          }
          expect(held(measure, of, then.state)).toBeCloseTo(levelKg, 5)
          if (atS > 1) expect(held(measure, of, feed(of, state, burnKgPerS, atS - 0.5).state)).toBeGreaterThan(levelKg)
        }
      ),
      { numRuns: 300 }
    )
  })
})

describe('the low-level light of the feed group', () => {
  it('comes on when the whole group falls through its mark, and again after it rose', () => {
    // Constructed. Feed 400 alone at 1 kg/s falls to 250 after 150 s.
    const of = sheet([group({ role: { kind: 'feed' }, tankCount: 2, capacityKg: 400 }), group({})], {
      feedLowMarkKg: 250
    })
    const low = (kg: number[], seconds: number): number[] =>
      feed(of, holding(of, kg), 1, seconds).events.flatMap(({ kind, atS }) => (kind === 'feed low' ? [atS] : []))
    expect(low([200, 0], 149)).toEqual([])
    expect(low([200, 0], 151)).toEqual([150])
    // Already on: nothing comes on. The stage raises it by 2 kg/s from 240 to 340 in 50 s, then it falls.
    expect(low([120, 0], 100)).toEqual([])
    const again = low([120, 150], 400)
    expect(again).toHaveLength(1)
    expect(again[0]).toBeCloseTo(50 + 90, 6)
  })

  it('looks at what a stuck feed tank holds as well', () => {
    const of = sheet([group({ role: { kind: 'feed' }, tankCount: 2, capacityKg: 400 })], { feedLowMarkKg: 250 })
    const stuck = troubled(holding(of, [200]), 0, 1, 'not giving')
    const { events } = feed(of, stuck, 1, 180)
    expect(events).toEqual([{ atS: 150, kind: 'feed low', group: 0 }])
  })

  it('comes on at the very end of a run, and only once over runs that follow each other', () => {
    const of = sheet([group({ role: { kind: 'feed' }, capacityKg: 400 })], { feedLowMarkKg: 250 })
    const first = feed(of, holding(of, [400]), 1, 150)
    expect(first.events).toEqual([{ atS: 150, kind: 'feed low', group: 0 }])
    expect(feed(of, first.state, 1, 50).events).toEqual([])
  })

  it('says nothing on a sheet without a mark', () => {
    const of = sheet([group({ role: { kind: 'feed' }, capacityKg: 400 })])
    expect(feed(of, holding(of, [400]), 1, 390).events).toEqual([])
  })
})

describe('a ship taken down to a level', () => {
  it('is what feed() says it is at the instant that feedUntil() finds, on any ship', () => {
    let found = 0
    fc.assert(
      fc.property(
        anyShip,
        burn,
        fc.constantFrom<Measure>('total', 'usable', 'counted'),
        fc.double({ min: 0.05, max: 0.95, noNaN: true }),
        ({ sheet: of, state }, burnKgPerS, measure, share) => {
          const levelKg = share * measured(of, state, measure)
          const reached = feedDownTo(of, state, burnKgPerS, { measure, levelKg }, 20_000)
          expect(reached?.atS).toBe(feedUntil(of, state, burnKgPerS, measure, levelKg, 20_000))
          if (reached === undefined) return
          found++
          const then = feed(of, state, burnKgPerS, reached.atS).state
          reached.state.quantitiesKg.flat().forEach((kg, tank) => {
            expect(kg).toBeCloseTo(
              state.troubles.flat()[tank] === 'gone' ? kg : (then.quantitiesKg.flat()[tank] ?? NaN),
              5
            )
          })
        }
      ),
      { numRuns: 300 }
    )
    expect(found).toBeGreaterThan(100)
  })
})

describe('the course of feeding in pieces', () => {
  it('covers the whole time without gaps and ends where feed() does', () => {
    fc.assert(
      fc.property(anyShip, burn, seconds, ({ sheet: of, state }, burnKgPerS, durationS) => {
        const pieces = feedPieces(of, state, burnKgPerS, durationS)
        let atS = 0
        for (const piece of pieces) {
          expect(piece.fromS).toBe(atS)
          atS = piece.toS
        }
        expect(atS).toBe(durationS)
        const last = pieces.at(-1)
        if (last === undefined) throw new Error('no pieces')
        const end = last.quantitiesKg.map((kg, tank) => kg + (last.rateKgPerS[tank] ?? 0) * (last.toS - last.fromS))
        feed(of, state, burnKgPerS, durationS)
          .state.quantitiesKg.flat()
          .forEach((kg, tank) => {
            expect(end[tank]).toBeCloseTo(kg, 6)
          })
      })
    )
  })
})
