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

  test('is one with the search: 1,000 orders on tables filled again and again agree to 1 ms in every instant', () => {
    let orders = 0
    let missed = 0
    for (const seed of seeds(20_000, 100)) {
      const { whole, shuffled } = chance(seed)
      const input = inputOf(randomCase(seed))
      const table = timetableOf(input)
      for (let again = 0; again < 10; again++) {
        // Anybody anywhere; what is flown stands first where it was flown.
        const turns = table.ordered.map((inTurn) => inTurn.filter((row) => row.slot.fixed !== undefined))
        for (const row of shuffled(table.ordered.flat()))
          if (row.slot.fixed === undefined) turns[whole(0, turns.length - 1)]?.push(row)
        settle(table, turns)
        const ids = turns.map(
          (inTurn, k) => [table.stations[k]?.station.id ?? '', inTurn.map((row) => row.slot.id)] as const
        )
        const judged = judge({ ...input, sequences: new Map(ids) })
        const about = `seed ${String(seed)} ${String(again)}`
        expect(judgementOf(table, turns), about).toEqual(judged.judgement)
        const rowOf = new Map(table.rows.map((row) => [row.slot.id, row]))
        for (const one of judged.slots) {
          const row = rowOf.get(one.slotId)
          expect([row?.state, row?.station?.station.id ?? ''], `${about} ${one.slotId}`).toEqual([
            one.state,
            one.stationId
          ])
          for (const instant of ['readyAtMs', 'startAtMs', 'contactAtMs', 'disconnectAtMs'] as const)
            expect(Math.abs((row?.[instant] ?? NaN) - one[instant]), `${about} ${one.slotId} ${instant}`).toBeLessThan(
              1
            )
          expect(Math.abs((row?.group.pushAtMs ?? NaN) - one.pushAtMs), `${about} ${one.slotId} push`).toBeLessThan(1)
          if (one.state === 'missed') missed++
        }
        orders++
      }
    }
    expect(orders).toBe(1_000)
    expect(missed).toBeGreaterThan(500)
  })

  test('never makes others later when a ship is taken out, where nothing but the stations ties them', () => {
    const met = { held: 0, elsewhere: 0, later: 0 }
    for (const seed of seeds(12_000, 600)) {
      const random = randomCase(seed)
      // Whoever is served earlier waits longer for its push and takes more on its second visit: nobody comes twice in half.
      const once = random.ships.filter(({ slot }) => slot.afterSlotId === undefined)
      const given = seed % 2 === 0 ? { ...random, ships: once } : random
      const { whole } = chance(seed + 1)
      const open = given.ships.filter(({ slot }) => slot.fixed === undefined && !slot.gone)
      const out = open[whole(0, open.length - 1)]?.slot.shipId
      if (out === undefined) continue
      const rest = { ...given, ships: given.ships.filter(({ slot }) => slot.shipId !== out) }
      const [before, after] = [judge(inputOf(given)), judge(inputOf(rest))]
      const missed = [before, after].some(({ slots }) => slots.some((one) => one.state === 'missed'))
      const dry = [before, after].some(({ ledger }) => ledger.some((row) => row.dryAtSlotId !== undefined))
      const tied = given.stations.some((one) => one.excludes !== undefined || one.changeoverMs !== undefined)
      const twice = given.ships.some(({ slot }) => slot.afterSlotId !== undefined)
      const was = new Map(before.slots.map((one) => [one.slotId, one]))
      const later = after.slots.filter((one) => {
        const then = was.get(one.slotId)
        const both = one.state === 'planned' && then?.state === 'planned'
        return both && (one.contactAtMs > then.contactAtMs + 1 || one.disconnectAtMs > then.disconnectAtMs + 1)
      })
      if (missed || dry || tied || twice) {
        met.elsewhere++
        if (later.length > 0) met.later++
        continue
      }
      met.held++
      expect(later, `seed ${String(seed)}`).toEqual([])
    }
    console.info(
      `a ship taken out: nobody later in ${String(met.held)} free orders; of ${String(met.elsewhere)} where ships miss, give ` +
        `binds, stations exclude each other, ships come twice or changeovers are of any kind, in ${String(met.later)} somebody is`
    )
    expect(met.held).toBeGreaterThanOrEqual(50)
    expect(met.elsewhere).toBeGreaterThan(100)
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
