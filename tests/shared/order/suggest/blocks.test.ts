import { describe, expect, test } from 'vitest'
import { compareJudgements, LEVELS, type Judgement } from '../../../../shared/order/judgement.ts'
import { exact } from '../../../../shared/order/suggest/exact.ts'
import { fieldOf, turnsOf } from '../../../../shared/order/suggest/field.ts'
import { instantJudgements } from '../../../../shared/order/suggest/search.ts'
import { stationByStation } from '../../../../shared/order/suggest/stations.ts'
import { judge } from '../../../../shared/order/times.ts'
import { bestInBlocks, flightsCase, SHAPES } from './flights.ts'
import { fleetOf } from './fleets.ts'

const LABELS = 100_000
/** Where ships may be lost a proof may need more than it is worth here. */
const FEW_LABELS = 20_000
const four = (judgement: Judgement): Judgement => ({ ...judgement, moved: 0 })

const each = (seeds: number, harsh: boolean) =>
  SHAPES.flatMap((shape, s) =>
    Array.from({ length: shape.tankers.length === 1 ? 4 * seeds : seeds }, (_, seed) => ({
      one: flightsCase(shape, seed + 1, harsh),
      about: `shape ${String(s)}, seed ${String(seed + 1)}`
    }))
  )

describe('orders in blocks', { timeout: 120_000 }, () => {
  test('the best of them is that of trying them all, where only times count', () => {
    let [better, orders] = [0, 0]
    for (const { one, about } of each(7, false)) {
      const every = bestInBlocks(one)
      const field = fieldOf(one.input, one)
      const known = judge(one.input).judgement
      const found = stationByStation(field, known, { labels: LABELS, blocks: true })
      expect(found?.least, about).toEqual(every.best)
      orders += every.orders
      if (found?.free === undefined) continue
      better++
      const inTurns = turnsOf(field, found.free).map((rows) => rows.map(({ slot }) => slot.id))
      const sequences = new Map(one.input.stations.map(({ id }, index) => [id, inTurns[index] ?? []]))
      expect(four(judge({ ...one.input, sequences }).judgement), about).toEqual(every.best)
    }
    expect(better).toBeGreaterThanOrEqual(40)
    console.info(`${String(better)} better than as given, ${String(orders)} orders tried`)
  })

  test('none of them is better where it is said so, whoever is lost or short', () => {
    let said = 0
    for (const { one, about } of each(4, true)) {
      const { best } = bestInBlocks(one)
      const found = stationByStation(fieldOf(one.input, one), judge(one.input).judgement, {
        labels: FEW_LABELS,
        blocks: true
      })
      if (found !== undefined) expect(compareJudgements(found.least, best), about).toBeLessThanOrEqual(0)
      const { judgement, bestOfBlocks } = exact({
        ...one,
        judgements: 200,
        labels: 0,
        blockLabels: FEW_LABELS,
        orders: 0
      })
      if (!bestOfBlocks) continue
      said++
      expect(compareJudgements(four(judgement), best), about).toBeLessThanOrEqual(0)
    }
    expect(said).toBeGreaterThanOrEqual(4)
    console.info(`said of ${String(said)}`)
  })

  test.each([
    { shipsAFlight: 3, most: 60_000 },
    { shipsAFlight: 4, most: 10_000 }
  ])('none is better than what is found for 24 ships in flights of $shipsAFlight, within $most ways', (by) => {
    for (let seed = 1; seed <= 5; seed++) {
      const fleet = fleetOf({ ships: 24, shipsAFlight: by.shipsAFlight, tankers: 3 }, seed)
      const ask = { ...fleet, judgements: instantJudgements(24), labels: 0, orders: 0 }
      const found = exact({ ...ask, blockLabels: by.most })
      expect(found.bestOfBlocks, `${String(seed)}: ${String(found.blockLabels)} ways`).toBe(true)
      expect(found.blockLabels).toBeGreaterThan(0)
      expect(found.blockLabels, String(seed)).toBeLessThanOrEqual(by.most)
      // Not looked at, nothing is said of them; and they say nothing of the others.
      const without = exact(ask)
      expect(without.bestOfBlocks).toBe(false)
      expect(found.bound.metLevels).toBeLessThan(4)
      for (const level of LEVELS) expect(found.bound.least[level], level).toBeLessThanOrEqual(found.judgement[level])
    }
  })

  test('nothing is said where the work ends, or where a flight may spread', () => {
    const fleet = fleetOf({ ships: 24, shipsAFlight: 3, tankers: 3 }, 1)
    const ask = { ...fleet, judgements: 200, labels: 0, blockLabels: 500, orders: 0 }
    expect(exact(ask).bestOfBlocks).toBe(false)
    const spread = exact({ ...ask, blockLabels: LABELS, maySpread: new Set(['flight-0']) })
    expect(spread.bestOfBlocks).toBe(false)
    expect(spread.blockLabels).toBe(0)
  })
})
