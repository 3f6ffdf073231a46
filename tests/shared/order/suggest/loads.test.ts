import { describe, expect, test } from 'vitest'
import { boundOf, leastBy } from '../../../../shared/order/suggest/bound.ts'
import { exact } from '../../../../shared/order/suggest/exact.ts'
import { fieldOf } from '../../../../shared/order/suggest/field.ts'
import { leastLoads } from '../../../../shared/order/suggest/loads.ts'
import { judge, type OrderIn } from '../../../../shared/order/times.ts'
import { MINUTE_MS, push, type OneTank } from '../make.ts'
import { bestOfCase } from './brute.ts'
import { KINDS, smallCases } from './cases.ts'
import { fleetOf } from './fleets.ts'

/** Nobody is late whatever comes, nor asks for fuel, so that only the last disconnect is open. */
function withoutPushes(input: OrderIn<OneTank>): OrderIn<OneTank> {
  const slots = input.slots.map((one) => ({ ...one, requiredAtPushKg: 0, waitBurnKgPerS: 0 }))
  const pushGroups = input.pushGroups.map(({ id }) => push(id, { plannedAtMs: 1_000 * MINUTE_MS }))
  return { ...input, slots, pushGroups }
}

describe('the loads of all stations', () => {
  test('are never above the best last disconnect of all orders', () => {
    let [known, met] = [0, 0]
    for (const kind of KINDS)
      for (const { one, seed } of smallCases(kind, 8)) {
        const input = withoutPushes(one.input)
        const best = bestOfCase({ ...one, input })
        const field = fieldOf(input, one)
        for (const from of [best, judge(input).judgement]) {
          const told = leastLoads(from, leastBy(field, from), { from: 0 })
          // It speaks of orders that are as good before it.
          if (from.lostWeight !== best.lostWeight || from.shortage !== best.shortage || from.lateness !== best.lateness)
            continue
          expect(told, `${kind} ${String(seed)}`).toBeLessThanOrEqual(best.lastDisconnect)
          if (told > -Infinity) known++
          if (told === best.lastDisconnect) met++
        }
      }
    console.info(`told ${String(known)} times, ${String(met)} times the best itself`)
    expect(known).toBeGreaterThan(70)
  })

  test('tell more than services that are begun and broken off at will, of a fleet that may be split', () => {
    const fleet = fleetOf({ ships: 24, shipsAFlight: 4, tankers: 3, spread: true }, 1)
    const ask = { ...fleet, input: withoutPushes(fleet.input) }
    const found = exact({ ...ask, judgements: 500, labels: 2_000, orders: 0 })
    const pooled = boundOf(fieldOf(ask.input, ask), found.judgement, { before: found.before })
    expect(pooled.metLevels).toBe(3)
    expect(found.bound.least.lastDisconnect).toBeGreaterThan(1.05 * pooled.least.lastDisconnect)
    expect(found.bound.least.lastDisconnect).toBeLessThanOrEqual(found.judgement.lastDisconnect)
  })
})
