import { describe, expect, test } from 'vitest'
import { compareJudgements, type Judgement } from '../../../../shared/order/judgement.ts'
import { exact } from '../../../../shared/order/suggest/exact.ts'
import { fieldOf, sequencesOf, turnsOf, type Free } from '../../../../shared/order/suggest/field.ts'
import { suggest } from '../../../../shared/order/suggest/search.ts'
import { stationByStation } from '../../../../shared/order/suggest/stations.ts'
import { wholeFlights } from '../../../../shared/order/suggest/whole.ts'
import { judge } from '../../../../shared/order/times.ts'
import { MINUTE_MS, type OneTank } from '../make.ts'
import { bestOfCase } from './brute.ts'
import { pairsCase } from './cases.ts'
import { fleetOf, type Fleet, type FleetOf } from './fleets.ts'
import { flightsCase, SHAPES } from './flights.ts'

const LABELS = 300_000
const four = (judgement: Judgement): Judgement => ({ ...judgement, moved: 0 })

function judged({ input, ...allowed }: Fleet, free: Free<OneTank>): Judgement {
  const field = fieldOf(input, allowed)
  const { sequences } = sequencesOf(field, turnsOf(field, free))
  return four(judge({ ...input, sequences }).judgement)
}

/** Nobody is late whatever comes, and nobody asks for fuel: only the last disconnect is open. */
function withoutPushes(fleet: Fleet, patient = false): Fleet {
  const slots = fleet.input.slots.map((slot) => ({
    ...slot,
    requiredAtPushKg: 0,
    waitBurnKgPerS: 0,
    serveAnyway: patient
  }))
  const pushGroups = fleet.input.pushGroups.map((group) => ({ ...group, plannedAtMs: 1_000 * MINUTE_MS }))
  return { ...fleet, input: { ...fleet.input, slots, pushGroups } }
}

/** No two flights wait for each other at their push. */
function withOwnGroups(input: Fleet['input']): Fleet['input'] {
  const slots = input.slots.map((slot) => ({ ...slot, pushGroupId: slot.flightId.replace('flight', 'group') }))
  return { ...input, slots }
}

describe('flights that stay whole, tanker by tanker', { timeout: 120_000 }, () => {
  test('come to the best of all orders of three flights of two, from a good order and from a bad one', () => {
    let better = 0
    for (let seed = 1; seed <= 16; seed++) {
      const one = pairsCase(seed)
      const best = four(bestOfCase(one))
      const before = judge(one.input).judgement
      for (const known of [best, before]) {
        const found = wholeFlights(fieldOf(one.input, one), known, { labels: LABELS })
        // Where the known order loses a ship others may lose it too: then it counts for nothing.
        if (known.lostWeight > best.lostWeight) {
          expect(compareJudgements(found?.least ?? best, best), String(seed)).toBeLessThanOrEqual(0)
          continue
        }
        expect(found?.least, String(seed)).toEqual(best)
        expect(found?.complete, String(seed)).toBe(true)
        if (found?.free === undefined) continue
        better++
        expect(judged(one, found.free), String(seed)).toEqual(best)
      }
    }
    expect(better).toBeGreaterThanOrEqual(5)
  })

  test('come to what station by station comes to, and never to more', () => {
    let [same, less] = [0, 0]
    for (const [s, shape] of SHAPES.entries()) {
      for (let seed = 1; seed <= 5; seed++) {
        for (const harsh of [false, true]) {
          const drawn = flightsCase(shape, seed, harsh)
          const one = seed % 2 === 0 ? drawn : { ...drawn, input: withOwnGroups(drawn.input) }
          const known = judge(one.input).judgement
          const field = fieldOf(one.input, one)
          const whole = wholeFlights(field, known, { labels: LABELS })
          const wide = stationByStation(field, known, { labels: LABELS })
          if (whole === undefined || wide === undefined || wide.labels > LABELS) continue
          const about = `shape ${String(s)}, seed ${String(seed)}`
          expect(compareJudgements(whole.least, wide.least), about).toBeLessThanOrEqual(0)
          // Whoever may be lost is not among them.
          if (whole.complete) expect(whole.least, about).toEqual(wide.least)
          if (whole.complete) same++
          else less++
        }
      }
    }
    console.info(`as much in ${String(same)}, perhaps less in ${String(less)}`)
    expect(same).toBeGreaterThanOrEqual(10)
  })

  const FLEETS: readonly { readonly of: FleetOf; readonly most: number }[] = [
    { of: { ships: 24, shipsAFlight: 4, tankers: 3 }, most: 400_000 },
    { of: { ships: 24, shipsAFlight: 4, tankers: 3, alike: true }, most: 20_000 },
    { of: { ships: 24, shipsAFlight: 4, tankers: 3, drogues: true }, most: 100_000 },
    { of: { ships: 40, shipsAFlight: 4, tankers: 5 }, most: 1_000_000 },
    { of: { ships: 24, shipsAFlight: 4, tankers: 3, flightsAGroup: 3 }, most: 1_500_000 }
  ]

  test.each(FLEETS)('are proved the best in $most ways, $of', ({ of, most }) => {
    for (let seed = 1; seed <= 2; seed++) {
      for (const fleet of [fleetOf(of, seed), withoutPushes(fleetOf(of, seed))]) {
        const field = fieldOf(fleet.input, fleet)
        const { judgement } = suggest({ ...fleet, judgements: 400 })
        const found = wholeFlights(field, judgement, { labels: most })
        expect(found?.complete, String(seed)).toBe(true)
        if (found?.free === undefined) expect(found?.least).toEqual(four(judgement))
        else expect(judged(fleet, found.free), String(seed)).toEqual(found.least)
        expect(wholeFlights(field, judgement, { labels: most })).toEqual(found)
        // What a search with other chances finds is not better.
        const other = suggest({ ...fleet, judgements: 2_000, seed: 99 })
        expect(compareJudgements(found?.least ?? judgement, four(other.judgement))).toBeLessThanOrEqual(0)
      }
    }
  })

  test('say no more than they know when the work ends or is stopped', () => {
    const fleet = fleetOf({ ships: 40, shipsAFlight: 4, tankers: 5 }, 1)
    const best = exact({ ...fleet, judgements: 400, labels: 1_000_000, orders: 0 })
    expect(best.bound.metLevels).toBeGreaterThanOrEqual(4)
    expect(best.by).toBe('flights')
    const field = fieldOf(fleet.input, fleet)
    const { judgement } = suggest({ ...fleet, judgements: 400 })
    for (const labels of [100, 20_000, 100_000]) {
      let asked = 0
      for (const stop of [undefined, () => ++asked > 3]) {
        const cut = wholeFlights(field, judgement, { labels, stop })
        expect(cut?.complete).toBe(false)
        expect(cut?.labels).toBeLessThanOrEqual(labels + 10)
        expect(compareJudgements(cut?.least ?? judgement, four(best.judgement))).toBeLessThanOrEqual(0)
      }
    }
  })

  test('say no more than they know of flights that are too many for one tanker, two of them to a push', () => {
    let told = 0
    for (let seed = 1; seed <= 2; seed++) {
      const fleet = withoutPushes(fleetOf({ ships: 20, shipsAFlight: 4, tankers: 1, flightsAGroup: 2 }, seed), true)
      const field = fieldOf(fleet.input, fleet)
      const { judgement } = suggest({ ...fleet, judgements: 60 })
      const best = suggest({ ...fleet, judgements: 4_000 }).judgement
      const found = wholeFlights(field, judgement, { labels: 8_000_000 })
      expect(found?.complete, String(seed)).toBe(false)
      expect(compareJudgements(found?.least ?? best, four(best)), String(seed)).toBeLessThanOrEqual(0)
      if (best.lastDisconnect < judgement.lastDisconnect) told++
    }
    expect(told).toBeGreaterThanOrEqual(1)
  })

  test('say nothing where all may spread, or where any changeover may make one who is left out miss', () => {
    const spread = fleetOf({ ships: 8, shipsAFlight: 4, tankers: 1, spread: true }, 1)
    const { judgement } = judge(spread.input)
    expect(wholeFlights(fieldOf(spread.input, spread), judgement, { labels: LABELS })).toBeUndefined()
    const whole = fleetOf({ ships: 8, shipsAFlight: 4, tankers: 1 }, 1)
    const stations = whole.input.stations.map((one) => ({ ...one, changeoverMs: () => MINUTE_MS }))
    const input = { ...whole.input, stations }
    expect(wholeFlights(fieldOf(input, whole), judge(input).judgement, { labels: LABELS })).toBeUndefined()
  })
})
