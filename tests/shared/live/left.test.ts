import { describe, expect, it } from 'vitest'
import type { Reason, View } from '../../../shared/contracts/view.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { MemoryEvent } from '../../make/event.ts'
import { firstCall } from '../../make/first-call.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

/*
 * Constructed: worked out by hand from the paper plan (tests/make/plan.ts); no outside source. Ready at 20 min; 100 km to
 * the base at 200 m/s are 500 s; approach 100 kg, landing reserve 600 s x 0.4 kg/s = 240 kg.
 */
const MIN = 60_000
const READY = OPENS_AT_MS + 20 * MIN
const LEAVES = READY + 10 * MIN
const RESERVE_KG = 340
/** Inside groups of 1000 and 3000 kg; nothing is fitted. */
const SCALE_KG = 4000

const seen = (event: MemoryEvent, atMs: number): View => {
  const view = estimate(event.state, atMs)
  if (!view) throw new Error('no plan adopted')
  return view
}
const leftOf = (view: View) => view.ships.find(({ shipId }) => shipId === 'alder-22')?.left ?? undefined
const shortOf = (view: View): Reason[] => view.reasons.filter(({ kind }) => kind === 'short at base')

/** Alder 22 calls its fuel as it leaves. */
function leaving(calledKg: number, startKg = 2_500): MemoryEvent {
  const event = new MemoryEvent(
    paperPlan((raw) => {
      const { flights } = raw as unknown as { flights: [{ ships: { startFuel: unknown }[] }] }
      for (const ship of flights[0].ships) ship.startFuel = { value: startKg, unit: 'kg' }
    })
  )
  event.ask({ kind: 'joinShip', shipId: 'alder-22' }, READY)
  event.ask({ kind: 'callFuel', shipId: 'alder-22', fuel: { value: calledKg, unit: 'kg' }, covers: 'total' }, LEAVES)
  event.ask({ kind: 'leave', shipId: 'alder-22' }, LEAVES)
  return event
}

/** From the start to its call as it leaves: 20 min of transit, 10 of waiting; then home. */
const OUT = [
  { flowKgPerS: 0.5, durationS: 1200 },
  { flowKgPerS: 0.4, durationS: 600 }
]
const HOME = [{ flowKgPerS: 0.5, durationS: 500 }]
/** 1660 kg were expected; a figure of hundreds. */
const called = (kg: number) => firstCall({ flows: OUT, fullScaleKg: SCALE_KG, roundingKg: 100, offKg: kg - 1_660 })

describe('a ship that left', () => {
  it('is followed to its base with the time, the fuel on arrival and what approach and landing ask for', () => {
    const left = leftOf(seen(leaving(1_500), LEAVES + MIN))
    expect(left).toMatchObject({ baseId: 'west', arrivesAtMs: LEAVES + 500_000 })
    const { movedKg, burnFactor } = called(1_500)
    expect(left?.fuelOnArrivalKg).toBeCloseTo(1_660 + movedKg - 500 * 0.5 * burnFactor, 3)
    expect(left?.reserveKg).toBeCloseTo(RESERVE_KG, 6)
  })

  it('has a safe side: 1.645 standard deviations below, or the call carried on, which its way there widens', () => {
    const left = leftOf(seen(leaving(1_500), LEAVES + MIN))
    const low = (left?.fuelOnArrivalKg ?? 0) - (left?.fuelOnArrivalLowKg ?? 0)
    expect(low).toBeCloseTo(called(1_500).unsureAfterKg(HOME), 1)
    expect(low).toBeGreaterThan(called(1_500).unsureKg)
    // Without a call since its start the whole flight is carried on: 20 min, 10 min of waiting, the way home.
    const event = new MemoryEvent(paperPlan())
    event.ask({ kind: 'joinShip', shipId: 'alder-22' }, READY)
    event.ask({ kind: 'leave', shipId: 'alder-22' }, LEAVES)
    const uncalled = leftOf(seen(event, LEAVES + MIN))
    const { sdBeforeKg } = firstCall({ flows: [...OUT, ...HOME], fullScaleKg: SCALE_KG, roundingKg: 100, offKg: 0 })
    expect((uncalled?.fuelOnArrivalKg ?? 0) - (uncalled?.fuelOnArrivalLowKg ?? 0)).toBeCloseTo(1.645 * sdBeforeKg, 1)
  })

  it('that cannot reach it lacks all it burns on to there and the reserve, and is said to run out before it lands', () => {
    // It starts with what it burns until it leaves and 100 kg, and calls them: nothing is moved. 250 kg take it home.
    const view = seen(leaving(100, 940), LEAVES + 1000)
    expect(leftOf(view)?.fuelOnArrivalKg).toBeCloseTo(100 - 250, 3)
    expect(shortOf(view)[0]?.byKg).toBeGreaterThan(150 + RESERVE_KG)
    const dry = view.reasons.find(({ kind, shipId }) => kind === 'out of fuel' && shipId === 'alder-22')
    expect(dry).toMatchObject({ severity: 'now', before: 'landing' })
    expect(dry?.atMs).toBeCloseTo(LEAVES + 200_000, 0)
    expect(view.reasons.indexOf(shortOf(view)[0] as Reason)).toBeLessThan(view.reasons.indexOf(dry as Reason))
  })

  it('heads what needs attention when it may come to its base with less, and is quiet again once it is down', () => {
    expect(shortOf(seen(leaving(700), LEAVES + MIN))).toEqual([])
    // 640 - 250 = 390 kg are enough by themselves, but not on the safe side.
    const event = leaving(640)
    event.ask({ kind: 'setStation', tankerId: 'kelp', stationId: 'boom', status: 'failed' }, LEAVES)
    const view = seen(event, LEAVES + MIN)
    expect(leftOf(view)?.fuelOnArrivalKg ?? 0).toBeGreaterThan(RESERVE_KG)
    expect(view.reasons[0]).toMatchObject({
      kind: 'short at base',
      severity: 'now',
      shipId: 'alder-22',
      baseId: 'west'
    })
    expect(view.reasons[0]?.byKg).toBeCloseTo(RESERVE_KG - (leftOf(view)?.fuelOnArrivalLowKg ?? 0), 9)
    // Others break as well, but they can still be helped.
    expect(view.reasons.slice(1).map(({ severity }) => severity)).toContain('now')
    event.ask({ kind: 'land', shipId: 'alder-22' }, LEAVES + 9 * MIN)
    expect(shortOf(seen(event, LEAVES + 9 * MIN))).toEqual([])
  })
})

describe('a suspect station', () => {
  it('is told while it is suspect, louder where somebody stands in turn there', () => {
    const event = new MemoryEvent(paperPlan())
    const told = (atMs: number) => seen(event, atMs).reasons.filter(({ kind }) => kind === 'station suspect')
    event.ask({ kind: 'setStation', tankerId: 'kelp', stationId: 'boom', status: 'suspect' }, READY)
    event.ask({ kind: 'setStation', tankerId: 'kelp', stationId: 'hose', status: 'suspect' }, READY)
    expect(told(READY).map(({ stationId, severity, tankerId }) => [tankerId, stationId, severity])).toEqual([
      ['kelp', 'boom', 'soon'],
      ['kelp', 'hose', 'note']
    ])
    event.ask({ kind: 'setStation', tankerId: 'kelp', stationId: 'boom', status: 'good' }, READY + MIN)
    expect(told(READY + MIN).map(({ stationId }) => stationId)).toEqual(['hose'])
  })
})
