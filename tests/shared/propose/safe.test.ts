import { describe, expect, it } from 'vitest'
import type { TankerOrder } from '../../../shared/contracts/plan.ts'
import { compareJudgements } from '../../../shared/order/judgement.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { ordersInForce } from '../../../shared/live/state.ts'
import { propose, type Proposal } from '../../../shared/propose/propose.ts'
import { demoPlan } from '../../../server/demo/plan.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, SHIPS, smallPlan } from '../../server/plan.ts'

/*
 * What a proposal must never do, and what it must find, on the small event (constructed): three ships ready at minute 30
 * at two stations, and the demonstration plan.
 */

const MIN = 60_000
const NOW_MS = OPENS_AT_MS + 10 * MIN
const kg = (value: number) => ({ value, unit: 'kg' as const })

function proposed(event: MemoryEvent, atMs: number, kind: Proposal['kind'] = 'repair'): Proposal {
  const proposal = propose(event.state, atMs, { kind })
  if (!proposal) throw new Error('no plan')
  return proposal
}
const set = (event: MemoryEvent, { orders }: Proposal, atMs: number) =>
  event.ask({ kind: 'setOrder', orders, basedOnSeq: event.state.seq }, atMs)
const slotsOf = (orders: readonly TankerOrder[]) =>
  orders.flatMap(({ sequences }) => sequences.flatMap(({ slots }) => slots))

/** So much is asked at the push that everybody is short who comes as soon as it can. */
function wanting(): MemoryEvent {
  const event = new MemoryEvent(smallPlan())
  for (const shipId of Object.values(SHIPS))
    expect(event.ask({ kind: 'setLimit', shipId, limit: 'required', fuel: kg(4500) }, NOW_MS)).toBeUndefined()
  return event
}

describe('an order in which ships come later than they could', () => {
  it('is proposed where that leaves more at the push, never for who is pinned, and is taken as it is', () => {
    const event = wanting()
    expect(event.ask({ kind: 'setPin', slotId: 'slot-3', pinned: true, serveAnyway: false }, NOW_MS)).toBeUndefined()
    const proposal = proposed(event, NOW_MS)
    expect(proposal.judgement.shortage).toBeLessThan(proposal.before.shortage)
    const later = slotsOf(proposal.orders).filter(({ notBeforeAtMs }) => notBeforeAtMs !== undefined)
    expect(later.length).toBeGreaterThan(0)
    expect(later.map(({ id }) => id)).not.toContain('slot-3')
    expect(set(event, proposal, NOW_MS)).toBeUndefined()
  })

  it('keeps nobody waiting into its late margin when it calls less than was thought, and is made anew then', () => {
    const event = wanting()
    expect(set(event, proposed(event, NOW_MS), NOW_MS)).toBeUndefined()
    for (const shipId of Object.values(SHIPS)) event.ask({ kind: 'joinShip', shipId }, OPENS_AT_MS + 30 * MIN)
    const atMs = OPENS_AT_MS + 31 * MIN
    for (const fuelKg of [1500, 1300, 1200, 1150]) {
      const low = new MemoryEvent(smallPlan())
      low.state = event.state
      low.ask({ kind: 'callFuel', shipId: SHIPS.kelp1, fuel: kg(fuelKg), covers: 'total' }, atMs)
      const slot = estimate(low.state, atMs)?.slots.find(({ slotId }) => slotId === 'slot-3')
      expect(slot?.state, String(fuelKg)).toBe('planned')
      const free = estimate(low.state, atMs, asSoonAsTheyCan(low))?.slots.find(({ slotId }) => slotId === 'slot-3')
      // Late margin of the plan: 5 min; where it is not to be had, as soon as it can.
      const latestMs = Math.max((slot?.latestContactAtMs ?? NaN) - 5 * MIN, free?.contactAtMs ?? NaN)
      expect(slot?.contactAtMs, String(fuelKg)).toBeLessThanOrEqual(latestMs + 1)
      expect(compareJudgements(proposed(low, atMs).judgement, proposed(low, atMs).before)).toBeLessThanOrEqual(0)
    }
  })

  it('is found by the search beside the orders it tries: the best of all with it is what is told', () => {
    const event = wanting()
    const stayed = proposed(event, NOW_MS, 'repair')
    for (const kind of ['anew', 'proof'] as const)
      expect(compareJudgements(proposed(event, NOW_MS, kind).judgement, stayed.judgement)).toBeLessThanOrEqual(0)
    const told: Proposal[] = []
    propose(event.state, NOW_MS, { kind: 'anew', onBetter: (one) => told.push(one) })
    told.forEach((one, i) => {
      const before = told[i - 1]
      if (before) expect(compareJudgements(one.judgement, before.judgement)).toBeLessThan(0)
    })
  })
})

const asSoonAsTheyCan = ({ state }: MemoryEvent): TankerOrder[] =>
  ordersInForce(state).map((order) => ({
    ...order,
    sequences: order.sequences.map((sequence) => ({
      ...sequence,
      slots: sequence.slots.map(({ id, shipId, visitId }) => ({ id, shipId, visitId }))
    }))
  }))

describe('a station that closes', () => {
  it('ends the contact then, whether it was planned to or its tanker calls that it leaves', () => {
    const planned = smallPlan()
    const [tanker] = planned.tankers
    if (!tanker) throw new Error('the small plan has no tanker')
    const closesAtMs = OPENS_AT_MS + 40 * MIN
    tanker.windows = ['left', 'right'].map((stationId) => ({
      stationId: stationId as (typeof planned.tankerTypes)[0]['stations'][0]['id'],
      opensAtMs: OPENS_AT_MS,
      closesAtMs
    }))
    const called = new MemoryEvent(smallPlan())
    called.ask({ kind: 'setTankerTimes', tankerId: 'rasp', leavesAtMs: closesAtMs }, NOW_MS)
    for (const event of [new MemoryEvent(planned), called]) {
      const view = estimate(event.state, NOW_MS)
      const slot = view?.slots.find(({ slotId }) => slotId === 'slot-2')
      expect(slot).toMatchObject({ state: 'planned', disconnectAtMs: closesAtMs, endedBy: 'window' })
      // 500 kg/min from contact to closing.
      expect(slot?.onLoadKg).toBeCloseTo((500 * (closesAtMs - (slot?.contactAtMs ?? NaN))) / MIN, 3)
      // In contact it is the same.
      for (const shipId of [SHIPS.alder1, SHIPS.alder2]) event.ask({ kind: 'joinShip', shipId }, OPENS_AT_MS + 30 * MIN)
      const contactMs = OPENS_AT_MS + 38 * MIN
      event.ask({ kind: 'makeContact', shipId: SHIPS.alder2, slotId: 'slot-2', stationId: 'right' }, contactMs)
      const held = estimate(event.state, contactMs + MIN)?.slots.find(({ slotId }) => slotId === 'slot-2')
      expect(held).toMatchObject({ state: 'in contact', disconnectAtMs: closesAtMs })
    }
  })
})

describe('a proposal while somebody is in contact', () => {
  it.each(['in turn', 'out of turn', 'at another station'])('stands and is taken: %s', { timeout: 30_000 }, (where) => {
    const plan = demoPlan(OPENS_AT_MS)
    const event = new MemoryEvent(plan)
    const tanker = ordersInForce(event.state).find(
      ({ sequences }) => sequences.length > 1 && sequences.some(({ slots }) => slots.length > 2)
    )
    const sequence = tanker?.sequences.find(({ slots }) => slots.length > 2)
    const other = tanker?.sequences.find((one) => one !== sequence)
    const slot = sequence?.slots[where === 'out of turn' ? 1 : 0]
    const startAtMs = estimate(event.state, OPENS_AT_MS)?.slots.find(({ slotId }) => slotId === slot?.id)?.startAtMs
    const atMs = (startAtMs ?? NaN) + MIN
    const contact = { kind: 'makeContact' as const, shipId: slot?.shipId, slotId: slot?.id }
    const elsewhere = where === 'at another station' ? { stationId: other?.stationId } : {}
    expect(event.ask({ ...contact, ...elsewhere }, atMs)).toBeUndefined()
    event.ask({ kind: 'setGive', tankerId: tanker?.tankerId, mostTransferable: { value: 20_000, unit: 'lb' } }, atMs)
    const proposal = proposed(event, atMs + MIN / 2)
    expect(proposal.orders.length).toBeGreaterThan(0)
    expect(set(event, proposal, atMs + MIN / 2)).toBeUndefined()
    expect(estimate(event.state, atMs + MIN / 2)?.judgement).toEqual({ ...proposal.judgement, moved: 0 })
  })
})

describe('where an abort base is closed', () => {
  it('ships may still change stations of the tankers they have, and go nowhere else without one', () => {
    const plan = smallPlan()
    const [left, right] = plan.orders[0]?.sequences ?? []
    left?.slots.push(...(right?.slots.splice(0) ?? []))
    const event = new MemoryEvent(plan)
    expect(event.ask({ kind: 'setBase', baseId: 'north', open: false }, NOW_MS)).toBeUndefined()
    expect(proposed(event, NOW_MS, 'anew').changes.some(({ moved }) => moved)).toBe(true)
    const demo = new MemoryEvent(demoPlan(OPENS_AT_MS))
    const trackOf = (tankerId: string) => demo.state.plan?.tankers.find(({ id }) => id === tankerId)?.trackId
    const track = demo.state.plan?.tracks.find(({ id }) => id === trackOf('sorrel'))
    demo.ask({ kind: 'setBase', baseId: track?.abortBaseId, open: false }, NOW_MS)
    for (const { was, becomes } of proposed(demo, NOW_MS, 'anew').changes) {
      const [from, to] = [was, becomes].map((place) => trackOf(place?.stationId.split('/')[0] ?? ''))
      if (to === track?.id) expect(from).toBe(track?.id)
    }
  })
})

describe('the way to another tanker', () => {
  const plan = demoPlan(OPENS_AT_MS)
  const planned = estimate(new MemoryEvent(plan).state, OPENS_AT_MS)?.slots.find(({ shipId }) => shipId === 'rasp-2')
  if (!planned) throw new Error('the demonstration plan has no rasp-2')
  const dueMs = planned.readyAtMs

  /** The ship's slot put first at another tanker's pod, on another track. */
  function sentAway(event: MemoryEvent): TankerOrder[] {
    const orders = structuredClone(ordersInForce(event.state))
    const slot = slotsOf(orders).find(({ id }) => id === planned?.slotId)
    if (!slot) throw new Error('no slot')
    for (const { sequences } of orders)
      for (const sequence of sequences) sequence.slots = sequence.slots.filter(({ id }) => id !== slot.id)
    orders
      .find(({ tankerId }) => tankerId === 'sorrel')
      ?.sequences.find(({ stationId }) => stationId === 'left')
      ?.slots.unshift(slot)
    return orders
  }
  const slotAt = (event: MemoryEvent, atMs: number, orders?: TankerOrder[], slotId: string = planned.slotId) =>
    estimate(event.state, atMs, orders)?.slots.find((slot) => slot.slotId === slotId)
  const fuel = { kind: 'callFuel' as const, shipId: 'rasp-2', fuel: { value: 3200, unit: 'lb' }, covers: 'total' }
  /** Of the plan's own figures, worked out apart from what is tested: a ship that is sent at once when it is due. */
  const wayMs = (slotAt(new MemoryEvent(plan), dueMs, sentAway(new MemoryEvent(plan)))?.readyAtMs ?? NaN) - dueMs

  it('is some minutes long', () => {
    expect(wayMs).toBeGreaterThan(10 * MIN)
    expect(wayMs).toBeLessThan(30 * MIN)
  })

  it.each([
    ['a ship that has not reported', []],
    ['a ship that waits', [{ ask: { kind: 'joinShip' as const, shipId: 'rasp-2' }, atMs: dueMs }]],
    [
      'a ship that called before it joined',
      [
        { ask: fuel, atMs: dueMs - 5 * MIN },
        { ask: { kind: 'joinShip' as const, shipId: 'rasp-2' }, atMs: dueMs }
      ]
    ],
    [
      'a ship that called while it waited',
      [
        { ask: { kind: 'joinShip' as const, shipId: 'rasp-2' }, atMs: dueMs },
        { ask: fuel, atMs: dueMs + MIN }
      ]
    ]
  ])('begins when it is sent, and ends when it is flown, however long one looks on: %s', (_, told) => {
    const event = new MemoryEvent(plan)
    for (const { ask, atMs } of told) expect(event.ask(ask, atMs)).toBeUndefined()
    const sentMs = dueMs + 10 * MIN
    const orders = sentAway(event)
    expect(slotAt(event, sentMs, orders)?.readyAtMs).toBeCloseTo(sentMs + wayMs, 0)
    expect(event.ask({ kind: 'setOrder', orders, basedOnSeq: event.state.seq }, sentMs)).toBeUndefined()
    for (const minutes of [0, 2, 5, 15])
      expect(slotAt(event, sentMs + minutes * MIN)?.readyAtMs, String(minutes)).toBeCloseTo(sentMs + wayMs, 0)
  })

  it('is not flown again once the ship has joined there, called there, and tops off there', () => {
    const event = new MemoryEvent(plan)
    const orders = sentAway(event)
    expect(event.ask({ kind: 'setOrder', orders, basedOnSeq: event.state.seq }, OPENS_AT_MS + 5 * MIN)).toBeUndefined()
    const thereMs = dueMs + wayMs
    expect(event.ask({ kind: 'joinShip', shipId: 'rasp-2' }, thereMs)).toBeUndefined()
    expect(slotAt(event, thereMs + 1000)?.readyAtMs).toBeCloseTo(thereMs, 0)
    expect(event.ask(fuel, thereMs + MIN)).toBeUndefined()
    expect(slotAt(event, thereMs + 2 * MIN)?.readyAtMs).toBeCloseTo(thereMs, 0)
    const contact = { kind: 'makeContact' as const, shipId: 'rasp-2', slotId: planned.slotId }
    expect(event.ask(contact, thereMs + 4 * MIN)).toBeUndefined()
    const off = { kind: 'disconnect' as const, shipId: 'rasp-2', how: 'partial', offLoad: { value: 500, unit: 'lb' } }
    expect(event.ask(off, thereMs + 6 * MIN)).toBeUndefined()
    const again = (tankerId: string) => {
      const topped = structuredClone(ordersInForce(event.state))
      const first = topped
        .find((one) => one.tankerId === tankerId)
        ?.sequences.find(({ stationId }) => stationId === 'left')
      first?.slots.push({ ...slotsOf(orders).find(({ id }) => id === planned.slotId), id: 'top-off-1' } as never)
      return slotAt(event, thereMs + 7 * MIN, topped, 'top-off-1')?.readyAtMs
    }
    expect(again('sorrel')).toBeCloseTo(thereMs + 6 * MIN, 0)
    // Back at the tanker it was planned for it flies the way back.
    expect((again('auger') ?? NaN) - thereMs - 6 * MIN).toBeGreaterThan(10 * MIN)
  })
})
