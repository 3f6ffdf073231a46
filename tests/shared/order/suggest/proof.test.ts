import { describe, expect, test } from 'vitest'
import { compareJudgements, LEVELS } from '../../../../shared/order/judgement.ts'
import { orderRefusals } from '../../../../shared/order/rules.ts'
import { exact, type Exact } from '../../../../shared/order/suggest/exact.ts'
import { suggest } from '../../../../shared/order/suggest/search.ts'
import { judge } from '../../../../shared/order/times.ts'
import { fleetOf, type Fleet, type FleetOf } from './fleets.ts'

/*
 * Fleets that nobody could try out one by one. That a proof is right is shown where every order can be tried: exact.test.ts
 * and highs.test.ts. Here: that it comes to an end within counted work, and what it says when it does not.
 */

const LABELS = 1_500_000
const ALIKE: FleetOf = { ships: 24, shipsAFlight: 4, tankers: 3, alike: true }
const DROGUES: FleetOf = { ships: 16, shipsAFlight: 4, tankers: 2, drogues: true, spread: true }

const proofOf = (fleet: Fleet, labels = LABELS): Exact => exact({ ...fleet, judgements: 1_500, labels, orders: 0 })

/** Work is counted, so the most that a proof may take is the same on every machine. */
const FLEETS: readonly {
  readonly name: string
  readonly of: FleetOf
  readonly seeds: number
  readonly most: number
  readonly by?: 'flights'
}[] = [
  { name: '16 distinct ships by boom and drogue', of: DROGUES, seeds: 6, most: 10_000 },
  {
    name: '14 distinct ships of one method',
    of: { ships: 14, shipsAFlight: 4, tankers: 2, spread: true },
    seeds: 1,
    most: 120_000
  },
  {
    name: '24 distinct ships by boom and drogue',
    of: { ships: 24, shipsAFlight: 4, tankers: 3, drogues: true, spread: true },
    seeds: 2,
    most: 600_000
  },
  {
    name: '24 ships in flights of four that stay whole, those of a flight alike',
    of: ALIKE,
    seeds: 2,
    most: 20_000,
    by: 'flights'
  }
]

describe('a proof', { timeout: 120_000 }, () => {
  test.each(FLEETS)('comes to an end for $name within $most ways', ({ of, seeds, most, by = 'stations' }) => {
    for (let seed = 1; seed <= seeds; seed++) {
      const fleet = fleetOf(of, seed)
      const found = proofOf(fleet)
      const about = `seed ${String(seed)}, ${String(found.labels)} ways`
      expect(found.bound.metLevels, about).toBeGreaterThanOrEqual(4)
      expect(found.by, about).toBe(by)
      expect(found.labels, about).toBeLessThanOrEqual(most)
      const { input } = fleet
      const inForce = input.inForce ?? input.sequences
      const stationIds = new Set(input.stations.map(({ id }) => id))
      const order = { sequences: found.sequences, inForce, slots: input.slots, stationIds }
      expect(orderRefusals(order), about).toEqual([])
      expect(found.judged, about).toEqual(judge({ ...input, sequences: found.sequences, inForce }))
      // What a search with other chances finds is not better.
      const other = suggest({ ...fleet, judgements: 3_000, seed: 99 })
      expect({ ...found.judgement, moved: 0 }, about).toEqual(
        [found.judgement, other.judgement].map((one) => ({ ...one, moved: 0 })).sort(compareJudgements)[0]
      )
    }
  })

  test('says what is left open when its work ends, the same each time', () => {
    const fleet = fleetOf(DROGUES, 1)
    const whole = proofOf(fleet)
    const cut = proofOf(fleet, 100)
    expect(cut.labels).toBeLessThanOrEqual(101)
    expect(cut.bound.metLevels).toBeLessThan(4)
    expect(cut.bound.proved).toBe(false)
    expect(compareJudgements(whole.judgement, cut.judgement)).toBeLessThanOrEqual(0)
    for (const level of LEVELS) expect(cut.bound.least[level], level).toBeLessThanOrEqual(whole.judgement[level])
    expect(proofOf(fleet, 100)).toEqual(cut)
    expect(proofOf(fleet)).toEqual(whole)
  })

  test('stops when it is told to, with the best so far and no more than is known of it', () => {
    const fleet = fleetOf({ ships: 16, shipsAFlight: 4, tankers: 2, spread: true }, 1)
    let asked = 0
    // The search asks 46 times at most: the rest is the proof.
    const found = exact({ ...fleet, judgements: 1_500, labels: LABELS, orders: 0, stop: () => ++asked > 60 })
    expect(found.work.stopped).toBe(true)
    expect(found.labels).toBeGreaterThan(0)
    expect(found.labels).toBeLessThan(40_000)
    expect(found.bound.metLevels).toBeLessThan(4)
    expect(compareJudgements(found.judgement, found.before)).toBeLessThan(0)
  })
})
