import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { fillCurve, onLoadAt, stopAt, stopTable, type FillTarget } from '../../../shared/tanks/fill.ts'
import {
  defaultExternalFillRates,
  fullState,
  totalKg,
  ullageKg,
  usableKg,
  type TankState
} from '../../../shared/tanks/sheet.ts'
import { anyShip, group, holding, kelp, rate, sheet, troubled } from './ships.ts'

const flow = { stationRateKgPerS: 1000, burnKgPerS: 0 }

describe('a contact', () => {
  it('gives the constructed ship what the hand calculation says, closing by closing', () => {
    // Constructed. Feed 500 of 900 at 12, wings 500 of 1500 at 15 each, fin full, pylons empty at 2 each, burn 1, cap 40.
    // Asked: 12 + 30 + 4 = 46, so all by 40/46. Feed gains 10.4348 - 1 = 9.4348: full after 42.3963 s.
    const start = holding(kelp, [500, 500, 800, 0])
    const curve = fillCurve(kelp, start, { stationRateKgPerS: 60, burnKgPerS: 1 })
    const t1 = 400 / (480 / 46 - 1)
    expect(curve.points[2]?.atS).toBeCloseTo(t1, 9)
    expect(curve.points[2]?.closes).toEqual([0])
    expect(curve.points[2]?.onLoadKg).toBeCloseTo(40 * t1, 9)
    // Then feed takes 1, the others ask 34 of 39: each at its own rate. Wings have 1000 - 600/46 t1 left at 15 each.
    const t2 = t1 + (1000 - (600 / 46) * t1) / 15
    expect(curve.points[3]?.atS).toBeCloseTo(t2, 9)
    expect(curve.points[3]?.closes).toEqual([1])
    expect(curve.kneeIndex).toBe(3)
    expect(curve.internalsFullAtS).toBeCloseTo(t2, 9)
    // The pylons take 80/46 for t1, then 2: full at 1000.
    const t3 = t1 + (1000 - (80 / 46) * t1) / 2
    expect(curve.points.at(-1)?.atS).toBeCloseTo(t3, 9)
    expect(curve.points.at(-1)?.closes).toEqual([3])
    expect(curve.points.at(-1)?.onLoadKg).toBeCloseTo(40 * t1 + 35 * (t2 - t1) + 5 * (t3 - t2), 8)
  })

  it('bends usable fuel where an empty tank passes its unusable rest', () => {
    const of = sheet([group({ role: { kind: 'feed' }, unusableKg: 20 })])
    const curve = fillCurve(of, holding(of, [0]), flow)
    expect(curve.points.map(({ atS, usableKg: kg }) => [atS, kg])).toEqual([
      [0, 0],
      [2, 0],
      [100, 980]
    ])
  })

  it('opens a group only when the one before it takes no more', () => {
    const of = sheet([group({ role: { kind: 'feed' } }), group({ fillsAfter: 0 })])
    expect(fillCurve(of, holding(of, [0, 0]), flow).points.map((point) => [point.atS, point.onLoadKg])).toEqual([
      [0, 0],
      [100, 1000],
      [200, 2000]
    ])
  })

  it('shuts a tank that does not give, or loses what goes into it where it cannot be shut', () => {
    const shut = sheet([group({ role: { kind: 'feed' } }), group({})])
    const start = holding(shut, [1000, 0])
    expect(fillCurve(shut, troubled(start, 1, 0, 'not giving'), flow).points).toHaveLength(1)
    const open = sheet([group({ role: { kind: 'feed' } }), group({ canShut: false })])
    const curve = fillCurve(open, troubled(start, 1, 0, 'not giving'), flow)
    expect(curve.points.at(-1)).toMatchObject({ onLoadKg: 1000, fuelKg: 2000, usableKg: 1000, lostKg: 1000 })
  })

  it('feeds the engines first when hardly anything can pass, and falls by what lacks', () => {
    const of = sheet([group({ role: { kind: 'feed' }, unusableKg: 10 }), group({})])
    const curve = fillCurve(of, holding(of, [1000, 0]), { stationRateKgPerS: 2, burnKgPerS: 3 })
    const end = curve.points.at(-1)
    expect(end?.atS).toBeCloseTo(990, 6)
    expect(end?.fuelKg).toBeCloseTo(10, 6)
    expect(end?.onLoadKg).toBeCloseTo(1980, 6)
  })

  it('leaves the externals unproven and their switch as it was', () => {
    const start: TankState = { ...holding(kelp, [0, 0, 0, 0]), externals: 'held', proven: [true, true, true, true] }
    const after = fillCurve(kelp, start, flow).stateAt(30)
    expect(after.proven).toEqual([true, true, true, false])
    expect(after.externals).toBe('held')
  })

  it('conserves mass and keeps every cap, on any ship', () => {
    fc.assert(
      fc.property(anyShip, rate(4, 100), rate(0, 3.9), ({ sheet: of, state }, stationRateKgPerS, burnKgPerS) => {
        const curve = fillCurve(of, state, { stationRateKgPerS, burnKgPerS })
        const arrivalKg = totalKg(of, state)
        const cap = Math.min(stationRateKgPerS, of.maxRateKgPerS)
        let before = curve.points[0]
        for (const point of curve.points) {
          expect(point.onLoadKg).toBeCloseTo(point.fuelKg - arrivalKg + burnKgPerS * point.atS, 5)
          const spanS = point.atS - (before?.atS ?? 0)
          expect(point.onLoadKg - (before?.onLoadKg ?? 0)).toBeLessThanOrEqual(cap * spanS + 1e-6)
          expect(point.usableKg).toBeGreaterThanOrEqual((before?.usableKg ?? 0) - 1e-6)
          before = point
        }
        expect(point(curve.stateAt(curve.points.at(-1)?.atS ?? 0))).toBeLessThanOrEqual(ullageKg(of, state) + 1e-6)
        function point(end: TankState): number {
          return totalKg(of, end) - arrivalKg
        }
      })
    )
  })

  it('says the same in its points as in its states', () => {
    fc.assert(
      fc.property(anyShip, fc.double({ min: 0, max: 1, noNaN: true }), ({ sheet: of, state }, share) => {
        const curve = fillCurve(of, state, { stationRateKgPerS: 50, burnKgPerS: 0.5 })
        const endS = curve.points.at(-1)?.atS ?? 0
        for (const { atS, fuelKg, usableKg: kg } of curve.points) {
          expect(totalKg(of, curve.stateAt(atS))).toBeCloseTo(fuelKg, 6)
          expect(usableKg(of, curve.stateAt(atS))).toBeCloseTo(kg, 6)
        }
        const atS = share * endS
        const gainKg = totalKg(of, curve.stateAt(atS)) - totalKg(of, state)
        expect(gainKg + 0.5 * atS).toBeCloseTo(onLoadAt(curve, atS), 5)
      })
    )
  })
})

describe('fuel that goes into tanks that do not give', () => {
  it('is part of the on-load and named as lost, by hand', () => {
    // Constructed. Three tanks of one group at 10 kg/s, none can be shut, one does not give: a third is lost.
    const of = sheet([group({ role: { kind: 'feed' } }), group({ tankCount: 3, canShut: false })])
    const start = troubled(holding(of, [1000, 400]), 1, 2, 'not giving')
    const stop = stopAt(fillCurve(of, start, flow), { kind: 'onLoad', onLoadKg: 900 })
    expect(stop.durationS).toBeCloseTo(30, 9)
    expect(stop.lostKg).toBeCloseTo(300, 9)
    expect(usableKg(of, stop.state) - usableKg(of, start)).toBeCloseTo(600, 9)
    expect(stopAt(fillCurve(of, start, flow), { kind: 'full' }).lostKg).toBeCloseTo(600, 9)
  })

  it('is none where such tanks are shut, or nothing is in trouble', () => {
    const of = sheet([group({ role: { kind: 'feed' } }), group({ tankCount: 3 })])
    const start = holding(of, [1000, 400])
    expect(stopAt(fillCurve(of, start, flow), { kind: 'full' }).lostKg).toBe(0)
    const shut = stopAt(fillCurve(of, troubled(start, 1, 2, 'not giving'), flow), { kind: 'full' })
    expect([shut.onLoadKg, shut.lostKg]).toEqual([1200, 0])
  })
})

describe('the slow part of a contact', () => {
  // One internal group of 4000 kg at 40 kg/s, one external tank of 2000 kg at a quarter of that, no burn, no cap.
  const internal = { capacityKg: 4000, fillRateKgPerS: 40 }
  const [, externalRate] = defaultExternalFillRates([
    { place: 'internal', tankCount: 1, ...internal },
    { place: 'external', tankCount: 1, capacityKg: 2000 }
  ])
  const rasp = sheet([
    group({ role: { kind: 'feed' }, ...internal }),
    group({ place: 'external', capacityKg: 2000, fillRateKgPerS: externalRate ?? NaN })
  ])

  it('makes a ship with empty externals take four times as long as one that kept them, with the same fuel aboard', () => {
    // By hand. Both bring 4000 kg and leave with 6000.
    // Internals full, externals empty: 2000 kg at 10 kg/s = 200 s.
    // Externals full, internals at half: 2000 kg at 40 kg/s = 50 s.
    const spent = holding(rasp, [4000, 0])
    const kept = holding(rasp, [2000, 2000])
    expect(totalKg(rasp, spent)).toBe(totalKg(rasp, kept))
    const slowS = stopAt(fillCurve(rasp, spent, flow), { kind: 'full' }).durationS
    const fastS = stopAt(fillCurve(rasp, kept, flow), { kind: 'full' }).durationS
    expect(slowS).toBeCloseTo(200, 9)
    expect(fastS).toBeCloseTo(50, 9)
    expect(slowS / fastS).toBeCloseTo(4, 9)
  })

  it('buys a fifth as much a minute past the knee as before it', () => {
    // From empty: 50 kg/s until the internals close at 100 s, then 10 kg/s for the 1000 kg left outside.
    const curve = fillCurve(rasp, holding(rasp, [0, 0]), flow)
    expect(curve.points.map(({ atS, onLoadKg }) => [atS, onLoadKg])).toEqual([
      [0, 0],
      [100, 5000],
      [200, 6000]
    ])
    expect(curve.kneeIndex).toBe(1)
  })

  it('has no knee when the internals are full on arrival or close last', () => {
    expect(fillCurve(rasp, holding(rasp, [4000, 0]), flow).kneeIndex).toBeUndefined()
    expect(fillCurve(rasp, holding(rasp, [0, 1990]), flow).kneeIndex).toBeUndefined()
  })
})

describe('the end of a contact', () => {
  const of = sheet([
    group({ role: { kind: 'feed' } }),
    group({ place: 'external', capacityKg: 500, fillRateKgPerS: 2.5 })
  ])
  const start = holding(of, [0, 0])
  const curve = fillCurve(of, start, { stationRateKgPerS: 100, burnKgPerS: 1 })
  // Feed gains 10 - 1 = 9: closes at 111.11 s; from there feed takes 1. External closes at 200 s.
  const closesS = 1000 / 9

  it('is at the target, by its kind', () => {
    expect(stopAt(curve, { kind: 'internals' })).toMatchObject({ durationS: closesS, endedBy: 'target' })
    expect(stopAt(curve, { kind: 'onLoad', onLoadKg: 250 }).durationS).toBeCloseTo(20, 9)
    expect(stopAt(curve, { kind: 'usable', usableKg: 230 }).durationS).toBeCloseTo(20, 9)
    // 230 + 1 x (50 - t) <= 11.5 t at t = 22.4.
    const until = stopAt(curve, { kind: 'until', requiredKg: 230, untilS: 50, burnKgPerS: 1 })
    expect(until.durationS).toBeCloseTo(280 / 12.5, 9)
    // The need stops falling at 10 s: 230 at 20 s.
    expect(stopAt(curve, { kind: 'until', requiredKg: 230, untilS: 10, burnKgPerS: 1 }).durationS).toBeCloseTo(20, 9)
    expect(stopAt(curve, { kind: 'until', requiredKg: 230, untilS: -5, burnKgPerS: 1 }).durationS).toBeCloseTo(20, 9)
  })

  it('is at once when the target is met on arrival', () => {
    const full = fillCurve(of, holding(of, [1000, 100]), flow)
    expect(stopAt(full, { kind: 'internals' })).toMatchObject({ durationS: 0, onLoadKg: 0, endedBy: 'target' })
    expect(stopAt(full, { kind: 'usable', usableKg: 1000 })).toMatchObject({ durationS: 0, endedBy: 'target' })
  })

  it('is with all groups full when the target asks for more than the tanks hold', () => {
    for (const target of [
      { kind: 'full' },
      { kind: 'usable', usableKg: 5000 },
      { kind: 'onLoad', onLoadKg: 5000 }
    ] as const) {
      const stop = stopAt(curve, target)
      expect(stop.endedBy).toBe('full')
      expect(stop.durationS).toBeCloseTo(200, 9)
      expect(stop.onLoadKg).toBeCloseTo(1500 + 200, 6)
    }
  })

  it('is named by the window or by the last of the give when that comes first', () => {
    const shut = stopAt(curve, { kind: 'full' }, { windowS: 30 })
    expect(shut).toMatchObject({ durationS: 30, endedBy: 'window' })
    expect(shut.onLoadKg).toBeCloseTo(375, 9)
    const dry = stopAt(curve, { kind: 'full' }, { giveKg: 250, windowS: 30 })
    expect(dry).toMatchObject({ durationS: 20, endedBy: 'give' })
    expect(dry.onLoadKg).toBeCloseTo(250, 9)
    expect(stopAt(curve, { kind: 'onLoad', onLoadKg: 250 }, { giveKg: 250 }).endedBy).toBe('target')
  })

  it('is when it is called, a pressure disconnect say, unless all groups are full by then', () => {
    const called = stopAt(curve, { kind: 'called', atS: 20 })
    expect(called).toMatchObject({ durationS: 20, endedBy: 'called' })
    expect(called.onLoadKg).toBeCloseTo(250, 9)
    expect(usableKg(of, called.state)).toBeCloseTo(230, 9)
    expect(stopAt(curve, { kind: 'called', atS: 0 })).toMatchObject({ durationS: 0, onLoadKg: 0, endedBy: 'called' })
    expect(stopAt(curve, { kind: 'called', atS: 500 })).toMatchObject({ endedBy: 'full' })
    expect(stopAt(curve, { kind: 'called', atS: 500 }).durationS).toBeCloseTo(200, 9)
    expect(stopAt(curve, { kind: 'called', atS: 20 }, { windowS: 10 }).endedBy).toBe('window')
    expect(() => stopAt(curve, { kind: 'called', atS: -1 })).toThrow('atS must be at least 0, is -1')
  })

  it('refuses limits below zero and rates that are none', () => {
    expect(() => stopAt(curve, { kind: 'full' }, { windowS: -1 })).toThrow('windowS must be at least 0, is -1')
    expect(() => stopAt(curve, { kind: 'full' }, { giveKg: NaN })).toThrow(RangeError)
    expect(() => fillCurve(of, start, { stationRateKgPerS: 0, burnKgPerS: 1 })).toThrow('stationRateKgPerS')
    expect(() => fillCurve(of, start, { stationRateKgPerS: 1, burnKgPerS: -1 })).toThrow('burnKgPerS')
  })

  it('never comes later with more fuel in the tanks, and never gives more than it may, on any ship', () => {
    fc.assert(
      fc.property(
        anyShip,
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.constantFrom<FillTarget['kind']>('full', 'internals', 'usable', 'until'),
        fc.double({ min: 0, max: 1.2, noNaN: true }),
        fc.double({ min: 0, max: 3000, noNaN: true }),
        ({ sheet: any, state }, more, kind, share, giveKg) => {
          const fuller: TankState = {
            ...state,
            quantitiesKg: state.quantitiesKg.map((tanks, g) =>
              tanks.map((kg) => kg + more * ((any.groups[g]?.capacityKg ?? 0) - kg))
            )
          }
          const rates = { stationRateKgPerS: 45, burnKgPerS: 0.8 }
          const askedKg = share * usableKg(any, fullState(any, 'off'))
          const target: FillTarget =
            kind === 'usable'
              ? { kind, usableKg: askedKg }
              : kind === 'until'
                ? { kind, requiredKg: askedKg, untilS: 300, burnKgPerS: 0.8 }
                : { kind: kind === 'full' ? 'full' : 'internals' }
          const less = stopAt(fillCurve(any, state, rates), target)
          const fullerStop = stopAt(fillCurve(any, fuller, rates), target)
          expect(fullerStop.durationS).toBeLessThanOrEqual(less.durationS + 1e-6)
          const limited = stopAt(fillCurve(any, state, rates), target, { giveKg, windowS: 200 })
          expect(limited.onLoadKg).toBeLessThanOrEqual(giveKg + 1e-6)
          expect(limited.durationS).toBeLessThanOrEqual(200)
        }
      ),
      { numRuns: 300 }
    )
  })
})

describe('stopping here', () => {
  // Feed gains 9 and passes 10 for 1000/9 s, the external takes 2.5 for 200 s.
  const of = sheet([
    group({ role: { kind: 'feed' }, unusableKg: 18 }),
    group({ place: 'external', capacityKg: 500, fillRateKgPerS: 2.5 })
  ])
  const curve = fillCurve(of, holding(of, [0, 0]), { stationRateKgPerS: 100, burnKgPerS: 1 })
  const closesS = 1000 / 9

  it('at each breakpoint says what it saves and forgoes, by hand', () => {
    const rows = stopTable(curve, 200)
    expect(rows).toHaveLength(2)
    const [knee, end] = rows
    expect(knee).toMatchObject({ closes: [0], knee: true })
    expect(knee?.atS).toBeCloseTo(closesS, 9)
    expect(knee?.onLoadKg).toBeCloseTo(12.5 * closesS, 9)
    expect(knee?.usableKg).toBeCloseTo(11.5 * closesS - 18, 9)
    expect(knee?.savesS).toBeCloseTo(200 - closesS, 9)
    expect(knee?.savesKg).toBeCloseTo(3.5 * (200 - closesS), 9)
    expect(knee?.forgoesKg).toBeCloseTo(2.5 * (200 - closesS), 9)
    expect(knee?.rateBeforeKgPerS).toBeCloseTo(12.5, 9)
    expect(knee?.rateAfterKgPerS).toBeCloseTo(3.5, 9)
    expect(end).toMatchObject({ closes: [1], knee: false, savesS: 0, savesKg: 0, forgoesKg: 0, rateAfterKgPerS: 0 })
    expect(end?.rateBeforeKgPerS).toBeCloseTo(3.5, 9)
  })

  it('has a row for an end between two breakpoints, and none past it', () => {
    const rows = stopTable(curve, 150)
    expect(rows.map(({ atS, knee }) => [Math.round(atS), knee])).toEqual([
      [111, true],
      [150, false]
    ])
    expect(rows[1]).toMatchObject({ closes: [], savesS: 0 })
    expect(rows[1]?.onLoadKg).toBeCloseTo(12.5 * closesS + 3.5 * (150 - closesS), 9)
    expect(rows[1]?.rateAfterKgPerS).toBeCloseTo(3.5, 9)
    expect(rows[0]?.savesS).toBeCloseTo(150 - closesS, 9)
    expect(stopTable(curve, 50)).toHaveLength(1)
  })

  it('has nothing to say of no contact, and ends with the curve', () => {
    expect(stopTable(curve, 0)).toEqual([])
    expect(stopTable(curve, 900)).toEqual(stopTable(curve, 200))
    expect(() => stopTable(curve, -1)).toThrow('endS must be at least 0, is -1')
  })

  it('agrees with contacts that end there, on any ship', () => {
    let rows = 0
    fc.assert(
      fc.property(
        anyShip,
        rate(8, 90),
        fc.double({ min: 0.1, max: 1.2, noNaN: true }),
        (ship, stationRateKgPerS, share) => {
          const any = fillCurve(ship.sheet, ship.state, { stationRateKgPerS, burnKgPerS: 0.7 })
          const endS = share * (any.points.at(-1)?.atS ?? 0)
          const end = stopAt(any, { kind: 'called', atS: endS })
          for (const row of stopTable(any, endS)) {
            rows++
            const stop = stopAt(any, { kind: 'called', atS: row.atS })
            expect(row.onLoadKg).toBeCloseTo(stop.onLoadKg, 6)
            expect(row.fuelKg).toBeCloseTo(totalKg(ship.sheet, stop.state), 5)
            expect(row.savesS).toBeCloseTo(end.durationS - row.atS, 6)
            expect(row.savesKg).toBeCloseTo(end.onLoadKg - stop.onLoadKg, 5)
            expect(row.forgoesKg).toBeCloseTo(usableKg(ship.sheet, end.state) - usableKg(ship.sheet, stop.state), 5)
            expect(row.rateAfterKgPerS).toBeGreaterThanOrEqual(0)
            expect(row.rateBeforeKgPerS).toBeLessThanOrEqual(
              Math.min(stationRateKgPerS, ship.sheet.maxRateKgPerS) + 1e-6
            )
          }
        }
      ),
      { numRuns: 200 }
    )
    expect(rows).toBeGreaterThan(200)
  })
})
