import { describe, expect, test } from 'vitest'
import {
  clearanceAllows,
  eachSlotOnce,
  eachSlotOrdered,
  idsKnown,
  inContactStays,
  methodFits,
  orderRefusals,
  pinnedStays,
  sharedBand,
  speedsOverlap,
  stationTakes
} from '../../../shared/order/rules.ts'

describe('a ship may use a station', () => {
  test('when both refuel by the same method', () => {
    expect(methodFits({ receiver: 'boom', station: 'boom' })).toBeUndefined()
    expect(methodFits({ receiver: 'drogue', station: 'boom' })).toEqual({ code: 'method-mismatch' })
  })

  test('when the clearance table lists receiver, tanker and station together', () => {
    const table = [
      { receiverTypeId: 'r1', tankerTypeId: 't1', stationId: 'boom' },
      { receiverTypeId: 'r2', tankerTypeId: 't1', stationId: 'left' }
    ]
    expect(clearanceAllows({ receiverTypeId: 'r2', tankerTypeId: 't1', stationId: 'left' }, table)).toBeUndefined()
    const not = { code: 'no-clearance', stationId: 'boom' }
    expect(clearanceAllows({ receiverTypeId: 'r2', tankerTypeId: 't1', stationId: 'boom' }, table)).toEqual(not)
    expect(clearanceAllows({ receiverTypeId: 'r1', tankerTypeId: 't2', stationId: 'boom' }, table)).toEqual(not)
    expect(clearanceAllows({ receiverTypeId: 'r1', tankerTypeId: 't1', stationId: 'boom' }, [])).toEqual(not)
  })

  test('when there is a speed both can refuel at, be it a single one', () => {
    const receiver = { lowMPerS: 140, highMPerS: 160 }
    expect(sharedBand(receiver, { lowMPerS: 150, highMPerS: 170 })).toEqual({ lowMPerS: 150, highMPerS: 160 })
    expect(sharedBand(receiver, { lowMPerS: 160, highMPerS: 170 })).toEqual({ lowMPerS: 160, highMPerS: 160 })
    expect(sharedBand(receiver, { lowMPerS: 161, highMPerS: 170 })).toBeUndefined()
    expect(speedsOverlap({ receiver, tanker: { lowMPerS: 100, highMPerS: 140 } })).toBeUndefined()
    expect(speedsOverlap({ receiver, tanker: { lowMPerS: 100, highMPerS: 139 } })).toEqual({ code: 'speed-mismatch' })
  })

  test('when the station is good: suspect and failed take nobody new', () => {
    expect(stationTakes({ id: 'boom', status: 'good' })).toBeUndefined()
    expect(stationTakes({ id: 'boom', status: 'suspect' })).toEqual({ code: 'station-closed', stationId: 'boom' })
    expect(stationTakes({ id: 'boom', status: 'failed' })).toEqual({ code: 'station-closed', stationId: 'boom' })
  })
})

describe('an order', () => {
  const open = { pinned: false, gone: false, fixed: undefined }
  const slots = [
    { ...open, id: 'done', fixed: { done: true } },
    { ...open, id: 'contact', fixed: { done: false } },
    { ...open, id: 'pinned', pinned: true },
    { ...open, id: 'free' },
    { ...open, id: 'gone', gone: true }
  ]
  const stationIds = new Set(['left', 'right'])
  const inForce = new Map([
    ['left', ['done', 'contact', 'pinned', 'free']],
    ['right', ['gone']]
  ])
  const change = (left: string[], right: string[] = []) => ({
    slots,
    stationIds,
    inForce,
    sequences: new Map([
      ['left', left],
      ['right', right]
    ])
  })

  test('as it stands is refused nothing', () => {
    expect(orderRefusals({ slots, stationIds, inForce, sequences: inForce })).toEqual([])
  })

  test('may leave out what is done or gone', () => {
    expect(orderRefusals(change(['contact', 'pinned'], ['free']))).toEqual([])
  })

  test('names an unknown slot or station', () => {
    const slotIds = new Set(slots.map((one) => one.id))
    const { sequences } = change(['contact', 'nobody'])
    expect(idsKnown({ sequences, slotIds, stationIds })).toEqual({
      code: 'unknown-slot',
      slotId: 'nobody',
      stationId: 'left'
    })
    expect(idsKnown({ sequences, slotIds, stationIds: new Set(['right']) })).toEqual({
      code: 'unknown-station',
      stationId: 'left'
    })
  })

  test('has each slot once, on one station or on two', () => {
    expect(eachSlotOnce(change(['contact', 'pinned', 'free', 'free']).sequences)?.slotId).toBe('free')
    expect(eachSlotOnce(change(['contact', 'pinned', 'free'], ['pinned']).sequences)).toEqual({
      code: 'ship-twice',
      slotId: 'pinned',
      stationId: 'right'
    })
  })

  test('has every slot still to be flown', () => {
    const { sequences } = change(['contact', 'pinned'])
    expect(eachSlotOrdered(sequences, slots)).toEqual({ code: 'slot-missing', slotId: 'free' })
  })

  test('leaves the slot in contact where it is', () => {
    expect(inContactStays(change(['pinned', 'contact', 'free']))?.code).toBe('slot-in-contact')
    expect(inContactStays(change(['pinned', 'free'], ['contact']))?.slotId).toBe('contact')
    expect(inContactStays(change(['pinned', 'free']))?.slotId).toBe('contact')
    expect(inContactStays(change(['contact', 'free', 'pinned']))).toBeUndefined()
  })

  test('leaves a pinned slot on its station and in its turn', () => {
    expect(pinnedStays(change(['contact', 'free', 'pinned']))).toEqual({ code: 'slot-pinned', slotId: 'pinned' })
    expect(pinnedStays(change(['contact', 'free'], ['pinned']))?.code).toBe('slot-pinned')
    expect(pinnedStays(change(['contact', 'pinned'], ['free']))).toBeUndefined()
  })

  test('is told every rule it breaks at once', () => {
    const codes = orderRefusals(change(['free', 'contact', 'free', 'nobody'])).map((one) => one.code)
    expect(codes).toEqual(['unknown-slot', 'ship-twice', 'slot-missing', 'slot-in-contact', 'slot-pinned'])
  })
})
