import { describe, expect, test } from 'vitest'
import { Remainders, type Asked, type RestIn } from '../../../../shared/order/suggest/rest.ts'
import { MINUTE_MS } from '../make.ts'

/** Ships of two minutes each, two a group, that all come at once. */
const ship = (i: number, rest: Partial<Asked> = {}): Asked => ({
  bit: 1 << i,
  group: i >> 1,
  party: -1,
  component: 0,
  releaseAtMs: 0,
  workMs: 2 * MINUTE_MS,
  disconnectAtMs: 2 * MINUTE_MS,
  ...rest
})

/** On stations of one tanker each, free from now; a group is late by each minute after now. */
const given = (rest: Partial<RestIn> = {}): RestIn => ({
  ships: [0, 1, 2, 3].map((i) => ship(i)),
  places: [{ tanker: 0, component: 0, beginMs: 0 }],
  moreMs: [],
  lateAt: (_, overAtMs) => Math.ceil(overAtMs / MINUTE_MS),
  weights: [1, 3],
  mostLateness: Infinity,
  mostWork: 1_000,
  ...rest
})

describe('what is left of an order', () => {
  test('comes one after the other on one station, the group that weighs more first', () => {
    // The heavy two are over after 4 min, all after 8: 3 x 4 + 1 x 8.
    expect(new Remainders(given()).of(0, 0)).toEqual({ groups: 3, lateness: 20, lastMs: 8 * MINUTE_MS })
  })

  test('counts only who is not served, at the stations from the one in turn on', () => {
    const places = [0, 5].map((from, tanker) => ({ tanker, component: 0, beginMs: from * MINUTE_MS }))
    const rest = new Remainders(given({ places }))
    expect(rest.of(0b1100, 0)).toEqual({ groups: 1, lateness: 4, lastMs: 4 * MINUTE_MS })
    expect(rest.of(0b1100, 1)).toEqual({ groups: 1, lateness: 9, lastMs: 9 * MINUTE_MS })
  })

  test('shares two stations, and keeps a flight that stays whole at the two of one tanker', () => {
    const places = [0, 0, 1, 1].map((tanker) => ({ tanker, component: 0, beginMs: 0 }))
    expect(new Remainders(given({ places })).of(0, 0).lastMs).toBe(2 * MINUTE_MS)
    const ships = [0, 1, 2, 3].map((i) => ship(i, { party: 0, group: 0 }))
    const whole = new Remainders(given({ places, ships, weights: [4], moreMs: [0] })).of(0, 0)
    expect(whole).toEqual({ groups: 1, lateness: 16, lastMs: 4 * MINUTE_MS })
  })

  test('adds nothing known once its work is over, and nothing else than before where it was worked out', () => {
    const all = new Remainders(given())
    const few = new Remainders(given({ mostWork: 0 }))
    expect(few.of(0, 0)).toEqual(all.of(0, 0))
    expect(few.of(0b1100, 0)).toEqual({ groups: 0, lateness: 0, lastMs: -Infinity })
    expect(all.of(0b1100, 0).lateness).toBe(4)
    expect(few.of(0, 0).lateness).toBe(20)
  })
})
