import { describe, expect, it } from 'vitest'
import { landingReserveKg } from '../../shared/fuel/limits.ts'
import { requiredAtPushKg } from '../../shared/fuel/need.ts'
import { feed, feedUntil } from '../../shared/tanks/feed.ts'
import { fillCurve, stopAt } from '../../shared/tanks/fill.ts'
import { totalKg, usableKg, type Sheet } from '../../shared/tanks/sheet.ts'
import { KG_PER_LB } from '../../shared/units.ts'
import { group, holding, sheet } from '../shared/tanks/ships.ts'

/*
 * Constructed cases: worked out by hand to try the rules, with no outside authority. Masses in pounds as they were
 * written down, one pound for one kilogram: the rules do not care.
 */

const perMin = (lbPerMin: number): number => lbPerMin / 60
const overheadS = 120

function pair(internalKg: number, externalKg: number, externalPerMin: number, fillsAfter?: number): Sheet {
  return sheet([
    group({ role: { kind: 'feed' }, capacityKg: internalKg, fillRateKgPerS: perMin(2000) }),
    group({ place: 'external', capacityKg: externalKg, fillRateKgPerS: perMin(externalPerMin), fillsAfter })
  ])
}

const minutesIn = (of: Sheet, stationPerMin = 1e6): number => {
  const curve = fillCurve(of, holding(of, [0, 0]), { stationRateKgPerS: perMin(stationPerMin), burnKgPerS: 0 })
  return (stopAt(curve, { kind: 'full' }).durationS + overheadS) / 60
}

describe('constructed fills', () => {
  it('c4: external tanks at a quarter of the rate double the time that one rate would say', () => {
    const of = pair(2000, 4000, 500)
    const curve = fillCurve(of, holding(of, [0, 0]), { stationRateKgPerS: 1e6, burnKgPerS: 0 })
    const knee = curve.points[curve.kneeIndex ?? NaN]
    expect(knee?.atS).toBeCloseTo(60, 9)
    expect(knee?.onLoadKg).toBeCloseTo(2500, 9)
    expect(minutesIn(of)).toBeCloseTo(10, 9)
    const oneRate = sheet([group({ role: { kind: 'feed' }, capacityKg: 6000, fillRateKgPerS: perMin(2000) })])
    expect(minutesIn(oneRate)).toBeCloseTo(5, 9)
  })

  it('c4b: an external that fills after the internals', () => {
    expect(minutesIn(pair(4000, 4000, 1000, 0))).toBeCloseTo(8, 9)
  })

  it('c4c: the same groups together, without a cap and with one', () => {
    const of = pair(4000, 4000, 1000)
    expect(minutesIn(of)).toBeCloseTo(6, 9)
    expect(minutesIn(of, 2000)).toBeCloseTo(7, 9)
    const capped = fillCurve(of, holding(of, [0, 0]), { stationRateKgPerS: perMin(2000), burnKgPerS: 0 })
    expect(capped.points[1]?.atS).toBeCloseTo(180, 9)
  })

  it('c12: a disconnect after 500 of 2,500 leaves 2,000 to take', () => {
    const of = sheet([group({ role: { kind: 'feed' }, capacityKg: 8000, fillRateKgPerS: perMin(2000) })])
    const curve = fillCurve(of, holding(of, [4000]), { stationRateKgPerS: 1e6, burnKgPerS: 0 })
    const planned = stopAt(curve, { kind: 'usable', usableKg: 6500 })
    expect(planned.onLoadKg).toBeCloseTo(2500, 9)
    const partial = stopAt(curve, { kind: 'usable', usableKg: 6500 }, { windowS: 15 })
    expect(partial.endedBy).toBe('window')
    expect(partial.onLoadKg).toBeCloseTo(500, 9)
    const again = fillCurve(of, partial.state, { stationRateKgPerS: 1e6, burnKgPerS: 0 })
    expect(stopAt(again, { kind: 'usable', usableKg: 6500 }).onLoadKg).toBeCloseTo(2000, 9)
    expect(usableKg(of, partial.state)).toBeCloseTo(4500, 9)
  })
})

describe('constructed limits', () => {
  it('c5: bingo from the track is 180 miles at 12 a mile, approach and reserve', () => {
    const { requiredKg } = requiredAtPushKg({
      points: [],
      home: { burnFromPushKg: 180 * 12, approachKg: 500, reserveKg: 1200 }
    })
    expect(requiredKg).toBe(3860)
  })

  it('c6: 6,200 aboard over bingo 3,860 lasts 31.2 minutes at 75 a minute', () => {
    const of = sheet([group({ role: { kind: 'feed' }, capacityKg: 10_000 })])
    const atS = feedUntil(of, holding(of, [6200]), perMin(75), 'counted', 3860, 7200)
    expect((atS ?? NaN) / 60).toBeCloseTo(31.2, 9)
  })

  it('c8: 5,000 called 12 minutes ago at 75 a minute is 4,100 now', () => {
    const of = sheet([group({ role: { kind: 'feed' }, capacityKg: 10_000 })])
    expect(totalKg(of, feed(of, holding(of, [5000]), perMin(75), 720).state)).toBeCloseTo(4100, 9)
  })

  it('c13: to the control point, on to a field, and a tenth of both', () => {
    const plannedKg = 3200 + 2400
    const reserveKg = landingReserveKg({ kind: 'share', share: 0.1, plannedKg, floorKg: 0 }, 1)
    expect(reserveKg).toBeCloseTo(560, 9)
    const { requiredKg } = requiredAtPushKg({ points: [{ burnFromPushKg: 3200, recoveryKg: 2400 + reserveKg }] })
    expect(requiredKg).toBeCloseTo(6160, 9)
  })

  it('a gulp of 1,600 at 8,040 a minute takes 11.9 seconds', () => {
    const of = sheet([group({ role: { kind: 'feed' }, capacityKg: 1600 * KG_PER_LB, fillRateKgPerS: 1e3 })])
    const curve = fillCurve(of, holding(of, [0]), { stationRateKgPerS: perMin(8040) * KG_PER_LB, burnKgPerS: 0 })
    expect(stopAt(curve, { kind: 'full' }).durationS).toBeCloseTo(11.94, 2)
  })
})
