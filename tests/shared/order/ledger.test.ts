import { describe, expect, test } from 'vitest'
import { giveKg, greatestOnLoadKg } from '../../../shared/order/ledger.ts'
import { judge } from '../../../shared/order/times.ts'
import { MINUTE_MS, order, slot, station, tanker } from './make.ts'

const min = (minutes: number): number => minutes * MINUTE_MS

describe('what a tanker can give', () => {
  const at = { mostTransferableKg: 30_000, aboardKg: 50_000, aboardAtMs: 0, burnKgPerS: 1, keepsKg: 10_000 }

  test('is the least of the most transferable and what is aboard less burn and what it keeps', () => {
    expect(giveKg({ ...at, leavesAtMs: min(100) })).toBe(30_000)
    expect(giveKg({ ...at, leavesAtMs: min(200) })).toBe(50_000 - 12_000 - 10_000)
  })

  test('is never below nothing, and costs no burn before the fuel was read', () => {
    expect(giveKg({ ...at, leavesAtMs: min(10_000) })).toBe(0)
    expect(giveKg({ ...at, aboardAtMs: min(200), leavesAtMs: min(100), mostTransferableKg: 1e9 })).toBe(40_000)
  })
})

describe('the greatest on-load', () => {
  const contact = {
    wantedKg: 1000,
    promisedKg: 5000,
    leavesAtMs: min(60),
    giveKg: (leavesAtMs: number) => 5600 - (0.5 * Math.max(0, leavesAtMs - min(60))) / 1000,
    disconnectAtMs: (kg: number) => min(55) + (kg / 10) * 1000
  }

  test('is what is left of the give', () => {
    // 600 kg take 60 s: over before the tanker leaves.
    expect(greatestOnLoadKg(contact)).toBeCloseTo(600, 9)
    expect(greatestOnLoadKg({ ...contact, wantedKg: 200 })).toBe(200)
    expect(greatestOnLoadKg({ ...contact, promisedKg: 5600 })).toBe(0)
  })

  test('pays for the burn of the tanker it holds', () => {
    const late = { ...contact, disconnectAtMs: (kg: number) => min(60) + (kg / 10) * 1000 }
    // x + 0.5 (x / 10) = 600.
    expect(greatestOnLoadKg(late)).toBeCloseTo(600 / 1.05, 5)
    expect(greatestOnLoadKg({ ...late, disconnectAtMs: () => min(60) + 1_200_001 })).toBe(0)
  })
})

describe('a tanker that runs dry', () => {
  const ship = { fuelKg: 0, targetKg: 1000, rateKgPerS: 10 }
  const dry = judge(
    order({
      slots: ['a', 'b', 'c', 'd', 'full'].map((id) => slot(id, id === 'full' ? { ...ship, fuelKg: 1000 } : ship)),
      // Two stations draw on one give, in the order of contact: a at 0, b at 1 min, c and d after them.
      stations: [station('left'), station('right', { opensAtMs: min(1) })],
      tankers: [tanker('tanker', { giveKg: () => 2300 })],
      turns: { left: ['a', 'c', 'full'], right: ['b', 'd'] }
    })
  )

  test('gives whole to whoever comes first, on whichever station, what is left to the next, nothing after', () => {
    expect(Object.fromEntries(dry.slots.map((one) => [one.slotId, [one.onLoadKg, one.endedBy]]))).toEqual({
      a: [1000, 'target'],
      b: [1000, 'target'],
      c: [expect.closeTo(300, 6), 'give'],
      d: [0, 'give'],
      full: [0, 'target']
    })
  })

  test('names the contact at which it did and what all that come after lack', () => {
    expect(dry.ledger[0]).toMatchObject({ dryAtSlotId: 'c', givenKg: 0, giveKg: 2300 })
    expect(dry.ledger[0]?.shortKg).toBeCloseTo(1700, 6)
    expect(dry.ledger[0]?.promisedKg).toBeCloseTo(2300, 6)
    const reason = dry.reasons.find((one) => one.kind === 'tanker dry')
    expect(reason).toMatchObject({ slotId: 'c', tankerId: 'tanker', severity: 'now' })
    expect(reason?.byKg).toBeCloseTo(1700, 6)
  })

  test('frees its station as soon as the fuel ends', () => {
    const c = dry.slots.find((one) => one.slotId === 'c')
    const d = dry.slots.find((one) => one.slotId === 'd')
    expect(c?.disconnectAtMs).toBeCloseTo(100_000 + 30_000, 2)
    expect(d?.disconnectAtMs).toBe(d?.contactAtMs)
  })

  test('is not held late by contacts that get nothing', () => {
    const held = judge(
      order({
        slots: [slot('a', ship), slot('b', { ...ship, readyAtMs: min(30) })],
        stations: [station('left')],
        tankers: [tanker('tanker', { leavesAtMs: min(10), giveKg: () => 1000 })],
        turns: { left: ['a', 'b'] }
      })
    )
    expect(held.ledger[0]).toMatchObject({ dryAtSlotId: 'b', heldMs: 0, leavesAtMs: min(10) })
  })

  test('because of a contact already made says so without changing it', () => {
    const fixed = {
      contactAtMs: 0,
      disconnectAtMs: min(5),
      onLoadKg: 3000,
      fuelAtContactKg: 0,
      fuelAtDisconnectKg: 3000,
      latestContactAtMs: undefined,
      done: false
    }
    const judged = judge(
      order({
        slots: [slot('a', ship, { fixed }), slot('b', ship)],
        stations: [station('left')],
        tankers: [tanker('tanker', { giveKg: () => 2500 })],
        turns: { left: ['a', 'b'] }
      })
    )
    expect(judged.ledger[0]).toMatchObject({ dryAtSlotId: 'a', shortKg: 1500, promisedKg: 3000 })
    expect(judged.slots.map((one) => one.onLoadKg)).toEqual([3000, 0])
  })
})
