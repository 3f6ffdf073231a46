import { describe, expect, test } from 'vitest'
import type { Reason } from '../../../shared/contracts/view.ts'
import { judge, type OrderIn } from '../../../shared/order/times.ts'
import { MINUTE_MS, order, push, slot, station, tanker, type OneTank } from './make.ts'
import { inputOf, randomCase } from './random.ts'

/*
 * A figure is the least it takes: with it the break is gone, with a little less it is still there. Constructed.
 */

const min = (minutes: number): number => minutes * MINUTE_MS

function reason(input: OrderIn<OneTank>, kind: Reason['kind']): Reason {
  const found = judge(input).reasons.find((one) => one.kind === kind)
  if (found === undefined) throw new RangeError(`nothing is ${kind}`)
  return found
}
const has = (input: OrderIn<OneTank>, kind: Reason['kind']): boolean =>
  judge(input).reasons.some((one) => one.kind === kind)

describe('what would mend', () => {
  const behind = (firstMs: number, readyMin = 0) =>
    order({
      slots: [
        slot('Kelp', { serviceMs: firstMs }),
        slot('Rasp', { readyAtMs: min(readyMin), fuelKg: 1180, burnKgPerS: 1, abortKg: 1000 })
      ],
      stations: [station('boom', { hookUpMs: min(1) })],
      turns: { boom: ['Kelp', 'Rasp'] }
    })

  test('a contact past its latest one is to come earlier by as much, where some turn is early enough', () => {
    const { mend } = reason(behind(min(4)), 'past latest contact')
    // Three minutes of fuel, contact at 6.
    expect(mend).toEqual({ kind: 'contact earlier', byS: 180, byKg: null })
    expect(has(behind(min(4) - 180_000), 'past latest contact')).toBe(false)
    expect(has(behind(min(4) - 179_000), 'past latest contact')).toBe(true)
  })

  test('one that no turn of its station is early enough for is another station', () => {
    const far = order({
      slots: [slot('Rasp', { fuelKg: 1030, burnKgPerS: 1, abortKg: 1000 })],
      stations: [station('boom', { hookUpMs: min(1) })],
      turns: { boom: ['Rasp'] }
    })
    expect(reason(far, 'past latest contact').mend).toEqual({ kind: 'another station', byS: null, byKg: null })
  })

  const wants = (parts: {
    giveKg?: number
    closesMin?: number
    targetKg?: number
    capacityKg?: number
    plannedMin?: number
  }) =>
    order({
      slots: [
        slot(
          'Kelp',
          {
            burnKgPerS: 0.5,
            rateKgPerS: 10.5,
            targetKg: parts.targetKg ?? 2000,
            capacityKg: parts.capacityKg ?? Infinity
          },
          { requiredAtPushKg: 1900 }
        )
      ],
      stations: [station('boom', { closesAtMs: parts.closesMin === undefined ? Infinity : min(parts.closesMin) })],
      pushGroups: [push('push', { plannedAtMs: min(parts.plannedMin ?? 2), reformMs: min(1) })],
      tankers: [tanker('tanker', { giveKg: () => parts.giveKg ?? Infinity })],
      turns: { boom: ['Kelp'] }
    })

  test('a contact that the give ends is more give, for the ship and for the tanker', () => {
    // 1,000 kg at 10 kg/s of gain: 100 s, 1,050 kg through the station.
    const { mend } = reason(wants({ giveKg: 700 }), 'short at push')
    expect(mend?.kind).toBe('more give')
    expect(mend?.byKg).toBeCloseTo(350, 6)
    const dry = reason(wants({ giveKg: 700 }), 'tanker dry')
    expect(dry.mend?.kind).toBe('more give')
    expect(dry.mend?.byKg).toBeCloseTo(350, 6)
    expect(judge(wants({ giveKg: 1050 })).reasons.map(({ kind }) => kind)).not.toContain('short at push')
    expect(has(wants({ giveKg: 1050 }), 'tanker dry')).toBe(false)
    expect(has(wants({ giveKg: 1040 }), 'tanker dry')).toBe(true)
  })

  test('a contact that the window ends is a window that closes later', () => {
    const { mend } = reason(wants({ closesMin: 1 }), 'short at push')
    expect(mend?.kind).toBe('close later')
    expect(mend?.byS).toBeCloseTo(40, 6)
    expect(judge(wants({ closesMin: 100 / 60 })).judgement.shortage).toBe(0)
    expect(judge(wants({ closesMin: 90 / 60 })).judgement.shortage).toBeGreaterThan(0)
  })

  test('too small a target is to take more', () => {
    const { mend } = reason(wants({ targetKg: 1800 }), 'short at push')
    expect(mend?.kind).toBe('take more')
    const byKg = mend?.byKg ?? 0
    expect(judge(wants({ targetKg: 1800 + byKg })).judgement.shortage).toBe(0)
    expect(judge(wants({ targetKg: 1800 + byKg - 10 })).judgement.shortage).toBeGreaterThan(0)
  })

  test('tanks that hold too little is no order at all, by what is lacking a reform after the disconnect', () => {
    // Full with 1,800 kg, 30 kg of reform.
    const { mend } = reason(wants({ capacityKg: 1800, targetKg: 2000 }), 'short at push')
    expect(mend).toEqual({ kind: 'no order', byS: null, byKg: 1900 - 1800 + 30 })
  })

  test('a wait too long for full tanks is a top-off', () => {
    const { mend, byKg } = reason(wants({ capacityKg: 2000, targetKg: 2500, plannedMin: 20 }), 'past latest push')
    expect(mend).toEqual({ kind: 'top off', byS: null, byKg })
  })

  test('a late push is a later plan, a tanker held late a later leaving', () => {
    const late = (plannedMin: number, leavesMin: number) =>
      order({
        slots: [slot('Kelp', { serviceMs: min(5) })],
        stations: [station('boom')],
        pushGroups: [push('push', { plannedAtMs: min(plannedMin) })],
        tankers: [tanker('tanker', { leavesAtMs: min(leavesMin) })],
        turns: { boom: ['Kelp'] }
      })
    expect(reason(late(3, 90), 'late push').mend).toEqual({ kind: 'push later', byS: 120, byKg: null })
    expect(has(late(5, 90), 'late push')).toBe(false)
    expect(reason(late(5, 4), 'tanker held late').mend).toEqual({ kind: 'leave later', byS: 60, byKg: null })
    expect(has(late(5, 5), 'tanker held late')).toBe(false)
  })

  test('a station that takes nobody is to be opened, a window that is over to close later', () => {
    const shut = (rest: Parameters<typeof station>[1]) =>
      order({
        slots: [slot('Kelp', { readyAtMs: min(9) })],
        stations: [station('boom', { hookUpMs: min(1), ...rest })],
        turns: { boom: ['Kelp'] }
      })
    expect(reason(shut({ takesNew: false }), 'station closed').mend?.kind).toBe('open station')
    expect(reason(shut({ closesAtMs: min(8) }), 'station closed').mend).toEqual({
      kind: 'close later',
      byS: 120,
      byKg: null
    })
    // So much is not enough: the contact must begin before it.
    expect(has(shut({ closesAtMs: min(10) }), 'station closed')).toBe(true)
    expect(has(shut({ closesAtMs: min(10.1) }), 'station closed')).toBe(false)
  })

  test('is told for everything that breaks in random orders, and no order helps where that is said', () => {
    const kinds = new Map<string, number>()
    for (let seed = 40_000; seed < 40_300; seed++) {
      const input = inputOf(randomCase(seed))
      for (const { kind, mend, slotId } of judge(input).reasons) {
        expect(mend, `seed ${String(seed)} ${kind}`).not.toBeNull()
        kinds.set(mend?.kind ?? '', (kinds.get(mend?.kind ?? '') ?? 0) + 1)
        if (mend?.kind === 'no order') expectNoOrder(input, slotId ?? '', `seed ${String(seed)} ${slotId ?? ''}`)
      }
    }
    console.info(`mends of random orders: ${[...kinds].map(([kind, count]) => `${kind} ${String(count)}`).join(', ')}`)
    expect(kinds.size).toBe(12)
    expect(kinds.get('no order')).toBeGreaterThan(20)
  }, 30_000)
})

/** Alone, at any station, at any of some instants, the slot is short at its push or does not come to it. */
function expectNoOrder(input: OrderIn<OneTank>, slotId: string, about: string): void {
  const one = input.slots.find(({ id }) => id === slotId)
  if (one === undefined) throw new RangeError(`no slot ${slotId}`)
  const alone = { ...one, afterSlotId: undefined }
  for (const { id } of input.stations) {
    for (let startMin = 0; startMin <= 60; startMin += 6) {
      const turns = new Map([[id, [slotId]]])
      const judged = judge({
        ...input,
        slots: [{ ...alone, notBeforeMs: min(startMin) }],
        sequences: turns,
        inForce: turns
      })
      for (const slot of judged.slots) if (slot.state === 'planned') expect(slot.shortageKg, about).toBeGreaterThan(2.5)
    }
  }
}
