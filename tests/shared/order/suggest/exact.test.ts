import { describe, expect, test } from 'vitest'
import { compareJudgements, type Judgement } from '../../../../shared/order/judgement.ts'
import { orderRefusals } from '../../../../shared/order/rules.ts'
import { exact } from '../../../../shared/order/suggest/exact.ts'
import { judge, type OrderIn } from '../../../../shared/order/times.ts'
import { fleet } from '../fleet.ts'
import { MINUTE_MS, type OneTank } from '../make.ts'
import { bestOfCase } from './brute.ts'
import { KINDS, pairsCase, smallCases, type Kind, type SmallCase } from './cases.ts'

const LEVELS = ['lostWeight', 'shortage', 'lateness', 'lastDisconnect', 'moved'] as const
const CASES_EACH = 42
const four = (judgement: Judgement): Judgement => ({ ...judgement, moved: 0 })

const timed = new WeakMap<SmallCase, SmallCase>()

/** Nobody asks for fuel at the push, so that only times count; the same for the same, so that its best is worked out once. */
function timesOnly(one: SmallCase): SmallCase {
  const slots = one.input.slots.map((slot) => ({ ...slot, requiredAtPushKg: 0 }))
  const made = timed.get(one) ?? { ...one, input: { ...one.input, slots } }
  timed.set(one, made)
  return made
}

const stationByStation = new WeakMap<SmallCase, ReturnType<typeof proved>>()
const proved = (one: SmallCase) => exact({ ...one, judgements: 25, labels: 20_000, orders: 0 })

/** Without judging every order, after so little search that the proof has the more to do; worked out once. */
function provedOnce(one: SmallCase): ReturnType<typeof proved> {
  const found = stationByStation.get(one) ?? proved(one)
  stationByStation.set(one, found)
  return found
}

/** So many ships of the constructed fleet, four a flight, each flight whole on a station; nobody asks for fuel. */
function part(ships: number, stations: number): OrderIn<OneTank> {
  const whole = fleet(0)
  const slots = whole.slots.slice(0, ships).map((slot) => ({ ...slot, visitId: slot.flightId, requiredAtPushKg: 0 }))
  const here = whole.stations.slice(0, stations)
  const turns = new Map(here.map(({ id }) => [id, [] as string[]]))
  slots.forEach((slot, i) => turns.get(here[(i >> 2) % stations]?.id ?? '')?.push(slot.id))
  return { ...whole, slots, stations: here, sequences: turns, inForce: turns }
}

describe('the exact search', { timeout: 120_000 }, () => {
  test('gives the best of all orders on every level, proved, in 42 small cases of each kind', () => {
    const by = new Map<string, number>()
    let cases = 0
    for (const kind of KINDS) {
      const all = smallCases(kind, CASES_EACH)
      expect(all.length, kind).toBeGreaterThanOrEqual(40)
      for (const { one, seed } of all) {
        // Little search, so that the proof has something to do.
        const found = exact({ ...one, judgements: 60, labels: 20_000, orders: 20_000 })
        expect(found.judgement, `${kind} ${String(seed)}`).toEqual(bestOfCase(one))
        expect(found.bound.proved, `${kind} ${String(seed)}`).toBe(true)
        expect(found.judged).toEqual(judge({ ...one.input, sequences: found.sequences, inForce: one.input.inForce }))
        by.set(found.by, (by.get(found.by) ?? 0) + 1)
        cases++
      }
    }
    console.info(`proved ${String(cases)}: ${[...by].map(([how, count]) => `${how} ${String(count)}`).join(', ')}`)
  })

  test('station by station never has a bound above the best, nor calls met what is not', () => {
    const met = [0, 0, 0, 0, 0, 0]
    for (const kind of KINDS) {
      for (const { one: given, seed } of smallCases(kind, CASES_EACH)) {
        for (const one of [given, timesOnly(given)]) {
          const best = bestOfCase(one)
          const { bound, judgement } = provedOnce(one)
          const about = `${kind} ${String(seed)}`
          for (const level of LEVELS) expect(bound.least[level], `${about} ${level}`).toBeLessThanOrEqual(best[level])
          for (const level of LEVELS.slice(0, bound.metLevels)) expect(judgement[level], about).toBe(best[level])
          met[bound.metLevels] = (met[bound.metLevels] ?? 0) + 1
        }
      }
    }
    console.info(`without judging every order, 0, 1, … 5 levels are met in ${met.join(', ')}`)
  })

  test('station by station proves all levels but slots moved where only times count', () => {
    const kinds: Kind[] = ['plain', 'window', 'failed station', 'whole flights', 'boom and probe', 'any changeovers']
    let cases = 0
    for (const kind of kinds) {
      for (const { one: given, seed } of smallCases(kind, CASES_EACH)) {
        const one = timesOnly(given)
        const { bound, judgement } = provedOnce(one)
        expect(bound.metLevels, `${kind} ${String(seed)}`).toBeGreaterThanOrEqual(4)
        expect(four(judgement), `${kind} ${String(seed)}`).toEqual(four(bestOfCase(one)))
        cases++
      }
    }
    expect(cases).toBeGreaterThanOrEqual(40 * kinds.length)
  })

  test('station by station keeps flights of two whole: the best of all orders of three of them', () => {
    for (let seed = 1; seed <= 16; seed++) {
      const one = pairsCase(seed)
      const { bound, judgement } = exact({ ...one, judgements: 15, labels: 50_000, orders: 0 })
      const best = bestOfCase(one)
      for (const level of LEVELS)
        expect(bound.least[level], `${String(seed)} ${level}`).toBeLessThanOrEqual(best[level])
      for (const level of LEVELS.slice(0, bound.metLevels)) expect(judgement[level], String(seed)).toBe(best[level])
      expect(bound.metLevels, String(seed)).toBeGreaterThanOrEqual(4)
    }
  })

  test('proves flights kept whole on three stations that nobody could try out one by one', () => {
    const input = part(12, 3)
    const mayUse = new Map(input.slots.map((slot) => [slot.id, input.stations.map(({ id }) => id)]))
    const found = exact({ input, mayUse, judgements: 2_000, labels: 300_000, orders: 0 })
    expect(found.bound.metLevels).toBeGreaterThanOrEqual(4)
    expect(found.by).toBe('flights')
    expect(compareJudgements(found.judgement, found.before)).toBeLessThan(0)
    const stationIds = new Set(input.stations.map(({ id }) => id))
    const inForce = input.sequences
    expect(orderRefusals({ sequences: found.sequences, inForce, slots: input.slots, stationIds })).toEqual([])
  })

  test('counts ships that are alike instead of naming them', () => {
    const named = part(12, 2)
    const first = named.slots[0]
    if (first === undefined) throw new RangeError('the fleet is empty')
    const alike = named.slots.map(({ id, shipId, flightId, pushGroupId }) => {
      return { ...first, id, shipId, visitId: flightId, flightId, pushGroupId }
    })
    const ask = (slots: typeof named.slots) => ({
      input: {
        ...named,
        slots,
        pushGroups: named.pushGroups.map((group) => ({ ...group, plannedAtMs: 5 * MINUTE_MS }))
      },
      mayUse: new Map(slots.map((slot) => [slot.id, named.stations.map(({ id }) => id)])),
      maySpread: new Set(slots.map((slot) => slot.flightId)),
      judgements: 500,
      labels: 300_000,
      orders: 0
    })
    const found = exact(ask(alike))
    expect(found.bound.metLevels).toBeGreaterThanOrEqual(4)
    expect(found.labels).toBeLessThan(exact(ask(named.slots)).labels / 2)
  })

  test('says unproved, with the gap, when the work ends before the proof', () => {
    const input = part(16, 2)
    const mayUse = new Map(input.slots.map((slot) => [slot.id, input.stations.map(({ id }) => id)]))
    const { bound, judgement } = exact({ input, mayUse, judgements: 200, labels: 200, orders: 200 })
    expect(bound.proved).toBe(false)
    const open = LEVELS[bound.metLevels] ?? 'moved'
    expect(judgement[open]).toBeGreaterThan(bound.least[open])
  })

  test('is the same for the same input', () => {
    for (const { one } of smallCases('plain', 10)) {
      const asked = { ...one, judgements: 100, labels: 5_000, orders: 0 }
      expect(exact(asked)).toEqual(exact(asked))
    }
  })
})
