import { mount } from '@vue/test-utils'
import { describe, expect, it } from 'vitest'
import {
  heldMoved,
  lifted,
  movedInSequence,
  movedToStation,
  placed,
  placeFault,
  stationsFor,
  type Orders
} from '../../client/order.ts'
import OrderList from '../../client/parts/OrderList.vue'
import OrderSheet from '../../client/parts/OrderSheet.vue'
import { saidChange, saidWords } from '../../client/words/said.ts'
import type { TankerOrder } from '../../shared/contracts/plan.ts'
import { changedOrders } from '../../shared/propose/orders.ts'
import { labels, NOW_MS, slotView, viewOf } from './fixture.ts'

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
    const free = viewOf({ slots: view.slots.map((one) => ({ ...one, pinned: false })) })
    expect(shipsOf(movedToStation(orders, free, 'slot-b', { tankerId: 'kelp', stationId: 'port' }))).toEqual([
      'acd',
      'bef'
    ])
    // Not before a pinned slot: behind everybody.
    expect(shipsOf(movedToStation(orders, view, 'slot-d', { tankerId: 'kelp', stationId: 'port' }))).toEqual([
      'abc',
      'efd'
    ])
  })

  it('to another station lets every pinned slot keep its turn, there and where it leaves', () => {
    const port = { tankerId: 'kelp', stationId: 'port' }
    // Before the next one it would put the pinned one off: behind it.
    expect(shipsOf(movedToStation(orders, view, 'slot-b', port))).toEqual(['acd', 'efb'])
    // The one behind it moves up wherever it goes.
    expect(movedToStation(orders, view, 'slot-e', { tankerId: 'kelp', stationId: 'boom' })).toBeUndefined()
  })

  it('goes on with what the order says of a slot, which is lifted by an order without it', () => {
    const say = (id: string, said: object): Orders => {
      const next = structuredClone(orders) as unknown as { sequences: { slots: { id: string }[] }[] }[]
      for (const one of next.flatMap(({ sequences }) => sequences.flatMap(({ slots }) => slots)))
        if (one.id === id) Object.assign(one, said)
      return next as unknown as Orders
    }
    const both = say('slot-b', { notBeforeAtMs: minutes(6), internalsOnly: true })
    expect(movedInSequence(both, view, 'slot-b', 1)?.[0]?.sequences[0]?.slots[3]).toMatchObject({
      notBeforeAtMs: minutes(6),
      internalsOnly: true
    })
    const full = lifted(both, view, 'slot-b', 'internals only')
    expect(full).toEqual(say('slot-b', { notBeforeAtMs: minutes(6) }))
    expect(lifted(full ?? [], view, 'slot-b', 'not before')).toEqual(orders)
    expect(changedOrders(both, full ?? []).map((order) => order.tankerId)).toEqual(['kelp'])
    // Pinned is its turn, not when it comes.
    expect(lifted(say('slot-f', { notBeforeAtMs: minutes(20) }), view, 'slot-f', 'not before')).toEqual(orders)
    // Nothing said, or the contact has begun.
    expect(lifted(orders, view, 'slot-b', 'not before')).toBeUndefined()
    expect(lifted(say('slot-a', { internalsOnly: true }), view, 'slot-a', 'internals only')).toBeUndefined()
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

describe('what an order says of a slot beside its turn', () => {
  const said = { notBeforeAtMs: minutes(6) + 400, internalsOnly: true }
  const nothing = { notBeforeAtMs: null, internalsOnly: false }

  it('is told in words, its instant never too early', () => {
    expect(saidWords(said)).toBe('not before 12:06:01Z, internal fuel only')
    expect(saidWords({ ...nothing, internalsOnly: true })).toBe('internal fuel only')
    expect(saidWords(nothing)).toBe('')
  })

  it('is told of another order only where it is other', () => {
    expect(saidChange(said, said)).toBe('')
    expect(saidChange(nothing, said)).toBe('not before 12:06:01Z, internal fuel only')
    expect(saidChange({ ...said, notBeforeAtMs: minutes(5) }, said)).toBe('not before 12:06:01Z')
    expect(saidChange(said, nothing)).toBe('as soon as it can, full on-load')
    // A slot that is new with it.
    expect(saidChange(undefined, said)).toBe('not before 12:06:01Z, internal fuel only')
  })

  const picture = viewOf({ slots: [at('alder-21', 0, 5, said), at('alder-22', 1, 9)] })

  it('stands in its line of the list, and in nobody else\u2019s', () => {
    const list = mount(OrderList, {
      props: { view: picture, inForce: picture, labels, selected: undefined, mayOrder: true, faultAt: () => undefined }
    })
    expect(list.find('[data-slot="slot-alder-21"] [data-said]').text()).toBe('not before 12:06:01Z, internal fuel only')
    expect(list.find('[data-slot="slot-alder-22"] [data-said]').exists()).toBe(false)
    expect(list.text()).not.toContain('draft')
  })

  it('says beside each slot of a moved order that has other times than the one in force that it is a draft', () => {
    const inForce = viewOf({ slots: [at('alder-21', 0, 5, said), at('alder-22', 1, 11)] })
    const list = mount(OrderList, {
      props: { view: picture, inForce, labels, selected: undefined, mayOrder: true, faultAt: () => undefined }
    })
    expect(list.find('[data-list-draft]').text()).toContain('not yet accepted')
    expect(list.find('[data-slot="slot-alder-22"] [data-draft]').text()).toBe('draft')
    expect(list.find('[data-slot="slot-alder-21"] [data-draft]').exists()).toBe(false)
  })

  it('stands on paper', () => {
    window.print = () => undefined
    const sheet = mount(OrderSheet, { props: { view: picture, labels } })
    expect(sheet.find('[data-paper-slot="slot-alder-21"] [data-said]').text()).toBe(
      'not before 12:06:01Z, internal fuel only'
    )
    expect(sheet.find('[data-paper-slot="slot-alder-22"] [data-said]').exists()).toBe(false)
    sheet.unmount()
  })

  it('says on paper why there is no abort base', () => {
    window.print = () => undefined
    const none = { abortKg: null, abortBaseId: null, abortWhy: 'closed' } as const
    const slots = picture.slots.map((slot) => (slot.shipId === 'alder-22' ? { ...slot, ...none } : slot))
    const sheet = mount(OrderSheet, { props: { view: { ...picture, slots }, labels } })
    expect(sheet.find('[data-paper-slot="slot-alder-22"] .abort').text()).toBe(
      'no abort base: the first abort base is closed'
    )
    sheet.unmount()
  })
})
