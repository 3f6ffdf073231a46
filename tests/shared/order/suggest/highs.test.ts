import { describe, expect, test } from 'vitest'
import { exact } from '../../../../shared/order/suggest/exact.ts'
import { bestByProgramme, constantFleet, orderOf } from './milp.ts'

const CASES = 44

describe('the exact search and a mixed integer programme', { timeout: 120_000 }, () => {
  test('agree on lost weight, lateness and last disconnect of 44 fleets of constant service on two stations', async () => {
    const met = { lost: 0, late: 0, proved: 0, ships: new Set<number>() }
    for (let seed = 1; seed <= CASES; seed++) {
      const fleet = constantFleet(seed)
      const input = orderOf(fleet)
      const everywhere = input.stations.map(({ id }) => id)
      const found = exact({
        input,
        mayUse: new Map(input.slots.map(({ id }) => [id, everywhere])),
        maySpread: new Set(input.slots.map(({ flightId }) => flightId)),
        judgements: 1_500,
        labels: 50_000,
        orders: 0
      })
      const { lostWeight, shortage, lateness, lastDisconnect } = found.judgement
      const about = `seed ${String(seed)}`
      expect([lostWeight, lateness, lastDisconnect], about).toEqual(await bestByProgramme(fleet))
      expect(shortage, about).toBe(0)
      if (lostWeight > 0) met.lost++
      if (lateness > 0) met.late++
      if (found.bound.metLevels >= 4) met.proved++
      met.ships.add(fleet.ships.length)
    }
    console.info(
      `of ${String(CASES)}: ${String(met.lost)} lose a ship, ${String(met.late)} are late, ${String(met.proved)} proved`
    )
    expect([...met.ships].sort()).toEqual([5, 6, 7])
    expect(met.lost).toBeGreaterThanOrEqual(10)
    expect(met.late).toBeGreaterThanOrEqual(20)
    expect(met.proved).toBe(CASES)
  })
})
