import { describe, expect, it } from 'vitest'
import { demoPlan } from '../../../server/demo/plan.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { curveOf, lineOf as lineIn, type FuelLine } from '../../../shared/live/lines.ts'
import { emptyState } from '../../../shared/live/state.ts'
import { brief } from '../../../shared/plan/brief.ts'
import { abortLegOf } from '../../../shared/plan/abort-leg.ts'
import { workingsOf } from '../../../shared/working/explain.ts'
import { LEG_FIGURES } from '../../../shared/working/figure.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'
import { near, plain, reckon } from '../working/reckon.ts'

/* Constructed: the paper plan, worked out by hand; the demonstration, against what its own view and workings say. */
const MIN = 60_000
const demo = demoPlan(Date.UTC(2031, 4, 6, 9))
const state = { ...emptyState('lines'), plan: demo, revision: 1, adoptedSeq: 1 }
const view = estimate(state, demo.opensAtMs)
if (!view) throw new Error('no view')
const lineOf = (shipId: string): FuelLine => {
  const line = lineIn(demo, shipId)
  if (!line) throw new Error(`no line of ${shipId}`)
  return line
}
const lines = new Map(view.ships.map(({ shipId }) => [shipId, lineOf(shipId)]))
/** At an instant, before what happens then. */
function fuelAt({ points }: FuelLine, atMs: number): number {
  const to = points.findIndex((point) => point.atMs >= atMs)
  const [a, b] = [points[Math.max(0, to - 1)], points[to]]
  if (!a || !b) throw new RangeError(`no fuel at ${String(atMs)}`)
  return b.atMs === a.atMs ? a.fuelKg : a.fuelKg + ((atMs - a.atMs) / (b.atMs - a.atMs)) * (b.fuelKg - a.fuelKg)
}

describe('the fuel line of a ship', () => {
  it('falls by the burn of the paper plan and steps up by its on-load', () => {
    // 2500 kg; 20 min to the track, where 1900 kg are left at the last: 0.5 kg/s.
    const order = estimate({ ...emptyState('paper'), plan: paperPlan() }, OPENS_AT_MS)
    const [slot] = order?.slots ?? []
    const line = lineIn(paperPlan(), slot?.shipId ?? '')
    if (!line || !slot) throw new Error('no slot')
    expect(fuelAt(line, OPENS_AT_MS + 20 * MIN)).toBeCloseTo(1900, 6)
    expect(fuelAt(line, slot.contactAtMs)).toBeCloseTo(1900 - 0.4 * 90, 6)
    const contactS = (slot.disconnectAtMs - slot.contactAtMs) / 1000
    const after = line.points.findLast((point) => point.atMs === slot.disconnectAtMs)
    expect((after?.fuelKg ?? NaN) - fuelAt(line, slot.contactAtMs)).toBeCloseTo(slot.onLoadKg - 0.4 * contactS, 6)
  })

  it('is there for every ship, in time, and ends where its ladder ends', () => {
    expect(lines.size).toBe(24)
    for (const { shipId, points, rungs } of lines.values()) {
      for (const [index, point] of points.entries())
        expect(point.atMs, shipId).toBeGreaterThanOrEqual(points[index - 1]?.atMs ?? -Infinity)
      expect(points.at(-1)?.fuelKg, shipId).toBeCloseTo(rungs.at(-1)?.fuelKg ?? NaN, 6)
    }
  })

  it('has the rungs that the view shows of the least fuelled ship of each flight', () => {
    for (const { flightId, ladder } of view.flights) {
      const its = [...lines.values()].filter((line) => line.flightId === flightId)
      expect(
        its.filter((line) => JSON.stringify(line.rungs) === JSON.stringify(ladder)).length,
        flightId
      ).toBeGreaterThan(0)
    }
  })

  it('has the abort fuel of its slots on the track, and bingo and joker on the way to its task', () => {
    for (const slot of view.slots) {
      const here = lineOf(slot.shipId).limits.filter(
        ({ limit, fromMs, toMs }) => limit === 'abort' && fromMs <= slot.contactAtMs && slot.contactAtMs <= toMs
      )
      expect(
        here.map(({ kg }) => kg),
        slot.slotId
      ).toEqual([slot.abortKg])
    }
    const rasp = lineOf('rasp-1').limits
    const [ship] = view.ships.filter(({ shipId }) => shipId === 'rasp-1')
    expect(new Set(rasp.flatMap(({ limit, kg }) => (limit === 'bingo' ? kg : [])))).toEqual(new Set([ship?.bingoKg]))
    expect(new Set(rasp.flatMap(({ limit, kg }) => (limit === 'joker' ? kg : [])))).toEqual(new Set([ship?.jokerKg]))
  })

  it('has the weakest point of its flight, and recovery fuel that ends at approach and reserve', () => {
    for (const { weakest } of view.flights) {
      if (!weakest) throw new Error('no weakest point')
      expect(lineOf(weakest.shipId).weakest).toEqual(weakest)
    }
    for (const { recovery, rungs, shipId } of lines.values())
      expect(recovery.at(-1)?.kg, shipId).toBeCloseTo(rungs.at(-1)?.recoveryKg ?? NaN, 6)
  })

  it('opens to its working at every rung, line by line', () => {
    const open = workingsOf(state, demo.opensAtMs)
    const of = {
      'leg at': 'atMs',
      'leg fuel': 'fuelKg',
      'leg counted': 'countedKg',
      'leg recovery': 'recoveryKg'
    } as const
    for (const { shipId, rungs } of [lineOf('alder-1'), lineOf('chisel-2'), lineOf('squall-1')]) {
      for (const [index, rung] of rungs.entries()) {
        for (const figure of LEG_FIGURES) {
          const working = open?.({ figure, shipId, index })
          const value = rung[of[figure]]
          if (!working || value === null) throw new Error(`${figure} of ${shipId} ${String(index)}`)
          working.lines.forEach((line, place) => {
            expect(near(reckon(line.expression, working, place), plain(line.result)), `${figure} ${line.name}`).toBe(
              true
            )
          })
          expect(near(plain(working.result), figure === 'leg at' ? value / 1000 : value), figure).toBe(true)
        }
      }
    }
  })
})

describe('the curve of a slot', () => {
  it('ends where the slot ends, and has the knee and the stops that the view shows', () => {
    for (const slot of view.slots) {
      const curve = curveOf(demo, slot.slotId)
      if (!curve) throw new Error(`no curve of ${slot.slotId}`)
      expect(curve.onLoadKg).toBe(slot.onLoadKg)
      expect(curve.minutesMin * 60_000).toBeCloseTo(slot.disconnectAtMs - slot.contactAtMs, 6)
      const endS = curve.minutesMin * 60
      const closing = curve.points.filter(({ atS, closes }) => atS > 0 && atS <= endS + 1e-9 && closes.length > 0)
      const shown = slot.stops.filter(({ closes }) => closes !== null)
      expect(closing.map(({ onLoadKg }) => onLoadKg.toFixed(6))).toEqual(
        shown.map(({ onLoadKg }) => onLoadKg.toFixed(6))
      )
      const knee = curve.kneeIndex === null ? undefined : curve.points[curve.kneeIndex]
      if (knee && knee.atS <= endS) expect(shown.find((stop) => stop.knee)?.onLoadKg).toBeCloseTo(knee.onLoadKg, 6)
    }
    expect(curveOf(demo, 'nobody')).toBeUndefined()
  })
})

describe('the way to the abort base', () => {
  it('begins at a turn point of the track, and is the longest of them in still air', () => {
    const plan = brief({ ...demo, rules: { ...demo.rules, windSpeed: { value: 0, unit: 'kt' } } })
    const flight = plan.flights.get('alder')
    const leg = flight && abortLegOf(plan, flight, 'yarrow')
    expect(leg?.baseId).toBe('adze')
    expect(plan.tracks.get('yarrow')?.orbit).toContain(leg?.from)
    // 1.37 degrees of latitude at 60 NM, a third of a degree of longitude at 42 NM off: some 90 NM, on paper.
    expect((leg?.distanceM ?? NaN) / 1852).toBeGreaterThan(82)
    expect((leg?.distanceM ?? NaN) / 1852).toBeLessThan(96)
  })
})
