import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  compareJudgements,
  longestRising,
  stepsOfKg,
  stepsOfMs,
  type Judgement
} from '../../../shared/order/judgement.ts'
import { judge } from '../../../shared/order/times.ts'
import { MINUTE_MS, order, push, slot, station } from './make.ts'

const none: Judgement = { lostWeight: 0, shortage: 0, lateness: 0, lastDisconnect: 0, moved: 0 }

describe('judgements', () => {
  test('are compared from left to right, whatever stands further right', () => {
    const levels = ['lostWeight', 'shortage', 'lateness', 'lastDisconnect', 'moved'] as const
    levels.forEach((level, i) => {
      const worse = { ...none, [level]: 1 }
      const rest = Object.fromEntries(levels.slice(i + 1).map((later) => [later, 1e6]))
      expect(compareJudgements(worse, { ...none, ...rest })).toBeGreaterThan(0)
      expect(compareJudgements({ ...none, ...rest }, worse)).toBeLessThan(0)
    })
    expect(compareJudgements(none, { ...none })).toBe(0)
  })

  test('count steps of 6 s and 5 kg, so that less makes a tie', () => {
    expect([2.4, 2.6, 7.4, 7.6].map(stepsOfKg)).toEqual([0, 1, 1, 2])
    expect([2_900, 3_100, 9_100].map(stepsOfMs)).toEqual([0, 1, 2])
    const lateBy = (ms: number) =>
      judge(
        order({
          slots: [slot('Alder', { serviceMs: 10 * MINUTE_MS + ms })],
          stations: [station('boom')],
          pushGroups: [push('push', { plannedAtMs: 10 * MINUTE_MS })],
          turns: { boom: ['Alder'] }
        })
      ).judgement
    expect(compareJudgements(lateBy(0), lateBy(2_900))).toBe(0)
    expect(compareJudgements(lateBy(0), lateBy(3_100))).toBeLessThan(0)
  })

  test('weigh lost ships, shortage and lateness by priority', () => {
    const ship = { burnKgPerS: 1, fuelKg: 1000, targetKg: 1000, rateKgPerS: 11 }
    const judged = judge(
      order({
        slots: [
          slot('Alder', { ...ship, abortKg: 990 }, { weight: 16 }),
          slot('Sleet', ship, { weight: 8, requiredAtPushKg: 1000 })
        ],
        // Alder comes after 1 min, 50 s too late; Sleet after 1 min, is full at once, and waits 100 s for its push.
        stations: [station('boom', { hookUpMs: MINUTE_MS })],
        pushGroups: [push('push', { plannedAtMs: 60_000, reformMs: 100_000 })],
        turns: { boom: ['Alder', 'Sleet'] }
      })
    )
    // Sleet lacks 60 kg at contact, takes 6 s; at its push it is 100 kg short and 106 s late.
    expect(judged.judgement).toEqual({
      lostWeight: 16,
      shortage: 8 * 20,
      lateness: 8 * 18,
      lastDisconnect: 11,
      moved: 0
    })
  })

  test('count a ship that is not in the order as lost, so that leaving it out never looks better', () => {
    const judged = judge(
      order({
        slots: [slot('Alder', {}), slot('Kelp', {}, { weight: 4 })],
        stations: [station('boom')],
        turns: { boom: ['Alder'] }
      })
    )
    expect(judged.judgement.lostWeight).toBe(4)
    expect(judged.reasons).toContainEqual(expect.objectContaining({ kind: 'not in the order', slotId: 'Kelp' }))
    expect(judged.slots.map((one) => one.slotId)).toEqual(['Alder'])
  })
})

describe('slots moved against the order in force', () => {
  const ids = ['a', 'b', 'c', 'd', 'e']
  const moved = (now: Record<string, string[]>, before: Record<string, string[]>): number =>
    judge(
      order({
        slots: ids.map((id) => slot(id, {})),
        stations: [station('left'), station('right')],
        turns: now,
        inForce: new Map(Object.entries(before))
      })
    ).judgement.moved

  test('are the fewest that must be taken out and put elsewhere', () => {
    const before = { left: ['a', 'b', 'c'], right: ['d', 'e'] }
    expect(moved(before, before)).toBe(0)
    // One ship from the back to the front is one ship moved, not three.
    expect(moved({ left: ['c', 'a', 'b'], right: ['d', 'e'] }, before)).toBe(1)
    expect(moved({ left: ['a', 'c'], right: ['d', 'b', 'e'] }, before)).toBe(1)
    expect(moved({ left: ['c', 'b', 'a'], right: ['e', 'd'] }, before)).toBe(3)
    expect(moved({ left: ['d', 'e'], right: ['a', 'b', 'c'] }, before)).toBe(5)
  })

  test('do not count a slot that is new or taken out', () => {
    expect(moved({ left: ['a', 'b', 'c', 'd'], right: [] }, { left: ['a', 'b', 'c'], right: ['e'] })).toBe(0)
  })

  test('are none where no order is in force', () => {
    const judged = judge(order({ slots: [slot('a', {})], stations: [station('left')], turns: { left: ['a'] } }))
    expect(judged.judgement.moved).toBe(0)
  })
})

test('the longest rising run is as long as the best of all subsets', () => {
  fc.assert(
    fc.property(fc.uniqueArray(fc.integer({ min: 0, max: 50 }), { maxLength: 9 }), (values) => {
      let best = 0
      for (let subset = 0; subset < 1 << values.length; subset++) {
        const chosen = values.filter((_, i) => (subset >> i) & 1)
        if (chosen.every((value, i) => i === 0 || value > (chosen[i - 1] ?? 0))) best = Math.max(best, chosen.length)
      }
      const tails = new Int32Array(values.length)
      expect(longestRising(Int32Array.from(values), values.length, tails)).toBe(best)
    })
  )
})
