import { describe, expect, test } from 'vitest'
import { slotsOf } from '../../../shared/order/answer.ts'
import { settle } from '../../../shared/order/settle.ts'
import { timetableOf } from '../../../shared/order/timetable.ts'
import type { OrderIn } from '../../../shared/order/times.ts'
import { chance } from './chance.ts'
import { MINUTE_MS, order, push, slot, station, tanker, type OneTank } from './make.ts'
import { inputOf, randomCase } from './random.ts'

const min = (minutes: number): number => minutes * MINUTE_MS

/** The slots of `input` in other turns, from one timetable that was filled for its own turns before, and from a new one. */
function refilled(input: OrderIn<OneTank>, turns: Record<string, readonly string[]>) {
  const used = timetableOf(input)
  settle(used, used.ordered)
  const rowOf = new Map(used.rows.map((row) => [row.slot.id, row]))
  const others = used.stations.map((one) => (turns[one.station.id] ?? []).flatMap((id) => rowOf.get(id) ?? []))
  settle(used, others)
  const fresh = timetableOf({ ...input, sequences: new Map(Object.entries(turns)) })
  settle(fresh, fresh.ordered)
  return { used: slotsOf(used, others), fresh: slotsOf(fresh, fresh.ordered) }
}

describe('a timetable filled for other sequences before', () => {
  test('remembers nothing of them in random orders', () => {
    for (let seed = 20_000; seed < 20_150; seed++) {
      const given = randomCase(seed)
      const { shuffled } = chance(seed)
      const turns = Object.entries(given.turns).map(([id, inTurn]) => [id, shuffled(inTurn)] as const)
      const { used, fresh } = refilled(inputOf(given), Object.fromEntries(turns))
      expect(used, `seed ${String(seed)}`).toEqual(fresh)
    }
  }, 30_000)

  const ship = { burnKgPerS: 1, rateKgPerS: 21, targetKg: 2000, legMs: min(5), legKg: 300 }

  test('works a second visit out anew when only the push before it changed', () => {
    const input = order({
      slots: [
        slot('first', ship),
        slot('mate', { serviceMs: min(5) }),
        slot('other', { serviceMs: min(9) }, { pushGroupId: 'late' }),
        slot('second', ship, { afterSlotId: 'first', pushGroupId: 'late' })
      ],
      stations: [station('left'), station('right')],
      pushGroups: [push(), push('late')],
      turns: { left: ['first', 'second'], right: ['mate', 'other'] }
    })
    const { used, fresh } = refilled(input, { left: ['first', 'second'], right: ['other', 'mate'] })
    expect(used).toEqual(fresh)
    expect(used.find((one) => one.slotId === 'second')?.readyAtMs).toBe(min(19))
  })

  test('works it out anew when only the fuel before it changed', () => {
    const input = order({
      slots: [
        slot('first', { ...ship, readyAtMs: min(10) }),
        slot('small', { fuelKg: 0, targetKg: 100 }, { pushGroupId: 'late' }),
        slot('large', { fuelKg: 0, targetKg: 900, readyAtMs: min(20) }, { pushGroupId: 'late' }),
        slot('second', ship, { afterSlotId: 'first', pushGroupId: 'late' })
      ],
      stations: [station('left'), station('right'), station('boom', { tankerId: 'other' })],
      pushGroups: [push('push', { plannedAtMs: min(40) }), push('late')],
      // What the first one gets depends on who was before it on the other station.
      tankers: [tanker('tanker', { giveKg: () => 700 }), tanker('other')],
      turns: { left: ['first'], right: ['small', 'large'], boom: ['second'] }
    })
    const { used, fresh } = refilled(input, { left: ['first'], right: ['large', 'small'], boom: ['second'] })
    expect(used).toEqual(fresh)
    expect(used.find((one) => one.slotId === 'first')?.onLoadKg).toBeCloseTo(700, 6)
  })

  test('works a third visit out anew when the first one changed and the second takes as much at the same time', () => {
    // The second takes what it always takes, whatever it comes with: a dry tanker's 420 kg.
    const input = order({
      slots: [
        slot('first', ship),
        slot('before', { serviceMs: min(3) }, { pushGroupId: 'late' }),
        slot('second', ship, { afterSlotId: 'first', pushGroupId: 'second' }),
        slot('third', ship, { afterSlotId: 'second', pushGroupId: 'late' })
      ],
      stations: [
        station('left'),
        station('right', { tankerId: 'little', opensAtMs: min(60) }),
        station('boom', { tankerId: 'much', opensAtMs: min(120) })
      ],
      pushGroups: [push('push', { plannedAtMs: min(20) }), push('second', { plannedAtMs: min(70) }), push('late')],
      tankers: [tanker(), tanker('little', { giveKg: () => 420 }), tanker('much')],
      turns: { left: ['first', 'before'], right: ['second'], boom: ['third'] }
    })
    const { used, fresh } = refilled(input, { left: ['before', 'first'], right: ['second'], boom: ['third'] })
    expect(used).toEqual(fresh)
    const of = (id: string) => used.find((one) => one.slotId === id)
    expect(of('second')).toMatchObject({ contactAtMs: min(60), endedBy: 'give' })
  })
})
