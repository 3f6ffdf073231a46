import { describe, expect, test } from 'vitest'
import { compareJudgements } from '../../../shared/order/judgement.ts'
import { later, type Later } from '../../../shared/order/later.ts'
import { judge, type Judged, type OrderIn } from '../../../shared/order/times.ts'
import { chance } from './chance.ts'
import { MINUTE_MS, order, push, slot, station, tanker, type OneTank } from './make.ts'
import { inputOf, randomCase } from './random.ts'

const min = (minutes: number): number => minutes * MINUTE_MS
const none = { pushGroups: [push('push', { plannedAtMs: min(20), reformMs: min(2) })] }
const ship = { fuelKg: 1000, burnKgPerS: 1, rateKgPerS: 21, targetKg: 2000 }

const starts = (moved: Later): Record<string, number> =>
  Object.fromEntries([...moved.notBeforeMs].map(([id, ms]) => [id, ms / MINUTE_MS]))

/** Weighted kg lacking at the pushes. */
const lackKg = (input: OrderIn<OneTank>, judged: Judged): number =>
  judged.slots.reduce(
    (sum, one) => sum + one.shortageKg * (input.slots.find(({ id }) => id === one.slotId)?.weight ?? NaN),
    0
  )

describe('coming later', () => {
  test('leaves more at the push: a slot slides as late as it gains by, and no later', () => {
    // Full at 2,000 kg whenever it comes: with 1,500 required at 20 min it may disconnect 500 s before, not 1,130.
    const input = order({
      ...none,
      slots: [slot('Kelp', ship, { requiredAtPushKg: 1500 })],
      stations: [station('boom')],
      turns: { boom: ['Kelp'] }
    })
    const moved = later(input)
    expect(moved.shortageBefore).toBeGreaterThan(0)
    expect(moved.shortageAfter).toBe(0)
    const kelp = moved.judged.slots[0]
    expect(kelp?.disconnectAtMs).toBeCloseTo(min(20) - 500_000, 1)
    expect(kelp?.fuelAtPushKg).toBeCloseTo(1500, 4)
    // Contact c seconds in: 1,000 + c to fill at 20 kg/s, so c + (1,000 + c) / 20 = 700.
    expect(kelp?.contactAtMs).toBeCloseTo((1000 * (700 - 50)) / 1.05, 1)
  })

  test('goes no further than the push less reform, so that nobody pushes later for it', () => {
    const input = order({
      ...none,
      slots: [slot('Kelp', ship, { requiredAtPushKg: 1950 })],
      stations: [station('boom')],
      turns: { boom: ['Kelp'] }
    })
    const moved = later(input)
    expect(moved.judged.slots[0]?.disconnectAtMs).toBeCloseTo(min(18), 0)
    expect(moved.judged.pushes[0]?.pushAtMs).toBe(min(20))
    // 2,000 kg less two minutes of burn: 70 kg short whenever it comes.
    expect(moved.shortageAfter).toBe(14)
  })

  test('goes no further than the latest contact, less what is to be kept before it', () => {
    const input = order({
      ...none,
      slots: [slot('Kelp', { ...ship, abortKg: 700 }, { requiredAtPushKg: 1900 })],
      stations: [station('boom')],
      turns: { boom: ['Kelp'] }
    })
    expect(later(input).judged.slots[0]).toMatchObject({ state: 'planned' })
    expect(later(input).judged.slots[0]?.contactAtMs).toBeCloseTo(min(5), 0)
    expect(later(input, { slackMs: min(2) }).judged.slots[0]?.contactAtMs).toBeCloseTo(min(3), 0)
  })

  test('goes no further than the closing of its station, with the whole contact', () => {
    const input = order({
      ...none,
      slots: [slot('Kelp', ship, { requiredAtPushKg: 1900 })],
      stations: [station('boom', { closesAtMs: min(9) })],
      turns: { boom: ['Kelp'] }
    })
    const [kelp] = later(input).judged.slots
    expect(kelp).toMatchObject({ endedBy: 'target' })
    expect(kelp?.disconnectAtMs).toBeCloseTo(min(9), 0)
  })

  test('starts at the back: who is behind makes room for who is before', () => {
    const input = order({
      ...none,
      slots: ['Kelp', 'Rasp'].map((id) => slot(id, { ...ship, serviceMs: min(3) }, { requiredAtPushKg: 1900 })),
      stations: [station('boom', { hookUpMs: min(1), changeoverBetweenMs: min(1) })],
      turns: { boom: ['Kelp', 'Rasp'] }
    })
    const [kelp, rasp] = later(input).judged.slots
    expect(rasp?.disconnectAtMs).toBeCloseTo(min(18), 0)
    expect(kelp?.disconnectAtMs).toBeCloseTo(min(18 - 3 - 1 - 1), 0)
  })

  test('leaves alone whom nothing is lacking, who is flown or in contact, and whom the tanker cuts short', () => {
    const enough = order({
      ...none,
      slots: [slot('Kelp', ship)],
      stations: [station('boom')],
      turns: { boom: ['Kelp'] }
    })
    expect(later(enough).notBeforeMs.size).toBe(0)
    const fixed = {
      contactAtMs: 0,
      disconnectAtMs: min(1),
      onLoadKg: 1000,
      fuelAtContactKg: 1000,
      fuelAtDisconnectKg: 2000,
      latestContactAtMs: undefined,
      done: false
    }
    const flown = order({
      ...none,
      slots: [slot('Kelp', ship, { requiredAtPushKg: 1500, fixed })],
      stations: [station('boom')],
      turns: { boom: ['Kelp'] }
    })
    expect(starts(later(flown))).toEqual({})
    const dry = order({
      ...none,
      slots: [slot('Kelp', ship, { requiredAtPushKg: 1500 })],
      stations: [station('boom')],
      tankers: [tanker('tanker', { giveKg: () => 300 })],
      turns: { boom: ['Kelp'] }
    })
    expect(starts(later(dry))).toEqual({})
  })

  test('does not let a give run dry that was enough for the earlier contact', () => {
    // At 0 it takes 1,050 kg; later it would take more than there is, and lack it.
    const input = order({
      ...none,
      slots: [slot('Kelp', ship, { requiredAtPushKg: 1500 })],
      stations: [station('boom')],
      tankers: [tanker('tanker', { giveKg: () => 1060 })],
      turns: { boom: ['Kelp'] }
    })
    const moved = later(input)
    expect(moved.shortageAfter).toBeLessThanOrEqual(moved.shortageBefore)
    expect(compareJudgements(moved.judged.judgement, judge(input).judgement)).toBeLessThanOrEqual(0)
  })

  test('on one station leaves as little lacking as any instants on a grid do', () => {
    let gained = 0
    let tried = 0
    for (let seed = 1; seed <= 160; seed++) {
      const input = oneStation(seed)
      const before = judge(input)
      const moved = later(input)
      const foundKg = lackKg(input, moved.judged)
      const starts = gridOf(input, before)
      for (const notBefore of starts) {
        const slots = input.slots.map((one, i) => ({ ...one, notBeforeMs: notBefore[i] }))
        const other = judge({ ...input, slots })
        const sameElse = other.judgement.lostWeight === before.judgement.lostWeight
        const pushesLater = other.pushes.some((one, i) => one.pushAtMs > (before.pushes[i]?.pushAtMs ?? 0) + 1)
        // No contact is cut short that was whole: that is no room to slide in.
        const whole = (judged: Judged) => judged.slots.filter((one) => one.endedBy !== 'window').length
        if (!sameElse || pushesLater || whole(other) < whole(before)) continue
        tried++
        expect(foundKg, `seed ${String(seed)} ${JSON.stringify(notBefore)}`).toBeLessThanOrEqual(
          lackKg(input, other) + 0.01
        )
      }
      if (moved.shortageAfter < moved.shortageBefore) gained++
    }
    expect(tried).toBeGreaterThan(5_000)
    expect(gained).toBeGreaterThan(40)
  }, 60_000)

  test('never makes a judgement worse, and tells the one that is judged with its instants', () => {
    let gained = 0
    for (let seed = 30_000; seed < 30_300; seed++) {
      const input = inputOf(randomCase(seed))
      const before = judge(input)
      const moved = later(input)
      const about = `seed ${String(seed)}`
      const slots = input.slots.map((one) => ({
        ...one,
        notBeforeMs: moved.notBeforeMs.get(one.id) ?? one.notBeforeMs
      }))
      expect(judge({ ...input, slots }), about).toEqual(moved.judged)
      expect(compareJudgements(moved.judged.judgement, before.judgement), about).toBeLessThanOrEqual(0)
      expect(moved.judged.judgement.lostWeight, about).toBeLessThanOrEqual(before.judgement.lostWeight)
      expect([moved.shortageBefore, moved.shortageAfter], about).toEqual([
        before.judgement.shortage,
        moved.judged.judgement.shortage
      ])
      expect(later(input), about).toEqual(moved)
      if (moved.shortageAfter < moved.shortageBefore) gained++
    }
    console.info(`of 300 random orders ${String(gained)} lack less`)
    expect(gained).toBeGreaterThan(30)
  }, 60_000)
})

/** Two or three ships on one station, wants and windows as they come, each in one of two pushes. */
function oneStation(seed: number): OrderIn<OneTank> {
  const { number, whole, yes } = chance(seed + 500)
  const ids = ['Kelp', 'Rasp', 'Sleet'].slice(0, whole(2, 3))
  return order({
    slots: ids.map((id, i) =>
      slot(
        id,
        {
          readyAtMs: number(0, 6) * MINUTE_MS,
          fuelKg: number(1200, 2300),
          burnKgPerS: number(0.4, 1.2),
          rateKgPerS: number(6, 20),
          targetKg: number(1800, 3000),
          ...(yes(0.5) ? { abortKg: number(500, 1000) } : {}),
          ...(yes(0.2) ? { serviceMs: number(1, 4) * MINUTE_MS } : {})
        },
        {
          flightId: `flight-${String(i % 2)}`,
          pushGroupId: yes(0.5) ? 'push' : 'other',
          weight: 2 ** whole(0, 4),
          requiredAtPushKg: number(1500, 2900)
        }
      )
    ),
    stations: [
      station('boom', {
        hookUpMs: number(0.5, 2) * MINUTE_MS,
        changeoverWithinFlightMs: 0.5 * MINUTE_MS,
        changeoverBetweenMs: number(1, 3) * MINUTE_MS,
        closesAtMs: yes(0.3) ? number(14, 24) * MINUTE_MS : Infinity
      })
    ],
    pushGroups: ['push', 'other'].map((id) =>
      push(id, { plannedAtMs: number(12, 30) * MINUTE_MS, reformMs: number(0, 2) * MINUTE_MS })
    ),
    turns: { boom: ids }
  })
}

/** Every way to let the slots start by whole steps later. */
function gridOf(input: OrderIn<OneTank>, judged: Judged): number[][] {
  const steps = input.slots.length === 2 ? 14 : 8
  const stepMs = (20 / steps) * MINUTE_MS
  let ways: number[][] = [[]]
  for (const { id } of input.slots) {
    const startAtMs = judged.slots.find((one) => one.slotId === id)?.startAtMs ?? 0
    ways = ways.flatMap((way) => Array.from({ length: steps }, (_, k) => [...way, startAtMs + k * stepMs]))
  }
  return ways
}
