import { describe, expect, it } from 'vitest'
import { estimate } from '../../../shared/live/estimate.ts'
import { MemoryEvent } from '../../make/event.ts'
import { firstCall } from '../../make/first-call.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

/*
 * A ship in contact. Constructed on the paper plan, by hand: hooked at 21.5 min with 1864 kg, 550 kg wanted at 15.4 kg/s
 * (15 into the body, and the 0.4 the engines drink through the full feed group).
 */
const MIN = 60_000
const READY = OPENS_AT_MS + 20 * MIN
const CONTACT = READY + 90_000

function hooked(change?: Parameters<typeof paperPlan>[0]): MemoryEvent {
  const event = new MemoryEvent(paperPlan(change))
  event.ask({ kind: 'joinShip', shipId: 'alder-21' }, READY)
  event.ask({ kind: 'makeContact', shipId: 'alder-21' }, CONTACT)
  event.ask({ kind: 'startFlow', shipId: 'alder-21' }, CONTACT)
  return event
}
function seen(event: MemoryEvent, atMs: number) {
  const view = estimate(event.state, atMs)
  const ship = view?.ships.find((one) => one.shipId === 'alder-21')
  const slot = view?.slots.find((one) => one.slotId === 'slot-21')
  const tanker = view?.tankers[0]
  if (!ship || !slot || !tanker) throw new Error('alder-21 is not in the view')
  return { ship, slot, tanker }
}

const CALLED = {
  flows: [
    { flowKgPerS: 0.5, durationS: 1200 },
    { flowKgPerS: 0.4, durationS: 100 }
  ],
  fullScaleKg: 4000,
  roundingKg: 1
}

describe('a ship in contact', () => {
  it('shows where it may stop and what its gauge will show, as before the contact', () => {
    const planned = seen(new MemoryEvent(paperPlan()), OPENS_AT_MS).slot
    const { slot } = seen(hooked(), CONTACT + 10_000)
    expect(slot.state).toBe('in contact')
    expect(slot.stops).toHaveLength(planned.stops.length)
    expect(slot.stops.at(-1)?.onLoadKg).toBeCloseTo(550, 5)
    expect(slot.stops.at(-1)?.minutesS).toBeCloseTo(550 / 15.4, 6)
    expect(slot.gaugeAtContactKg).toBeCloseTo(1864, 6)
    expect(slot.gaugeAtDisconnectKg).toBeCloseTo(planned.gaugeAtDisconnectKg, 5)
    expect(slot.abortGaugeKg).toBeCloseTo(planned.abortGaugeKg ?? NaN, 6)
    expect(slot.requiredGaugeKg).toBeCloseTo(planned.requiredGaugeKg ?? NaN, 6)
    expect(slot.leastOnLoadKg).toBeCloseTo(planned.leastOnLoadKg, 5)
  })

  it('leaves its tanker so much less to give, and so much less promised, as has flowed', () => {
    const event = hooked()
    for (const afterS of [0, 10, 30]) {
      const { tanker } = seen(event, CONTACT + afterS * 1000)
      // By hand: 30,000 kg on station less 1 kg/s until it leaves at 180 min, less the 5,000 kg it keeps and what has flowed.
      expect(tanker.giveKg).toBeCloseTo(30_000 - 180 * 60 - 5000 - 15.4 * afterS, 3)
      expect(tanker.flowedKg).toBeCloseTo(15.4 * afterS, 3)
      const other = estimate(event.state, CONTACT + afterS * 1000)?.slots.find(({ slotId }) => slotId === 'slot-22')
      expect(tanker.promisedKg).toBeCloseTo(550 - 15.4 * afterS + (other?.onLoadKg ?? NaN), 3)
    }
  })

  it('counts its stops from the instant fuel flows, not from the hook-up', () => {
    const event = new MemoryEvent(paperPlan())
    event.ask({ kind: 'joinShip', shipId: 'alder-21' }, READY)
    event.ask({ kind: 'makeContact', shipId: 'alder-21' }, CONTACT)
    event.ask({ kind: 'startFlow', shipId: 'alder-21' }, CONTACT + 20_000)
    const { slot } = seen(event, CONTACT + 25_000)
    // Twenty seconds later it holds 8 kg less, and needs 8 kg less for the wait: the same 550.
    expect(slot.stops.at(-1)?.minutesS).toBeCloseTo(550 / 15.4, 6)
    expect(slot.disconnectAtMs).toBeCloseTo(CONTACT + 20_000 + (550 / 15.4) * 1000, 3)
    expect(slot.gaugeAtContactKg).toBeCloseTo(1856, 6)
  })

  it.each([77, -77])('moves its disconnect with a fuel call of %i kg beside what was computed', (besideKg) => {
    const event = hooked()
    const before = seen(event, CONTACT + 10_000)
    const fuel = { value: before.ship.fuelKg + besideKg, unit: 'kg' }
    expect(event.ask({ kind: 'callFuel', shipId: 'alder-21', fuel, covers: 'total' }, CONTACT + 10_000)).toBeUndefined()
    const { slot, ship, tanker } = seen(event, CONTACT + 10_000)
    const movedKg = ship.fuelKg - before.ship.fuelKg
    // The call is weighed against 20 min of transit and 100 s of waiting; what came aboard is computed, 5 % of 154 kg.
    const { flows, fullScaleKg, roundingKg } = CALLED
    const expected = firstCall({ flows, fullScaleKg, roundingKg, offKg: besideKg, besideSdKg: 0.05 * 154 })
    expect(movedKg).toBeCloseTo(expected.movedKg, 3)
    expect(ship.estimate.burnFactor).toBeCloseTo(expected.burnFactor, 6)
    // 550 kg by the plan; a ship that burns more needs more until its push.
    const flow = 0.4 * expected.burnFactor
    const spentKg = (flow - 0.4) * 2310
    expect(slot.onLoadKg).toBeCloseTo(550 - movedKg + spentKg, 3)
    expect(slot.disconnectAtMs - CONTACT).toBeCloseTo((slot.onLoadKg / (15 + flow)) * 1000, 1)
    // The tanker gave what it gave; the ship came with another amount than was thought.
    expect(tanker.givenKg).toBeCloseTo(before.tanker.givenKg + (flow - 0.4) * 10, 6)
    expect(slot.fuelAtContactKg).toBeCloseTo(1864 + movedKg, 3)
    // A second later everything goes on from there.
    expect(seen(event, CONTACT + 11_000).ship.fuelKg).toBeCloseTo(ship.fuelKg + 15, 6)
  })

  it('burns what it holds when no tank takes anything', () => {
    const event = hooked()
    for (const groupId of ['feed', 'body'])
      event.ask({ kind: 'setTrouble', shipId: 'alder-21', groupId, trouble: 'not taking' }, CONTACT)
    const { ship, slot, tanker } = seen(event, CONTACT + 100_000)
    expect(ship.fuelKg).toBeCloseTo(1864 - 100 * 0.4, 6)
    expect(slot.onLoadKg).toBeCloseTo(0, 6)
    expect(tanker.givenKg).toBeCloseTo(0, 6)
    event.ask({ kind: 'disconnect', shipId: 'alder-21', how: 'whole' }, CONTACT + 100_000)
    expect(seen(event, CONTACT + 200_000).ship.fuelKg).toBeCloseTo(1864 - 200 * 0.4, 6)
    expect(seen(event, CONTACT + 200_000).slot.onLoadKg).toBeCloseTo(0, 6)
  })
})
