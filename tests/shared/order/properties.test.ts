import { describe, expect, test } from 'vitest'
import { judgementOf } from '../../../shared/order/answer.ts'
import { stepsOfKg, stepsOfMs } from '../../../shared/order/judgement.ts'
import { settle } from '../../../shared/order/settle.ts'
import { timetableOf } from '../../../shared/order/timetable.ts'
import { judge } from '../../../shared/order/times.ts'
import { chance } from './chance.ts'
import { MINUTE_MS } from './make.ts'
import { inputOf, randomCase } from './random.ts'

const seeds = (from: number, count: number): number[] => Array.from({ length: count }, (_, i) => from + i)

describe('judging random orders', { timeout: 30_000 }, () => {
  test('gives the same answer twice', () => {
    for (const seed of seeds(5_000, 60))
      expect(judge(inputOf(randomCase(seed)))).toEqual(judge(inputOf(randomCase(seed))))
  })

  test('gives the same judgement from a timetable that was filled for other sequences in between', () => {
    for (const seed of seeds(6_000, 200)) {
      const { shuffled } = chance(seed)
      const table = timetableOf(inputOf(randomCase(seed)))
      settle(table, table.ordered)
      const first = judgementOf(table, table.ordered)
      const other = table.ordered.map((inTurn) => shuffled(inTurn))
      settle(table, other)
      const between = judgementOf(table, other)
      settle(table, table.ordered)
      expect(judgementOf(table, table.ordered), `seed ${String(seed)}`).toEqual(first)
      const given = randomCase(seed)
      const turns = other.map(
        (inTurn, k) => [table.stations[k]?.station.id ?? '', inTurn.map((row) => row.slot.id)] as const
      )
      const anew = judge({ ...inputOf(given), sequences: new Map(turns) }).judgement
      expect(between, `seed ${String(seed)}`).toEqual(anew)
    }
  })

  test('adds up to its judgement slot by slot', () => {
    for (const seed of seeds(7_000, 200)) {
      const given = randomCase(seed)
      const { slots, judgement, reasons } = judge(inputOf(given))
      const weight = (id: string): number => given.ships.find((one) => one.slot.id === id)?.slot.weight ?? NaN
      const sum = (of: (slot: (typeof slots)[number]) => number): number =>
        slots.reduce((total, one) => total + of(one), 0)
      const served = slots.filter((one) => one.state !== 'missed' && one.state !== 'gone')
      // A contact that is topped off counts with the one that does.
      const counted = served.filter((one) => one.toppedBySlotId === undefined)
      const groupOf = (id: string | undefined) => given.ships.find((one) => one.slot.id === id)?.slot.pushGroupId
      const all = given.ships.map((one) => one.slot)
      const tops = new Set(all.flatMap((one) => (groupOf(one.afterSlotId) === one.pushGroupId ? [one.id] : [])))
      const unordered = reasons
        .filter((one) => one.kind === 'not in the order' && !tops.has(one.slotId ?? ''))
        .map((one) => weight(one.slotId ?? ''))
      const lost = sum((one) => (one.state === 'missed' && !tops.has(one.slotId) ? weight(one.slotId) : 0))
      expect(judgement.lostWeight).toBe(lost + unordered.reduce((total, one) => total + one, 0))
      expect(judgement.shortage).toBe(sum((one) => weight(one.slotId) * stepsOfKg(one.shortageKg)))
      const late = counted.map((one) => weight(one.slotId) * stepsOfMs(Math.max(0, one.pushAtMs - one.plannedPushAtMs)))
      expect(judgement.lateness).toBe(late.reduce((total, one) => total + one, 0))
      expect(judgement.lastDisconnect).toBe(Math.max(0, ...served.map((one) => stepsOfMs(one.disconnectAtMs))))
    }
  })

  test('never puts two ships on a station at once, nor one there before it is ready', () => {
    for (const seed of seeds(8_000, 200)) {
      const given = randomCase(seed)
      const { slots } = judge(inputOf(given))
      for (const station of given.stations) {
        const here = slots.filter((one) => one.stationId === station.id && one.state === 'planned')
        here.forEach((one, i) => {
          expect(one.startAtMs).toBeGreaterThanOrEqual(
            Math.max(one.readyAtMs, station.opensAtMs, here[i - 1]?.disconnectAtMs ?? 0)
          )
          expect(one.disconnectAtMs).toBeGreaterThanOrEqual(one.contactAtMs)
          expect(one.disconnectAtMs).toBeLessThanOrEqual(station.closesAtMs)
        })
      }
    }
  })

  test('never promises more than a tanker can give at the time it then leaves', () => {
    let bound = 0
    for (const seed of seeds(9_000, 200)) {
      const given = { ...randomCase(seed), nowMs: undefined }
      const ships = given.ships.map((one) => ({ ...one, slot: { ...one.slot, fixed: undefined } }))
      for (const row of judge(inputOf({ ...given, ships })).ledger) {
        expect(row.promisedKg, `seed ${String(seed)}`).toBeLessThanOrEqual(Math.max(0, row.giveKg) + 1e-5)
        if (row.dryAtSlotId !== undefined) bound++
      }
    }
    expect(bound).toBeGreaterThan(20)
  })

  test('never ends later when a station is free earlier, where no give binds, nobody misses and nobody comes twice', () => {
    let tried = 0
    for (const seed of seeds(10_000, 600)) {
      const random = randomCase(seed)
      const given = {
        ...random,
        ships: random.ships.filter((one) => one.slot.afterSlotId === undefined && one.slot.fixed === undefined),
        tankers: random.tankers.map((tanker) => ({ ...tanker, baseKg: 1e9 })),
        stations: random.stations.map((station) => ({ ...station, freeAtMs: 8 * MINUTE_MS, takesNew: true }))
      }
      const later = judge(inputOf(given))
      if (later.judgement.lostWeight > 0) continue
      tried++
      const stations = given.stations.map((station, k) => ({ ...station, freeAtMs: (k % 2) * 4 * MINUTE_MS }))
      const earlier = judge(inputOf({ ...given, stations }))
      const last = (judged: typeof later): number => Math.max(...judged.slots.map((one) => one.disconnectAtMs))
      expect(last(earlier), `seed ${String(seed)}`).toBeLessThanOrEqual(last(later) + 1e-3)
      expect(earlier.judgement.lostWeight).toBe(0)
    }
    expect(tried).toBeGreaterThan(50)
  })
})
