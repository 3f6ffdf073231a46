import { describe, expect, it } from 'vitest'
import { estimate } from '../../../shared/live/estimate.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

/*
 * Constructed on the paper plan: 80 min of transit at 0.5 kg/s, and a body group that gives only 0.2. The feed group of
 * 1,000 kg falls by 0.3 kg/s and is dry after 3333.3 s, with 1500 - 0.2 x 3333.3 = 833.3 kg left in the body.
 */
const MIN = 60_000
const DRY_MS = OPENS_AT_MS + (1000 / 0.3) * 1000
const READY = OPENS_AT_MS + 80 * MIN

function thin() {
  return paperPlan((raw) => {
    const document = raw as unknown as {
      receiverTypes: [{ groups: Record<string, unknown>[] }]
      flights: [{ route: Record<string, unknown>[] }]
      pushGroups: [Record<string, unknown>]
    }
    const body = document.receiverTypes[0].groups.find((group) => group['id'] === 'body')
    const out = document.flights[0].route.find((phase) => phase['id'] === 'out')
    if (!body || !out) throw new Error('no body group, or no way out')
    body['transferRate'] = { value: 0.2 * 60, unit: 'kg/min' }
    out['span'] = { by: 'duration', durationMin: 80 }
    document.pushGroups[0]['pushAtMs'] = OPENS_AT_MS + 120 * MIN
  })
}
function seen(event: MemoryEvent, atMs: number) {
  const view = estimate(event.state, atMs)
  const ship = view?.ships.find((one) => one.shipId === 'alder-21')
  const slot = view?.slots.find((one) => one.slotId === 'slot-21')
  if (!view || !ship || !slot) throw new Error('alder-21 is not in the view')
  const reason = view.reasons.find((one) => one.kind === 'feed starved' && one.shipId === 'alder-21')
  return { view, ship, slot, reason }
}

describe('a feed group that runs dry while others hold fuel', () => {
  it('is told before, and for as long as it is dry', () => {
    const event = new MemoryEvent(thin())
    for (const minutes of [10, 50, 56, 70]) {
      expect(seen(event, OPENS_AT_MS + minutes * MIN).reason?.atMs).toBeCloseTo(DRY_MS, 0)
    }
    event.ask({ kind: 'land', shipId: 'alder-21', baseId: 'west' }, OPENS_AT_MS + 72 * MIN)
    expect(seen(event, OPENS_AT_MS + 73 * MIN).reason).toBeUndefined()
  })

  it('leaves nothing that counts and nothing to be had from that instant on', () => {
    const event = new MemoryEvent(thin())
    const before = seen(event, DRY_MS - 1000).ship
    expect(before.countedKg).toBeCloseTo(833.3 + 0.5, 0)
    const { ship } = seen(event, DRY_MS + 1000)
    expect([ship.countedKg, ship.usableKg]).toEqual([0, 0])
    // What the body gives on is burned as it comes; it stays aboard until then.
    expect(ship.fuelKg).toBeCloseTo(833.3 - 0.2, 0)
  })

  it('counts on below nothing: all that the engines lack from there on is missing, and recovery fuel', () => {
    const { view } = seen(new MemoryEvent(thin()), OPENS_AT_MS)
    const flight = view.flights.find((one) => one.flightId === 'alder')
    // To the push at 7200 s it lacks 1466.7 s x 0.3 on the way and 2400 s x 0.2 on the track; on the task 300 s x 0.3
    // until the body is dry as well, then 1500 s x 0.5. Home asks for 500 s x 0.5 + 100 + 600 s x 0.4 = 590 kg from there.
    expect(flight?.weakest?.marginKg).toBeCloseTo(-(440 + 480 + 90 + 750 + 590), 3)
    expect(flight?.weakest?.atMs).toBeCloseTo(OPENS_AT_MS + 150 * MIN, 0)
    expect(flight?.ladder.find((step) => step.phaseId === 'fill')?.countedKg).toBe(0)
  })

  it('puts the latest contact before the ship is ready by all of its abort fuel', () => {
    const { slot, ship } = seen(new MemoryEvent(thin()), OPENS_AT_MS)
    expect(slot.state).toBe('missed')
    expect(slot.latestContactAtMs).toBeCloseTo(READY - ((slot.abortKg ?? NaN) / 0.4) * 1000, 0)
    expect(ship.margin?.atMs).toBe(slot.latestContactAtMs)
  })

  it('counts again once a contact has brought it something', () => {
    const event = new MemoryEvent(thin())
    event.ask({ kind: 'setPin', slotId: 'slot-21', pinned: false, serveAnyway: true }, OPENS_AT_MS)
    const at = OPENS_AT_MS + 58 * MIN
    expect(event.ask({ kind: 'makeContact', shipId: 'alder-21' }, at)).toBeUndefined()
    event.ask({ kind: 'startFlow', shipId: 'alder-21' }, at)
    event.ask({ kind: 'disconnect', shipId: 'alder-21', how: 'whole' }, at + MIN)
    const { ship, reason } = seen(event, at + 2 * MIN)
    // A minute at 5 kg/s into the feed group, of which the engines take 0.4.
    expect(ship.countedKg).toBeGreaterThan(833 + 276)
    expect(reason?.atMs ?? Infinity).toBeGreaterThan(at + 2 * MIN)
  })
})
