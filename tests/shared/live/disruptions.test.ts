import { describe, expect, it } from 'vitest'
import { anyFact } from '../../../shared/contracts/facts.ts'
import type { RequestKind } from '../../../shared/contracts/kinds.ts'
import type { OrderedSlot, Plan } from '../../../shared/contracts/plan.ts'
import type { ProblemCode } from '../../../shared/contracts/problem.ts'
import type { SlotView, View } from '../../../shared/contracts/view.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { closedBases, planInForce } from '../../../shared/live/inforce.ts'
import { orderOf, ordersInForce, pinOf } from '../../../shared/live/state.ts'
import type { Who } from '../../../shared/live/permissions.ts'
import { brief } from '../../../shared/plan/brief.ts'
import { readPlan } from '../../../shared/plan/read.ts'
import { demoPlan } from '../../../server/demo/plan.ts'
import { COMMANDER, MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

/* Constructed: the paper plan and the demonstration, with something told that nobody planned; figures worked out by hand. */
const MIN = 60_000
const AT = OPENS_AT_MS + 10 * MIN
const kg = (value: number) => ({ value, unit: 'kg' })
const crew: Who = { linkId: 'link-crew', role: 'crew', shipId: 'alder-21' }

type Ask = { kind: RequestKind } & Record<string, unknown>
const CONTACT: Ask = { kind: 'makeContact', shipId: 'alder-21' }
const DISCONNECT: Ask = { kind: 'disconnect', shipId: 'alder-21', how: 'partial', offLoad: kg(200) }
const PUSH: Ask = { kind: 'push', shipIds: ['alder-21'] }

function told(asks: readonly Ask[], plan = paperPlan()): MemoryEvent {
  const event = new MemoryEvent(plan)
  for (const ask of asks) expect(event.ask(ask, AT)).toBeUndefined()
  return event
}
function seen(event: MemoryEvent, nowMs = AT): View {
  const view = estimate(event.state, nowMs)
  if (!view) throw new Error('no view')
  return view
}
function inForce(event: MemoryEvent): Plan {
  const plan = planInForce(event.state)
  if (!plan) throw new Error('no plan')
  return plan
}
function slotOf(view: View, slotId: string): SlotView {
  const slot = view.slots.find((one) => one.slotId === slotId)
  if (!slot) throw new Error(`no slot ${slotId}`)
  return slot
}
const atMin = (minutes: number): number => OPENS_AT_MS + minutes * MIN
const minutesOf = (atMs: number): number => (atMs - OPENS_AT_MS) / MIN

const RECEIVER: Ask = {
  kind: 'addReceiver',
  requestId: 'Request-Sleet',
  callSign: 'Sleet 1',
  receiverTypeId: 'larch',
  fuel: kg(1500),
  tankerId: 'kelp'
}

/** What came before, what is asked, what is refused; the field at fault where one is. */
const REFUSED: [title: string, before: Ask[], ask: Ask, code: ProblemCode, path?: string | undefined, who?: Who][] = [
  [
    'a ready time that is past',
    [],
    { kind: 'setReady', shipId: 'alder-21', readyAtMs: AT - 1 },
    'out-of-bounds',
    '/readyAtMs'
  ],
  [
    'a ready time more than a day ahead',
    [],
    { kind: 'setReady', shipId: 'alder-21', readyAtMs: AT + 1440 * MIN + 1 },
    'out-of-bounds',
    '/readyAtMs'
  ],
  [
    'a ready time of a ship that has joined',
    [{ kind: 'joinShip', shipId: 'alder-21' }],
    { kind: 'setReady', shipId: 'alder-21', readyAtMs: AT + MIN },
    'out-of-bounds',
    '/readyAtMs'
  ],
  ['a ready time in contact', [CONTACT], { kind: 'setReady', shipId: 'alder-21', readyAtMs: AT }, 'ship-in-contact'],
  [
    'a ready time of a ship that left',
    [{ kind: 'leave', shipId: 'alder-21' }],
    { kind: 'setReady', shipId: 'alder-21', readyAtMs: AT },
    'ship-gone'
  ],
  [
    'a ready time after the last push',
    [{ kind: 'joinShip', shipId: 'alder-21' }, PUSH],
    { kind: 'setReady', shipId: 'alder-21', readyAtMs: AT },
    'visit-done'
  ],
  ['a ready time of no ship', [], { kind: 'setReady', shipId: 'rasp-1', readyAtMs: AT }, 'unknown-ship'],
  [
    'a no-show that has made contact',
    [CONTACT, DISCONNECT],
    { kind: 'setNoShow', shipId: 'alder-21', noShow: true },
    'ship-came'
  ],
  [
    'a no-show that has left',
    [{ kind: 'leave', shipId: 'alder-21' }],
    { kind: 'setNoShow', shipId: 'alder-21', noShow: true },
    'ship-gone'
  ],
  [
    'a crew telling of another ship that it does not come',
    [],
    { kind: 'setNoShow', shipId: 'alder-22', noShow: true },
    'not-allowed',
    undefined,
    crew
  ],
  ['a priority of no flight', [], { kind: 'setPriority', flightId: 'rasp', priority: 1 }, 'unknown-flight'],
  [
    'a crew setting a priority',
    [],
    { kind: 'setPriority', flightId: 'alder', priority: 1 },
    'not-allowed',
    undefined,
    crew
  ],
  [
    'an on-load rule for no visit of the ship',
    [],
    { kind: 'setOnLoad', shipId: 'alder-21', visitId: 'refill', onLoad: { kind: 'full' } },
    'unknown-visit'
  ],
  [
    'an on-load rule after the push',
    [{ kind: 'joinShip', shipId: 'alder-21' }, PUSH],
    { kind: 'setOnLoad', shipId: 'alder-21', onLoad: { kind: 'full' } },
    'visit-done'
  ],
  [
    'more on-load than the tanks can take',
    [],
    { kind: 'setOnLoad', shipId: 'alder-21', onLoad: { kind: 'fixed', fuel: kg(5001) } },
    'fuel-above-capacity',
    '/onLoad/fuel/value'
  ],
  ['times of no tanker', [], { kind: 'setTankerTimes', tankerId: 'rasp', leavesAtMs: AT }, 'unknown-tanker'],
  [
    'a tanker that comes after it leaves',
    [],
    { kind: 'setTankerTimes', tankerId: 'kelp', onStationAtMs: atMin(180) },
    'out-of-bounds',
    '/onStationAtMs'
  ],
  [
    'a tanker that leaves before it comes',
    [],
    { kind: 'setTankerTimes', tankerId: 'kelp', onStationAtMs: atMin(60), leavesAtMs: atMin(60) },
    'out-of-bounds',
    '/leavesAtMs'
  ],
  [
    'a tanker that left before a contact there',
    [CONTACT],
    { kind: 'setTankerTimes', tankerId: 'kelp', leavesAtMs: AT - 1 },
    'out-of-bounds',
    '/leavesAtMs'
  ],
  ['a give of no tanker', [], { kind: 'setGive', tankerId: 'rasp', keeps: kg(1) }, 'unknown-tanker'],
  [
    'more give than was ever aboard',
    [],
    { kind: 'setGive', tankerId: 'kelp', mostTransferable: kg(31_501) },
    'out-of-bounds',
    '/mostTransferable/value'
  ],
  ['no base', [], { kind: 'setBase', baseId: 'nowhere', open: false }, 'unknown-base'],
  ['a receiver of no type', [], { ...RECEIVER, receiverTypeId: 'rowan' }, 'unknown-type'],
  ['a receiver at no tanker', [], { ...RECEIVER, tankerId: 'rasp' }, 'unknown-tanker'],
  ['a receiver of no push group', [], { ...RECEIVER, pushGroupId: 'last' }, 'unknown-push-group'],
  ['a receiver to no base', [], { ...RECEIVER, recoveryBaseId: 'nowhere' }, 'unknown-base'],
  [
    'a receiver to a closed base',
    [{ kind: 'setBase', baseId: 'west', open: false }],
    RECEIVER,
    'out-of-bounds',
    '/recoveryBaseId'
  ],
  [
    'a receiver of a call sign in use, however it is written',
    [],
    { ...RECEIVER, callSign: 'ALDER  21' },
    'call-sign-taken'
  ],
  ['the same receiver twice', [RECEIVER], { ...RECEIVER, requestId: 'Request-Again' }, 'call-sign-taken'],
  ['a receiver with more than it holds', [], { ...RECEIVER, fuel: kg(4001) }, 'fuel-above-capacity', '/fuel/value'],
  ['a receiver with a tank its type has not', [], { ...RECEIVER, fitted: ['body'] }, 'unknown-group'],
  ['a receiver that was ready before', [], { ...RECEIVER, readyAtMs: AT - 1 }, 'out-of-bounds', '/readyAtMs'],
  [
    'a receiver whose push group goes before it is ready',
    [],
    { ...RECEIVER, pushGroupId: 'first', readyAtMs: atMin(61) },
    'receiver-refused'
  ],
  [
    'a receiver at a station that has failed',
    [{ kind: 'setStation', tankerId: 'kelp', stationId: 'boom', status: 'failed' }],
    RECEIVER,
    'station-closed'
  ]
]

describe('refused, with nothing recorded:', () => {
  it.each(REFUSED)('%s', (_, before, ask, code, path, who = COMMANDER) => {
    const event = told(before)
    const { state } = event
    const refusal = event.ask(ask, AT, who)
    expect(refusal?.code).toBe(code)
    if (path !== undefined) {
      const [fault] = refusal?.errors ?? []
      expect(fault?.path).toBe(path)
      expect(fault?.value).not.toBe('')
      expect(fault?.limit).not.toBe('')
    }
    expect(event.state).toBe(state)
  })

  it('a receiver of another method, and one that is not listed', () => {
    const plan = demoPlan(OPENS_AT_MS)
    const event = new MemoryEvent(plan)
    const ask = { ...RECEIVER, callSign: 'Tarn 1', fuel: kg(1000) }
    expect(event.ask({ ...ask, receiverTypeId: 'larch', tankerId: 'auger' }, AT)?.code).toBe('method-mismatch')
    expect(event.ask({ ...ask, receiverTypeId: 'nettle', tankerId: 'auger' }, AT)?.code).toBe('no-clearance')
  })

  it('a receiver whose type has no flow for the reserve the plan asks for, naming it', () => {
    const event = told(
      [],
      paperPlan((document) => {
        const types = document['receiverTypes'] as { flows: object }[]
        const flows = { ...types[0]?.flows, holding: undefined }
        types.push({ ...types[0], id: 'spruce', flows } as { id: string; flows: object })
        ;(document['clearances'] as object[]).push({
          receiverTypeId: 'spruce',
          tankerTypeId: 'barge',
          stationId: 'boom'
        })
      })
    )
    const refusal = event.ask({ ...RECEIVER, receiverTypeId: 'spruce' }, AT)
    expect(refusal?.code).toBe('receiver-refused')
    expect(refusal?.errors?.map((fault) => fault.path)).toEqual(['/receiverTypes/1/flows/holding'])
  })
})

describe('the plan in force', () => {
  const CHANGES: [title: string, asks: Ask[]][] = [
    ['a priority', [{ kind: 'setPriority', flightId: 'alder', priority: 1 }]],
    ['an on-load rule', [{ kind: 'setOnLoad', shipId: 'alder-21', onLoad: { kind: 'full' } }]],
    ['tanker times', [{ kind: 'setTankerTimes', tankerId: 'kelp', leavesAtMs: atMin(90) }]],
    ['a give', [{ kind: 'setGive', tankerId: 'kelp', keeps: kg(6000) }]],
    ['a closed base', [{ kind: 'setBase', baseId: 'west', open: false }]],
    ['a receiver', [RECEIVER]]
  ]

  it('is the plan itself while nothing is changed, and again once it is as planned', () => {
    const plan = paperPlan()
    const event = told([], plan)
    expect(planInForce(event.state)).toBe(plan)
    for (const ask of [
      { kind: 'setPriority', flightId: 'alder' },
      { kind: 'setOnLoad', shipId: 'alder-21' },
      { kind: 'setTankerTimes', tankerId: 'kelp' },
      { kind: 'setGive', tankerId: 'kelp' },
      { kind: 'setBase', baseId: 'west', open: true }
    ] as const)
      expect(event.ask(ask, AT)).toBeUndefined()
    expect(planInForce(event.state)).toBe(plan)
  })

  it.each(CHANGES)('stays the same object over a fuel call, with %s', (_, asks) => {
    const event = told(asks)
    const before = inForce(event)
    expect(before).not.toBe(event.state.plan)
    event.ask({ kind: 'callFuel', shipId: 'alder-21', fuel: kg(2000), covers: 'total' }, AT)
    expect(planInForce(event.state)).toBe(before)
  })

  it.each(CHANGES)('is the plan itself again when %s is withdrawn', (_, asks) => {
    const event = told(asks)
    expect(event.ask({ kind: 'withdrawFact', withdrawnSeq: event.state.seq }, AT)).toBeUndefined()
    expect(planInForce(event.state)).toBe(event.state.plan)
    expect(ordersInForce(event.state)).toEqual(ordersInForce(told([]).state))
  })

  it.each(CHANGES)('passes the schema as a document, with %s', (_, asks) => {
    const document: unknown = JSON.parse(JSON.stringify(inForce(told(asks))))
    expect(readPlan(document)).toHaveProperty('plan')
  })

  it.each(CHANGES)('is made of facts that fit their contract, with %s', (_, asks) => {
    for (const fact of told(asks).log) {
      expect(anyFact.safeParse({ ...fact, by: 'link-commander', requestId: 'request-0000' }).error).toBeUndefined()
    }
  })

  it('gives a flight another weight', () => {
    const event = told([{ kind: 'setPriority', flightId: 'alder', priority: 1 }])
    expect(brief(inForce(event)).flights.get('alder')?.weight).toBe(16)
  })

  it('keeps less, and gives less', () => {
    const giveKg = (event: MemoryEvent) => seen(event).tankers[0]?.giveKg ?? NaN
    expect(giveKg(told([]))).toBeCloseTo(14_200)
    // 30,000 aboard at the opening, less 1 kg/s for 180 min, less what it keeps.
    expect(giveKg(told([{ kind: 'setGive', tankerId: 'kelp', keeps: kg(6000) }]))).toBeCloseTo(13_200)
    expect(giveKg(told([{ kind: 'setGive', tankerId: 'kelp', mostTransferable: kg(700) }]))).toBeCloseTo(700)
  })

  it('has a tanker that leaves early close its stations then', () => {
    const event = told([{ kind: 'setTankerTimes', tankerId: 'kelp', leavesAtMs: atMin(90) }])
    const stations = [...brief(inForce(event)).stations.values()]
    expect(stations.map((station) => minutesOf(station.closesAtMs))).toEqual([90, 90])
    expect(inForce(event).tankers[0]?.leavesAtMs).toBe(atMin(90))
    const longer = told([{ kind: 'setTankerTimes', tankerId: 'kelp', leavesAtMs: atMin(200) }])
    expect([...brief(inForce(longer)).stations.values()].map((one) => one.closesAtMs)).toEqual([Infinity, Infinity])
  })

  it('has a tanker that comes late open its stations then', () => {
    const event = told([{ kind: 'setTankerTimes', tankerId: 'kelp', onStationAtMs: atMin(30) }])
    expect(minutesOf(slotOf(seen(event), 'slot-21').startAtMs)).toBeCloseTo(30)
    expect(minutesOf(slotOf(seen(told([])), 'slot-21').startAtMs)).toBeCloseTo(20)
  })

  it('leaves out what a later revision has not, and keeps the rest', () => {
    const event = told([RECEIVER, { kind: 'setPriority', flightId: 'alder', priority: 1 }])
    const without = paperPlan((document) => {
      const [flight] = document['flights'] as { id: string }[]
      if (flight) flight.id = 'birch'
      ;(document['tankers'] as { id: string }[]).forEach((tanker) => (tanker.id = 'dulse'))
      ;(document['flights'] as { route: { tankerId?: string }[] }[]).forEach(({ route }) => {
        for (const phase of route) if (phase.tankerId !== undefined) phase.tankerId = 'dulse'
      })
      ;(document['orders'] as { tankerId: string }[]).forEach((order) => (order.tankerId = 'dulse'))
    })
    expect(event.ask({ kind: 'adoptPlan', revision: 2, plan: without }, AT)).toBeUndefined()
    expect(planInForce(event.state)).toBe(without)
    expect(seen(event).ships).toHaveLength(2)
  })
})

describe('a base that is closed', () => {
  const demo = demoPlan(OPENS_AT_MS)

  it('sends those who recover there to the next divert that is named and open', () => {
    const event = new MemoryEvent(demo)
    const bases = () => {
      const alder = inForce(event).flights.find((flight) => flight.id === 'alder')
      return [alder?.recoveryBaseId, ...(alder?.divertBaseIds ?? [])]
    }
    expect(bases()).toEqual(['adze', 'elder', 'drizzle'])
    event.ask({ kind: 'setBase', baseId: 'adze', open: false }, AT)
    expect(bases()).toEqual(['elder', 'drizzle'])
    event.ask({ kind: 'setBase', baseId: 'elder', open: false }, AT)
    expect(bases()).toEqual(['drizzle'])
    expect([...closedBases(event.state)]).toEqual(['adze', 'elder'])
    event.ask({ kind: 'setBase', baseId: 'adze', open: true }, AT)
    expect(bases()).toEqual(['adze', 'drizzle'])
  })

  it('is named at the head of what needs attention, for whoever needs it and has no other', () => {
    const event = told([{ kind: 'setBase', baseId: 'west', open: false }])
    const reasons = seen(event).reasons.map(({ kind, severity, shipId, slotId }) => [kind, severity, shipId, slotId])
    expect(reasons).toEqual(
      expect.arrayContaining([
        ['no abort base', 'now', 'alder-21', 'slot-21'],
        ['no abort base', 'now', 'alder-22', 'slot-22'],
        ['no open base', 'now', 'alder-21', 'slot-21'],
        ['no open base', 'now', 'alder-22', 'slot-22']
      ])
    )
    // No abort base, no abort fuel and no margin to it: they rank above all.
    for (const { abortKg, abortBaseId, limits, margin } of seen(event).ships)
      expect({ abortKg, abortBaseId, abort: limits.abort, margin }).toEqual({
        abortKg: null,
        abortBaseId: null,
        abort: null,
        margin: null
      })
    expect(slotOf(seen(event), 'slot-21')).toMatchObject({
      ...{ abortKg: null, abortBaseId: null, abortGaugeKg: null },
      ...{ latestContactAtMs: null, leaveWaitByMs: null, slackS: null }
    })
    event.ask({ kind: 'setBase', baseId: 'west', open: true }, AT)
    expect(seen(event).reasons.filter(({ kind }) => kind === 'no abort base' || kind === 'no open base')).toEqual([])
    // With a divert named only the abort base is gone.
    const demoEvent = new MemoryEvent(demo)
    demoEvent.ask({ kind: 'setBase', baseId: 'adze', open: false }, AT)
    const named = seen(demoEvent).reasons.filter(({ kind }) => kind === 'no abort base' || kind === 'no open base')
    expect(new Set(named.map(({ kind }) => kind))).toEqual(new Set(['no abort base']))
    expect(new Set(named.map(({ tankerId }) => tankerId))).toEqual(new Set(['mallet', 'auger']))
    const without = seen(demoEvent).ships.filter((ship) => ship.slotId !== null && ship.abortKg === null)
    expect(without.length).toBeGreaterThan(0)
    expect(without.every(({ rank }) => rank <= without.length)).toBe(true)
  })

  it('is not where a ship that leaves is sent', () => {
    const event = new MemoryEvent(demo)
    event.ask({ kind: 'setBase', baseId: 'adze', open: false }, AT)
    expect(event.ask({ kind: 'leave', shipId: 'alder-1' }, AT)).toBeUndefined()
    expect(event.log.at(-1)).toMatchObject({ kind: 'shipLeft', baseId: 'elder' })
  })
})

describe('a ship that says when it will be ready', () => {
  it('starts its slot then and has burned on as before until then', () => {
    // Ready at minute 20 as planned, 0.5 kg/s on the way: 2500 - 600 = 1900 kg. Ten minutes later 300 kg less; hook-up 1.5 min.
    const planned = slotOf(seen(told([])), 'slot-21')
    const late = slotOf(seen(told([{ kind: 'setReady', shipId: 'alder-21', readyAtMs: atMin(30) }])), 'slot-21')
    expect(minutesOf(planned.startAtMs)).toBeCloseTo(20)
    expect(minutesOf(late.startAtMs)).toBeCloseTo(30)
    expect(planned.fuelAtContactKg - late.fuelAtContactKg).toBeCloseTo(300)
    const early = slotOf(seen(told([{ kind: 'setReady', shipId: 'alder-21', readyAtMs: atMin(15) }])), 'slot-21')
    expect(minutesOf(early.startAtMs)).toBeCloseTo(15)
    expect(early.fuelAtContactKg - planned.fuelAtContactKg).toBeCloseTo(150)
  })

  it('is as planned again when it says no time, and when that is withdrawn', () => {
    const late: Ask = { kind: 'setReady', shipId: 'alder-21', readyAtMs: atMin(30) }
    const again = told([late, { kind: 'setReady', shipId: 'alder-21' }])
    expect(minutesOf(slotOf(seen(again), 'slot-21').startAtMs)).toBeCloseTo(20)
    const event = told([late])
    event.ask({ kind: 'withdrawFact', withdrawnSeq: event.state.seq }, AT)
    expect(minutesOf(slotOf(seen(event), 'slot-21').startAtMs)).toBeCloseTo(20)
  })

  it('is there when it joins, whatever it said', () => {
    const event = told([{ kind: 'setReady', shipId: 'alder-21', readyAtMs: atMin(30) }])
    event.ask({ kind: 'joinShip', shipId: 'alder-21' }, atMin(22))
    expect(minutesOf(slotOf(seen(event, atMin(23)), 'slot-21').startAtMs)).toBeCloseTo(23)
  })
})

describe('a no-show', () => {
  const gone: Ask = { kind: 'setNoShow', shipId: 'alder-21', noShow: true }

  it('takes no station time and holds nobody up, and may be left out of an order', () => {
    const event = told([gone])
    const view = seen(event)
    expect(slotOf(view, 'slot-21').state).toBe('gone')
    // Listed as such, last, without a limit to count to and without a word about it.
    expect(view.ships.map((ship) => [ship.shipId, ship.status])).toEqual([
      ['alder-22', 'inbound'],
      ['alder-21', 'no-show']
    ])
    expect(view.ships[1]?.margin).toBeNull()
    const late = seen(event, atMin(120))
    expect(late.reasons.filter((reason) => reason.shipId === 'alder-21')).toEqual([])
    expect(late.ships.at(-1)?.status).toBe('no-show')
    expect(minutesOf(slotOf(view, 'slot-22').startAtMs)).toBeCloseTo(20)
    const slots = [{ id: 'slot-22', shipId: 'alder-22', visitId: 'fill' }]
    const orders = [{ tankerId: 'kelp', sequences: [{ stationId: 'boom', slots }] }]
    expect(event.ask({ kind: 'setOrder', orders, basedOnSeq: event.state.seq }, AT)).toBeUndefined()
  })

  it('comes after all when that is said, and when it joins or makes contact', () => {
    for (const ask of [
      { kind: 'setNoShow', shipId: 'alder-21', noShow: false },
      { kind: 'joinShip', shipId: 'alder-21' }
    ] as const)
      expect(slotOf(seen(told([gone, ask])), 'slot-21').state).toBe('planned')
    expect(slotOf(seen(told([gone, CONTACT])), 'slot-21').state).toBe('in contact')
  })

  it('comes after all when it calls its fuel, observed after that was said', () => {
    const called = (atMs: number): Ask => ({
      kind: 'callFuel',
      shipId: 'alder-21',
      fuel: { value: 1500, unit: 'kg' },
      covers: 'total',
      atMs
    })
    const statusOf = (asks: readonly Ask[]) =>
      seen(told(asks)).ships.find(({ shipId }) => shipId === 'alder-21')?.status
    expect(statusOf([gone, called(AT)])).not.toBe('no-show')
    expect(statusOf([gone, called(AT - MIN)])).toBe('no-show')
  })
})

describe('an on-load rule of one ship', () => {
  it('holds for that ship alone', () => {
    const event = told([{ kind: 'setOnLoad', shipId: 'alder-21', onLoad: { kind: 'fixed', fuel: kg(500) } }])
    const ships = brief(inForce(event)).flights.get('alder')?.ships ?? []
    expect(ships.map((ship) => ship.onLoads.get('fill')?.kind)).toEqual(['fixed', undefined])
    expect(slotOf(seen(event), 'slot-21').onLoadKg).toBeCloseTo(500)
    expect(slotOf(seen(event), 'slot-22').onLoadKg).toBeCloseTo(slotOf(seen(told([])), 'slot-22').onLoadKg)
  })
})

describe('a receiver nobody planned', () => {
  it('stands at the end of the order at once, with a push of its own as soon as it could be served first', () => {
    const event = told([RECEIVER])
    expect(event.log.slice(-2).map((fact) => fact.kind)).toEqual(['receiverAdded', 'orderSet'])
    const slots = orderOf(event.state, 'kelp').sequences[0]?.slots.map((slot) => slot.id)
    expect(slots).toEqual(['slot-21', 'slot-22', 'added-request-sleet.slot'])
    const view = seen(event)
    const ship = view.ships.find((one) => one.callSign === 'Sleet 1')
    expect(ship?.fuelKg).toBeCloseTo(1500)
    expect(ship?.recoveryBaseId).toBe('west')
    const slot = slotOf(view, 'added-request-sleet.slot')
    expect(slot.state).toBe('planned')
    // Ready at minute 10, hook-up 1.5 min, reform 2 min; home asks for 500 s x 0.5 + 100 + 240 = 590 kg, so that its 1500
    // are enough and nothing flows. Its turn comes later, and that is its lateness.
    const push = view.pushes.find((one) => one.name === 'Sleet 1')
    const planned = minutesOf(push?.plannedAtMs ?? NaN)
    expect(planned).toBeCloseTo(13.5, 3)
    expect(ship?.limits.required?.fuelKg).toBeCloseTo(590, 0)
    expect(slot.onLoadKg).toBeCloseTo(0)
    expect(minutesOf(slot.pushAtMs)).toBeCloseTo(minutesOf(slot.disconnectAtMs) + 2, 3)
    expect(push?.lateS).toBeCloseTo((slot.pushAtMs - (push?.plannedAtMs ?? NaN)) / 1000)
    expect(push?.lateS).toBeGreaterThan(0)
    const first = told([RECEIVER, { kind: 'leave', shipId: 'alder-21' }, { kind: 'leave', shipId: 'alder-22' }])
    expect(seen(first).pushes.find((one) => one.name === 'Sleet 1')?.lateS).toBeLessThan(1)
  })

  it('can be told ready later, with a push group, a rule, tanks and a priority', () => {
    const event = told([
      {
        ...RECEIVER,
        fuel: kg(2500),
        readyAtMs: AT + 10 * MIN,
        pushGroupId: 'first',
        fitted: ['wing-drop'],
        priority: 1,
        onLoad: { kind: 'fixed', fuel: kg(600) }
      }
    ])
    const slot = slotOf(seen(event, AT + 10 * MIN), 'added-request-sleet.slot')
    expect(slot.onLoadKg).toBeCloseTo(600)
    expect(brief(inForce(event)).flights.get('added-request-sleet')?.weight).toBe(16)
    // On its way at 0.5 kg/s with drag 1.1: ten minutes burn 330 kg of 2500.
    expect(seen(event, AT + 10 * MIN).ships.find((ship) => ship.callSign === 'Sleet 1')?.fuelKg).toBeCloseTo(2170)
  })

  it('is called, joins, makes contact and pushes as any other ship, and then stays', () => {
    const event = told([RECEIVER])
    const shipId = 'added-request-sleet.ship'
    expect(event.ask({ kind: 'callFuel', shipId, fuel: kg(1400), covers: 'total' }, AT)).toBeUndefined()
    const seq = event.log.findIndex((fact) => fact.kind === 'receiverAdded') + 1
    expect(event.ask({ kind: 'withdrawFact', withdrawnSeq: seq }, AT)?.code).toBe('fact-not-withdrawable')
    expect(event.ask({ kind: 'makeContact', shipId }, AT + MIN)).toBeUndefined()
    expect(event.ask({ kind: 'disconnect', shipId, how: 'whole' }, AT + 4 * MIN)).toBeUndefined()
    expect(event.ask({ kind: 'push', shipIds: [shipId] }, AT + 5 * MIN)).toBeUndefined()
    expect(seen(event, AT + 6 * MIN).ships.find((ship) => ship.shipId === shipId)?.status).toBe('recovering')
    expect(event.ask({ kind: 'adoptPlan', revision: 2, plan: paperPlan() }, AT + 6 * MIN)?.code).toBe(
      'adoption-drops-live'
    )
  })

  it('is withdrawn whole with its order, or alone once another order builds on that', () => {
    const event = told([RECEIVER])
    expect(event.ask({ kind: 'withdrawFact', withdrawnSeq: event.state.seq - 1 }, AT)).toBeUndefined()
    expect(seen(event).ships).toHaveLength(2)
    expect(orderOf(event.state, 'kelp').sequences[0]?.slots).toHaveLength(2)

    const built = told([RECEIVER])
    const orders = ordersInForce(built.state).map((order) => ({
      ...order,
      sequences: order.sequences.map((one) => ({ ...one, slots: [...one.slots].reverse() }))
    }))
    const added = built.state.seq - 1
    expect(built.ask({ kind: 'setOrder', orders, basedOnSeq: built.state.seq }, AT)).toBeUndefined()
    expect(built.ask({ kind: 'withdrawFact', withdrawnSeq: added + 1 }, AT)?.code).toBe('fact-not-withdrawable')
    expect(built.ask({ kind: 'withdrawFact', withdrawnSeq: added }, AT)).toBeUndefined()
    expect(
      seen(built)
        .slots.map((slot) => slot.slotId)
        .sort()
    ).toEqual(['slot-21', 'slot-22'])
    // The slot of a ship that never was binds nobody.
    const rest = orders.map((order) => ({
      ...order,
      sequences: order.sequences.map((one) => ({
        ...one,
        slots: one.slots.filter((slot) => !slot.id.startsWith('added'))
      }))
    }))
    expect(built.ask({ kind: 'setOrder', orders: rest, basedOnSeq: built.state.seq }, AT)).toBeUndefined()
  })
})

const SLOT_21 = { id: 'slot-21', shipId: 'alder-21', visitId: 'fill' }
const SLOT_22 = { id: 'slot-22', shipId: 'alder-22', visitId: 'fill' }
const TOP_OFF = { id: 'slot-23', shipId: 'alder-21', visitId: 'fill' }
const atBoom = (...slots: object[]) => [{ tankerId: 'kelp', sequences: [{ stationId: 'boom', slots }] }]
const pin: Ask = { kind: 'setPin', slotId: 'slot-22', pinned: true, serveAnyway: false }
const MAPLE: Ask = { ...RECEIVER, requestId: 'Request-Maple' }

/** What came before, the orders asked for, the code; each as bad in one way. */
const BAD_ORDERS: [title: string, before: Ask[], orders: unknown, code: ProblemCode][] = [
  ['a slot twice', [], atBoom(SLOT_21, SLOT_22, SLOT_21), 'ship-twice'],
  ['a new slot twice', [], atBoom(SLOT_21, SLOT_22, TOP_OFF, TOP_OFF), 'ship-twice'],
  ['a slot left out with no other of its ship', [], atBoom(SLOT_21), 'slot-missing'],
  ['a new slot of no ship', [], atBoom(SLOT_21, SLOT_22, { ...TOP_OFF, shipId: 'rasp-1' }), 'unknown-ship'],
  [
    'a new slot of no visit of its ship',
    [],
    atBoom(SLOT_21, SLOT_22, { ...TOP_OFF, visitId: 'refill' }),
    'unknown-slot'
  ],
  ['a slot given to another ship', [], atBoom({ ...SLOT_21, shipId: 'alder-22' }, SLOT_22), 'unknown-slot'],
  [
    'a new slot by an id that was used for another ship',
    [
      { kind: 'setOrder', orders: atBoom(SLOT_21, SLOT_22, TOP_OFF), basedOnSeq: 99 },
      { kind: 'setOrder', orders: atBoom(SLOT_21, SLOT_22), basedOnSeq: 99 }
    ],
    atBoom(SLOT_21, SLOT_22, { ...TOP_OFF, shipId: 'alder-22' }),
    'unknown-slot'
  ],
  ['no tanker', [], [{ tankerId: 'rasp', sequences: [] }], 'unknown-tanker'],
  [
    'no station',
    [],
    [{ tankerId: 'kelp', sequences: [{ stationId: 'winch', slots: [SLOT_21, SLOT_22] }] }],
    'unknown-station'
  ],
  [
    'a station of the other method',
    [],
    [{ tankerId: 'kelp', sequences: [{ stationId: 'hose', slots: [SLOT_21, SLOT_22] }] }],
    'method-mismatch'
  ],
  [
    'a new slot at a station of the other method',
    [],
    [
      {
        tankerId: 'kelp',
        sequences: [
          { stationId: 'boom', slots: [SLOT_21, SLOT_22] },
          { stationId: 'hose', slots: [TOP_OFF] }
        ]
      }
    ],
    'method-mismatch'
  ],
  [
    'a new slot at a station that has failed',
    [{ kind: 'setStation', tankerId: 'kelp', stationId: 'boom', status: 'failed' }],
    atBoom(SLOT_21, SLOT_22, TOP_OFF),
    'station-closed'
  ],
  ['a slot in contact moved', [CONTACT], atBoom(SLOT_22, SLOT_21), 'slot-in-contact'],
  ['a slot in contact left out', [CONTACT], atBoom(SLOT_22, TOP_OFF), 'slot-in-contact'],
  ['a pinned slot moved', [pin], atBoom(SLOT_22, SLOT_21), 'slot-pinned'],
  ['a pinned slot put behind a new one', [pin], atBoom(SLOT_21, TOP_OFF, SLOT_22), 'slot-pinned'],
  ['a pinned slot left out', [pin], atBoom(SLOT_21, { ...TOP_OFF, shipId: 'alder-22' }), 'slot-pinned'],
  [
    'internal fuel only where the flight may not',
    [],
    atBoom(SLOT_21, { ...SLOT_22, internalsOnly: true }),
    'internals-not-allowed'
  ],
  ['a pinned slot put off', [pin], atBoom(SLOT_21, { ...SLOT_22, notBeforeAtMs: atMin(50) }), 'slot-pinned'],
  [
    'a new slot in a visit that is closed',
    [{ kind: 'joinShip', shipId: 'alder-21' }, PUSH],
    atBoom(SLOT_21, SLOT_22, TOP_OFF),
    'visit-done'
  ],
  [
    'a new slot of a ship that left',
    [{ kind: 'leave', shipId: 'alder-21' }],
    atBoom(SLOT_21, SLOT_22, TOP_OFF),
    'ship-gone'
  ],
  ['an order read before the last one', [MAPLE], atBoom(SLOT_22, SLOT_21), 'stale-order']
]

describe('a bad order', () => {
  it.each(BAD_ORDERS)('is refused by its own code and changes nothing: %s', (_, before, orders, code) => {
    const event = told(before)
    const { state } = event
    const basedOnSeq = code === 'stale-order' ? 2 : state.seq
    expect(event.ask({ kind: 'setOrder', orders, basedOnSeq }, AT)?.code).toBe(code)
    expect(event.state).toBe(state)
  })

  it('is stale where it was built on an order that has been withdrawn since', () => {
    const event = told([])
    expect(
      event.ask({ kind: 'setOrder', orders: atBoom(SLOT_22, SLOT_21), basedOnSeq: event.state.seq }, AT)
    ).toBeUndefined()
    const built = { kind: 'setOrder', orders: atBoom(SLOT_22, SLOT_21, TOP_OFF), basedOnSeq: event.state.seq } as const
    expect(event.ask({ kind: 'withdrawFact', withdrawnSeq: event.state.seq }, AT)).toBeUndefined()
    expect(event.ask(built, AT)?.code).toBe('stale-order')
    expect(event.ask({ ...built, basedOnSeq: event.state.seq }, AT)).toBeUndefined()
  })

  it('is refused where the clearance table does not list the type', () => {
    const event = told(
      [],
      paperPlan((document) => {
        const [type] = document['tankerTypes'] as { stations: object[] }[]
        type?.stations.push({
          id: 'second',
          name: 'Second boom',
          method: 'boom',
          maxRate: { value: 900, unit: 'kg/min' }
        })
      })
    )
    const { state } = event
    const sequences = [
      { stationId: 'boom', slots: [SLOT_21] },
      { stationId: 'second', slots: [SLOT_22] }
    ]
    const ask = { kind: 'setOrder' as const, orders: [{ tankerId: 'kelp', sequences }], basedOnSeq: state.seq }
    expect(event.ask(ask, AT)?.code).toBe('no-clearance')
    expect(event.state).toBe(state)
  })
})

describe('a further contact', () => {
  const set = (event: MemoryEvent, ...slots: object[]) =>
    event.ask({ kind: 'setOrder', orders: atBoom(...slots), basedOnSeq: event.state.seq }, AT)?.code
  const ids = (event: MemoryEvent) =>
    orderOf(event.state, 'kelp').sequences[0]?.slots.map((slot: OrderedSlot) => slot.id)

  it('is a slot of its own; either may be left out, not both, and an id may come back', () => {
    const event = told([])
    expect(set(event, SLOT_21, SLOT_22, TOP_OFF)).toBeUndefined()
    expect(ids(event)).toEqual(['slot-21', 'slot-22', 'slot-23'])
    expect(set(event, SLOT_22, TOP_OFF)).toBeUndefined()
    expect(set(event, SLOT_22)).toBe('slot-missing')
    expect(set(event, SLOT_22, TOP_OFF, SLOT_21)).toBeUndefined()
    expect(set(event, SLOT_21, SLOT_22)).toBeUndefined()
    expect(set(event, SLOT_21, SLOT_22, TOP_OFF)).toBeUndefined()
  })

  it('may be left out again once the first one is flown', () => {
    const event = told([CONTACT, DISCONNECT])
    expect(set(event, SLOT_21, SLOT_22, TOP_OFF)).toBeUndefined()
    expect(set(event, SLOT_21, SLOT_22)).toBeUndefined()
  })

  it('leaves pins as they are', () => {
    const event = told([pin])
    expect(set(event, SLOT_21, SLOT_22, TOP_OFF)).toBeUndefined()
    expect(set(event, SLOT_21, SLOT_22)).toBeUndefined()
    expect(pinOf(event.state, 'slot-22').pinned).toBe(true)
    expect(slotOf(seen(event), 'slot-22').pinned).toBe(true)
  })

  it('is flown in its own slot', () => {
    const event = told([])
    expect(set(event, SLOT_21, SLOT_22, TOP_OFF)).toBeUndefined()
    for (const ask of [CONTACT, DISCONNECT, { kind: 'makeContact', shipId: 'alder-21' } as const])
      expect(event.ask(ask, AT + 12 * MIN)).toBeUndefined()
    expect(event.log.at(-1)).toMatchObject({ kind: 'contactMade', slotId: 'slot-23' })
  })
})
