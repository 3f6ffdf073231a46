import { describe, expect, it } from 'vitest'
import { estimate } from '../../../shared/live/estimate.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

/*
 * What limits count on of a transfer is what somebody told of it. Constructed on the paper plan, by hand, no outside
 * source: 15.4 kg/s flow, 0.4 of them are burned.
 */
const MIN = 60_000
const READY = OPENS_AT_MS + 20 * MIN
const CONTACT = READY + 90_000
const FLOW_KG_PER_S = 15.4
const SLACK = 1.25

function hooked(): MemoryEvent {
  const event = new MemoryEvent(paperPlan())
  for (const [ask, atMs] of [
    ['joinShip', READY],
    ['makeContact', CONTACT]
  ] as const)
    expect(event.ask({ kind: ask, shipId: 'alder-21' }, atMs)).toBeUndefined()
  return event
}
function seen(event: MemoryEvent, atMs: number) {
  const view = estimate(event.state, atMs)
  const ship = view?.ships.find((one) => one.shipId === 'alder-21')
  if (!view || !ship) throw new Error('alder-21 is not in the view')
  const limitKg = ship.countedKg - ship.estimate.unsureKg
  const flow = view.reasons.find(({ kind }) => kind === 'no fuel flowing')
  return { ship, limitKg, flow }
}

describe('flow that nobody called', () => {
  it('raises the fuel and not what limits count on, in contact and after a bare disconnect', () => {
    const event = hooked()
    const before = seen(event, CONTACT + 30_000)
    const flowing = seen(event, CONTACT + 80_000)
    expect(flowing.ship.fuelKg - before.ship.fuelKg).toBeCloseTo(15 * 50, 3)
    expect(flowing.limitKg).toBeLessThan(before.limitKg)
    expect(flowing.flow?.severity).toBe('soon')
    expect(event.ask({ kind: 'disconnect', shipId: 'alder-21', how: 'whole' }, CONTACT + 80_000)).toBeUndefined()
    const done = seen(event, CONTACT + 80_000)
    expect(done.limitKg).toBeLessThan(before.limitKg)
    expect(done.ship.estimate.check).toBe(true)
    const fuel = { value: Math.round(done.ship.fuelKg), unit: 'kg' }
    expect(event.ask({ kind: 'callFuel', shipId: 'alder-21', fuel, covers: 'total' }, CONTACT + 81_000)).toBeUndefined()
    const told = seen(event, CONTACT + 81_000)
    expect(told.limitKg).toBeGreaterThan(before.limitKg + 500)
    expect(told.ship.estimate.check).toBe(false)
  })

  it('counts once it is called flowing, or the off-load is told', () => {
    const called = hooked()
    expect(called.ask({ kind: 'startFlow', shipId: 'alder-21' }, CONTACT + 30_000)).toBeUndefined()
    expect(seen(called, CONTACT + 80_000).limitKg).toBeGreaterThan(seen(called, CONTACT + 30_000).limitKg + 500)
    const told = hooked()
    const offLoad = { value: 700, unit: 'kg' }
    expect(
      told.ask({ kind: 'disconnect', shipId: 'alder-21', how: 'whole', offLoad }, CONTACT + 80_000)
    ).toBeUndefined()
    expect(seen(told, CONTACT + 80_000).limitKg).toBeGreaterThan(seen(told, CONTACT + 30_000).limitKg + 500)
  })
})

describe('an off-load that cannot have flowed', () => {
  it('counts for no more than the fill could bring since the hook-up, and asks for a check', () => {
    const event = hooked()
    expect(event.ask({ kind: 'startFlow', shipId: 'alder-21' }, CONTACT + 5_000)).toBeUndefined()
    const before = seen(event, CONTACT + 5_000).ship
    const offLoad = { value: 1900, unit: 'kg' }
    expect(
      event.ask({ kind: 'disconnect', shipId: 'alder-21', how: 'partial', offLoad }, CONTACT + 20_000)
    ).toBeUndefined()
    const { ship } = seen(event, CONTACT + 20_000)
    expect(ship.fuelKg - before.fuelKg).toBeLessThan(FLOW_KG_PER_S * 20 * SLACK)
    expect(ship.estimate.check).toBe(true)
  })
})
