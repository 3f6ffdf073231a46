import { describe, expect, it } from 'vitest'
import { labelsOf } from '../../../client/labels.ts'
import { answerLines } from '../../../client/words/answer.ts'
import { verdict } from '../../../client/words/plan.ts'
import { reasonWords, saidReason } from '../../../client/words/reasons.ts'
import type { View } from '../../../shared/contracts/view.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { pushesMet } from '../../../shared/live/met.ts'
import { computeOrder } from '../../../shared/plan/order.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

/*
 * No outside source, by hand on the paper plan: out 20 min at 0.5 kg/s and 40 min on the track at 0.4 kg/s take 1,560 kg;
 * at the push 30 min of task and 500 s of way home at 0.5 kg/s, 100 kg of approach and 10 min of holding at 0.4 kg/s ask
 * for 1,490 kg. With 3,050 kg at the start a ship may pass the tanker.
 */
const ENOUGH_KG = 3050
const MIN = 60_000

interface Raw {
  flights: [{ route: { id: string; onLoad?: unknown }[]; ships: { id: string; startFuel: unknown }[] }]
  orders: { sequences: { slots: { shipId: string }[] }[] }[]
}
const plan = (startKg: number, change: (raw: Raw) => void) =>
  paperPlan((document) => {
    const raw = document as unknown as Raw
    for (const ship of raw.flights[0].ships) ship.startFuel = { value: startKg, unit: 'kg' }
    change(raw)
  })
const unplaced = (startKg: number) =>
  plan(startKg, (raw) => {
    for (const { slots } of raw.orders[0]?.sequences ?? []) slots.pop()
  })
const fixed = (takesKg: number) =>
  plan(2500, (raw) => {
    for (const phase of raw.flights[0].route)
      if (phase.id === 'fill') phase.onLoad = { kind: 'fixed', fuel: { value: takesKg, unit: 'kg' } }
  })
function seen(of: ReturnType<typeof plan>): View {
  const view = computeOrder({ plan: of })
  if ('faults' in view) throw new Error(JSON.stringify(view.faults))
  return view
}
const its = (view: View, kind: string) => view.reasons.filter((reason) => reason.kind === kind)

describe('a planned refuelling that stands in no order', () => {
  it('fails the plan while its ship comes to the push with less than is required', () => {
    const document = unplaced(ENOUGH_KG - 10)
    const [view, labels] = [seen(document), labelsOf(document)]
    expect(its(view, 'not in the order')).toMatchObject([{ shipId: 'alder-22', severity: 'now', pushGroupId: 'first' }])
    expect(pushesMet(view)).toMatchObject([{ isMet: false, unplacedShipIds: ['alder-22'] }])
    const { works, findings } = verdict(view)
    expect(works).toBe(false)
    expect(saidReason(findings)).toContain('1 planned refuelling stands in no order')
    expect(view.reasons.map((one) => saidReason(reasonWords(one, labels, 'kg')))).toContain(
      'Alder 22 is planned to refuel before First push but stands in no order. Give it a turn.'
    )
    const pushes = answerLines(document, view, labels, undefined).find(({ name }) => name === 'Pushes')
    expect(pushes?.bad).toBe(true)
    expect(pushes?.parts.map(({ words }) => saidReason(words))).toContain('First push, in no order: Alder 22')
  })

  it('is a note where the ship has enough without it', () => {
    const view = seen(unplaced(ENOUGH_KG))
    expect(its(view, 'not in the order')).toMatchObject([{ shipId: 'alder-22', severity: 'note' }])
    expect(pushesMet(view)).toMatchObject([{ isMet: true, unplacedShipIds: [] }])
    expect(verdict(view).works).toBe(true)
  })

  it('is told of nobody who has a turn, has pushed, or is gone', () => {
    expect(its(seen(plan(2500, () => undefined)), 'not in the order')).toEqual([])
    const event = new MemoryEvent(unplaced(2500))
    const later = (atMin: number) => {
      const view = estimate(event.state, OPENS_AT_MS + atMin * MIN)
      return view && its(view, 'not in the order')
    }
    expect(later(30)).toHaveLength(1)
    expect(event.ask({ kind: 'joinShip', shipId: 'alder-22' }, OPENS_AT_MS + 20 * MIN)).toBeUndefined()
    expect(event.ask({ kind: 'push', shipIds: ['alder-22'] }, OPENS_AT_MS + 60 * MIN)).toBeUndefined()
    expect(later(61)).toEqual([])
    const gone = new MemoryEvent(unplaced(2500))
    expect(gone.ask({ kind: 'leave', shipId: 'alder-22', baseId: 'west' }, OPENS_AT_MS + 25 * MIN)).toBeUndefined()
    const view = estimate(gone.state, OPENS_AT_MS + 26 * MIN)
    expect(view && its(view, 'not in the order')).toEqual([])
  })
})

describe('a fixed on-load', () => {
  it('beyond the room there is when it comes is told, and asks the tanker for no more than that room', () => {
    const view = seen(fixed(3500))
    expect(view.slots.map(({ endedBy }) => endedBy)).toEqual(['full', 'full'])
    expect(its(view, 'no room').map(({ shipId, severity }) => [shipId, severity])).toEqual([
      ['alder-21', 'note'],
      ['alder-22', 'note']
    ])
    for (const slot of view.slots) {
      // Full tanks of 4,000 kg at the disconnect, and what it burned in the contact.
      const burnedKg = (0.4 * (slot.disconnectAtMs - slot.contactAtMs)) / 1000
      expect(slot.onLoadKg).toBeCloseTo(4000 - slot.fuelAtContactKg + burnedKg, 3)
      expect(slot.neededKg).toBe(slot.onLoadKg)
    }
  })

  it('that fits is what it says', () => {
    const view = seen(fixed(1000))
    expect(its(view, 'no room')).toEqual([])
    expect(view.slots.map(({ neededKg }) => neededKg)).toEqual([1000, 1000])
  })
})
