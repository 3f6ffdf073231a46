import { describe, expect, it } from 'vitest'
import {
  heldMoved,
  movedInSequence,
  movedToStation,
  placed,
  placeFault,
  stationsFor,
  type Orders
} from '../../client/order.ts'
import type { TankerOrder } from '../../shared/contracts/plan.ts'
import { changedOrders } from '../../shared/propose/orders.ts'
import { NOW_MS, slotView, viewOf } from './fixture.ts'

const minutes = (count: number) => NOW_MS + count * 60_000
const at = (shipId: string, index: number, contactMin: number, over = {}) =>
  slotView({ shipId, index, contactAtMs: minutes(contactMin), ...over })
const view = viewOf({
  slots: [
    at('a', 0, -5, { state: 'in contact' }),
    at('b', 1, 5),
    at('c', 2, 10, { state: 'gone' }),
    at('d', 3, 15),
    at('e', 0, 8, { stationId: 'port' }),
    at('f', 1, 18, { stationId: 'port', pinned: true })
  ]
})
const slot = (shipId: string) => ({ id: `slot-${shipId}`, shipId, visitId: 'visit-1' })
const orders = [
  {
    tankerId: 'kelp',
    sequences: [
      { stationId: 'boom', slots: ['a', 'b', 'c', 'd'].map(slot) },
      { stationId: 'port', slots: ['e', 'f'].map(slot) }
    ]
  }
] as unknown as Orders

const shipsOf = (moved: Orders | undefined) =>
  moved?.[0]?.sequences.map((sequence) => sequence.slots.map((one) => one.shipId).join(''))

describe('moving a slot', () => {
  it('swaps with the one before or behind it, past those that have gone', () => {
    expect(shipsOf(movedInSequence(orders, view, 'slot-d', -1))).toEqual(['adcb', 'ef'])
    expect(shipsOf(movedInSequence(orders, view, 'slot-b', 1))).toEqual(['adcb', 'ef'])
  })

  it('is not done past a ship in contact, a pinned slot or the end', () => {
    expect(movedInSequence(orders, view, 'slot-b', -1)).toBeUndefined()
    expect(movedInSequence(orders, view, 'slot-e', 1)).toBeUndefined()
    expect(movedInSequence(orders, view, 'slot-d', 1)).toBeUndefined()
    expect(movedInSequence(orders, view, 'slot-a', 1)).toBeUndefined()
    expect(movedInSequence(orders, view, 'slot-f', -1)).toBeUndefined()
  })

  it('to another station puts it before the first that comes to contact after it', () => {
    expect(shipsOf(movedToStation(orders, view, 'slot-b', { tankerId: 'kelp', stationId: 'port' }))).toEqual([
      'acd',
      'bef'
    ])
    // Not before a pinned slot: behind everybody.
    expect(shipsOf(movedToStation(orders, view, 'slot-d', { tankerId: 'kelp', stationId: 'port' }))).toEqual([
      'abc',
      'efd'
    ])
  })

  it('to its own station, or of a ship in contact, is not done', () => {
    expect(movedToStation(orders, view, 'slot-b', { tankerId: 'kelp', stationId: 'boom' })).toBeUndefined()
    expect(movedToStation(orders, view, 'slot-a', { tankerId: 'kelp', stationId: 'port' })).toBeUndefined()
  })

  it('leaves the order it began from as it was, and sends only what changed', () => {
    const before = structuredClone(orders)
    const moved = movedInSequence(orders, view, 'slot-d', -1) ?? []
    expect(orders).toEqual(before)
    expect(changedOrders(orders, moved).map((order: TankerOrder) => order.tankerId)).toEqual(['kelp'])
    expect(changedOrders(orders, orders)).toEqual([])
  })

  it('to a turn is done where it stands before another, or last', () => {
    const to = (stationId: string, beforeSlotId?: string) => ({ tankerId: 'kelp', stationId, beforeSlotId })
    expect(shipsOf(placed(orders, 'slot-d', to('boom', 'slot-b')))).toEqual(['adbc', 'ef'])
    expect(shipsOf(placed(orders, 'slot-b', to('boom')))).toEqual(['acdb', 'ef'])
    expect(shipsOf(placed(orders, 'slot-b', to('port')))).toEqual(['acd', 'efb'])
    expect(shipsOf(placed(orders, 'slot-b', to('port', 'slot-f')))).toEqual(['acd', 'ebf'])
    expect(placed(orders, 'slot-b', to('port', 'slot-a'))).toBeUndefined()
    expect(placed(orders, 'slot-x', to('port'))).toBeUndefined()
  })

  it('names why a slot may not stand somewhere', () => {
    const good = view.tankers.map((tanker) => ({
      ...tanker,
      stations: tanker.stations.map((station) => ({ ...station, status: 'good' as const }))
    }))
    const open = { ...view, tankers: good }
    const fault = (slotId: string, stationId: string, beforeSlotId?: string, seen: typeof view = open) =>
      placeFault(orders, seen, {
        slotId,
        to: { tankerId: 'kelp', stationId, beforeSlotId },
        misfit: (shipId) => (shipId === 'd' ? 'no-clearance' : undefined)
      })
    expect(fault('slot-b', 'port')).toBeUndefined()
    expect(fault('slot-d', 'boom', 'slot-b')).toBeUndefined()
    expect(fault('slot-a', 'boom')).toBe('slot-in-contact')
    expect(fault('slot-b', 'boom', 'slot-a')).toBe('slot-in-contact')
    expect(fault('slot-c', 'boom')).toBe('visit-done')
    expect(fault('slot-f', 'port', 'slot-e')).toBe('slot-pinned')
    // Another one passing a pinned slot moves it as well.
    expect(fault('slot-b', 'port', 'slot-f')).toBe('slot-pinned')
    expect(fault('slot-e', 'boom')).toBe('slot-pinned')
    expect(fault('slot-d', 'port')).toBe('no-clearance')
    expect(fault('slot-b', 'port', undefined, view)).toBe('station-closed')
  })

  it('finds a held slot that would move, whoever moves it', () => {
    const passed = placed(orders, 'slot-e', { tankerId: 'kelp', stationId: 'port', beforeSlotId: undefined }) ?? []
    expect(heldMoved(orders, passed, view)?.slotId).toBe('slot-f')
    const behind = placed(orders, 'slot-b', { tankerId: 'kelp', stationId: 'boom', beforeSlotId: undefined }) ?? []
    expect(heldMoved(orders, behind, view)).toBeUndefined()
  })

  it('knows the neighbour stations that take the ship', () => {
    const own = view.slots[1]
    if (own === undefined) throw new Error('the fixture has no such slot')
    expect(stationsFor(view, own, () => true)).toEqual({ stationIds: ['boom', 'port'], own: 0 })
    expect(stationsFor(view, own, () => false)).toEqual({ stationIds: ['boom'], own: 0 })
  })
})
