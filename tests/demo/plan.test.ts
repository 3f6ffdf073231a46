import { describe, expect, it } from 'vitest'
import type { Plan, TankerOrder } from '../../shared/contracts/plan.ts'
import type { SlotView, View } from '../../shared/contracts/view.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { brief } from '../../shared/plan/brief.ts'
import { computeOrder } from '../../shared/plan/order.ts'
import { readPlan } from '../../shared/plan/read.ts'
import { KG_PER_LB } from '../../shared/units.ts'
import { demoPlan } from '../../server/demo/plan.ts'
import { MemoryEvent } from '../make/event.ts'
import { byIndex } from './by-index.ts'

/* Constructed: the demonstration is invented; these are the properties it was made to have. */
const OPENS_AT_MS = Date.UTC(2031, 4, 6, 9)
const MIN = 60_000
const demo = demoPlan(OPENS_AT_MS)

function seen(plan: Plan, orders?: TankerOrder[]): View {
  const view = computeOrder(orders ? { plan, orders } : { plan })
  if ('faults' in view) throw new Error(JSON.stringify(view.faults))
  return view
}
function slotOf(view: View, slotId: string): SlotView {
  const slot = view.slots.find((one) => one.slotId === slotId)
  if (!slot) throw new Error(`no slot ${slotId}`)
  return slot
}
const missed = (view: View): string[] => view.slots.filter((slot) => slot.pastS > 0).map((slot) => slot.shipId)
// Judged in steps of 5 kg, so a gram of rounding is no shortage.
const short = (view: View): string[] => view.slots.filter((slot) => slot.shortageKg > 2.5).map((slot) => slot.shipId)

describe('the demonstration plan', () => {
  it('passes its own checks', () => {
    expect(readPlan(JSON.parse(JSON.stringify(demo)))).toHaveProperty('plan')
  })

  it('has 24 ships in 7 flights, boom and drogue, and 3 tankers with 6 stations on 2 tracks', () => {
    const { flights, ships, tankers, stations, tracks } = brief(demo)
    expect([flights.size, ships.size, tankers.size, stations.size, tracks.size]).toEqual([7, 24, 3, 6, 2])
    expect(new Set([...flights.values()].map((flight) => flight.method))).toEqual(new Set(['boom', 'drogue']))
    expect([...flights.values()].filter((flight) => flight.visits.length === 2)).toHaveLength(2)
    expect(demo.receiverTypes.filter((type) => type.gauge === 'internal')).toHaveLength(1)
  })

  it('has external, silenced and reserve groups aboard ships that fly', () => {
    const groups = [...brief(demo).ships.values()].flatMap((ship) => ship.sheet.groups)
    expect(groups.some((group) => group.place === 'external')).toBe(true)
    expect(groups.some((group) => group.silencedByExternals)).toBe(true)
    expect(groups.some((group) => group.role.kind === 'reserve')).toBe(true)
  })

  it('begins its contacts some 25 minutes after the opening and ends them inside 100', () => {
    const contacts = seen(demo).slots.map((slot) => (slot.contactAtMs - OPENS_AT_MS) / MIN)
    expect(Math.min(...contacts)).toBeGreaterThan(23)
    expect(Math.min(...contacts)).toBeLessThan(27)
    expect(Math.max(...contacts)).toBeLessThan(100)
  })

  it('moves with its opening and with nothing else', () => {
    const later = seen(demoPlan(OPENS_AT_MS + 7 * MIN))
    for (const slot of seen(demo).slots) {
      const moved = slotOf(later, slot.slotId)
      expect(moved.contactAtMs - slot.contactAtMs).toBeCloseTo(7 * MIN, 1)
      expect(moved.onLoadKg).toBeCloseTo(slot.onLoadKg, 5)
    }
  })
})

describe('the order the demonstration ships with', () => {
  const view = seen(demo)

  it('brings every ship in before its latest contact, with what its push asks for, every group on time', () => {
    expect(view.slots).toHaveLength(32)
    expect(missed(view)).toEqual([])
    expect(short(view)).toEqual([])
    expect(view.judgement).toMatchObject({ lostWeight: 0, shortage: 0, lateness: 0 })
    expect(view.reasons.filter((reason) => reason.severity === 'now')).toEqual([])
  })

  it('leaves every tanker with something to spare', () => {
    for (const tanker of view.tankers) {
      expect(tanker.shortKg).toBe(0)
      expect(tanker.promisedKg).toBeGreaterThan(0)
      expect(tanker.giveKg).toBeGreaterThan(tanker.promisedKg)
    }
  })
})

describe('the same ships in order of index', () => {
  const view = seen(demo, byIndex(demo))

  it('stand in an order of the same slots', () => {
    expect(view.slots.map((slot) => slot.slotId).sort()).toEqual(
      seen(demo)
        .slots.map((slot) => slot.slotId)
        .sort()
    )
  })

  it('leave at least three past their latest contact and at least one short at its push', () => {
    expect(missed(view).length).toBeGreaterThanOrEqual(3)
    expect(short(view).length).toBeGreaterThanOrEqual(1)
    expect(view.judgement.lostWeight).toBeGreaterThan(0)
    expect(view.judgement.shortage).toBeGreaterThan(0)
  })
})

const LB_500_KG = 500 * KG_PER_LB
const FIRST = 'kelp-visit-1.kelp-1'
const SECOND = 'kelp-visit-2.kelp-1'

describe('a ship that visits twice', () => {
  const before = seen(demo)

  it('with 500 lb less at the start arrives at its second visit with so much less, and has to leave sooner', () => {
    const flights = demo.flights.map((flight) => ({
      ...flight,
      ships: flight.ships.map((ship) =>
        ship.id === 'kelp-1' ? { ...ship, startFuel: { ...ship.startFuel, value: ship.startFuel.value - 500 } } : ship
      )
    }))
    const after = seen({ ...demo, flights })
    const [was, is] = [slotOf(before, SECOND), slotOf(after, SECOND)]
    // Its first on-load is a fixed one; the slot itself comes no later.
    expect(was.fuelAtContactKg - is.fuelAtContactKg).toBeCloseTo(LB_500_KG, 3)
    expect(is.contactAtMs).toBeCloseTo(was.contactAtMs, 1)
    expect((was.latestContactAtMs ?? 0) - (is.latestContactAtMs ?? 0)).toBeGreaterThan(4 * MIN)
    expect(is.disconnectAtMs).toBeGreaterThan(was.disconnectAtMs)
  })

  it('given 500 lb less at its first visit has another second slot than when given all', () => {
    const planned = slotOf(before, FIRST)
    const giving = (how: 'whole' | 'partial', offLoadLb: number): SlotView => {
      const event = new MemoryEvent(demo)
      for (const [kind, atMs, rest] of [
        ['makeContact', planned.contactAtMs, { slotId: FIRST }],
        ['startFlow', planned.contactAtMs, {}],
        ['disconnect', planned.disconnectAtMs, { how, offLoad: { value: offLoadLb, unit: 'lb' } }]
      ] as const) {
        expect(event.ask({ kind, shipId: 'kelp-1', ...rest }, Math.round(atMs))).toBeUndefined()
      }
      const view = estimate(event.state, Math.round(planned.disconnectAtMs) + MIN)
      if (!view) throw new Error('no view')
      return slotOf(view, SECOND)
    }
    const whole = giving('whole', 3700)
    const partial = giving('partial', 3200)
    expect(whole.fuelAtContactKg - partial.fuelAtContactKg).toBeCloseTo(LB_500_KG, 0)
    expect((whole.latestContactAtMs ?? 0) - (partial.latestContactAtMs ?? 0)).toBeGreaterThan(4 * MIN)
    expect(partial.onLoadKg).toBeGreaterThan(whole.onLoadKg)
  })
})

describe('a probe ship put on the boom', () => {
  const onTheBoom: TankerOrder[] = demo.orders.map((order) => ({
    ...order,
    sequences: order.sequences.map((sequence) => {
      const slots = sequence.slots.filter((slot) => slot.id !== FIRST)
      const [slot] = demo.orders.flatMap((one) =>
        one.sequences.flatMap((s) => s.slots.filter(({ id }) => id === FIRST))
      )
      return { ...sequence, slots: sequence.stationId === 'boom' && slot ? [...slots, slot] : slots }
    })
  }))

  it('is refused when the plan is read and when the order is computed', () => {
    const place = demo.orders[0]?.sequences[0]?.slots.length ?? 0
    const path = `/orders/0/sequences/0/slots/${String(place)}/shipId`
    for (const answer of [readPlan({ ...demo, orders: onTheBoom }), computeOrder({ plan: demo, orders: onTheBoom })]) {
      expect(answer).toMatchObject({ faults: [{ path, value: '"kelp-1"' }] })
    }
  })

  it('is refused as an order in the event, and as a contact', () => {
    const event = new MemoryEvent(demo)
    const atMs = OPENS_AT_MS + 35 * MIN
    const orders = onTheBoom.filter((order) => order.tankerId !== 'sorrel')
    expect(event.ask({ kind: 'setOrder', orders, basedOnSeq: event.state.seq }, atMs)?.code).toBe('method-mismatch')
    const contact = { kind: 'makeContact', shipId: 'kelp-1', tankerId: 'mallet', stationId: 'boom' } as const
    expect(event.ask(contact, atMs)?.code).toBe('method-mismatch')
    expect(event.log).toHaveLength(2)
  })
})
