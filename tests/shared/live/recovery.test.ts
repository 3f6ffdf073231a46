import { describe, expect, it } from 'vitest'
import type { View } from '../../../shared/contracts/view.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

/*
 * Recovery fuel from where a ship is applies always. Constructed on the paper plan, by hand, no outside source: from the
 * track 500 s at 0.5 kg/s home, 100 kg of approach and 240 kg of reserve are 590 kg.
 */
const MIN = 60_000
const READY = OPENS_AT_MS + 20 * MIN
const CONTACT = READY + 90_000
const RECOVERY_KG = 590

const seen = (event: MemoryEvent, atMs: number): View => {
  const view = estimate(event.state, atMs)
  if (!view) throw new Error('no plan adopted')
  return view
}
const shipOf = (view: View, shipId: string) => {
  const ship = view.ships.find((one) => one.shipId === shipId)
  if (!ship) throw new Error(`no ${shipId}`)
  return ship
}
const recoveryOf = (view: View, shipId: string) =>
  shipOf(view, shipId).margins.find(({ limit }) => limit === 'recovery fuel')

function joined(): MemoryEvent {
  const event = new MemoryEvent(paperPlan())
  event.ask({ kind: 'joinShip', shipId: 'alder-21' }, READY)
  event.ask({ kind: 'joinShip', shipId: 'alder-22' }, READY)
  return event
}
const hooked = (event: MemoryEvent): void => {
  expect(event.ask({ kind: 'makeContact', shipId: 'alder-21' }, CONTACT)).toBeUndefined()
  expect(event.ask({ kind: 'startFlow', shipId: 'alder-21' }, CONTACT)).toBeUndefined()
}
const call = (event: MemoryEvent, value: number, atMs: number): void => {
  const fuel = { value, unit: 'kg' }
  expect(event.ask({ kind: 'callFuel', shipId: 'alder-21', fuel, covers: 'total' }, atMs)).toBeUndefined()
}
/** Seconds until what limits count on falls to recovery fuel at the flow of now. */
const expectedS = (view: View): number => {
  const { countedKg, estimate: its, flowKgPerS } = shipOf(view, 'alder-21')
  return (countedKg - its.unsureKg - RECOVERY_KG) / flowKgPerS
}

function hookedUp(): MemoryEvent {
  const event = joined()
  hooked(event)
  return event
}

describe('recovery fuel from where a ship is', () => {
  const done = (): MemoryEvent => {
    const event = hookedUp()
    const offLoad = { value: 462, unit: 'kg' }
    expect(
      event.ask({ kind: 'disconnect', shipId: 'alder-21', how: 'whole', offLoad }, CONTACT + 30_000)
    ).toBeUndefined()
    return event
  }
  const STATES: [status: string, event: () => MemoryEvent, atMs: number][] = [
    ['next', joined, READY + MIN],
    ['in contact', hookedUp, CONTACT + 10_000],
    ['done', done, CONTACT + MIN]
  ]

  it.each(STATES)('is a limit of a ship that is %s, and heads the attention when it is below', (status, make, atMs) => {
    const event = make()
    const before = seen(event, atMs)
    expect(shipOf(before, 'alder-21').status).toBe(status)
    expect(recoveryOf(before, 'alder-21')?.marginS).toBeCloseTo(expectedS(before), 3)
    expect(recoveryOf(before, 'alder-21')?.marginS ?? 0).toBeGreaterThan(0)
    expect(before.reasons.map(({ kind }) => kind)).not.toContain('below recovery fuel')
    call(event, 550, atMs)
    const low = seen(event, atMs)
    const lackS = recoveryOf(low, 'alder-21')?.marginS ?? 0
    expect(lackS).toBeLessThan(0)
    expect(lackS).toBeCloseTo(expectedS(low), 3)
    expect(low.reasons[0]).toMatchObject({ kind: 'below recovery fuel', severity: 'now', shipId: 'alder-21' })
    const { countedKg, estimate: its, rank } = shipOf(low, 'alder-21')
    expect(low.reasons[0]?.byKg).toBeCloseTo(RECOVERY_KG - countedKg + its.unsureKg, 3)
    expect(rank).toBe(1)
  })

  it('leaves a ship in contact that is above it behind those that wait', () => {
    const view = seen(hookedUp(), CONTACT + 10_000)
    expect(shipOf(view, 'alder-21').rank).toBe(2)
    expect(shipOf(view, 'alder-21').margin?.limit).toBe('recovery fuel')
  })
})
