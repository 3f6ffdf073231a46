import { describe, expect, it } from 'vitest'
import { estimate } from '../../../shared/live/estimate.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

/*
 * Externals held before the tanker. Constructed on the paper plan: two externals of 500 kg on the first ship, drag factor
 * 1.1, 20 min of transit at 0.55 kg/s. Abort fuel 100 + 1.1 x (250 + 240) = 639 kg; floor: 300 s x 0.44 more, 771 kg.
 */
const MIN = 60_000
const AT = OPENS_AT_MS + 5 * MIN
const kg = (value: number) => ({ value, unit: 'kg' })
interface Document {
  receiverTypes: [{ dump?: unknown; groups: Record<string, unknown>[] }]
  flights: [{ ships: [{ fitted: string[]; startFuel: unknown }]; route: Record<string, unknown>[] }]
}

function planned(change: (document: Document) => void = () => undefined) {
  return paperPlan((raw) => {
    const document = raw as unknown as Document
    const [ship] = document.flights[0].ships
    ship.fitted = ['wing-drop']
    ship.startFuel = kg(4400)
    const visit = document.flights[0].route.find((phase) => phase['kind'] === 'refuelling')
    if (visit) visit['onLoad'] = { kind: 'full' }
    change(document)
  })
}
function seen(event: MemoryEvent, atMs: number) {
  const view = estimate(event.state, atMs)
  const ship = view?.ships.find((one) => one.shipId === 'alder-21')
  const slot = view?.slots.find((one) => one.slotId === 'slot-21')
  if (!view || !ship || !slot) throw new Error('alder-21 is not in the view')
  return { ship, slot, told: view.reasons.some((one) => one.kind === 'hold to release' && one.shipId === 'alder-21') }
}
/** Externals held from 5 min on, with 235 kg in them; five minutes later a call of so much in all. */
function heldWith(totalKg: number): MemoryEvent {
  const event = new MemoryEvent(planned())
  event.ask({ kind: 'setExternals', shipId: 'alder-21', externals: 'held' }, AT)
  event.ask({ kind: 'callFuel', shipId: 'alder-21', fuel: kg(totalKg), covers: 'total' }, AT + 5 * MIN)
  return event
}

describe('a ship that holds its externals', () => {
  it('may hold on while what counts at its contact is above the floor', () => {
    // 4000 kg in all: 3765 inside, 330 and 40 less at contact.
    const { slot, told } = seen(heldWith(4000), AT + 6 * MIN)
    expect(slot.state).toBe('planned')
    expect(told).toBe(false)
  })

  it.each([5, 8, 12])('is told to release below the floor, %i minutes after it began', (minutes) => {
    // 1370 kg in all: 1135 inside, some 765 at contact: below the floor, and above abort fuel on the low side as well.
    const { slot, told } = seen(heldWith(1370), AT + minutes * MIN)
    expect(slot.state).toBe('planned')
    expect(told).toBe(true)
  })

  it('is told so too when its contact is lost already, and no hold is advised to one that does not hold', () => {
    // 865 kg inside: 535 when it is ready, below abort fuel.
    const event = heldWith(1100)
    const { slot, told } = seen(event, AT + 8 * MIN)
    expect(slot.state).toBe('missed')
    expect(told).toBe(true)
    event.ask({ kind: 'setExternals', shipId: 'alder-21', externals: 'off' }, AT + 9 * MIN)
    expect(seen(event, AT + 10 * MIN)).toMatchObject({ told: false, slot: { hold: null } })
  })
})

/** The way out in two halves, with something done at the second. */
const halved = (document: Document, second: Record<string, unknown>): void => {
  const half = (id: string) => ({ id, kind: 'transit', span: { by: 'duration', durationMin: 10 } })
  document.flights[0].route.splice(0, 1, half('out'), { ...half('on'), ...second })
}

describe('the hold of a ship', () => {
  it('is none where its externals are thrown off before the contact', () => {
    const plain = new MemoryEvent(
      planned((document) => {
        halved(document, {})
      })
    )
    expect(seen(plain, OPENS_AT_MS).slot.hold?.kind).toBe('hold')
    const event = new MemoryEvent(
      planned((document) => {
        halved(document, { jettisons: ['wing-drop'] })
      })
    )
    for (const minutes of [0, 5]) {
      expect(seen(event, OPENS_AT_MS + minutes * MIN).slot.hold).toEqual({ kind: 'none', why: 'no externals' })
    }
  })

  it('begins after what is dumped on the way', () => {
    const event = new MemoryEvent(
      planned((document) => {
        // Down to 4100 kg at 5 kg/s beside 0.55 of burn, from the tenth minute on: from 4570 kg it takes 84.7 s.
        document.flights[0].ships[0].startFuel = kg(4900)
        document.receiverTypes[0].dump = { rate: { value: 300, unit: 'kg/min' }, groupIds: ['body'] }
        halved(document, { dumpTo: kg(4100) })
      })
    )
    const { hold } = seen(event, OPENS_AT_MS).slot
    if (hold?.kind !== 'hold') throw new Error(`no hold: ${JSON.stringify(hold)}`)
    const dumpedMs = OPENS_AT_MS + 10 * MIN + (470 / 5.55) * 1000
    expect(hold.fromMs).toBeGreaterThanOrEqual(dumpedMs - 1)
    // Held or not, the gauge shows at contact what the dump left, less the burn since.
    const sinceS = 600 - 470 / 5.55
    expect(hold.gaugeAtContactKg).toBeCloseTo(4100 - sinceS * 0.55 - 90 * 0.44, 3)
  })

  it('is not put out by a jettison of tanks it does not carry', () => {
    const belly = (document: Document): void => {
      const wing = document.receiverTypes[0].groups.find((group) => group['id'] === 'wing-drop')
      document.receiverTypes[0].groups.push({ ...wing, id: 'belly-drop', name: 'Belly external', tankCount: 1 })
      const task = document.flights[0].route.find((phase) => phase['id'] === 'task')
      if (task) task['jettisons'] = ['belly-drop']
    }
    const { hold } = seen(new MemoryEvent(planned(belly)), OPENS_AT_MS).slot
    expect(hold).toEqual(seen(new MemoryEvent(planned()), OPENS_AT_MS).slot.hold)
    expect(hold?.kind).toBe('hold')
  })
})
