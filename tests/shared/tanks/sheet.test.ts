import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  capacityKg,
  countedKg,
  defaultExternalFillRates,
  externalKg,
  fullState,
  gaugeKg,
  internalKg,
  startState,
  totalKg,
  trappedKg,
  ullageKg,
  usableKg
} from '../../../shared/tanks/sheet.ts'
import { anySheet, anyShip, group, holding, kelp, sheet, troubled } from './ships.ts'

describe('what the tanks hold', () => {
  // Constructed: 900 feed, 2 x 1500 wing, 800 fin, 2 x 1000 pylon; unusable 20, 2 x 15, 5, 2 x 8.
  const full = fullState(kelp, 'selected')

  it('sums capacity, internal and external fuel by hand', () => {
    expect(capacityKg(kelp)).toBe(6700)
    expect([totalKg(kelp, full), internalKg(kelp, full), externalKg(kelp, full)]).toEqual([6700, 4700, 2000])
  })

  it('counts usable fuel above the unusable rest of each tank', () => {
    expect(usableKg(kelp, full)).toBe(6700 - 20 - 30 - 5 - 16)
    expect(usableKg(kelp, holding(kelp, [10, 100, 0, 1000]))).toBe(2 * 85 + 2 * 992)
  })

  it('counts an external group for limits only when selected and seen to give', () => {
    expect(countedKg(kelp, full)).toBe(4645)
    const proven = { ...full, proven: [true, true, true, true] }
    expect(countedKg(kelp, proven)).toBe(4645 + 1984)
    expect(countedKg(kelp, { ...proven, externals: 'held' })).toBe(4645)
    expect(countedKg(kelp, { ...proven, externals: 'off' })).toBe(4645)
    expect(usableKg(kelp, { ...proven, externals: 'held' })).toBe(6629)
  })

  it('counts nothing of a tank that does not give, and says what is trapped in it', () => {
    const stuck = troubled({ ...full, proven: [true, true, true, true] }, 3, 1, 'not giving')
    expect(usableKg(kelp, stuck)).toBe(6629 - 992)
    expect(trappedKg(kelp, stuck, 3)).toBe(992)
    expect(trappedKg(kelp, stuck, 1)).toBe(0)
    expect(totalKg(kelp, stuck)).toBe(6700)
  })

  it('holds nothing in a tank that is gone', () => {
    const dropped = troubled(full, 3, 0, 'gone')
    expect([totalKg(kelp, dropped), usableKg(kelp, dropped), ullageKg(kelp, dropped)]).toEqual([5700, 5637, 0])
  })

  it('offers no ullage in a tank that does not take, nor in one that is shut because it does not give', () => {
    const empty = holding(kelp, [0, 0, 0, 0])
    expect(ullageKg(kelp, empty)).toBe(6700)
    expect(ullageKg(kelp, troubled(empty, 1, 0, 'not taking'))).toBe(5200)
    expect(ullageKg(kelp, troubled(empty, 3, 0, 'not giving'))).toBe(5700)
    const open = sheet([group({ role: { kind: 'feed' } }), group({ canShut: false })])
    expect(ullageKg(open, troubled(holding(open, [0, 0]), 1, 0, 'not giving'))).toBe(2000)
  })

  it('shows on an internal gauge what the internal tanks hold', () => {
    expect(gaugeKg(kelp, full)).toBe(6700)
    expect(gaugeKg({ ...kelp, gauge: 'internal' }, full)).toBe(4700)
  })

  it('orders counted, usable and total on any ship', () => {
    fc.assert(
      fc.property(anyShip, ({ sheet: of, state }) => {
        const counted = countedKg(of, state)
        const usable = usableKg(of, state)
        expect(counted).toBeLessThanOrEqual(usable + 1e-9)
        expect(usable).toBeLessThanOrEqual(totalKg(of, state) + 1e-9)
        expect(totalKg(of, state) + ullageKg(of, state)).toBeLessThanOrEqual(capacityKg(of) + 1e-6)
      })
    )
  })
})

describe('fill rates of external tanks that the sheet leaves out', () => {
  it('makes all externals together take a quarter of all internals, split by capacity', () => {
    // Common practice, no source. Internals take 12 + 2 x 16 = 44; a quarter is 11 over 2 x 1000 + 1 x 200 kg.
    const rates = defaultExternalFillRates([
      { place: 'internal', tankCount: 1, capacityKg: 900, fillRateKgPerS: 12 },
      { place: 'internal', tankCount: 2, capacityKg: 1500, fillRateKgPerS: 16 },
      { place: 'external', tankCount: 2, capacityKg: 1000 },
      { place: 'external', tankCount: 1, capacityKg: 200 }
    ])
    expect(rates).toEqual([undefined, undefined, 5, 1])
  })

  it('has nothing to say without external tanks', () => {
    expect(defaultExternalFillRates([{ place: 'internal', tankCount: 1, capacityKg: 1, fillRateKgPerS: 1 }])).toEqual([
      undefined
    ])
  })
})

describe('a ship at its start', () => {
  it('is drained in feed order: externals, wings, feed to the mark, fin, feed', () => {
    const at = (fuelKg: number): number[][] =>
      startState(kelp, fuelKg, 'selected').quantitiesKg.map((tanks) => tanks.map((kg) => Math.round(kg * 1e6) / 1e6))
    expect(at(6700)).toEqual([[900], [1500, 1500], [800], [1000, 1000]])
    expect(at(6000)).toEqual([[900], [1500, 1500], [800], [650, 650]])
    expect(at(4716)).toEqual([[900], [1500, 1500], [800], [8, 8]])
    expect(at(2716)).toEqual([[900], [500, 500], [800], [8, 8]])
    expect(at(1646)).toEqual([[800], [15, 15], [800], [8, 8]])
    expect(at(1346)).toEqual([[500], [15, 15], [800], [8, 8]])
    expect(at(946)).toEqual([[500], [15, 15], [400], [8, 8]])
    expect(at(451)).toEqual([[400], [15, 15], [5], [8, 8]])
  })

  it('leaves held externals full until the internals are empty', () => {
    const { quantitiesKg, proven } = startState(kelp, 3000, 'held')
    expect(quantitiesKg[3]).toEqual([1000, 1000])
    expect(proven).toEqual([true, true, true, false])
  })

  it('holds what was asked, on any sheet', () => {
    fc.assert(
      fc.property(anySheet, fc.double({ min: 0, max: 1, noNaN: true }), (of, share) => {
        const fuelKg = share * capacityKg(of)
        expect(totalKg(of, startState(of, fuelKg, 'selected'))).toBeCloseTo(fuelKg, 6)
      })
    )
  })

  it('refuses a negative mass and one that is no number', () => {
    expect(() => startState(kelp, -1, 'selected')).toThrow(RangeError)
    expect(() => startState(kelp, NaN, 'selected')).toThrow('figureKg must be at least 0, is NaN')
  })
})
