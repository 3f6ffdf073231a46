import { describe, expect, test } from 'vitest'
import { boundOf, leastBy } from '../../../../shared/order/suggest/bound.ts'
import { anew } from '../../../../shared/order/suggest/anew.ts'
import { exact } from '../../../../shared/order/suggest/exact.ts'
import { fieldOf, sequencesOf, turnsOf } from '../../../../shared/order/suggest/field.ts'
import { byQueues, lostByQueues } from '../../../../shared/order/suggest/queues.ts'
import { suggest } from '../../../../shared/order/suggest/search.ts'
import { judge, type OrderIn } from '../../../../shared/order/times.ts'
import { chance } from '../chance.ts'
import { MINUTE_MS, push, slot, type OneTank } from '../make.ts'
import { bestOfCase } from './brute.ts'
import { KINDS, smallCases } from './cases.ts'
import { fleetOf, type FleetOf } from './fleets.ts'

const ALL = { from: 0, most: 2_000_000 }

/** Nobody is late whatever comes, nor asks for fuel, so that only the last disconnect is open. */
function withoutPushes(input: OrderIn<OneTank>): OrderIn<OneTank> {
  const slots = input.slots.map((one) => ({ ...one, requiredAtPushKg: 0, waitBurnKgPerS: 0 }))
  const pushGroups = input.pushGroups.map(({ id }) => push(id, { plannedAtMs: 1_000 * MINUTE_MS }))
  return { ...input, slots, pushGroups }
}

const spread = (of: Omit<FleetOf, 'shipsAFlight'>, seed: number) => {
  const fleet = fleetOf({ ...of, shipsAFlight: 4, spread: true }, seed)
  return { ...fleet, input: withoutPushes(fleet.input) }
}

/** Ships that must leave some minutes after they come: not all can be served. */
function inNeed(ships: number, seed: number) {
  const fleet = fleetOf({ ships, shipsAFlight: 4, tankers: ships / 8, spread: true }, seed)
  const { number } = chance(seed + 100)
  const slots = fleet.input.slots.map(({ id, flightId, visitId, pushGroupId, weight }) => {
    const ship = { readyAtMs: number(0, 6) * MINUTE_MS, fuelKg: number(1150, 1500), rateKgPerS: number(8, 20) }
    const rest = { flightId, visitId, pushGroupId, weight, requiredAtPushKg: 0 }
    return slot(id, { ...ship, burnKgPerS: 0.6, abortKg: 800, targetKg: 4500 }, rest)
  })
  return { ...fleet, input: { ...fleet.input, slots } }
}

describe('the queues of all stations', () => {
  test('never say that more is lost than the best of all orders loses', () => {
    let [known, met, lost] = [0, 0, 0]
    for (const kind of KINDS)
      for (const { one, seed } of smallCases(kind, 12)) {
        const best = bestOfCase(one)
        const field = fieldOf(one.input, one)
        const told = lostByQueues(field, leastBy(field, judge(one.input).judgement), { most: 2_000_000 })
        expect(told.least, `${kind} ${String(seed)}`).toBeLessThanOrEqual(best.lostWeight)
        if (told.least > -Infinity) known++
        if (told.least === best.lostWeight) met++
        if (best.lostWeight > 0) lost++
      }
    console.info(`of ${String(known)}, ${String(lost)} lose a ship; told ${String(met)} times what the best loses`)
    expect(known).toBeGreaterThan(100)
    expect(lost).toBeGreaterThan(10)
    expect(met).toBeGreaterThan(100)
  })

  test('lose less than a search does, and prove it of half the fleets in need', () => {
    let proved = 0
    for (const [ships, seed] of [
      [24, 1],
      [24, 2],
      [24, 3],
      [40, 1]
    ] as const) {
      const ask = { ...inNeed(ships, seed), judgements: 500 }
      const alone = suggest(ask).judgement.lostWeight
      const found = exact({ ...ask, labels: 2_000, queueWork: 2_000_000, orders: 0 })
      expect(found.judgement.lostWeight, String(seed)).toBeLessThan(alone)
      expect(found.judgement.lostWeight).toBeGreaterThanOrEqual(found.bound.least.lostWeight)
      expect(found.bound.least.lostWeight).toBeGreaterThan(0)
      expect(anew({ ...ask, labels: 600_000 }).judgement.lostWeight).toBeLessThan(alone)
      if (found.bound.metLevels >= 1) proved++
    }
    expect(proved).toBeGreaterThanOrEqual(2)
  })

  test.each([
    ['with nothing else open', withoutPushes],
    ['as they are', (input: OrderIn<OneTank>) => input]
  ])('are never over later than the best of all orders, %s', (_, made) => {
    let [known, met, better] = [0, 0, 0]
    for (const kind of KINDS)
      for (const { one, seed } of smallCases(kind, 8)) {
        const input = made(one.input)
        const best = bestOfCase({ ...one, input })
        const field = fieldOf(input, one)
        for (const from of [best, judge(input).judgement]) {
          const told = byQueues(field, from, leastBy(field, from), ALL)
          // It speaks of orders that are as good before it.
          if (from.lostWeight !== best.lostWeight || from.shortage !== best.shortage || from.lateness !== best.lateness)
            continue
          expect(told.least, `${kind} ${String(seed)}`).toBeLessThanOrEqual(best.lastDisconnect)
          if (told.least > -Infinity) known++
          if (told.least === best.lastDisconnect) met++
          if (told.free !== undefined) better++
        }
      }
    console.info(`told ${String(known)} times, ${String(met)} times the best itself, ${String(better)} times an order`)
    expect(known).toBeGreaterThan(70)
    expect(met).toBeGreaterThan(30)
  })

  test.each([
    [{ ships: 24, tankers: 3 }, 1],
    [{ ships: 24, tankers: 3 }, 2],
    [{ ships: 24, tankers: 3, drogues: true }, 1]
  ])('prove the order they come to the best, of a fleet that may be split, %o', (of, seed) => {
    const ask = spread(of, seed)
    const field = fieldOf(ask.input, ask)
    const { judgement, before } = suggest({ ...ask, judgements: 500 })
    const from = boundOf(field, judgement, { before }).least.lastDisconnect
    const told = byQueues(field, judgement, leastBy(field, judgement), { from, most: 2_000_000 })
    expect(told.least).toBeGreaterThan(from)
    expect(told.free).toBeDefined()
    const { sequences } = sequencesOf(field, turnsOf(field, told.free ?? []))
    const found = judge({ ...ask.input, inForce: field.inForce, sequences }).judgement
    expect(found.lastDisconnect).toBeLessThan(judgement.lastDisconnect)
    expect(found.lastDisconnect).toBe(told.least)
  })

  test('leave forty ships that may be split within a hundredth of the best, and are told by the exact search', () => {
    const ask = spread({ ships: 40, tankers: 5 }, 1)
    const { bound, by, judgement } = exact({ ...ask, judgements: 500, labels: 2_000, queueWork: 4_000_000, orders: 0 })
    expect(by).toBe('queues')
    expect(bound.metLevels).toBeGreaterThanOrEqual(3)
    expect(judgement.lastDisconnect).toBeLessThanOrEqual(1.01 * bound.least.lastDisconnect)
    expect(judgement.lastDisconnect).toBeGreaterThanOrEqual(bound.least.lastDisconnect)
  })

  test('say no more than is known when the work ends or it is stopped', () => {
    const ask = spread({ ships: 24, tankers: 3 }, 1)
    const field = fieldOf(ask.input, ask)
    const { judgement } = suggest({ ...ask, judgements: 500 })
    const best = byQueues(field, judgement, leastBy(field, judgement), { from: 0, most: 2_000_000 }).least
    for (const most of [0, 1_000, 20_000])
      expect(byQueues(field, judgement, leastBy(field, judgement), { from: 0, most }).least).toBeLessThanOrEqual(best)
    const stopped = byQueues(field, judgement, leastBy(field, judgement), { ...ALL, stop: () => true })
    expect(stopped).toMatchObject({ free: undefined })
    expect(stopped.least).toBeLessThanOrEqual(best)
  })
})
