import { describe, expect, it } from 'vitest'
import { estimate } from '../../../shared/live/estimate.ts'
import type { View } from '../../../shared/contracts/view.ts'
import { MemoryEvent } from '../../make/event.ts'
import { atMs, OPENS_AT_MS } from '../../sim/fleet.ts'
import { simPlan } from '../../sim/plan.ts'

const KG_PER_LB = 0.45359237
/** On the way to the tanker, all of the first flights. */
const NOW_S = -120

function eventOf(): MemoryEvent {
  return new MemoryEvent(simPlan(), OPENS_AT_MS)
}

function viewAt(event: MemoryEvent, atS: number): View {
  const view = estimate(event.state, atMs(atS))
  if (view === undefined) throw new Error('no plan is adopted')
  return view
}

const shipOf = (view: View, shipId: string): View['ships'][number] => {
  const ship = view.ships.find((one) => one.shipId === shipId)
  if (ship === undefined) throw new Error(`${shipId} is not shown`)
  return ship
}

/** Of the flight whose gauges show the inside alone, so that nobody need be asked whether externals give. */
const CEDARS = ['elm-1', 'elm-2', 'elm-3', 'elm-4']

/** Calls what the board holds it has, and so much more, to the hundred pounds. */
function call(event: MemoryEvent, shipId: string, atS: number, moreLb = 0): void {
  const { gaugeKg, shipId: id } = shipOf(viewAt(event, atS), shipId)
  const covers = id.startsWith('elm') || id.startsWith('bay') ? 'internal' : 'total'
  const fuel = { value: Math.round(gaugeKg / KG_PER_LB / 100) * 100 + moreLb, unit: 'lb' }
  expect(event.ask({ kind: 'callFuel', shipId: id, fuel, covers, atMs: atMs(atS) }, atMs(atS))).toBeUndefined()
}

describe('whom to ask', () => {
  it('is first a ship whose last figure is beyond reason, until it says what was expected', () => {
    const event = eventOf()
    call(event, 'ash-4', NOW_S, -1000)
    expect(shipOf(viewAt(event, NOW_S), 'ash-4').estimate.check).toBe(true)
    expect(viewAt(event, NOW_S).asks[0]).toEqual({ shipId: 'ash-4', why: 'check', gainS: 0 })
    event.ask({ kind: 'withdrawFact', withdrawnSeq: event.state.seq }, atMs(NOW_S + 10))
    call(event, 'ash-4', NOW_S + 10)
    expect(viewAt(event, NOW_S + 10).asks.map(({ shipId }) => shipId)).not.toContain('ash-4')
  })

  it('is one of those that may be the worst, and nobody who has far more', () => {
    const event = eventOf()
    for (const shipId of CEDARS) call(event, shipId, 250)
    const { asks, ships } = viewAt(event, 300)
    expect(asks.map(({ why }) => why)).toContain('may be worst')
    const counted = ships.flatMap(({ shipId, margin }) => (margin ? [{ shipId, ...margin }] : []))
    const secondS = counted.map(({ meanS }) => meanS ?? Infinity).sort((a, b) => a - b)[1] ?? NaN
    for (const { shipId, why, gainS } of asks) {
      if (why !== 'may be worst') continue
      expect(gainS).toBeGreaterThanOrEqual(6)
      expect(counted.find((one) => one.shipId === shipId)?.marginS, shipId).toBeLessThanOrEqual(secondS)
    }
    expect(counted.some(({ marginS }) => marginS > secondS)).toBe(true)
  })

  it('is nobody who has just called, and less is gained of one who did not long ago', () => {
    const event = eventOf()
    for (const shipId of CEDARS) call(event, shipId, 250)
    const [named] = viewAt(event, 300).asks.filter(({ why }) => why === 'may be worst')
    if (named === undefined) throw new Error('nobody is named')
    call(event, named.shipId, 300)
    expect(viewAt(event, 310).asks.map(({ shipId }) => shipId)).not.toContain(named.shipId)
    const gainAt = (atS: number) => viewAt(event, atS).asks.find(({ shipId }) => shipId === named.shipId)?.gainS ?? 0
    expect(gainAt(340)).toBeLessThan(named.gainS)
  })

  it('is a ship whose gauge shows the inside alone and has not told for ten minutes whether externals give', () => {
    const event = eventOf()
    call(event, 'elm-4', -780)
    const isUnread = (atS: number) =>
      viewAt(event, atS).asks.some(({ shipId, why }) => shipId === 'elm-4' && why === 'externals unread')
    expect(isUnread(-200)).toBe(false)
    expect(isUnread(-170)).toBe(true)
    call(event, 'elm-4', -170)
    expect(isUnread(-160)).toBe(false)
  })
})

describe('what a gauge may show within reason', () => {
  it('is three standard deviations of what is believed and read', () => {
    const event = eventOf()
    call(event, 'ash-1', NOW_S)
    const { estimate: its, gaugeKg } = shipOf(viewAt(event, NOW_S + 60), 'ash-1')
    // Full scale of 4,500 kg, a gauge good to 1 % of it, calls to 100 lb. Variance of a rounding: step² / 12.
    const readVarKg2 = 45 ** 2 + (100 * KG_PER_LB) ** 2 / 12
    const byKg = 3 * Math.sqrt(its.sdKg ** 2 + readVarKg2)
    expect(its.reason?.leastKg).toBeCloseTo(gaugeKg - byKg, 6)
    expect(its.reason?.mostKg).toBeCloseTo(gaugeKg + byKg, 6)
  })

  it('is where the filter begins to doubt a figure', () => {
    for (const [beyondKg, isDoubted] of [
      [-20, false],
      [20, true]
    ] as const) {
      const event = eventOf()
      const { reason } = shipOf(viewAt(event, NOW_S), 'ash-2').estimate
      if (reason === null) throw new Error('nothing is known of its gauge')
      // To the pound: a finer rounding than the board takes for granted makes the filter a little stricter.
      const fuel = { value: Math.round((reason.leastKg - beyondKg) / KG_PER_LB), unit: 'lb' }
      event.ask({ kind: 'callFuel', shipId: 'ash-2', fuel, covers: 'total', atMs: atMs(NOW_S) }, atMs(NOW_S))
      expect(shipOf(viewAt(event, NOW_S), 'ash-2').estimate.check).toBe(isDoubted)
    }
  })

  it('is the band of the sheet while externals give to a gauge of the inside', () => {
    const event = eventOf()
    expect(shipOf(viewAt(event, NOW_S), 'elm-4').estimate.reason).toEqual({ leastKg: 1580, mostKg: 1700 })
  })
})
