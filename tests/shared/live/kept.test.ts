import { describe, expect, it } from 'vitest'
import { demoPlan } from '../../../server/demo/plan.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { planInForce } from '../../../shared/live/inforce.ts'
import { Kept } from '../../../shared/live/kept.ts'
import { foldedOf } from '../../../shared/live/slots.ts'
import { brief } from '../../../shared/plan/brief.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS } from '../../make/plan.ts'

describe('what is kept of a ship', () => {
  it('is there for as long as it is asked for at each event time, and gone after one at which it was not', () => {
    const kept = new Kept()
    kept.set('always', 1)
    kept.set('once', 2)
    for (let nowMs = 0; nowMs < 5_000; nowMs += 1_000) {
      kept.lookedAt(nowMs)
      expect(kept.get('always')).toBe(1)
    }
    expect(kept.get('once')).toBeUndefined()
    expect(kept.size).toBe(1)
  })

  it('is not let go of by looks at one and the same second, and is by one in hindsight', () => {
    const kept = new Kept()
    kept.lookedAt(60_000)
    kept.set('curve', 1)
    for (let nowMs = 60_000; nowMs < 61_000; nowMs += 100) kept.lookedAt(nowMs)
    expect(kept.size).toBe(1)
    kept.lookedAt(0)
    expect([kept.size, kept.get('curve')]).toEqual([0, 1])
    kept.lookedAt(60_000)
    kept.lookedAt(0)
    expect(kept.get('curve')).toBeUndefined()
  })

  it('does not pile up while an event in which nobody calls grows late by the second', () => {
    const event = new MemoryEvent(demoPlan(OPENS_AT_MS))
    const { state } = event
    const lateMs = OPENS_AT_MS + 2 * 3_600_000
    const keptAt = (nowMs: number): number => {
      estimate(state, nowMs)
      const inForce = planInForce(state)
      if (inForce === undefined) throw new Error('no plan')
      const plan = brief(inForce)
      return [...plan.flights.values()]
        .flatMap((flight) => flight.ships.map((planned) => foldedOf(state, plan, { flight, planned }, nowMs)))
        .reduce((sum, { folded }) => sum + folded.kept.size, 0)
    }
    const first = keptAt(lateMs)
    expect(first).toBeGreaterThan(0)
    let most = 0
    for (let second = 1; second <= 20; second += 1) most = Math.max(most, keptAt(lateMs + second * 1_000))
    expect(most).toBeLessThanOrEqual(2 * first)
  })
})
