import { describe, expect, it } from 'vitest'
import { estimate } from '../../../shared/live/estimate.ts'
import { flowedNow } from '../../../shared/live/flowed.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

/*
 * What an off-load is measured by, and what becomes of one that cannot be. Constructed on the paper plan, by hand, no
 * outside source: 15.4 kg/s flow from half a minute after the contact on, 0.4 of them are burned; 1,852 of 4,000 kg are
 * aboard then, 550 are planned.
 */
const MIN = 60_000
const READY = OPENS_AT_MS + 20 * MIN
const CONTACT = READY + 90_000
const FLOW_KG_PER_S = 15.4
const BURN_KG_PER_S = 0.4
const HAD_KG = 1852
const CAPACITY_KG = 4000
/** What the tanks take until they are full, and what is burned meanwhile. */
const ROOM_KG = (CAPACITY_KG - HAD_KG) * (FLOW_KG_PER_S / (FLOW_KG_PER_S - BURN_KG_PER_S))

function hooked(): MemoryEvent {
  const event = new MemoryEvent(paperPlan())
  expect(event.ask({ kind: 'joinShip', shipId: 'alder-21' }, READY)).toBeUndefined()
  expect(event.ask({ kind: 'makeContact', shipId: 'alder-21' }, CONTACT)).toBeUndefined()
  return event
}
function off(event: MemoryEvent, afterS: number, more: object) {
  return event.ask({ kind: 'disconnect', shipId: 'alder-21', how: 'whole', ...more }, CONTACT + afterS * 1000)
}
function seen(event: MemoryEvent, afterS: number) {
  const view = estimate(event.state, CONTACT + afterS * 1000)
  const [ship, slot, tanker] = [
    view?.ships.find((one) => one.shipId === 'alder-21'),
    view?.slots.find((one) => one.slotId === 'slot-21'),
    view?.tankers.find((one) => one.tankerId === 'kelp')
  ]
  if (!ship || !slot || !tanker) throw new Error('alder-21 is not in the view')
  return { ship, slot, tanker }
}
const kg = (value: number) => ({ value, unit: 'kg' })

describe('what has flowed in a contact', () => {
  it('is by the clock from where fuel began to flow, and is bounded by the hook-up and by the room', () => {
    const flowed = flowedNow(hooked().state, 'alder-21', CONTACT + 70_000)
    if (!flowed) throw new Error('nothing flows')
    expect(flowed.hadKg).toBeCloseTo(HAD_KG, 6)
    expect(flowed.burnedKg).toBeCloseTo(40 * BURN_KG_PER_S, 6)
    expect(flowed.plannedKg).toBeCloseTo(550, 6)
    expect(flowed.flowedKg).toBeCloseTo(40 * FLOW_KG_PER_S, 6)
    expect(flowed.flowedBeforeKg).toBeCloseTo(10 * FLOW_KG_PER_S, 6)
    expect(flowed.flowedSoonKg).toBeCloseTo(70 * FLOW_KG_PER_S, 6)
    expect(flowed.mostFlowedKg).toBeCloseTo(70 * FLOW_KG_PER_S * 1.25, 6)
    expect(flowed.mostTakenKg).toBeGreaterThan(ROOM_KG * 1.25)
    expect(flowed.mostTakenKg).toBeLessThan(ROOM_KG * 1.25 + 200)
  })

  it('is what a disconnect without a figure then counts', () => {
    const event = hooked()
    const flowed = flowedNow(event.state, 'alder-21', CONTACT + 70_000)
    expect(off(event, 70, {})).toBeUndefined()
    const { ship, slot } = seen(event, 70)
    expect(slot.onLoadKg).toBeCloseTo(flowed?.flowedKg ?? NaN, 6)
    expect(ship.fuelKg).toBeCloseTo(HAD_KG + 40 * (FLOW_KG_PER_S - BURN_KG_PER_S), 3)
  })

  it('is nothing of a ship in no contact', () => {
    expect(flowedNow(hooked().state, 'alder-22', CONTACT + 70_000)).toBeUndefined()
  })
})

describe('an off-load', () => {
  it('beyond the room and what was burned is refused, with field, value and limit', () => {
    const event = hooked()
    // What the ship would have, not what it took.
    const refusal = off(event, 200, { offLoad: kg(3900) })
    expect(refusal?.code).toBe('fuel-above-capacity')
    expect(refusal?.errors).toEqual([
      expect.objectContaining({
        path: '/offLoad/value',
        value: '3900 kg',
        limit: expect.stringMatching(/^at most 2\d\d\d kg$/) as string
      })
    ])
  })

  it('beyond what can have flowed counts for no more in the ledger than in the ship', () => {
    const event = hooked()
    const before = seen(event, 20).tanker.giveKg
    expect(off(event, 20, { offLoad: kg(1900) })).toBeUndefined()
    const { slot, tanker, ship } = seen(event, 20)
    const mostKg = 20 * FLOW_KG_PER_S * 1.25
    expect(slot.onLoadKg).toBeLessThanOrEqual(mostKg)
    expect(tanker.givenKg).toBeCloseTo(slot.onLoadKg, 6)
    expect(before - tanker.giveKg).toBeLessThanOrEqual(mostKg + 1)
    expect(ship.estimate.check).toBe(true)
    // Nobody had called the flow by then: the off-load tells that there was one.
    expect(ship.fuelKg - HAD_KG).toBeGreaterThan(mostKg - 30)
  })

  it('counts whole where the contact was called late', () => {
    const event = hooked()
    expect(off(event, 20, { offLoad: kg(1900), contactCalledLate: true })).toBeUndefined()
    const { slot, tanker, ship } = seen(event, 20)
    expect(slot.onLoadKg).toBe(1900)
    expect(tanker.givenKg).toBeCloseTo(1900, 6)
    // All but what is burned while 1,900 kg flow.
    expect(ship.fuelKg).toBeCloseTo(HAD_KG + 4 + 1900 * (1 - BURN_KG_PER_S / FLOW_KG_PER_S), -1)
    expect(ship.estimate.check).toBe(false)
  })
})
