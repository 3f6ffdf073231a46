import { describe, expect, it } from 'vitest'
import type { ShipView, SlotView, View } from '../../../shared/contracts/view.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { MemoryEvent } from '../../make/event.ts'
import { firstCall } from '../../make/first-call.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

/*
 * Constructed: every figure below was worked out by hand from the paper plan (tests/make/plan.ts); no outside source.
 * Abort fuel: 100 km at 200 m/s = 500 s x 0.5 kg/s = 250, + approach 100 + 600 s x 0.4 = 240: 590 kg.
 * Required at push: loiter 1800 s x 0.5 = 900, then home 250 + 100 + 240: 1490 kg.
 * Ready at 20 min with 2500 - 600 = 1900 kg; contact 1.5 min later with 1900 - 36 = 1864 kg.
 */
const MIN = 60_000
const READY = OPENS_AT_MS + 20 * MIN
const CONTACT = READY + 90_000

const view = (event: MemoryEvent, atMs: number): View => {
  const seen = estimate(event.state, atMs)
  if (!seen) throw new Error('no plan adopted')
  return seen
}
const ship = (seen: View, id: string): ShipView => {
  const found = seen.ships.find((one) => one.shipId === id)
  if (!found) throw new Error(`no ship ${id}`)
  return found
}
const slot = (seen: View, id: string): SlotView => {
  const found = seen.slots.find((one) => one.slotId === id)
  if (!found) throw new Error(`no slot ${id}`)
  return found
}

describe('the view of the paper plan at its opening', () => {
  const seen = view(new MemoryEvent(paperPlan()), OPENS_AT_MS)

  it('puts the first ship in contact one hook-up after it is ready, with what the push requires as on-load', () => {
    const first = slot(seen, 'slot-21')
    expect(first.readyAtMs).toBe(READY)
    expect(first.contactAtMs).toBe(CONTACT)
    expect(first.fuelAtContactKg).toBeCloseTo(1864, 6)
    expect(first.requiredAtPushKg).toBeCloseTo(1490, 6)
    // 1490 + 0.4 x (2400 - 90) s = 2414 kg wanted by then; 550 more than it holds.
    expect(first.onLoadKg).toBeCloseTo(550, 6)
    // The full feed group takes the burn, 0.4 kg/s, the body 15 kg/s.
    expect(first.disconnectAtMs - CONTACT).toBeCloseTo((550 / 15.4) * 1000, 3)
    expect(first.shortageKg).toBeCloseTo(0, 6)
    expect(first.fuelAtPushKg).toBeCloseTo(1490, 6)
  })

  it('gives the second ship the changeover within a flight and its own hook-up', () => {
    const first = slot(seen, 'slot-21')
    const second = slot(seen, 'slot-22')
    expect(second.contactAtMs).toBeCloseTo(first.disconnectAtMs + 30_000 + 90_000, 3)
    expect(second.aheadShipId).toBe('alder-21')
  })

  it('counts latest contact to abort fuel at the waiting burn, and the margin to it', () => {
    const first = slot(seen, 'slot-21')
    expect(first.abortKg).toBeCloseTo(590, 4)
    expect(first.latestContactAtMs ?? 0).toBeCloseTo(READY + ((1900 - 590) / 0.4) * 1000, 0)
    expect(first.slackS ?? 0).toBeCloseTo(1310 / 0.4 - 90, 3)
    expect(ship(seen, 'alder-21').margin?.limit).toBe('latest contact')
    expect(ship(seen, 'alder-21').margin?.atMs ?? 0).toBeCloseTo(first.latestContactAtMs ?? 0, 3)
    expect(ship(seen, 'alder-21').status).toBe('inbound')
  })

  it('finds bingo, joker and the weakest point', () => {
    // Bingo: the task is flown at the control point, 590 kg from home.
    expect(ship(seen, 'alder-21').bingoKg ?? 0).toBeCloseTo(590, 4)
    expect(ship(seen, 'alder-21').jokerKg ?? 0).toBeCloseTo(790, 4)
    // Weakest: with exactly what is required, the end of the task and all the way home leave nothing over.
    expect(seen.flights[0]?.weakest?.marginKg ?? NaN).toBeCloseTo(0, 3)
  })

  it('promises the sum of the on-loads and gives what most transferable, burn and keeping allow', () => {
    const [tanker] = seen.tankers
    expect(tanker?.promisedKg).toBeCloseTo(slot(seen, 'slot-21').onLoadKg + slot(seen, 'slot-22').onLoadKg, 6)
    // 30,000 - 3 h x 3600 x 1 kg/s - 5,000 = 14,200, less than the 20,000 transferable.
    expect(tanker?.giveKg).toBeCloseTo(14_200, 6)
  })

  it('is quiet: nobody lost, nobody short, nothing to say', () => {
    expect(seen.judgement).toMatchObject({ lostWeight: 0, shortage: 0, lateness: 0, moved: 0 })
    expect(seen.reasons).toEqual([])
  })
})

describe('calls shift the view', () => {
  it('weighs a fuel call and carries it forward at the burn as believed, and takes the margin down with it', () => {
    const event = new MemoryEvent(paperPlan())
    const calledAt = OPENS_AT_MS + 10 * MIN
    expect(
      event.ask({ kind: 'callFuel', shipId: 'alder-22', fuel: { value: 2100, unit: 'kg' }, covers: 'total' }, calledAt)
    ).toBeUndefined()
    // 2200 by the plan; a figure of hundreds.
    const flows = [{ flowKgPerS: 0.5, durationS: 600 }]
    const first = firstCall({ flows, fullScaleKg: 4000, roundingKg: 100, offKg: -100 })
    const { movedKg, burnFactor, unsureKg, unsureAfterKg } = first
    const then = ship(view(event, calledAt), 'alder-22')
    expect(then.fuelKg).toBeCloseTo(2200 + movedKg, 3)
    expect(then.estimate.burnFactor).toBeCloseTo(burnFactor, 6)
    expect(then.estimate.unsureKg).toBeCloseTo(unsureKg, 3)
    expect(then.estimate).toMatchObject({ check: false, waiting: null })
    const seen = view(event, calledAt + 5 * MIN)
    expect(ship(seen, 'alder-22').fuelKg).toBeCloseTo(2200 + movedKg - 300 * 0.5 * burnFactor, 3)
    expect(ship(seen, 'alder-22').lastCall).toMatchObject({ figureKg: 2100, stale: false })
    expect(ship(seen, 'alder-22').rank).toBe(1)
    // Down to abort fuel by the mean, and as much sooner as what is unsure lasts at the waiting burn.
    const heldKg = 2200 + movedKg - 600 * 0.5 * burnFactor
    const meanMs = READY + ((heldKg - 590) / (0.4 * burnFactor)) * 1000
    const { margin, estimate: sure } = ship(seen, 'alder-22')
    expect(margin?.meanS ?? NaN).toBeCloseTo((meanMs - seen.atMs) / 1000, 1)
    expect((margin?.meanS ?? NaN) - (margin?.marginS ?? NaN)).toBeCloseTo(sure.unsureKg / (0.4 * burnFactor), 6)
    expect(sure.unsureKg).toBeCloseTo(unsureAfterKg([{ flowKgPerS: 0.5, durationS: 300 }]), 3)
    expect(slot(seen, 'slot-22').latestContactAtMs).toBeCloseTo(margin?.atMs ?? NaN, 3)
    expect(ship(view(event, calledAt + 10 * MIN + 1), 'alder-22').lastCall?.stale).toBe(true)
  })

  it('counts a call far too low at once and says so, and lets one far too high wait for another', () => {
    const event = new MemoryEvent(paperPlan())
    const call = (value: number, atMs: number) =>
      event.ask({ kind: 'callFuel', shipId: 'alder-22', fuel: { value, unit: 'kg' }, covers: 'total' }, atMs)
    call(1600, OPENS_AT_MS + 10 * MIN)
    const low = ship(view(event, OPENS_AT_MS + 10 * MIN), 'alder-22')
    expect(low.estimate).toMatchObject({ check: true, waiting: null })
    expect(Math.abs(low.fuelKg - 1600)).toBeLessThan(10)
    expect(low.fuelKg - low.estimate.unsureKg).toBeLessThanOrEqual(1600)
    const seq = event.state.seq + 1
    // Far above what was expected before the low one, too.
    call(2650, OPENS_AT_MS + 12 * MIN)
    const high = ship(view(event, OPENS_AT_MS + 12 * MIN), 'alder-22')
    expect(high.estimate).toMatchObject({
      check: true,
      waiting: { seq, atMs: OPENS_AT_MS + 12 * MIN, figureKg: 2650, covers: 'total' }
    })
    // As before, two minutes on.
    expect(Math.abs(high.fuelKg - (1600 - 60))).toBeLessThan(12)
    expect(high.lastCall?.figureKg).toBe(2650)
    call(2600, OPENS_AT_MS + 14 * MIN)
    const confirmed = ship(view(event, OPENS_AT_MS + 14 * MIN), 'alder-22')
    expect(confirmed.estimate).toMatchObject({ check: false, waiting: null })
    expect(Math.abs(confirmed.fuelKg - 2595)).toBeLessThan(30)
  })

  it('takes a call as it was expected before one far too low for the answer to it', () => {
    const event = new MemoryEvent(paperPlan())
    const call = (value: number, atMs: number) =>
      event.ask({ kind: 'callFuel', shipId: 'alder-22', fuel: { value, unit: 'kg' }, covers: 'total' }, atMs)
    const before = ship(view(event, OPENS_AT_MS + 10 * MIN), 'alder-22').fuelKg
    call(1600, OPENS_AT_MS + 10 * MIN)
    expect(ship(view(event, OPENS_AT_MS + 10 * MIN), 'alder-22').estimate.check).toBe(true)
    call(Math.round(before / 10) * 10, OPENS_AT_MS + 10 * MIN + 20_000)
    const answered = ship(view(event, OPENS_AT_MS + 10 * MIN + 20_000), 'alder-22')
    expect(answered.estimate).toMatchObject({ check: false, waiting: null })
    expect(Math.abs(answered.fuelKg - (before - 10))).toBeLessThan(10)
  })

  it('follows a ship through contact and disconnect to its push', () => {
    const event = new MemoryEvent(paperPlan())
    event.ask({ kind: 'joinShip', shipId: 'alder-21' }, READY - MIN)
    expect(slot(view(event, READY - MIN), 'slot-21').readyAtMs).toBe(READY - MIN)
    event.ask({ kind: 'makeContact', shipId: 'alder-21' }, CONTACT)
    event.ask({ kind: 'startFlow', shipId: 'alder-21' }, CONTACT)
    const flowing = view(event, CONTACT + 10_000)
    expect(ship(flowing, 'alder-21').status).toBe('in contact')
    // Joined a minute early: 60 s at 0.4 instead of 0.5 kg/s leaves 6 kg more; 10 s at 15.4 kg/s less 4 kg burn.
    expect(ship(flowing, 'alder-21').fuelKg).toBeCloseTo(1870 + 154 - 4, 6)
    expect(flowing.tankers[0]?.givenKg).toBeCloseTo(154, 6)
    expect(flowing.tankers[0]?.stations[0]?.inContact?.flowing).toBe('called')
    event.ask(
      { kind: 'disconnect', shipId: 'alder-21', how: 'whole', offLoad: { value: 462, unit: 'kg' } },
      CONTACT + 30_000
    )
    const done = view(event, CONTACT + 30_000)
    expect(ship(done, 'alder-21').status).toBe('done')
    expect(slot(done, 'slot-21')).toMatchObject({ state: 'done', onLoadKg: 462 })
    expect(ship(done, 'alder-21').fuelKg).toBeCloseTo(1870 + 462 - 12, 6)
    expect(ship(done, 'alder-21').margin?.limit).toBe('latest push')
    // Usable falls to the 1490 kg required, by the mean: a requirement is no limit.
    expect(ship(done, 'alder-21').margin?.marginS ?? 0).toBeCloseTo((1870 + 450 - 1490) / 0.4, 3)
    expect(ship(done, 'alder-21').margin?.meanS).toBe(ship(done, 'alder-21').margin?.marginS)
    event.ask({ kind: 'push', shipIds: ['alder-21'] }, OPENS_AT_MS + 60 * MIN)
    expect(ship(view(event, OPENS_AT_MS + 61 * MIN), 'alder-21').status).toBe('on task')
  })

  it('counts what a partial disconnect left and says who is short', () => {
    const event = new MemoryEvent(paperPlan())
    event.ask({ kind: 'makeContact', shipId: 'alder-21' }, CONTACT)
    event.ask({ kind: 'startFlow', shipId: 'alder-21' }, CONTACT)
    event.ask(
      { kind: 'disconnect', shipId: 'alder-21', how: 'partial', offLoad: { value: 154, unit: 'kg' } },
      CONTACT + 10_000
    )
    const seen = view(event, CONTACT + 10_000)
    // Joining was recorded with the contact: until then it burned the transit flow, 90 s x 0.1 kg/s more than waiting.
    expect(slot(seen, 'slot-21').shortageKg).toBeCloseTo(550 - 154 + 9, 6)
    // It holds the 1490 kg now, but not until the planned push.
    expect(seen.reasons.map((reason) => reason.kind)).toContain('past latest push')
  })

  it('follows a ship that left to its abort base', () => {
    const event = new MemoryEvent(paperPlan())
    event.ask({ kind: 'joinShip', shipId: 'alder-22' }, READY)
    event.ask({ kind: 'leave', shipId: 'alder-22' }, READY + 10 * MIN)
    const seen = view(event, READY + 11 * MIN)
    expect(ship(seen, 'alder-22')).toMatchObject({ status: 'left', left: { baseId: 'west' } })
    // 1900 - 600 s x 0.4 - 500 s x 0.5.
    expect(ship(seen, 'alder-22').left?.fuelOnArrivalKg ?? 0).toBeCloseTo(1410, 3)
    expect(slot(seen, 'slot-22').state).toBe('gone')
  })

  it('moves a push that nobody has called on to now, and what its ships lack with it', () => {
    const event = new MemoryEvent(paperPlan())
    event.ask({ kind: 'makeContact', shipId: 'alder-21' }, CONTACT)
    event.ask({ kind: 'startFlow', shipId: 'alder-21' }, CONTACT)
    event.ask(
      { kind: 'disconnect', shipId: 'alder-21', how: 'whole', offLoad: { value: 462, unit: 'kg' } },
      CONTACT + 30_000
    )
    const planned = OPENS_AT_MS + 60 * MIN
    const seen = view(event, planned + 10 * MIN)
    expect(slot(seen, 'slot-21').pushAtMs).toBe(planned + 10 * MIN)
    expect(seen.pushes[0]?.lateS).toBe(600)
    const waited = view(event, planned + 20 * MIN)
    // Ten minutes more at 0.4 kg/s.
    expect(slot(waited, 'slot-21').shortageKg - slot(seen, 'slot-21').shortageKg).toBeCloseTo(240, 6)
  })

  it('takes nobody new at a suspect station', () => {
    const event = new MemoryEvent(paperPlan())
    event.ask({ kind: 'setStation', tankerId: 'kelp', stationId: 'boom', status: 'suspect' }, READY)
    const seen = view(event, READY)
    expect(seen.judgement.lostWeight).toBe(8)
    expect(event.ask({ kind: 'makeContact', shipId: 'alder-21' }, READY)?.code).toBe('station-closed')
    event.ask({ kind: 'setStation', tankerId: 'kelp', stationId: 'boom', status: 'good' }, READY + 1000)
    expect(view(event, READY + 1000).judgement.lostWeight).toBe(0)
  })

  it('forgets a withdrawn call as if it had never been made', () => {
    const event = new MemoryEvent(paperPlan())
    const before = view(event, OPENS_AT_MS + 10 * MIN)
    event.ask(
      { kind: 'callFuel', shipId: 'alder-21', fuel: { value: 1000, unit: 'kg' }, covers: 'total' },
      OPENS_AT_MS + 10 * MIN
    )
    expect(event.ask({ kind: 'withdrawFact', withdrawnSeq: event.state.seq }, OPENS_AT_MS + 10 * MIN)).toBeUndefined()
    expect(view(event, OPENS_AT_MS + 10 * MIN)).toEqual({ ...before, seq: event.state.seq })
  })
})

describe('external tanks', () => {
  it('are counted once they give, and not while they are held', () => {
    const fitted = (document: Record<string, unknown>): void => {
      const [flight] = document['flights'] as { ships: { fitted: string[]; startFuel: { value: number } }[] }[]
      for (const one of flight?.ships ?? []) {
        one.fitted = ['wing-drop']
        one.startFuel.value = 5000
      }
    }
    const event = new MemoryEvent(paperPlan(fitted))
    const at = OPENS_AT_MS + 10 * MIN
    // 600 s x 0.5 x 1.1 = 330 kg came from the externals, 335 of 500 kg each are left.
    expect(ship(view(event, at), 'alder-21').countedKg).toBeCloseTo(5000 - 330, 6)
    event.ask({ kind: 'setExternals', shipId: 'alder-21', externals: 'held' }, at)
    expect(ship(view(event, at), 'alder-21').countedKg).toBeCloseTo(4000, 6)
    expect(ship(view(event, at), 'alder-21').fuelKg).toBeCloseTo(4670, 6)
  })
})
