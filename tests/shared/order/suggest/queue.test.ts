import { describe, expect, test } from 'vitest'
import { Queues, type Place } from '../../../../shared/order/suggest/queue.ts'
import { chance } from '../chance.ts'
import { MINUTE_MS } from '../make.ts'

/*
 * Stations of a few ships whose services grow the later they come (constructed), and every queue of them one by one.
 */

interface Case {
  readonly place: Place
  readonly flightOf: Int32Array
  readonly worth: Float64Array
  readonly beforeMs: Float64Array
}

function drawn(seed: number): Case {
  const { number, whole, yes } = chance(seed)
  const ships = whole(3, 6)
  const ready = Array.from({ length: ships }, () => number(0, 12) * MINUTE_MS)
  const least = Array.from({ length: ships }, () => number(2, 7) * MINUTE_MS)
  const growth = number(0, 0.2)
  const overAtMs = (ship: number, freeAtMs: number): number => {
    const fromMs = Math.max(ready[ship] ?? 0, freeAtMs)
    return fromMs + (least[ship] ?? 0) + growth * fromMs
  }
  const takes = Array.from({ length: ships }, () => yes(0.9))
  const openMs = number(0, 6) * MINUTE_MS
  return {
    place: {
      count: 1,
      firstMs: Float64Array.from(takes, (does, ship) => (does ? overAtMs(ship, openMs) : Infinity)),
      withinMs: 0.5 * MINUTE_MS,
      betweenMs: number(0.5, 3) * MINUTE_MS,
      overAtMs: (ship, freeAtMs) => (takes[ship] === true ? overAtMs(ship, freeAtMs) : Infinity)
    },
    flightOf: Int32Array.from(takes, () => whole(0, 2)),
    worth: Float64Array.from(takes, () => number(-0.2, 1)),
    beforeMs: Float64Array.from(takes, () => number(15, 40) * MINUTE_MS)
  }
}

/** The most that any queue is worth. */
function bestOf({ place, flightOf, worth, beforeMs }: Case): number {
  let best = 0
  const goOn = (turn: readonly number[], overMs: number, sum: number): void => {
    best = Math.max(best, sum)
    for (const ship of flightOf.keys()) {
      if (turn.includes(ship)) continue
      const last = turn.at(-1)
      const changeMs = last !== undefined && flightOf[last] === flightOf[ship] ? place.withinMs : place.betweenMs
      const nextMs = last === undefined ? (place.firstMs[ship] ?? Infinity) : place.overAtMs(ship, overMs + changeMs)
      if (nextMs < (beforeMs[ship] ?? 0)) goOn([...turn, ship], nextMs, sum + (worth[ship] ?? 0))
    }
  }
  goOn([], -Infinity, 0)
  return best
}

const untilMs = 40 * MINUTE_MS
const work = () => ({ count: 0, most: Infinity, stop: undefined, stopped: false })

describe('the queues worth most', () => {
  test('are worth what the best of all queues is, in 300 cases', () => {
    let long = 0
    for (let seed = 1; seed <= 300; seed++) {
      const one = drawn(seed)
      const best = bestOf(one)
      const queues = new Queues(one.place, one.flightOf, { untilMs, work: work() })
      expect(queues.apt, String(seed)).toBe(true)
      const told = queues.worthMost({ ...one, above: 0, width: Infinity })
      expect(told.whole).toBe(true)
      expect(told.most, String(seed)).toBeCloseTo(best, 6)
      expect(told.queues[0]?.worth ?? 0, String(seed)).toBeCloseTo(best, 9)
      for (const { ships, overMs, worth } of told.queues) {
        const ends = queues.endsOf(ships)
        expect(ends.at(-1)).toBe(overMs)
        expect(ends.every((ms, at) => ms < (one.beforeMs[ships[at] ?? -1] ?? 0))).toBe(true)
        expect(ships.reduce((sum, ship) => sum + (one.worth[ship] ?? 0), 0)).toBeCloseTo(worth, 9)
        expect(new Set(ships).size).toBe(ships.length)
      }
      if ((told.queues[0]?.ships.length ?? 0) >= 3) long++
    }
    expect(long).toBeGreaterThan(60)
  })

  test('say no less than the best is worth where few go on or the work ends, and no more is told than is asked for', () => {
    let less = 0
    for (let seed = 1; seed <= 300; seed++) {
      const one = drawn(seed)
      const best = bestOf(one)
      const narrow = new Queues(one.place, one.flightOf, { untilMs, work: work() })
      expect(narrow.worthMost({ ...one, above: 0, width: 1 }).most).toBeGreaterThan(best - 1e-9)
      const short = new Queues(one.place, one.flightOf, { untilMs, work: { ...work(), most: 3 } })
      expect(short.worthMost({ ...one, above: 0, width: Infinity }).most).toBeGreaterThan(best - 1e-9)
      const above = 0.8 * best
      const told = narrow.worthMost({ ...one, above, width: Infinity })
      expect(told.most).toBeCloseTo(Math.max(above, best), 6)
      for (const { worth } of told.queues) expect(worth).toBeGreaterThan(above)
      if (told.queues.length < narrow.worthMost({ ...one, above: 0, width: Infinity }).queues.length) less++
    }
    expect(less).toBeGreaterThan(100)
  })

  test('are not told where a ship may be over at once', () => {
    const one = drawn(1)
    const place = { ...one.place, withinMs: 0, overAtMs: (_: number, freeAtMs: number) => freeAtMs }
    expect(new Queues(place, one.flightOf, { untilMs, work: work() }).apt).toBe(false)
  })
})
