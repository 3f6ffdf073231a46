import { describe, expect, it } from 'vitest'
import { estimate } from '../../../shared/live/estimate.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

/*
 * Limits where flows grow with weight. Constructed on the paper plan: 8,000 kg without fuel, flows stated at 10,000 kg, two
 * externals of 500 kg, 50 kg of the body unusable. Source of the closed form: Breguet, W = W0 e^(-kt), k = flow over
 * reference weight; worked out here by itself.
 */
const MIN = 60_000
const kg = (value: number) => ({ value, unit: 'kg' })

function weighed() {
  return paperPlan((raw) => {
    const document = raw as unknown as {
      receiverTypes: [Record<string, unknown> & { groups: Record<string, unknown>[] }]
      flights: [{ ships: [{ fitted: string[]; startFuel: unknown }] }]
    }
    document.receiverTypes[0]['weighing'] = { zeroFuel: kg(8000), reference: kg(10_000) }
    const body = document.receiverTypes[0].groups.find((group) => group['id'] === 'body')
    if (body) body['unusable'] = kg(50)
    const [ship] = document.flights[0].ships
    ship.fitted = ['wing-drop']
    ship.startFuel = kg(4400)
  })
}
function shipAt(event: MemoryEvent, atMs: number) {
  const ship = estimate(event.state, atMs)?.ships.find((one) => one.shipId === 'alder-21')
  if (!ship) throw new Error('alder-21 is not in the view')
  return ship
}
/** Abort fuel of a ship that weighs so much when all that counts is burned: 600 s of holding, 100 kg, 500 s home. */
function abortKg(emptyKg: number, drag: number): number {
  const back = (leftKg: number, flowKgPerS: number, seconds: number): number =>
    (emptyKg + leftKg) * (Math.exp(((flowKgPerS * drag) / 10_000) * seconds) - 1)
  const landingKg = back(0, 0.4, 600) + 100
  return landingKg + back(landingKg, 0.5, 500)
}

describe('limits of a ship whose flows grow with weight', () => {
  it('carry home what is aboard and does not count: full externals and unusable rests', () => {
    const event = new MemoryEvent(weighed())
    const ship = shipAt(event, OPENS_AT_MS)
    expect(ship.abortKg).toBeCloseTo(abortKg(8000 + 1000 + 50, 1.1), 4)
    expect(ship.limits.bingo?.fuelKg).toBeCloseTo(abortKg(8000 + 1000 + 50, 1.1), 4)
  })

  it('leave out what is thrown off', () => {
    const event = new MemoryEvent(weighed())
    event.ask({ kind: 'jettison', shipId: 'alder-21' }, OPENS_AT_MS + 5 * MIN)
    expect(shipAt(event, OPENS_AT_MS + 5 * MIN).abortKg).toBeCloseTo(abortKg(8050, 1), 4)
  })
})
