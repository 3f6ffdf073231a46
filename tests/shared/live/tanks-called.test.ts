import { describe, expect, it } from 'vitest'
import { estimate } from '../../../shared/live/estimate.ts'
import type { Who } from '../../../shared/live/permissions.ts'
import type { ShipView, SlotView } from '../../../shared/contracts/view.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

/*
 * What is called of tanks and limits during an event. Constructed on the paper plan: a receiver of 3,000 kg body and
 * 1,000 kg feed, two externals of 500 kg, drag factor 1.1 with them, flows in kg/s.
 */
const MIN = 60_000
const kg = (value: number) => ({ value, unit: 'kg' })
const crew: Who = { linkId: 'link-crew', role: 'crew', shipId: 'alder-21' }

/** The paper plan with externals on the first ship, and what else the test asks for. */
function planned(change: (document: Document) => void = () => undefined) {
  return paperPlan((raw) => {
    const document = raw as unknown as Document
    const ship = document.flights[0].ships[0]
    ship.fitted = ['wing-drop']
    ship.startFuel = kg(4400)
    change(document)
  })
}
interface Document {
  rules: { landingReserve: unknown }
  receiverTypes: [Record<string, unknown> & { groups: Record<string, unknown>[] }]
  flights: [{ ships: [{ fitted: string[]; startFuel: unknown }]; route: Record<string, unknown>[]; limits?: unknown }]
}

function seen(event: MemoryEvent, atMs: number): { ship: ShipView; slot: SlotView } {
  const view = estimate(event.state, atMs)
  const ship = view?.ships.find((one) => one.shipId === 'alder-21')
  const slot = view?.slots.find((one) => one.slotId === 'slot-21')
  if (!ship || !slot) throw new Error('alder-21 is not in the view')
  return { ship, slot }
}
const AT = OPENS_AT_MS + 5 * MIN

describe('externals called not giving', () => {
  it('count nothing from then on, are not to be had, and are shut to the tanker', () => {
    const event = new MemoryEvent(planned())
    const before = seen(event, AT)
    expect(event.ask({ kind: 'setTrouble', shipId: 'alder-21', groupId: 'wing-drop', trouble: 'not giving' }, AT)).toBe(
      undefined
    )
    const { ship, slot } = seen(event, AT)
    const wing = before.ship.tanks.find((tank) => tank.groupId === 'wing-drop')
    expect(wing?.quantityKg).toBeGreaterThan(100)
    expect(before.ship.countedKg - ship.countedKg).toBeCloseTo(wing?.quantityKg ?? 0, 6)
    expect(ship.usableKg).toBeCloseTo(before.ship.usableKg - (wing?.quantityKg ?? 0), 6)
    expect(ship.fuelKg).toBeCloseTo(before.ship.fuelKg, 6)
    expect(ship.tanks.find((tank) => tank.groupId === 'wing-drop')?.troubles).toEqual([
      { tankNumber: 1, trouble: 'not giving', read: false },
      { tankNumber: 2, trouble: 'not giving', read: false }
    ])
    expect(slot.lostKg).toBe(0)
    expect(slot.hold).toEqual({ kind: 'none', why: 'no externals' })
  })

  it('that cannot be shut take fuel that is lost', () => {
    const open = planned((document) => {
      for (const group of document.receiverTypes[0].groups) if (group['id'] === 'wing-drop') group['canShut'] = false
      const visit = document.flights[0].route.find((phase) => phase['kind'] === 'refuelling')
      if (visit) visit['onLoad'] = { kind: 'full' }
    })
    const event = new MemoryEvent(open)
    event.ask(
      { kind: 'setTrouble', shipId: 'alder-21', groupId: 'wing-drop', tankNumber: 2, trouble: 'not giving' },
      AT
    )
    const { ship, slot } = seen(event, AT)
    const wing = ship.tanks.find((tank) => tank.groupId === 'wing-drop')
    expect(wing?.troubles).toEqual([{ tankNumber: 2, trouble: 'not giving', read: false }])
    // Filled from what it held when it was called to its 500 kg; nobody burns from it meanwhile.
    expect(slot.lostKg).toBeCloseTo(500 - (wing?.trappedKg ?? 0), 3)
  })

  it('are well again when that is said, and the record can be withdrawn', () => {
    const event = new MemoryEvent(planned())
    const before = seen(event, AT).ship
    event.ask({ kind: 'setTrouble', shipId: 'alder-21', groupId: 'wing-drop', trouble: 'not giving' }, AT, crew)
    expect(event.ask({ kind: 'withdrawFact', withdrawnSeq: event.state.seq }, AT, crew)).toBeUndefined()
    expect(seen(event, AT).ship.countedKg).toBe(before.countedKg)
    event.ask({ kind: 'setTrouble', shipId: 'alder-21', groupId: 'wing-drop', trouble: 'not giving' }, AT, crew)
    event.ask({ kind: 'setTrouble', shipId: 'alder-21', groupId: 'wing-drop' }, AT, crew)
    expect(seen(event, AT).ship.countedKg).toBeCloseTo(before.countedKg, 9)
  })

  it.each([
    [{ kind: 'setTrouble', shipId: 'alder-22', groupId: 'wing-drop', trouble: 'gone' }, 'unknown-group'],
    [{ kind: 'setTrouble', shipId: 'alder-21', groupId: 'wing-drop', tankNumber: 3, trouble: 'gone' }, 'unknown-group'],
    [{ kind: 'jettison', shipId: 'alder-22' }, 'group-stays'],
    [{ kind: 'jettison', shipId: 'alder-21', groupIds: ['body'] }, 'group-stays'],
    [{ kind: 'jettison', shipId: 'alder-21', groupIds: ['fin'] }, 'unknown-group']
  ] as const)('of something it does not carry is refused: %j', (request, code) => {
    const event = new MemoryEvent(planned())
    expect(event.ask({ ...request }, AT)?.code).toBe(code)
  })
})

describe('a tank that neither gives nor takes', () => {
  it('counts nothing, whichever of the two is called last, and says both', () => {
    for (const order of [
      ['not giving', 'not taking'],
      ['not taking', 'not giving']
    ] as const) {
      const event = new MemoryEvent(planned())
      const insideKg = seen(event, AT).ship.tanks.reduce((sum, tank) => sum + (tank.external ? 0 : tank.quantityKg), 0)
      for (const trouble of order)
        event.ask({ kind: 'setTrouble', shipId: 'alder-21', groupId: 'wing-drop', trouble }, AT)
      const { ship } = seen(event, AT)
      expect(ship.countedKg).toBeCloseTo(insideKg, 6)
      expect(ship.tanks.find((tank) => tank.external)?.troubles.map((one) => [one.tankNumber, one.trouble])).toEqual([
        [1, 'not giving'],
        [1, 'not taking'],
        [2, 'not giving'],
        [2, 'not taking']
      ])
    }
  })

  it('takes nothing that would be lost, though it cannot be shut', () => {
    const event = new MemoryEvent(
      planned((document) => {
        for (const group of document.receiverTypes[0].groups) if (group['id'] === 'wing-drop') group['canShut'] = false
        const visit = document.flights[0].route.find((phase) => phase['kind'] === 'refuelling')
        if (visit) visit['onLoad'] = { kind: 'full' }
      })
    )
    event.ask({ kind: 'setTrouble', shipId: 'alder-21', groupId: 'wing-drop', trouble: 'not giving' }, AT)
    expect(seen(event, AT).slot.lostKg).toBeGreaterThan(100)
    event.ask({ kind: 'setTrouble', shipId: 'alder-21', groupId: 'wing-drop', trouble: 'not taking' }, AT)
    expect(seen(event, AT).slot.lostKg).toBe(0)
  })
})

describe('externals thrown off', () => {
  it('take their fuel with them, their drag off the burn, and lower the limits', () => {
    const event = new MemoryEvent(planned())
    const before = seen(event, AT).ship
    const wing = before.tanks.find((tank) => tank.groupId === 'wing-drop')
    expect(event.ask({ kind: 'jettison', shipId: 'alder-21' }, AT, crew)).toBeUndefined()
    const after = seen(event, AT).ship
    expect(after.jettisoned).toEqual(['wing-drop'])
    expect(before.fuelKg - after.fuelKg).toBeCloseTo(wing?.quantityKg ?? 0, 6)
    expect(before.flowKgPerS / after.flowKgPerS).toBeCloseTo(1.1, 9)
    // Recovery flow and holding flow alike lose the tenth; the approach fuel has no drag in it.
    const approachKg = after.limits.abort
      ? elevenTimes(before.limits.abort?.fuelKg ?? 0, after.limits.abort.fuelKg)
      : NaN
    expect(approachKg).toBeGreaterThan(0)
    expect(after.limits.abort?.fuelKg).toBeLessThan(before.limits.abort?.fuelKg ?? 0)
    // What was burned before counts with the drag of then: five minutes at the draggy flow.
    expect(before.fuelKg).toBeCloseTo(4400 - 5 * 60 * before.flowKgPerS, 3)
    const later = seen(event, AT + 5 * MIN).ship
    expect(after.fuelKg - later.fuelKg).toBeCloseTo(5 * 60 * after.flowKgPerS, 3)
  })

  it('are counted as lost where the plan throws them off, and no hold is advised before', () => {
    const event = new MemoryEvent(
      planned((document) => {
        const task = document.flights[0].route.find((phase) => phase['id'] === 'task')
        if (task) task['jettisons'] = ['wing-drop']
      })
    )
    const { slot } = seen(event, OPENS_AT_MS)
    expect(slot.hold).toEqual({ kind: 'none', why: 'jettison' })
    const view = estimate(event.state, OPENS_AT_MS)
    const ladder = view?.flights[0]?.ladder ?? []
    const task = ladder.find((step) => step.phaseId === 'task')
    expect(task?.fuelKg).toBeLessThanOrEqual(4000)
  })
})

describe('a phase of no length', () => {
  it('throws off what it is planned to throw off', () => {
    const event = new MemoryEvent(
      planned((document) => {
        const half = { kind: 'transit', span: { by: 'duration', durationMin: 10 } }
        const drop = { id: 'drop', kind: 'transit', span: { by: 'duration', durationMin: 0 }, jettisons: ['wing-drop'] }
        document.flights[0].route.splice(0, 1, { ...half, id: 'out' }, drop, { ...half, id: 'on' })
      })
    )
    const { ship } = seen(event, OPENS_AT_MS + 12 * MIN)
    // 4000 kg inside when they go, and two minutes at the clean flow since.
    expect(ship.fuelKg).toBeCloseTo(4000 - 120 * 0.5, 6)
    expect(ship.tanks.find((tank) => tank.external)?.quantityKg).toBe(0)
    expect(seen(event, OPENS_AT_MS).slot.gaugeAtContactKg).toBeCloseTo(4000 - 600 * 0.5 - 90 * 0.4, 3)
  })
})

/** Abort fuel is approach + drag x the rest: from the two values the approach follows. */
const elevenTimes = (withTanks: number, without: number): number => 11 * without - 10 * withTanks

describe('a limit set by hand', () => {
  it('rules where it is higher, is refused where it is lower, and is taken back without a figure', () => {
    const event = new MemoryEvent(planned())
    const computed = seen(event, AT).ship.limits.abort
    expect(computed).toMatchObject({ byHandKg: null })
    const kgOf = computed?.computedKg ?? NaN
    expect(event.ask({ kind: 'setLimit', shipId: 'alder-21', limit: 'abort', fuel: kg(kgOf - 1) }, AT)).toMatchObject({
      code: 'limit-below-computed',
      errors: [{ path: '/fuel/value', limit: `at least ${String(Math.ceil(kgOf))} kg` }]
    })
    expect(
      event.ask({ kind: 'setLimit', shipId: 'alder-21', limit: 'abort', fuel: kg(kgOf + 200) }, AT)
    ).toBeUndefined()
    const { ship, slot } = seen(event, AT)
    expect(ship.limits.abort?.fuelKg).toBeCloseTo(kgOf + 200, 6)
    expect(slot.abortKg).toBeCloseTo(kgOf + 200, 6)
    const margin = ship.margin?.marginS ?? NaN
    event.ask({ kind: 'setLimit', shipId: 'alder-21', limit: 'abort' }, AT)
    const back = seen(event, AT).ship
    expect(back.limits.abort?.fuelKg).toBeCloseTo(kgOf, 9)
    // 200 kg above abort fuel at the refuelling flow.
    expect((back.margin?.marginS ?? NaN) - margin).toBeGreaterThan(60)
  })

  it('gives way to the computed one when that rises above it, and the row says so', () => {
    const event = new MemoryEvent(planned())
    event.ask({ kind: 'jettison', shipId: 'alder-21' }, AT)
    const clean = seen(event, AT).ship.limits.bingo?.computedKg ?? NaN
    event.ask({ kind: 'setLimit', shipId: 'alder-21', limit: 'bingo', fuel: kg(clean + 1) }, AT)
    // The jettison was said of the wrong ship: its drag is back, and the computed bingo with it.
    const jettison = event.log.find((fact) => fact.kind === 'jettisoned')?.seq
    event.ask({ kind: 'withdrawFact', withdrawnSeq: jettison }, AT)
    const view = estimate(event.state, AT)
    const bingo = seen(event, AT).ship.limits.bingo
    expect(bingo?.fuelKg).toBe(bingo?.computedKg)
    expect(bingo?.computedKg).toBeGreaterThan(clean + 1)
    expect(view?.reasons).toContainEqual(
      expect.objectContaining({ kind: 'hand limit overruled', shipId: 'alder-21', severity: 'note' })
    )
  })

  it('of what a push requires raises every requirement of the ship, and what it is given', () => {
    const event = new MemoryEvent(planned())
    const before = seen(event, AT).slot
    // It arrives with more than it needs: nothing is given.
    expect(before.onLoadKg).toBe(0)
    const more = before.fuelAtPushKg + 300
    event.ask({ kind: 'setLimit', shipId: 'alder-21', limit: 'required', fuel: kg(more) }, AT)
    const { ship, slot } = seen(event, AT)
    expect(slot.requiredAtPushKg).toBeCloseTo(more, 9)
    expect(ship.limits.required).toMatchObject({ byHandKg: more, computedKg: before.requiredAtPushKg })
    // Given as required: all of the 300 kg, and what it burns while it takes them.
    expect(slot.fuelAtPushKg).toBeCloseTo(more, 3)
    expect(slot.onLoadKg).toBeGreaterThan(290)
    const refused = event.ask(
      { kind: 'setLimit', shipId: 'alder-21', limit: 'required', fuel: kg(before.requiredAtPushKg - 10) },
      AT
    )
    expect(refused?.code).toBe('limit-below-computed')
  })

  it('is refused above what the ship holds, and where there is no such limit to set', () => {
    const event = new MemoryEvent(planned())
    const ask = (limit: string, fuel: ReturnType<typeof kg>) =>
      event.ask({ kind: 'setLimit', shipId: 'alder-21', limit, fuel }, AT)
    expect(ask('bingo', kg(90_000))).toMatchObject({
      code: 'fuel-above-capacity',
      errors: [{ path: '/fuel/value', value: '90000 kg' }]
    })
    event.ask({ kind: 'joinShip', shipId: 'alder-21' }, AT)
    event.ask({ kind: 'push', shipIds: ['alder-21'] }, AT)
    expect(ask('required', kg(3000))?.code).toBe('visit-done')
  })

  it('is for a commander to set', () => {
    const event = new MemoryEvent(planned())
    const ask = { kind: 'setLimit', shipId: 'alder-21', limit: 'bingo', fuel: kg(3000) } as const
    expect(event.ask(ask, AT, crew)?.code).toBe('not-allowed')
    expect(event.ask(ask, AT, { linkId: 'link-coordinator', role: 'coordinator' })?.code).toBe('not-allowed')
    expect(event.ask(ask, AT)).toBeUndefined()
  })
})

describe('an internal gauge', () => {
  const inside = () =>
    planned((document) => {
      const [type] = document.receiverTypes
      type['gauge'] = 'internal'
      type['gaugeBand'] = { low: kg(3700), high: kg(3950) }
      type['notGivingBelow'] = kg(3500)
    })
  const read = (figure: number, atMs: number) => ({
    kind: 'callFuel',
    shipId: 'alder-21',
    fuel: kg(figure),
    covers: 'internal',
    atMs
  })

  it('in its band tells that externals give, below it less and less', () => {
    const results = [3800, 3600, 3400].map((figure) => {
      const event = new MemoryEvent(inside())
      expect(event.ask(read(figure, AT) as Parameters<MemoryEvent['ask']>[0], AT)).toBeUndefined()
      return seen(event, AT).ship
    })
    expect(results.map((ship) => ship.externalsRead)).toEqual(['in band', 'unclear', 'not giving'])
    const [band, , silent] = results
    // In the band all is counted that gave; not giving counts the inside alone, at once.
    expect(band?.countedKg).toBeGreaterThan(3800)
    expect(silent?.countedKg).toBeCloseTo(3400, 6)
    expect(silent?.tanks.find((tank) => tank.external)?.troubles.map((one) => one.read)).toEqual([true, true])
  })

  it('back in the band takes back what a reading said, never what was called', () => {
    const event = new MemoryEvent(inside())
    const ask = (request: object, atMs: number) => event.ask(request as Parameters<MemoryEvent['ask']>[0], atMs)
    ask(read(3400, AT), AT)
    expect(seen(event, AT).ship.externalsRead).toBe('not giving')
    // More than it may hold while they do not give: believed when a second reading says so.
    ask(read(3800, AT + MIN / 2), AT + MIN / 2)
    expect(seen(event, AT + MIN / 2).ship).toMatchObject({ externalsRead: 'not giving' })
    expect(seen(event, AT + MIN / 2).ship.estimate.waiting?.figureKg).toBe(3800)
    expect(seen(event, AT + MIN / 2).ship.countedKg).toBeLessThan(3400)
    ask(read(3800, AT + MIN), AT + MIN)
    expect(seen(event, AT + MIN).ship.tanks.find((tank) => tank.external)?.troubles).toEqual([])
    ask(
      { kind: 'setTrouble', shipId: 'alder-21', groupId: 'wing-drop', tankNumber: 1, trouble: 'not giving' },
      AT + MIN
    )
    ask(read(3800, AT + 2 * MIN), AT + 2 * MIN)
    expect(seen(event, AT + 2 * MIN).ship.tanks.find((tank) => tank.external)?.troubles).toEqual([
      { tankNumber: 1, trouble: 'not giving', read: false }
    ])
  })

  const ask = (event: MemoryEvent, request: object, atMs: number) =>
    event.ask(request as Parameters<MemoryEvent['ask']>[0], atMs)
  const told = (event: MemoryEvent, atMs: number): string[] =>
    (estimate(event.state, atMs)?.reasons ?? []).flatMap(({ kind, shipId }) =>
      shipId === 'alder-21' && kind.startsWith('externals') ? [kind] : []
    )

  it('that is back in its band takes back nothing that was called of a tank read before', () => {
    const event = new MemoryEvent(inside())
    const trouble = {
      kind: 'setTrouble',
      shipId: 'alder-21',
      groupId: 'wing-drop',
      tankNumber: 1,
      trouble: 'not giving'
    }
    ask(event, read(3400, AT), AT)
    ask(event, trouble, AT)
    ask(event, { ...trouble, tankNumber: 2, trouble: 'not taking' }, AT)
    ask(event, read(3800, AT + MIN / 2), AT + MIN / 2)
    ask(event, read(3800, AT + MIN), AT + MIN)
    expect(seen(event, AT + MIN).ship.tanks.find((tank) => tank.external)?.troubles).toEqual([
      { tankNumber: 1, trouble: 'not giving', read: false },
      { tankNumber: 2, trouble: 'not taking', read: false }
    ])
  })

  it('that leaves it open is planned at the empty end; what would be needed at the full end stands beside it', () => {
    const plan = planned((document) => {
      const [type] = document.receiverTypes
      type['gauge'] = 'internal'
      type['gaugeBand'] = { low: kg(3700), high: kg(3950) }
      type['notGivingBelow'] = kg(3500)
      const visit = document.flights[0].route.find((phase) => phase['kind'] === 'refuelling')
      if (visit) visit['onLoad'] = { kind: 'full' }
    })
    const event = new MemoryEvent(plan)
    expect(seen(event, AT).slot.neededFullEndKg).toBeNull()
    ask(event, read(3600, AT), AT)
    const { ship, slot } = seen(event, AT)
    expect(told(event, AT)).toEqual(['externals unclear'])
    // 3600 kg inside is all that counts, now and at contact: 900 s at 0.55 and 90 s at 0.44 later.
    expect(ship.countedKg).toBeCloseTo(3600, 6)
    expect(slot.fuelAtContactKg).toBeCloseTo(3600 - 900 * 0.55 - 90 * 0.44, 6)
    expect(ship.margin?.atMs).toBeLessThan(seen(new MemoryEvent(plan), AT).ship.margin?.atMs ?? NaN)
    // Full, all that is burned until then comes from outside: 534.6 kg from 1000, to be filled at 2.5 kg/s for 213.84 s.
    expect(slot.neededFullEndKg).toBeLessThan(slot.neededKg - 400)
    expect(slot.neededFullEndKg).toBeGreaterThan(400 + 534.6)
    // A later reading in the band: they gave all the while, and hold what they would.
    ask(event, read(3800, AT + MIN), AT + MIN)
    const after = seen(event, AT + MIN)
    expect(after.slot.neededFullEndKg).toBeNull()
    expect(told(event, AT + MIN)).toEqual([])
    const carriedKg = 4400 - 6 * 60 * 0.55 - 4000
    expect(after.ship.tanks.find((tank) => tank.external)?.quantityKg).toBeCloseTo(carriedKg, 6)
    // A reading in the band tells only that no less than that is aboard: all fuel is what was carried.
    expect(after.ship.countedKg).toBeCloseTo(4000 + carriedKg, 6)
  })

  it('below its mark is told until the externals are gone, well, or would be empty, or the ship has left', () => {
    const silent = (): MemoryEvent => {
      const event = new MemoryEvent(inside())
      ask(event, read(3400, AT), AT)
      expect(told(event, AT)).toEqual(['externals not giving'])
      return event
    }
    const later = AT + 2 * MIN
    const thrown = silent()
    ask(thrown, { kind: 'jettison', shipId: 'alder-21' }, later)
    expect(told(thrown, later)).toEqual([])
    const well = silent()
    ask(well, { kind: 'setTrouble', shipId: 'alder-21', groupId: 'wing-drop' }, later)
    expect(told(well, later)).toEqual([])
    const one = silent()
    ask(one, { kind: 'setTrouble', shipId: 'alder-21', groupId: 'wing-drop', tankNumber: 1, trouble: 'gone' }, later)
    expect(told(one, later)).toEqual(['externals not giving'])
    const gone = silent()
    ask(gone, { kind: 'leave', shipId: 'alder-21' }, later)
    expect(told(gone, later)).toEqual([])
    // 235 kg outside at 5 min would have been burned at 0.55 kg/s by 12.2 min: a low gauge is what is expected then.
    const empty = silent()
    ask(empty, read(3200, AT + 4 * MIN), AT + 4 * MIN)
    expect(told(empty, AT + 4 * MIN)).toEqual(['externals not giving'])
    ask(empty, read(3100, AT + 8 * MIN), AT + 8 * MIN)
    expect(told(empty, AT + 8 * MIN)).toEqual([])
    // What is stuck outside, if it is, still counts for nothing: the inside counts, as three readings have it.
    expect(Math.abs(seen(empty, AT + 8 * MIN).ship.countedKg - 3100)).toBeLessThan(30)
  })

  /** A contact of six minutes, in which the inside is full after about two and the outside fills on. */
  const CONTACT = OPENS_AT_MS + 45 * MIN
  const DISCONNECT = CONTACT + 6 * MIN
  const outsideKg = (event: MemoryEvent, atMs: number): number =>
    seen(event, atMs)
      .ship.tanks.filter((tank) => tank.external)
      .reduce((sum, tank) => sum + tank.quantityKg, 0)
  function filled(readings: readonly number[], offLoadKg?: number): MemoryEvent {
    const event = new MemoryEvent(inside())
    const say = (request: object, atMs: number) => {
      expect(ask(event, { shipId: 'alder-21', ...request }, atMs)).toBeUndefined()
    }
    say({ kind: 'joinShip' }, CONTACT - MIN)
    say({ kind: 'makeContact' }, CONTACT)
    say({ kind: 'startFlow' }, CONTACT)
    readings.forEach((figure, index) => {
      say(read(figure, CONTACT + (3 + index / 4) * MIN), CONTACT + (3 + index / 4) * MIN)
    })
    const given = offLoadKg === undefined ? {} : { offLoad: kg(offLoadKg) }
    say({ kind: 'disconnect', how: 'whole', ...given }, DISCONNECT)
    return event
  }

  it('that is full after a contact leaves outside what the contact put there', () => {
    const event = filled([])
    const putKg = outsideKg(event, DISCONNECT)
    // At 2 x 1.25 kg/s for six minutes.
    expect(putKg).toBeGreaterThan(800)
    ask(event, read(4000, DISCONNECT + MIN), DISCONNECT + MIN)
    expect(seen(event, DISCONNECT + MIN).ship.externalsRead).toBe('in band')
    // The burn of a minute, 0.44 kg/s, comes from outside; the reading takes away nothing beside it.
    expect(outsideKg(event, DISCONNECT + MIN)).toBeGreaterThan(putKg - 60 * 0.44 - 5)
  })

  it('that stands full in contact, and reads a little less, does not tell how much flowed', () => {
    const silent = filled([])
    const givenKg = seen(silent, DISCONNECT).slot.onLoadKg
    const event = filled([3960, 3960, 3960, 3960, 3960, 3960], givenKg)
    // Readings each 1 % of 4,000 kg low.
    const lessKg = seen(silent, DISCONNECT).ship.fuelKg - seen(event, DISCONNECT).ship.fuelKg
    expect(Math.abs(lessKg)).toBeLessThan(40)
  })

  it('that is low after a hold tells nothing until the externals had the time to fill the inside', () => {
    const event = new MemoryEvent(inside())
    ask(event, { kind: 'setExternals', shipId: 'alder-21', externals: 'held' }, OPENS_AT_MS)
    const releasedAtMs = OPENS_AT_MS + 30 * MIN
    ask(event, read(3200, releasedAtMs), releasedAtMs)
    ask(event, { kind: 'setExternals', shipId: 'alder-21', externals: 'selected' }, releasedAtMs)
    const soon = releasedAtMs + MIN / 2
    ask(event, read(3200, soon), soon)
    expect(seen(event, soon).ship.externalsRead).toBeNull()
    expect(outsideKg(event, soon)).toBeGreaterThan(300)
    expect(seen(event, soon).ship.countedKg).toBeGreaterThan(3500)
  })

  it('shows every limit as itself: what it reads when counted fuel falls there', () => {
    const event = new MemoryEvent(inside())
    const { ship, slot } = seen(event, AT)
    // All externals are used before the inside falls to a limit: the gauge shows the limit itself, no tank has a rest.
    expect(ship.limits.abort?.gaugeKg).toBeCloseTo(ship.limits.abort?.fuelKg ?? NaN, 6)
    expect(slot.abortGaugeKg).toBeCloseTo(slot.abortKg ?? NaN, 6)
    expect(slot.gaugeAtContactKg).toBeLessThanOrEqual(4000)
  })
})

describe('waiting at the next tanker', () => {
  it('is part of what a push requires: the allowance at the refuelling flow', () => {
    const twice = (waitAllowanceMin: number) =>
      paperPlan((raw) => {
        const document = raw as unknown as { flights: [{ route: Record<string, unknown>[] }]; pushGroups: unknown[] }
        document.pushGroups.push({ id: 'second', name: 'Second push', pushAtMs: OPENS_AT_MS + 150 * MIN })
        const { route } = document.flights[0]
        route.splice(3, 0, {
          id: 'again',
          kind: 'refuelling',
          tankerId: 'kelp',
          pushGroupId: 'second',
          onLoad: { kind: 'full' },
          waitAllowanceMin
        })
      })
    const requiredOf = (waitAllowanceMin: number) => {
      const event = new MemoryEvent(twice(waitAllowanceMin))
      const view = estimate(event.state, OPENS_AT_MS)
      return view?.slots.find((one) => one.slotId === 'slot-21')
    }
    const none = requiredOf(0)
    const ten = requiredOf(10)
    const burnKgPerS =
      ((none?.fuelAtDisconnectKg ?? 0) - (none?.fuelAtPushKg ?? 0)) /
      (((none?.pushAtMs ?? 0) - (none?.disconnectAtMs ?? 0)) / 1000)
    expect(burnKgPerS).toBeGreaterThan(0.1)
    const more = (ten?.requiredAtPushKg ?? NaN) - (none?.requiredAtPushKg ?? NaN)
    // The next contact asks for the most here, so the wait shows whole.
    expect(more).toBeCloseTo(10 * 60 * burnKgPerS, 6)
  })
})
