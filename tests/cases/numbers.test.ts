import { describe, expect, it } from 'vitest'
import { enduranceS, legTimeS } from '../../shared/fuel/burn.ts'
import { ladder, ladderDownTo, type LadderStep } from '../../shared/fuel/ladder.ts'
import { landingReserve, landingReserveKg, recoveryFuelKg, type ReserveRule } from '../../shared/fuel/limits.ts'
import { requiredAtPushKg } from '../../shared/fuel/need.ts'
import { groundSpeedMPerS } from '../../shared/fuel/wind.ts'
import { alongLeg, distanceM } from '../../shared/geodesy.ts'
import { feed, feedUntil } from '../../shared/tanks/feed.ts'
import { fillCurve, stopAt } from '../../shared/tanks/fill.ts'
import { totalKg, usableKg, type Sheet } from '../../shared/tanks/sheet.ts'
import {
  densityKgPerM3,
  flowKgPerS,
  KG_PER_LB,
  M_PER_NMI,
  massIn,
  massKg,
  quantityIn,
  quantityKg,
  speedMPerS
} from '../../shared/units.ts'
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
    // The same as a rule of the plan, at two control points: each has the share of its own way.
    const rule = (plannedOnWayKg: number): ReserveRule => ({
      kind: 'greatest',
      of: [
        { kind: 'minutes', holdingS: 1200 },
        { kind: 'rendezvous', share: 0.1, plannedKg: plannedOnWayKg }
      ]
    })
    expect(landingReserve(rule(plannedKg), 0.4)).toMatchObject({ by: 'rendezvous', ruleIndex: 1 })
    expect(landingReserve(rule(plannedKg), 0.4).kg).toBeCloseTo(560, 9)
    expect(landingReserve(rule(4400 + 2400), 0.4).kg).toBeCloseTo(680, 9)
    expect(landingReserve(rule(3000), 0.4)).toMatchObject({ kg: 480, by: 'minutes', ruleIndex: 0 })
  })

  it('a gulp of 1,600 at 8,040 a minute takes 11.9 seconds', () => {
    const of = sheet([group({ role: { kind: 'feed' }, capacityKg: 1600 * KG_PER_LB, fillRateKgPerS: 1e3 })])
    const curve = fillCurve(of, holding(of, [0]), { stationRateKgPerS: perMin(8040) * KG_PER_LB, burnKgPerS: 0 })
    expect(stopAt(curve, { kind: 'full' }).durationS).toBeCloseTo(11.94, 2)
  })
})

/*
 * Worked examples of print and their like, each with where it was read. Pounds and minutes as printed, one pound for one
 * kilogram.
 */
describe('worked examples of print', () => {
  const perHour = (lbPerHour: number): number => lbPerHour / 3600
  const flown = (startLb: number, minutes: number, lbPerHour: number): number =>
    ladder(startLb, [{ kind: 'flow', durationS: minutes * 60, flowKgPerS: perHour(lbPerHour) }]).fuelKg[1] ?? NaN
  const equator = { latitudeDeg: 0, longitudeDeg: 0 }
  const along = (distanceNmi: number) => {
    const east = { latitudeDeg: 0, longitudeDeg: 20 }
    return alongLeg(equator, east, (distanceNmi * M_PER_NMI) / distanceM(equator, east))
  }
  const calm = { fromRad: 0, speedMPerS: 0 }
  const minutesOver = (distanceNmi: number, speedKt: number): number =>
    (legTimeS(equator, along(distanceNmi), {
      trueAirspeedMPerS: speedMPerS({ value: speedKt, unit: 'kt' }),
      wind: calm
    }) ?? NaN) / 60

  it('e1, e2: 742 miles at 420 kt are 106 minutes, and at 1,800 an hour leave 2,860 of 6,040 (CNATRA P-867 p. 37, 38)', () => {
    expect(minutesOver(742, 420)).toBeCloseTo(106, 9)
    expect(flown(6040, minutesOver(742, 420), 1800)).toBeCloseTo(2860, 6)
    expect(6040 - flown(6040, 106, 1800)).toBeCloseTo(3180, 9)
  })

  it('e3: the table of a flow of 1,800 an hour (CNATRA P-867 p. 37)', () => {
    const table = { 60: 1800, 30: 900, 20: 600, 15: 450, 10: 300, 5: 150, 1: 30 }
    for (const [minutes, lb] of Object.entries(table))
      expect(6000 - flown(6000, Number(minutes), 1800)).toBeCloseTo(lb, 9)
  })

  it('e5: 1,800 an hour are 30 a minute, 3,000 are 50, and 300 kt are 5 miles a minute (CNATRA P-812)', () => {
    const perMinute = (value: number): number => (flowKgPerS({ value, unit: 'lb/h' }, 800) / KG_PER_LB) * 60
    expect(perMinute(1800)).toBeCloseTo(30, 12)
    expect(perMinute(3000)).toBeCloseTo(50, 12)
    expect(1 / minutesOver(1, 300)).toBeCloseTo(5, 9)
  })

  it('e7: 380, 120 and two approaches of 40 are 580; with the floor of 60 they leave 135 of 815 (CNATRA P-802 p. 31; constructed numbers)', () => {
    const steps = [380, 120, 80].map((fuelKg): LadderStep => ({ kind: 'lump', durationS: 600, fuelKg }))
    const reserve = landingReserve({ kind: 'share', share: 0.1, plannedKg: 580, floorKg: 60 }, 1)
    expect(reserve).toMatchObject({ kg: 60, by: 'floor' })
    // Counted back from landing, and from 815 aboard less 40 to start and taxi.
    expect(ladderDownTo(reserve.kg, steps).fuelKg).toEqual([640, 260, 140, 60])
    expect(815 - 40 - (ladderDownTo(reserve.kg, steps).fuelKg[0] ?? NaN)).toBe(135)
  })

  it('e9: 801 at a point, 325 planned and 280 needed at the fix: 756 are needed at the point (CNATRA P-869 p. 76)', () => {
    expect(requiredAtPushKg({ points: [{ burnFromPushKg: 801 - 325, recoveryKg: 280 }] }).requiredKg).toBe(756)
  })

  it('e8: 305 at the fix over 200 and two approaches of 50 leave 5 (CNATRA P-869 p. 75)', () => {
    const steps = [40, 135].map((fuelKg): LadderStep => ({ kind: 'lump', durationS: 600, fuelKg }))
    const neededKg = recoveryFuelKg(equator, equator, {
      trueAirspeedMPerS: 100,
      wind: calm,
      flowKgPerS: 1,
      approachKg: 100,
      reserveKg: 200
    })
    expect((ladder(480, steps).fuelKg[2] ?? NaN) - (neededKg ?? NaN)).toBe(5)
  })

  it('e11: 18 to come home and 20 in reserve are a bingo of 38 (helpml.com)', () => {
    expect(
      requiredAtPushKg({ points: [], home: { burnFromPushKg: 18, approachKg: 0, reserveKg: 20 } }).requiredKg
    ).toBe(38)
  })

  it('e12: 100 miles in 15 minutes and 200 in 30 are flown at 400 kt (spacing of a heavy airlifter, robrobinette.com)', () => {
    expect(minutesOver(100, 400)).toBeCloseTo(15, 9)
    expect(minutesOver(200, 400)).toBeCloseTo(30, 9)
  })

  it('e13: 357 million pounds are 52.58 million gallons at 6.79 (af.mil 113304)', () => {
    const kgPerM3 = densityKgPerM3({ value: 6.79, unit: 'lb/USgal' })
    const gallons = quantityIn('USgal', massKg({ value: 357e6, unit: 'lb' }), kgPerM3)
    expect(Math.abs(gallons / 52.58e6 - 1)).toBeLessThan(0.001)
  })

  it('two tanks of 370 gallons at 6.7 and 7,000 inside are close to the 12,000 a receiver took (af.mil 113304)', () => {
    const kgPerM3 = densityKgPerM3({ value: 6.7, unit: 'lb/USgal' })
    const lb = massIn('lb', 2 * quantityKg({ value: 370, unit: 'USgal' }, kgPerM3)) + 7000
    expect(lb).toBeCloseTo(11_958, 6)
    expect(Math.abs(lb / 12_000 - 1)).toBeLessThan(0.005)
  })

  it('3,700 in 1 h 45 min are 2,114.29 an hour: at that flow nothing is left (ppla.education, fuel consumption)', () => {
    expect(flown(3700, 105, 2114.29)).toBeCloseTo(0, 1)
    expect(enduranceS({ fuelKg: 3700, leftKg: 0, flowKgPerS: perHour(2114.29) }) / 60).toBeCloseTo(105, 3)
  })

  it('a wind from 100 at 18 leaves 176 of 180 kt on a track of 180 (an exercise of print; its page is not at hand)', () => {
    const kt = groundSpeedMPerS({
      trackRad: Math.PI,
      trueAirspeedMPerS: 180,
      windFromRad: (100 * Math.PI) / 180,
      windMPerS: 18
    })
    expect(Math.abs((kt ?? NaN) - 176)).toBeLessThan(0.6)
  })

  it('5 % of a trip, or 5 minutes of holding where that is more (OTAR 121.280 (c)(3))', () => {
    const rule = (plannedKg: number): ReserveRule => ({
      kind: 'share',
      share: 0.05,
      plannedKg,
      floorKg: 0,
      floorHoldingS: 300
    })
    expect(landingReserve(rule(4000), 0.5)).toMatchObject({ kg: 200, by: 'share' })
    expect(landingReserve(rule(2000), 0.5)).toMatchObject({ kg: 150, by: 'floor' })
  })
})
