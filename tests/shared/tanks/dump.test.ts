import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { dumpAllS, dumpFor, dumpTimeS, jettisoned } from '../../../shared/tanks/dump.ts'
import { feed } from '../../../shared/tanks/feed.ts'
import { fullState, totalKg, usableKg } from '../../../shared/tanks/sheet.ts'
import { anyDumpingShip, group, holding, kelp, rate, sheet, troubled } from './ships.ts'

describe('a dump', () => {
  // Constructed: the wings of the constructed ship, 2 x 1485 usable, at 11 kg/s together.
  const dumping = { ...kelp, dump: { rateKgPerS: 11, groups: [1] } }
  const full = fullState(dumping, 'selected')

  it('empties its groups down to the unusable rest at the rate of all together', () => {
    // Silent wings: 2970 kg at 11 kg/s are 270 s; meanwhile 1 kg/s comes from the pylons.
    expect(dumpAllS(dumping, full, 1)).toBeCloseTo(270, 6)
    const { state, dumpedKg, dumpDryAtS, events } = dumpFor(dumping, full, 1, 300)
    expect(state.quantitiesKg[1]).toEqual([15, 15])
    expect(state.quantitiesKg[0]).toEqual([900])
    expect(state.quantitiesKg[3]).toEqual([850, 850])
    expect(dumpedKg).toBeCloseTo(2970, 6)
    expect(dumpDryAtS).toBeCloseTo(270, 6)
    expect(events).toHaveLength(1)
    expect(events[0]).toMatchObject({ kind: 'group dry', group: 1 })
    expect(events[0]?.atS).toBeCloseTo(270, 6)
    expect(totalKg(kelp, state)).toBeCloseTo(6700 - 2970 - 300, 6)
  })

  it('is over sooner while its groups feed the engines as well', () => {
    // Switch off: wings give the 1 kg/s of the engines beside the 11.
    expect(dumpAllS(dumping, { ...full, externals: 'off' }, 1)).toBeCloseTo(2970 / 12, 6)
  })

  it('takes evenly from the tanks that still hold something', () => {
    // 100 kg and 400 kg above the rest: 5.5 kg/s each for 100 / 5.5 s, then 11 from the one left.
    const uneven = { ...full, quantitiesKg: [[900], [115, 415], [800], [1000, 1000]] }
    expect(dumpAllS(dumping, uneven, 0)).toBeCloseTo(500 / 11, 6)
    expect(dumpFor(dumping, uneven, 0, 200 / 11).state.quantitiesKg[1]?.[0]).toBeCloseTo(15, 6)
    expect(dumpFor(dumping, uneven, 0, 300 / 11).state.quantitiesKg[1]?.[1]).toBeCloseTo(215, 6)
  })

  it('takes so long down to a usable fuel, or does not get there', () => {
    // Usable 6629; dump and burn take 12 kg/s for 270 s at most: down to 3389.
    expect(dumpTimeS(dumping, full, 1, 6629)).toBe(0)
    expect(dumpTimeS(dumping, full, 1, 9000)).toBe(0)
    expect(dumpTimeS(dumping, full, 1, 4229)).toBeCloseTo(200, 6)
    expect(dumpTimeS(dumping, full, 1, 3400)).toBeCloseTo(3229 / 12, 6)
    expect(dumpTimeS(dumping, full, 1, 3380)).toBeUndefined()
    expect(dumpTimeS(kelp, full, 1, 3000)).toBeUndefined()
    const dry = holding(dumping, [900, 15, 800, 1000])
    expect(dumpTimeS(dumping, dry, 1, 1000)).toBeUndefined()
    expect(dumpAllS(dumping, dry, 1)).toBe(0)
    expect(dumpAllS(kelp, full, 1)).toBeNull()
  })

  it('leaves a tank that does not give alone, and one that is gone, and the feed group', () => {
    const stuck = troubled(full, 1, 0, 'not giving')
    expect(dumpFor(dumping, stuck, 0, 500).state.quantitiesKg[1]).toEqual([1500, 15])
    expect(dumpAllS(dumping, stuck, 0)).toBeCloseTo(135, 6)
    expect(dumpAllS(dumping, troubled(full, 1, 0, 'gone'), 0)).toBeCloseTo(135, 6)
    const all = { ...kelp, dump: { rateKgPerS: 11, groups: [0, 1] } }
    expect(dumpFor(all, full, 0, 500).state.quantitiesKg[0]).toEqual([900])
  })

  it('is as long as feed() says without anything to dump, and refuses a rate that is none', () => {
    expect(dumpFor(kelp, full, 1.1, 4000).state).toEqual(feed(kelp, full, 1.1, 4000).state)
    expect(dumpFor(kelp, full, 1.1, 4000).dumpedKg).toBe(0)
    const still = { ...kelp, dump: { rateKgPerS: 0, groups: [1] } }
    expect(() => dumpFor(still, full, 1, 10)).toThrow('dump rateKgPerS must be above 0, is 0')
    expect(() => dumpFor(dumping, full, -1, 10)).toThrow('burnKgPerS must be at least 0, is -1')
  })

  it('down to a usable fuel leaves just that, on any ship', () => {
    let reached = 0
    let dry = 0
    fc.assert(
      fc.property(
        anyDumpingShip,
        rate(0, 4),
        fc.double({ min: 0.4, max: 1, noNaN: true }),
        ({ sheet: of, state }, burnKgPerS, share) => {
          const levelKg = share * usableKg(of, state)
          const atS = dumpTimeS(of, state, burnKgPerS, levelKg)
          const allS = dumpAllS(of, state, burnKgPerS) ?? NaN
          const end = dumpFor(of, state, burnKgPerS, allS)
          if (atS === undefined) {
            dry++
            expect(usableKg(of, end.state)).toBeGreaterThan(levelKg - 1e-6)
            return
          }
          expect(atS).toBeLessThanOrEqual(allS + 1e-5)
          const then = dumpFor(of, state, burnKgPerS, atS)
          if (then.starvedAtS !== undefined || dumpFor(of, state, burnKgPerS, atS + 1e-3).starvedAtS !== undefined)
            return
          reached++
          expect(usableKg(of, then.state)).toBeCloseTo(levelKg, 5)
        }
      ),
      { numRuns: 400 }
    )
    expect(reached).toBeGreaterThan(30)
    expect(dry).toBeGreaterThan(30)
  })
})

describe('a jettison', () => {
  const full = fullState(kelp, 'selected')

  it('takes the tanks with all they hold, the unusable rest too', () => {
    const { state, lostKg, lostUsableKg } = jettisoned(kelp, full, [3])
    expect([lostKg, lostUsableKg]).toEqual([2000, 1984])
    expect(state.troubles[3]).toEqual(['gone', 'gone'])
    expect(totalKg(kelp, state)).toBe(4700)
    // Nothing outside any more: the wings give at once.
    expect(feed(kelp, state, 1, 100).state.quantitiesKg[1]).toEqual([1450, 1450])
  })

  it('loses nothing twice, and nothing usable with a tank that does not give', () => {
    const once = jettisoned(kelp, full, [3]).state
    expect(jettisoned(kelp, once, [3])).toMatchObject({ lostKg: 0, lostUsableKg: 0 })
    expect(jettisoned(kelp, full, [3, 3]).lostKg).toBe(2000)
    const stuck = troubled(full, 3, 0, 'not giving')
    expect(jettisoned(kelp, stuck, [3])).toMatchObject({ lostKg: 2000, lostUsableKg: 992 })
  })

  it('is refused for a group that cannot be jettisoned and for one that is not there', () => {
    expect(() => jettisoned(kelp, full, [1])).toThrow('group 1 cannot be jettisoned')
    expect(() => jettisoned(kelp, full, [9])).toThrow(RangeError)
    const fixed = sheet([group({ role: { kind: 'feed' } }), group({ place: 'external' })])
    expect(() => jettisoned(fixed, fullState(fixed, 'off'), [1])).toThrow('group 1 cannot be jettisoned')
  })
})
