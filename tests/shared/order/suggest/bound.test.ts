import { describe, expect, test } from 'vitest'
import type { Judgement } from '../../../../shared/order/judgement.ts'
import { boundBy, boundOf } from '../../../../shared/order/suggest/bound.ts'
import { fieldOf } from '../../../../shared/order/suggest/field.ts'
import { judge } from '../../../../shared/order/times.ts'
import { MINUTE_MS, order, push, slot, station, tanker } from '../make.ts'
import { bestOfCase } from './brute.ts'
import { KINDS, smallCases } from './cases.ts'

const LEVELS = ['lostWeight', 'shortage', 'lateness', 'lastDisconnect', 'moved'] as const
const min = (minutes: number): number => minutes * MINUTE_MS
const none: Judgement = { lostWeight: 0, shortage: 0, lateness: 0, lastDisconnect: 0, moved: 0 }

describe('a bound', { timeout: 120_000 }, () => {
  test('is on no level above the best of all orders, whether that or only the order in force is known', () => {
    const met = [0, 0, 0, 0, 0, 0]
    let cases = 0
    for (const kind of KINDS) {
      for (const { one, seed } of smallCases(kind, 42)) {
        const best = bestOfCase(one)
        const before = judge(one.input).judgement
        for (const known of [best, before]) {
          const { least, metLevels } = boundOf(fieldOf(one.input, one), known, { before })
          for (const level of LEVELS)
            expect(least[level], `${kind} ${String(seed)} ${level}`).toBeLessThanOrEqual(best[level])
          if (known === best) met[metLevels] = (met[metLevels] ?? 0) + 1
        }
        cases++
      }
    }
    console.info(`of ${String(cases)} best orders the bound meets 0, 1, … 5 levels in ${met.join(', ')}`)
    expect(cases).toBeGreaterThanOrEqual(40 * KINDS.length)
    // It says something: more than that nothing is below 0.
    expect((met[2] ?? 0) + (met[3] ?? 0) + (met[4] ?? 0) + (met[5] ?? 0)).toBeGreaterThan(cases / 3)
  })

  test('counts neither the work nor the lateness of ships that come too late whatever the order', () => {
    const late = { readyAtMs: min(9), fuelKg: 1000, burnKgPerS: 1, abortKg: 1000, rateKgPerS: 2, targetKg: 4000 }
    const input = order({
      slots: [slot('late', late, { weight: 4 }), slot('small', { serviceMs: min(2) })],
      stations: [station('boom', { hookUpMs: min(1) })],
      turns: { boom: ['late', 'small'] }
    })
    const { judgement } = judge(input)
    const { least, proved } = boundOf(fieldOf(input, { mayUse: new Map() }), judgement, { before: judgement })
    expect(least).toEqual({ lostWeight: 4, shortage: 0, lateness: 30, lastDisconnect: 30, moved: 0 })
    expect(proved).toBe(true)
  })

  test('counts nothing of ships that a known order loses and another one need not', () => {
    const input = order({
      slots: [slot('light', { serviceMs: min(5) }, { weight: 1 }), slot('heavy', { serviceMs: min(2) }, { weight: 2 })],
      stations: [station('boom')],
      turns: { boom: ['light', 'heavy'] }
    })
    const before = judge(input).judgement
    const { least } = boundOf(fieldOf(input, { mayUse: new Map() }), { ...before, lostWeight: 1 }, { before })
    expect(least).toMatchObject({ lostWeight: 0, lateness: 2 * 20, lastDisconnect: 20 })
  })

  test('lets flights push in the best sequence that services one after the other allow', () => {
    // Two minutes each on one station: the heavy one first, 20 steps late, then the light one, 40.
    const input = order({
      slots: [
        slot('light', { serviceMs: min(2) }, { weight: 1, pushGroupId: 'a' }),
        slot('heavy', { serviceMs: min(2) }, { weight: 4, pushGroupId: 'b' })
      ],
      stations: [station('boom')],
      pushGroups: [push('a'), push('b')],
      turns: { boom: ['light', 'heavy'] }
    })
    const before = judge(input).judgement
    expect(before.lateness).toBe(20 + 4 * 40)
    const { least, metLevels } = boundOf(fieldOf(input, { mayUse: new Map() }), before, { before })
    expect(least).toEqual({ ...none, lateness: 4 * 20 + 40, lastDisconnect: 40 })
    expect(metLevels).toBe(2)
  })

  test('has a flight that stays whole share the stations of one tanker', () => {
    // Four times two minutes: on one station 8 min, spread over four stations 2.
    const ids = ['one', 'two', 'three', 'four']
    const stations = ids.map((id) => station(id, { tankerId: id }))
    const input = order({
      slots: ids.map((id) => slot(id, { serviceMs: min(2) }, { flightId: 'flight', visitId: 'visit' })),
      stations,
      tankers: ids.map((id) => tanker(id)),
      turns: { one: ids, two: [], three: [], four: [] }
    })
    const before = judge(input).judgement
    const mayUse = new Map(ids.map((id) => [id, ids]))
    expect(before.lateness).toBe(4 * 80)
    expect(boundOf(fieldOf(input, { mayUse }), before, { before }).least.lateness).toBe(4 * 80)
    const maySpread = new Set(['flight'])
    expect(boundOf(fieldOf(input, { mayUse, maySpread }), before, { before }).least.lateness).toBe(4 * 20)
  })

  test('counts a later visit from when its ship is ready again at the earliest', () => {
    // Over at 2 min, planned push at 10, ready again at 15: its contact is at 16.
    const first = slot('ship', { serviceMs: min(2), legMs: min(5) }, { visitId: 'first', pushGroupId: 'a' })
    const again = { ...first, id: 'again', visitId: 'second', pushGroupId: 'b', afterSlotId: 'ship' }
    const input = order({
      slots: [first, again],
      stations: [station('boom', { hookUpMs: min(1) })],
      pushGroups: [push('a', { plannedAtMs: min(10) }), push('b', { plannedAtMs: min(12) })],
      turns: { boom: ['ship', 'again'] }
    })
    const before = judge(input).judgement
    expect(before).toMatchObject({ lateness: 60, lastDisconnect: 180 })
    const { least } = boundOf(fieldOf(input, { mayUse: new Map() }), before, { before })
    expect(least).toMatchObject({ lateness: 40, lastDisconnect: 160 })
    // A top-off waits for no push, and who may be lost counts for nothing.
    const lost = boundOf(fieldOf(input, { mayUse: new Map() }), { ...before, lostWeight: 1 }, { before }).least
    expect(lost).toMatchObject({ lateness: 0, lastDisconnect: 0 })
  })

  test('lets the later visits of a flight that stays whole share the stations of one tanker', () => {
    // Ready again at 25 + 5 min. On one hose 1 + 4, then 0.5 + 1 + 4; on two hoses both are over at 35.
    const ship = { serviceMs: min(4), legMs: min(5), readyAtMs: 0 }
    const slots = ['a', 'b'].flatMap((name) => {
      const first = slot(name, ship, { flightId: 'flight', visitId: 'first', pushGroupId: 'first' })
      return [
        first,
        { ...first, id: `${name} again`, visitId: 'again', pushGroupId: 'again', afterSlotId: name, weight: 4 }
      ]
    })
    const changeovers = { changeoverWithinFlightMs: min(0.5), changeoverBetweenMs: min(2) }
    const leastEnd = (hoses: readonly string[], giveKg: number): number => {
      const input = order({
        slots,
        stations: hoses.map((id) => station(id, { hookUpMs: min(1), ...changeovers })),
        tankers: [tanker('tanker', { giveKg: () => giveKg })],
        pushGroups: [push('first', { plannedAtMs: min(25) }), push('again', { plannedAtMs: min(90) })],
        turns: { left: ['a', 'b', 'a again', 'b again'], ...(hoses.length > 1 ? { right: [] } : {}) }
      })
      const before = judge(input).judgement
      expect(before).toMatchObject({ lostWeight: 0, shortage: 0, lateness: 0 })
      expect(before.lastDisconnect).toBe(giveKg < 4_000 ? 365 : 405)
      const mayUse = new Map(slots.map(({ id }) => [id, hoses]))
      return boundOf(fieldOf(input, { mayUse }), before, { before }).least.lastDisconnect
    }
    expect(leastEnd(['left'], 1e5)).toBe(405)
    expect(leastEnd(['left', 'right'], 1e5)).toBe(350)
    // Where the tanker may run short each contact may be cut short.
    expect(leastEnd(['left'], 3_999)).toBe(310)
  })

  test('is met level by level from the left', () => {
    expect(boundBy(none, none)).toMatchObject({ metLevels: 5, proved: true })
    expect(boundBy(none, { ...none, lateness: 1 })).toMatchObject({ metLevels: 2, proved: false })
    expect(boundBy(none, { ...none, lostWeight: 1 }).metLevels).toBe(0)
  })
})
