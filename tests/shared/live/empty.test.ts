import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { estimate } from '../../../shared/live/estimate.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

/*
 * Constructed on the paper plan: no contact, out to the east at 200 m/s, a task, home, all at
 * 0.5 kg/s, and 100 kg of approach and
 * 10 min x 0.4 kg/s of reserve at the base. No outside source: what is asked of the proof is that adding exactly
 * what it says is lacking makes it pass.
 */
const MIN = 60_000
const east = (km: number) => ({ latitudeDeg: 0, longitudeDeg: ((km * 1000) / 6_378_137) * (180 / Math.PI) })

interface Way {
  startKg: number
  awayKm: number
  taskMin: number
  /** Its sheet: external tanks, what no tank gives, what the body passes on. */
  fitted?: boolean
  unusableKg?: number
  transferKgPerS?: number
}

/** The paper plan without its refuelling; its ships with so much more than they start with. */
function alone(way: Way, moreKg = 0) {
  const { startKg, awayKm, taskMin, fitted = false, unusableKg = 0, transferKgPerS = 2 } = way
  return paperPlan((raw) => {
    const document = raw as unknown as {
      flights: [{ route: { id: string; span?: unknown }[]; ships: { startFuel: unknown; fitted: string[] }[] }]
      receiverTypes: [{ groups: Record<string, unknown>[] }]
      orders: [{ sequences: unknown[] }]
    }
    const [flight] = document.flights
    flight.route = flight.route.filter(({ id }) => id !== 'fill')
    for (const phase of flight.route) {
      if (phase.id === 'out') phase.span = { by: 'leg', to: east(awayKm), trueAirspeed: { value: 200, unit: 'm/s' } }
      if (phase.id === 'task') phase.span = { by: 'duration', durationMin: taskMin }
    }
    for (const ship of flight.ships) {
      ship.startFuel = { value: startKg + moreKg, unit: 'kg' }
      ship.fitted = fitted ? ['wing-drop'] : []
    }
    for (const group of document.receiverTypes[0].groups) {
      group['unusable'] = { value: unusableKg, unit: 'kg' }
      if (group['id'] === 'body') group['transferRate'] = { value: transferKgPerS * 60, unit: 'kg/min' }
    }
    document.orders = [{ ...document.orders[0], sequences: [{ stationId: 'boom', slots: [] }] }] as never
  })
}

function seen(plan: ReturnType<typeof paperPlan>, atMs = OPENS_AT_MS) {
  const view = estimate(new MemoryEvent(plan).state, atMs)
  if (!view) throw new Error('no view')
  const [flight] = view.flights
  return { view, weakest: flight?.weakest, reasons: view.reasons.filter(({ kind }) => kind === 'out of fuel') }
}

describe('a ship that runs dry on its planned way', () => {
  const way: Way = { startKg: 600, awayKm: 100, taskMin: 30 }

  it('is said with when, before what, once for every ship, above the weak point', () => {
    const { view, reasons } = seen(alone(way))
    // 600 kg at 0.5 kg/s last 20 min.
    expect(reasons.map(({ shipId }) => shipId).sort()).toEqual(['alder-21', 'alder-22'])
    for (const one of reasons) {
      expect(one).toMatchObject({ severity: 'now', before: 'landing' })
      expect(one.atMs).toBeCloseTo(OPENS_AT_MS + 20 * MIN, 0)
    }
    const kinds = view.reasons.map(({ kind }) => kind)
    expect(kinds.indexOf('weak point')).toBeGreaterThan(kinds.lastIndexOf('out of fuel'))
  })

  it('lacks all that it burns on to its landing, and the reserve there', () => {
    const { weakest } = seen(alone(way))
    // By hand: 500 s out, 1,800 s of task and 500 s home at 0.5 kg/s burn 1,400 kg; at the base 100 + 240 kg are asked.
    expect(weakest?.marginKg).toBeCloseTo(600 - 1400 - 340, 3)
  })

  it('is no more said once it has landed', () => {
    const event = new MemoryEvent(alone(way))
    event.ask({ kind: 'land', shipId: 'alder-21', baseId: 'west' }, OPENS_AT_MS + 5 * MIN)
    const said = estimate(event.state, OPENS_AT_MS + 6 * MIN)?.reasons.filter(({ kind }) => kind === 'out of fuel')
    expect(said?.map(({ shipId }) => shipId)).toEqual(['alder-22'])
  })

  it('passes with a margin of nothing when exactly what it lacks is added, whatever the way', () => {
    let lacking = 0
    const ways = fc.record({
      startKg: fc.double({ min: 80, max: 1500, noNaN: true }),
      awayKm: fc.double({ min: 10, max: 400, noNaN: true }),
      taskMin: fc.double({ min: 1, max: 40, noNaN: true }),
      fitted: fc.boolean(),
      unusableKg: fc.double({ min: 0, max: 20, noNaN: true }),
      transferKgPerS: fc.double({ min: 0.8, max: 3, noNaN: true })
    })
    fc.assert(
      fc.property(ways, (random) => {
        const marginKg = seen(alone(random)).weakest?.marginKg ?? NaN
        if (marginKg >= 0) return
        if (-marginKg > 400) lacking++
        const mended = seen(alone(random, -marginKg))
        expect(mended.weakest?.marginKg).toBeCloseTo(0, 6)
        expect(mended.reasons).toEqual([])
        expect(seen(alone(random, -marginKg - 1)).weakest?.marginKg).toBeCloseTo(-1, 6)
      }),
      { numRuns: 100 }
    )
    expect(lacking).toBeGreaterThan(20)
  })
})
