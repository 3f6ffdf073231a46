import { describe, expect, it } from 'vitest'
import { demoPlan } from '../../../server/demo/plan.ts'
import type { RequestKind } from '../../../shared/contracts/kinds.ts'
import type { ProblemCode } from '../../../shared/contracts/problem.ts'
import { ordersInForce } from '../../../shared/live/state.ts'
import type { Who } from '../../../shared/live/permissions.ts'
import { COMMANDER, MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

const MIN = 60_000
const AT = OPENS_AT_MS + 30 * MIN
const kg = (value: number) => ({ value, unit: 'kg' })
const crew: Who = { linkId: 'link-crew', role: 'crew', shipId: 'alder-21' }
const viewer: Who = { linkId: 'link-viewer', role: 'viewer' }
const coordinator: Who = { linkId: 'link-coordinator', role: 'coordinator' }

type Ask = { kind: RequestKind } & Record<string, unknown>
const CONTACT: Ask = { kind: 'makeContact', shipId: 'alder-21' }

/** What came before, what is asked, what is refused. */
const REFUSED: [title: string, before: Ask[], ask: Ask, code: ProblemCode, who?: Who][] = [
  [
    'a fuel call for a ship that is not in the plan',
    [],
    { kind: 'callFuel', shipId: 'rasp-1', fuel: kg(1000), covers: 'total' },
    'unknown-ship'
  ],
  [
    'more fuel than the tanks hold',
    [],
    { kind: 'callFuel', shipId: 'alder-21', fuel: kg(4300), covers: 'total' },
    'fuel-above-capacity'
  ],
  [
    'a call from the future',
    [],
    { kind: 'callFuel', shipId: 'alder-21', fuel: kg(1000), covers: 'total', atMs: AT + MIN },
    'time-ahead'
  ],
  [
    'a call from before the event',
    [],
    { kind: 'callFuel', shipId: 'alder-21', fuel: kg(1000), covers: 'total', atMs: OPENS_AT_MS - MIN },
    'time-before-event'
  ],
  ['a second contact while in contact', [CONTACT], CONTACT, 'ship-in-contact'],
  ['a contact at an occupied station', [CONTACT], { kind: 'makeContact', shipId: 'alder-22' }, 'station-occupied'],
  [
    'a contact at a station of the other method',
    [],
    { ...CONTACT, tankerId: 'kelp', stationId: 'hose' },
    'method-mismatch'
  ],
  ['a contact at an unknown station', [], { ...CONTACT, tankerId: 'kelp', stationId: 'winch' }, 'unknown-station'],
  ['a contact in a slot of another ship', [], { ...CONTACT, slotId: 'slot-22' }, 'unknown-slot'],
  ['a contact after leaving', [{ kind: 'leave', shipId: 'alder-21' }], CONTACT, 'ship-gone'],
  ['flow without contact', [], { kind: 'startFlow', shipId: 'alder-21' }, 'not-in-contact'],
  ['a disconnect without contact', [], { kind: 'disconnect', shipId: 'alder-21', how: 'whole' }, 'not-in-contact'],
  [
    'a partial disconnect without its off-load',
    [CONTACT],
    { kind: 'disconnect', shipId: 'alder-21', how: 'partial' },
    'off-load-missing'
  ],
  ['a push while in contact', [CONTACT], { kind: 'push', shipIds: ['alder-21'] }, 'ship-in-contact'],
  [
    'a push with no visit left',
    [
      { kind: 'joinShip', shipId: 'alder-21' },
      { kind: 'push', shipIds: ['alder-21'] }
    ],
    { kind: 'push', shipIds: ['alder-21'] },
    'visit-done'
  ],
  ['leaving for an unknown base', [], { kind: 'leave', shipId: 'alder-21', baseId: 'nowhere' }, 'unknown-base'],
  [
    'anything of a ship that has landed',
    [{ kind: 'land', shipId: 'alder-21' }],
    { kind: 'joinShip', shipId: 'alder-21' },
    'ship-gone'
  ],
  [
    'a status of an unknown station',
    [],
    { kind: 'setStation', tankerId: 'kelp', stationId: 'winch', status: 'failed' },
    'unknown-station'
  ],
  ['fuel of an unknown tanker', [], { kind: 'callTankerFuel', tankerId: 'rasp', fuel: kg(1) }, 'unknown-tanker'],
  [
    'a pin on an unknown slot',
    [],
    { kind: 'setPin', slotId: 'slot-99', pinned: true, serveAnyway: false },
    'unknown-slot'
  ],
  [
    'reading the slot of an unknown ship',
    [],
    { kind: 'seeSlot', shipId: 'alder-99', revision: 1, seenSeq: 2 },
    'unknown-ship'
  ],
  [
    'reading a revision that was never published',
    [],
    { kind: 'seeSlot', shipId: 'alder-21', revision: 2, seenSeq: 2 },
    'out-of-bounds'
  ],
  [
    'reading what has not been recorded yet',
    [],
    { kind: 'seeSlot', shipId: 'alder-21', revision: 1, seenSeq: 3 },
    'out-of-bounds'
  ],
  [
    'a crew reading for another ship',
    [],
    { kind: 'seeSlot', shipId: 'alder-22', revision: 1, seenSeq: 2 },
    'not-allowed',
    crew
  ],
  ['holding an unknown tanker', [], { kind: 'holdTanker', tankerId: 'nobody', held: true }, 'unknown-tanker'],
  ['a clock that runs backwards', [], { kind: 'setClock', eventAtMs: AT - MIN, rateFactor: 1 }, 'clock-backwards'],
  [
    'a clock more than a day ahead',
    [],
    { kind: 'setClock', eventAtMs: AT + 24 * 60 * MIN + 1, rateFactor: 1 },
    'out-of-bounds'
  ],
  ['opening twice', [], { kind: 'openEvent' }, 'event-already-open'],
  ['anything after closing', [{ kind: 'closeEvent' }], { kind: 'joinShip', shipId: 'alder-21' }, 'event-closed'],
  ['withdrawing what never was', [], { kind: 'withdrawFact', withdrawnSeq: 99 }, 'unknown-fact'],
  ['withdrawing the adoption of the plan', [], { kind: 'withdrawFact', withdrawnSeq: 1 }, 'fact-not-withdrawable'],
  [
    'withdrawing twice',
    [CONTACT, { kind: 'withdrawFact', withdrawnSeq: 4 }],
    { kind: 'withdrawFact', withdrawnSeq: 4 },
    'fact-already-withdrawn'
  ],
  [
    'a crew withdrawing what another recorded',
    [CONTACT],
    { kind: 'withdrawFact', withdrawnSeq: 4 },
    'not-your-fact',
    crew
  ],
  [
    'a crew calling for another ship',
    [],
    { kind: 'callFuel', shipId: 'alder-22', fuel: kg(1000), covers: 'total' },
    'not-allowed',
    crew
  ],
  ['a crew setting an order', [], { kind: 'setOrder', orders: [], basedOnSeq: 0 }, 'not-allowed', crew],
  ['a viewer writing', [], { kind: 'joinShip', shipId: 'alder-21' }, 'not-allowed', viewer],
  [
    'a coordinator setting the clock',
    [],
    { kind: 'setClock', eventAtMs: AT + MIN, rateFactor: 1 },
    'not-allowed',
    coordinator
  ]
]

const DISCONNECT: Ask = { kind: 'disconnect', shipId: 'alder-21', how: 'whole' }
REFUSED.push(
  ['a push of a ship that has not joined', [], { kind: 'push', shipIds: ['alder-21'] }, 'ship-not-joined'],
  ['a disconnect observed before its contact', [CONTACT], { ...DISCONNECT, atMs: AT - MIN }, 'out-of-order'],
  [
    'a push observed inside a contact that is over',
    [{ ...CONTACT, atMs: AT - 4 * MIN }, DISCONNECT],
    { kind: 'push', shipIds: ['alder-21'], atMs: AT - 2 * MIN },
    'out-of-order'
  ],
  [
    'a contact at a station another ship held at that instant',
    [{ ...CONTACT, atMs: AT - 4 * MIN }, DISCONNECT],
    { kind: 'makeContact', shipId: 'alder-22', atMs: AT - 2 * MIN },
    'station-occupied'
  ],
  ['more off-load than the tanks can take', [CONTACT], { ...DISCONNECT, offLoad: kg(16_000) }, 'fuel-above-capacity'],
  [
    'more off-load than the tanks have room for',
    [CONTACT],
    { ...DISCONNECT, offLoad: kg(4_000) },
    'fuel-above-capacity'
  ],
  [
    'externals held by a ship that carries none',
    [],
    { kind: 'setExternals', shipId: 'alder-21', externals: 'held' },
    'unknown-group'
  ],
  [
    'a no-show of a ship that has joined',
    [{ kind: 'joinShip', shipId: 'alder-21' }],
    { kind: 'setNoShow', shipId: 'alder-21', noShow: true },
    'ship-came'
  ]
)

describe('decide refuses, and records nothing for', () => {
  it.each(REFUSED)('%s', (_, before, ask, code, who = COMMANDER) => {
    const event = new MemoryEvent(paperPlan())
    for (const earlier of before) expect(event.ask(earlier, AT)).toBeUndefined()
    const { state } = event
    expect(event.ask(ask, AT, who)?.code).toBe(code)
    expect(event.state).toBe(state)
  })

  it('an event whose plan nobody has published', () => {
    const event = new MemoryEvent(paperPlan())
    event.state = { ...event.state, plan: undefined }
    expect(event.ask({ kind: 'joinShip', shipId: 'alder-21' }, AT)?.code).toBe('event-not-begun')
  })
})

describe('an order', () => {
  const swapped = (event: MemoryEvent) => {
    const [order] = ordersInForce(event.state)
    if (!order) throw new Error('no order')
    return [{ ...order, sequences: order.sequences.map((one) => ({ ...one, slots: [...one.slots].reverse() })) }]
  }
  const set = (event: MemoryEvent, orders: unknown, basedOnSeq = event.state.seq) =>
    event.ask({ kind: 'setOrder', orders, basedOnSeq }, AT)?.code

  it('is taken when every slot stands once at a station its ship may use', () => {
    const event = new MemoryEvent(paperPlan())
    expect(set(event, swapped(event))).toBeUndefined()
    expect(ordersInForce(event.state)[0]?.sequences[0]?.slots.map((slot) => slot.id)).toEqual(['slot-22', 'slot-21'])
  })

  it('is not made stale by a fuel call, but by another order', () => {
    const event = new MemoryEvent(paperPlan())
    const read = event.state.seq
    event.ask({ kind: 'callFuel', shipId: 'alder-21', fuel: kg(2000), covers: 'total' }, AT)
    expect(set(event, swapped(event), read)).toBeUndefined()
    expect(set(event, swapped(event), read)).toBe('stale-order')
  })

  it('is refused when it loses, doubles or invents a slot, or moves one it may not', () => {
    const event = new MemoryEvent(paperPlan())
    const [order] = ordersInForce(event.state)
    const [slots] = order?.sequences.map((one) => one.slots) ?? []
    const at = (stationId: string, list: unknown) => [{ tankerId: 'kelp', sequences: [{ stationId, slots: list }] }]
    expect(set(event, at('boom', slots?.slice(1)))).toBe('slot-missing')
    expect(set(event, at('boom', [...(slots ?? []), slots?.[0]]))).toBe('ship-twice')
    expect(set(event, at('boom', [...(slots ?? []), { ...slots?.[0], id: 'slot-23', visitId: 'refill' }]))).toBe(
      'unknown-slot'
    )
    expect(set(event, at('hose', slots))).toBe('method-mismatch')
    expect(set(event, at('winch', slots))).toBe('unknown-station')
    expect(set(event, [{ tankerId: 'rasp', sequences: [] }])).toBe('unknown-tanker')
    event.ask({ kind: 'setPin', slotId: 'slot-21', pinned: true, serveAnyway: false }, AT)
    expect(set(event, swapped(event))).toBe('slot-pinned')
    event.ask({ kind: 'setPin', slotId: 'slot-21', pinned: false, serveAnyway: false }, AT)
    event.ask(CONTACT, AT)
    expect(set(event, swapped(event))).toBe('slot-in-contact')
  })
})

describe('an order over two tankers', () => {
  it('is withdrawn whole: every slot stands once again where it stood', () => {
    const plan = demoPlan(OPENS_AT_MS)
    const event = new MemoryEvent(plan, OPENS_AT_MS)
    const before = ordersInForce(event.state)
    const moved = before
      .filter((order) => order.tankerId !== 'mallet')
      .map((order) => ({
        ...order,
        sequences: order.sequences.map((sequence) => ({
          ...sequence,
          slots:
            order.tankerId === 'sorrel' && sequence.stationId === 'left'
              ? [
                  ...sequence.slots,
                  ...before
                    .flatMap((one) => one.sequences.flatMap((each) => each.slots))
                    .filter((slot) => slot.shipId === 'rasp-2')
                ]
              : sequence.slots.filter((slot) => slot.shipId !== 'rasp-2')
        }))
      }))
    expect(event.ask({ kind: 'setOrder', orders: moved, basedOnSeq: event.state.seq }, AT)).toBeUndefined()
    expect(ordersInForce(event.state)).not.toEqual(before)
    expect(event.ask({ kind: 'withdrawFact', withdrawnSeq: event.state.seq }, AT)).toBeUndefined()
    expect(ordersInForce(event.state)).toEqual(before)
  })
})

describe('what follows of itself', () => {
  it('a contact of a ship nobody called joined records the join as well', () => {
    const event = new MemoryEvent(paperPlan())
    event.ask(CONTACT, AT)
    expect(event.log.slice(-2).map((fact) => fact.kind)).toEqual(['shipJoined', 'contactMade'])
  })

  it('a plan that drops a ship with calls is not adopted', () => {
    const event = new MemoryEvent(paperPlan())
    event.ask({ kind: 'callFuel', shipId: 'alder-22', fuel: kg(2000), covers: 'total' }, AT)
    const without = paperPlan((document) => {
      const [flight] = document['flights'] as { ships: unknown[] }[]
      flight?.ships.pop()
      const [order] = document['orders'] as { sequences: { slots: unknown[] }[] }[]
      order?.sequences[0]?.slots.pop()
    })
    expect(event.ask({ kind: 'adoptPlan', revision: 2, plan: without }, AT)?.code).toBe('adoption-drops-live')
  })
})
