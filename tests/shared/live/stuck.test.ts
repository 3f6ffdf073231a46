import { describe, expect, it } from 'vitest'
import { demoPlan } from '../../../server/demo/plan.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS } from '../../make/plan.ts'

const S_MS = 1_000

/* In the first the burn factor came to be believed below nothing, and the course could not be flown. */
describe('a gauge that stays where it is, or rises, without a tanker', () => {
  it.each([
    ['every 5 s, rising by 2 kg', { everyS: 5, risesKg: 2, calls: 450 }],
    ['every 12 min, as it was', { everyS: 720, risesKg: 0, calls: 50 }]
  ])('leaves the event to be estimated: %s', (_, { everyS, risesKg, calls }) => {
    const plan = demoPlan(OPENS_AT_MS)
    const event = new MemoryEvent(plan)
    const shipId = plan.flights[0]?.ships[0]?.id
    for (let n = 0; n < calls; n += 1) {
      const atMs = OPENS_AT_MS + (600 + n * everyS) * S_MS
      const fuel = { value: 2_000 + ((n * risesKg) % 900), unit: 'kg' }
      expect(event.ask({ kind: 'callFuel', shipId, fuel, covers: 'total' }, atMs)).toBeUndefined()
      if (n % 25 !== 24) continue
      const ship = estimate(event.state, atMs + S_MS)?.ships.find((one) => one.shipId === shipId)
      expect(Number.isFinite(ship?.fuelKg), `after ${String(n + 1)} calls`).toBe(true)
    }
  })
})
