import { describe, expect, test } from 'vitest'
import { compareJudgements } from '../../../../shared/order/judgement.ts'
import { anew } from '../../../../shared/order/suggest/anew.ts'
import { exact } from '../../../../shared/order/suggest/exact.ts'
import { instantJudgements, suggest } from '../../../../shared/order/suggest/search.ts'
import { judge } from '../../../../shared/order/times.ts'
import { smallCases } from './cases.ts'
import { fleetOf } from './fleets.ts'

describe('an order anew', { timeout: 120_000 }, () => {
  test('of 24 ships in flights that stay whole is as little late as the proved best, where a search alone is later', () => {
    let later = 0
    for (let seed = 1; seed <= 2; seed++) {
      const fleet = fleetOf({ ships: 24, shipsAFlight: 4, tankers: 3 }, seed)
      const judgements = instantJudgements(24)
      const found = anew({ ...fleet, judgements, labels: 150_000 })
      const best = exact({ ...fleet, judgements, labels: 1_000_000, orders: 0 })
      expect(best.bound.metLevels, String(seed)).toBeGreaterThanOrEqual(4)
      expect(found.judgement.lateness, String(seed)).toBe(best.judgement.lateness)
      expect(found.judged).toEqual(judge({ ...fleet.input, sequences: found.sequences }))
      if (suggest({ ...fleet, judgements }).judgement.lateness > found.judgement.lateness) later++
    }
    expect(later).toBeGreaterThanOrEqual(1)
  })

  test('is never worse than the search, whatever binds, and stops when told', () => {
    for (const kind of ['whole flights', 'second visit', 'binding give'] as const) {
      for (const { one, seed } of smallCases(kind, 12)) {
        const ask = { ...one, judgements: 40 }
        const found = anew({ ...ask, labels: 5_000 })
        expect(
          compareJudgements(found.judgement, suggest(ask).judgement),
          `${kind} ${String(seed)}`
        ).toBeLessThanOrEqual(0)
        // Each of the two searches takes no more than it may by more than one flight.
        expect(found.work.judgements).toBeLessThanOrEqual(2 * 40 + 20)
      }
    }
    const fleet = fleetOf({ ships: 24, shipsAFlight: 4, tankers: 3 }, 1)
    const stopped = anew({ ...fleet, judgements: 400, labels: 150_000, stop: () => true })
    expect(stopped.work.stopped).toBe(true)
    expect(stopped.work.judgements).toBeLessThan(400)
  })
})
