import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BOUNDS } from '../../../shared/contracts/bounds.ts'
import {
  begun,
  carried,
  confirmed,
  foldFuel,
  fuelAt,
  heard,
  isInsideKnown,
  turned,
  type Folded,
  type Verdict
} from '../../../shared/filter/fold.ts'
import { LOW_SIDE, NOISE, offLoadSdKg, readingVarKg2 } from '../../../shared/filter/noise.ts'
import type { Call, Outside, Watch } from '../../../shared/filter/watch.ts'
import { chance } from '../order/chance.ts'

const MIN_MS = 60_000
/** A hundred pounds. */
const STEP_KG = 45.359237

/** An hour at 0.8 kg/s from 4000 kg; constructed. */
const WATCH: Watch = {
  start: { atMs: 0, fuelKg: 4_000, sdKg: 50 },
  fullScaleKg: { total: 5_000, internal: 3_000 },
  stretches: [{ fromAtMs: 0, toAtMs: 60 * MIN_MS, burnKgPerS: 0.8 }],
  transfers: [],
  outside: [],
  calls: []
}
const call = (seq: number, atMin: number, figureKg: number, covers: Call['covers'] = 'total'): Call => ({
  seq,
  atMs: atMin * MIN_MS,
  figureKg,
  covers,
  roundingKg: STEP_KG
})
const withCalls = (...calls: Call[]): Watch => ({ ...WATCH, calls })
const plannedKg = (atMin: number): number => 4_000 - 0.8 * 60 * atMin
const verdicts = (folded: Folded): Verdict[] => folded.heard.map((one) => one.verdict)

describe('how a call counts', () => {
  /** Figures off the plan by so many kg, at 10, 14, 18... minutes; what becomes of each, and of the estimate. Constructed. */
  const cases: readonly {
    title: string
    offKg: readonly number[]
    becomes: readonly Verdict[]
    /** Mean off the plan after the last, within 60 kg. */
    meanOffKg: number
    marks: readonly string[]
  }[] = [
    { title: 'as planned', offKg: [0, 0], becomes: ['believed', 'believed'], meanOffKg: 0, marks: [] },
    { title: 'a little high', offKg: [90], becomes: ['believed'], meanOffKg: 50, marks: [] },
    { title: 'a little low', offKg: [-90], becomes: ['believed'], meanOffKg: -50, marks: [] },
    { title: 'far low counts at once', offKg: [-454], becomes: ['check'], meanOffKg: -454, marks: ['check'] },
    {
      title: 'far low said again is no longer to be checked',
      offKg: [-454, -454],
      becomes: ['check', 'believed'],
      meanOffKg: -454,
      marks: []
    },
    { title: 'far high waits', offKg: [454], becomes: ['waiting'], meanOffKg: 0, marks: ['no call', 'waiting'] },
    {
      title: 'far high said again counts',
      offKg: [454, 454],
      becomes: ['confirmed', 'believed'],
      meanOffKg: 454,
      marks: []
    },
    {
      title: 'far high and then as planned is set aside',
      offKg: [454, 0],
      becomes: ['set aside', 'believed'],
      meanOffKg: 0,
      marks: []
    },
    {
      title: 'far high and then far low is set aside, and the low one counts',
      offKg: [454, -454],
      becomes: ['set aside', 'check'],
      meanOffKg: -454,
      marks: ['check']
    },
    {
      title: 'far high and then far higher waits anew',
      offKg: [454, 1_200],
      becomes: ['set aside', 'waiting'],
      meanOffKg: 0,
      marks: ['no call', 'waiting']
    },
    {
      title: 'a slip downwards is taken back by one that is as expected before it',
      offKg: [-454, 0],
      becomes: ['set aside', 'believed'],
      meanOffKg: 0,
      marks: []
    },
    {
      title: 'far low said twice, a rise waits all the same',
      offKg: [-454, -454, 0],
      becomes: ['check', 'believed', 'waiting'],
      meanOffKg: -454,
      marks: ['waiting']
    },
    {
      title: 'far low and then far higher than was ever expected waits',
      offKg: [-454, 454],
      becomes: ['check', 'waiting'],
      meanOffKg: -454,
      marks: ['check', 'waiting']
    },
    {
      title: 'one that agrees with the last before a slip upwards leaves nothing of it',
      offKg: [0, 454, 0, 0],
      becomes: ['believed', 'set aside', 'believed', 'believed'],
      meanOffKg: 0,
      marks: []
    }
  ]
  it.each(cases)('$title', ({ offKg, becomes, meanOffKg, marks }) => {
    const calls = offKg.map((off, i) => call(i, 10 + 4 * i, plannedKg(10 + 4 * i) + off))
    const folded = foldFuel(withCalls(...calls))
    expect(verdicts(folded)).toEqual(becomes)
    const lastMin = 10 + 4 * (offKg.length - 1)
    const now = fuelAt(folded, lastMin * MIN_MS)
    expect(Math.abs(now.meanKg - plannedKg(lastMin) - meanOffKg)).toBeLessThan(60)
    expect(now.marks).toEqual(marks)
    expect(now.waiting).toEqual(becomes.at(-1) === 'waiting' ? calls.at(-1) : undefined)
    const counts: readonly Verdict[] = ['believed', 'check', 'confirmed']
    expect(now.believed).toEqual(calls.filter((_, i) => counts.includes(becomes[i] ?? 'waiting')).at(-1))
  })

  it('that was wrong and low is as if it had not been said once the next is as expected', () => {
    const [first, wrong, right] = [
      call(1, 10, plannedKg(10)),
      call(2, 14, plannedKg(14) - 454),
      call(3, 16, plannedKg(16))
    ]
    const folded = foldFuel(withCalls(first, wrong, right))
    const without = foldFuel(withCalls(first, right))
    expect(fuelAt(folded, 20 * MIN_MS).meanKg).toBeCloseTo(fuelAt(without, 20 * MIN_MS).meanKg, 9)
    expect(fuelAt(folded, 20 * MIN_MS).lowKg).toBeCloseTo(fuelAt(without, 20 * MIN_MS).lowKg, 9)
  })

  it('said twice in one instant confirms nothing', () => {
    const high = plannedKg(10) + 454
    expect(verdicts(foldFuel(withCalls(call(1, 10, high), call(2, 10, high))))).toEqual(['set aside', 'waiting'])
  })

  it('low beyond reason brings the limit down with it, far below what it was', () => {
    const before = fuelAt(foldFuel(WATCH), 10 * MIN_MS)
    const after = fuelAt(foldFuel(withCalls(call(1, 10, plannedKg(10) - 454))), 10 * MIN_MS)
    expect(after.limitKg).toBeLessThanOrEqual(plannedKg(10) - 454)
    expect(after.limitKg).toBeLessThan(before.limitKg - 350)
    // Something happened to the fuel; of the burn it says nothing.
    expect(Math.abs(after.burnFactor - 1)).toBeLessThan(0.02)
  })

  it('counts once with its rounding and its gauge', () => {
    expect(readingVarKg2(NOISE, 5_000, STEP_KG)).toBeCloseTo(50 ** 2 + STEP_KG ** 2 / 12, 9)
    expect(readingVarKg2({ ...NOISE, gaugeShare: 0.02 }, 5_000, 0)).toBeCloseTo(100 ** 2, 9)
    expect(readingVarKg2({ ...NOISE, gaugeShare: 0 }, 5_000, 0)).toBeGreaterThan(0)
    const { innovationKg, innovationVarKg2 } = foldFuel(withCalls(call(1, 0, 4_030))).heard[0] ?? {}
    expect(innovationKg).toBe(30)
    expect(innovationVarKg2).toBeCloseTo(2 * 50 ** 2 + STEP_KG ** 2 / 12, 9)
  })

  it('lets the limit fall with the last believed call where that is the lower', () => {
    // Fifty calls as planned make the filter sure; the last one, low within reason, moves it little.
    const calls = Array.from({ length: 50 }, (_, i) => call(i, i / 5, plannedKg(i / 5)))
    const low = call(99, 10, plannedKg(10) - 120)
    const now = fuelAt(foldFuel(withCalls(...calls, low)), 15 * MIN_MS)
    expect(now.believed).toEqual(low)
    expect(now.carriedKg).toBeCloseTo(low.figureKg - 0.8 * 300 * now.burnFactor, 6)
    expect(now.lowKg).toBeGreaterThan(now.carriedKg ?? NaN)
    expect(now.limitKg).toBe(now.carriedKg)
  })
})

describe('the time ahead', () => {
  it('falls by the plan and the factor, and spreads', () => {
    const folded = foldFuel(withCalls(call(1, 10, plannedKg(10)), call(2, 20, plannedKg(20) - 30)))
    const [now, later, last] = [20, 40, 60].map((atMin) => fuelAt(folded, atMin * MIN_MS))
    if (!now || !later || !last) throw new RangeError('three were asked for')
    expect(later.meanKg).toBeCloseTo(now.meanKg - 960 * now.burnFactor, 6)
    expect(later.sdKg).toBeGreaterThan(now.sdKg)
    expect(last.sdKg).toBeGreaterThan(later.sdKg)
    expect(last.lowKg).toBeCloseTo(last.meanKg - LOW_SIDE * last.sdKg, 9)
    expect(later.burnFactorSd).toBeGreaterThan(now.burnFactorSd)
  })

  it('spreads by a third of the walk and the bursts where the ship flies steadily', () => {
    const grown = (steady: boolean): number => {
      const stretches = WATCH.stretches.map((one) => ({ ...one, steady }))
      // No doubt of the start or of the sheet: what is left is walk and bursts.
      const start = { ...WATCH.start, sdKg: 0 }
      return fuelAt(foldFuel({ ...WATCH, start, stretches }, { ...NOISE, burnFactorSd: 0 }), 30 * MIN_MS).sdKg ** 2
    }
    expect(grown(true)).toBeCloseTo(grown(false) * NOISE.steadyShare, 6)
    expect(grown(false)).toBeGreaterThan(100)
  })

  it('counts what comes aboard and what goes overboard, with what is not known of either', () => {
    const sdKg = offLoadSdKg(NOISE, 2_000, 'called')
    const watch: Watch = {
      ...WATCH,
      transfers: [
        { fromAtMs: 20 * MIN_MS, toAtMs: 30 * MIN_MS, addedKg: 2_000, sdKg },
        { fromAtMs: 40 * MIN_MS, toAtMs: 40 * MIN_MS, addedKg: -400, sdKg: 30 }
      ]
    }
    const at = (atMin: number) => fuelAt(foldFuel(watch), atMin * MIN_MS)
    const bare = (atMin: number) => fuelAt(foldFuel(WATCH), atMin * MIN_MS)
    expect(sdKg).toBe(20)
    expect(offLoadSdKg(NOISE, 2_000, 'computed')).toBe(100)
    expect(at(25).meanKg - bare(25).meanKg).toBeCloseTo(1_000, 9)
    expect(at(25).sdKg ** 2 - bare(25).sdKg ** 2).toBeCloseTo(sdKg ** 2 / 2, 6)
    expect(at(39.99).meanKg - bare(39.99).meanKg).toBeCloseTo(2_000, 9)
    expect(at(40).meanKg - bare(40).meanKg).toBeCloseTo(1_600, 9)
    expect(at(40).sdKg ** 2 - bare(40).sdKg ** 2).toBeCloseTo(sdKg ** 2 + 900, 6)
  })

  it('is not surprised by a figure after a contact that it knows of', () => {
    const after = call(1, 32, plannedKg(32) + 2_000)
    const transfers = [{ fromAtMs: 20 * MIN_MS, toAtMs: 30 * MIN_MS, addedKg: 2_000, sdKg: 20 }]
    expect(verdicts(foldFuel({ ...withCalls(after), transfers }))).toEqual(['believed'])
    expect(verdicts(foldFuel(withCalls(after)))).toEqual(['waiting'])
  })
})

describe('a gauge that shows the inside alone', () => {
  const MOVING: Outside = { kind: 'moving', leastKg: 20, mostKg: 2_000 }
  /** 1500 kg outside give from the start, are held from minute 15 on and released at 35. Constructed. */
  const held: Watch = {
    ...WATCH,
    outside: [
      { atMs: 0, outside: MOVING },
      { atMs: 15 * MIN_MS, outside: { kind: 'stopped', insideKg: 2_500, sdKg: 15 } },
      { atMs: 35 * MIN_MS, outside: MOVING }
    ]
  }
  const readings = (...calls: Call[]) => foldFuel({ ...held, calls })

  it('says nothing while the outside gives, but that it does', () => {
    const folded = readings(call(1, 5, 2_480, 'internal'), call(2, 12, 2_520, 'internal'))
    expect(verdicts(folded)).toEqual(['tells nothing', 'tells nothing'])
    const now = fuelAt(folded, 12 * MIN_MS)
    const untold = fuelAt(readings(), 12 * MIN_MS)
    expect(now.marks).toEqual(['no call', 'tells nothing'])
    expect(now.believed).toBeUndefined()
    expect(now.meanKg).toBeCloseTo(untold.meanKg, 9)
    expect(now.sdKg).toBeCloseTo(untold.sdKg, 9)
    expect(now.burnFactorSd).toBeCloseTo(untold.burnFactorSd, 12)
    expect(now.inside).toBeUndefined()
  })

  it('tells of the burn once the outside is held, and of the outside no more than was known', () => {
    const before = fuelAt(readings(), 30 * MIN_MS)
    const insideKg = 2_500 - 0.8 * 900 - 40
    const now = fuelAt(readings(call(1, 30, insideKg, 'internal')), 30 * MIN_MS)
    expect(now.inside?.sdKg).toBeLessThan(before.inside?.sdKg ?? 0)
    expect(Math.abs((now.inside?.meanKg ?? NaN) - insideKg)).toBeLessThan(25)
    // What was not known of all the fuel when the hold began is still not known.
    expect(now.sdKg).toBeGreaterThan(fuelAt(readings(), 15 * MIN_MS).sdKg)
    expect(now.inside?.carriedKg).toBeCloseTo(insideKg, 9)
  })

  it('may rise after the release of a hold: that is normal and waits for nothing', () => {
    const folded = readings(
      call(1, 33, 1_640, 'internal'),
      call(2, 36, 1_680, 'internal'),
      call(3, 39, 1_800, 'internal')
    )
    expect(verdicts(folded)).toEqual(['believed', 'tells nothing', 'tells nothing'])
    const [untold, now] = [readings(call(1, 33, 1_640, 'internal')), folded].map((one) => fuelAt(one, 39 * MIN_MS))
    expect(now?.meanKg).toBeCloseTo(untold?.meanKg ?? NaN, 9)
    expect(now?.waiting).toBeUndefined()
  })

  it('of a ship that is said to hold outside is surprised by the same rise', () => {
    const stuck = { ...held, outside: held.outside.slice(0, 2) }
    const folded = foldFuel({ ...stuck, calls: [call(1, 33, 1_640, 'internal'), call(2, 39, 1_800, 'internal')] })
    expect(verdicts(folded)).toEqual(['believed', 'waiting'])
  })

  it('bounds the fuel where it cannot be so much with all outside full, and makes nobody surer', () => {
    const low = readings(call(1, 5, 1_200, 'internal'))
    expect(verdicts(low)).toEqual(['check'])
    const now = fuelAt(low, 5 * MIN_MS)
    const untold = fuelAt(readings(), 5 * MIN_MS)
    expect(Math.abs(now.meanKg - 3_200)).toBeLessThan(20)
    expect(now.sdKg).toBeGreaterThanOrEqual(untold.sdKg)
    const slightly = fuelAt(readings(call(1, 5, 1_700, 'internal')), 5 * MIN_MS)
    expect(slightly.meanKg).toBeLessThan(untold.meanKg)
    expect(slightly.sdKg).toBeCloseTo(untold.sdKg, 9)
  })

  it('is all there is where the outside is empty', () => {
    const empty: Watch = { ...WATCH, outside: [{ atMs: 0, outside: { kind: 'keeps', outsideKg: 20, sdKg: 0 } }] }
    const now = fuelAt(foldFuel({ ...empty, calls: [call(1, 40, plannedKg(40) - 50, 'internal')] }), 40 * MIN_MS)
    const asTotal = fuelAt(
      foldFuel({
        ...WATCH,
        fullScaleKg: { total: 3_000, internal: 3_000 },
        calls: [call(1, 40, plannedKg(40) - 30)]
      }),
      40 * MIN_MS
    )
    expect(now.sdKg).toBeCloseTo(asTotal.sdKg, 9)
    expect(now.inside?.carriedKg).toBeCloseTo(plannedKg(40) - 50, 9)
    expect((now.inside?.lowKg ?? NaN) + 20).toBeCloseTo(now.lowKg, 9)
  })
})

const figures = fc.double({ min: BOUNDS.massKg.min, max: BOUNDS.massKg.max, noNaN: true })
const instants = fc.integer({ min: 0, max: 90 }).map((atMin) => atMin * MIN_MS)
const anyCall = fc.record({
  atMs: instants,
  figureKg: fc.oneof(
    figures,
    fc.integer({ min: 0, max: 100 }).map((hundreds) => hundreds * STEP_KG)
  ),
  covers: fc.constantFrom<Call['covers']>('total', 'internal'),
  roundingKg: fc.constantFrom(0, 1, STEP_KG, 453.59237)
})
const anyOutside: fc.Arbitrary<Outside> = fc.oneof(
  fc.record({ kind: fc.constant('moving' as const), leastKg: figures, mostKg: figures }),
  fc.record({ kind: fc.constant('keeps' as const), outsideKg: figures, sdKg: figures }),
  fc.record({ kind: fc.constant('stopped' as const), insideKg: figures, sdKg: figures })
)
const anyWatch: fc.Arbitrary<Watch> = fc
  .record({
    fuelKg: figures,
    sdKg: figures,
    total: figures,
    internal: figures,
    flows: fc.array(fc.constantFrom(0, 0.001, 0.8, 2.4, 120), { minLength: 1, maxLength: 5 }),
    transfers: fc.array(
      fc.record({
        fromAtMs: instants,
        lastsMs: fc.constantFrom(0, 1, 300_000),
        addedKg: figures,
        sdKg: figures,
        out: fc.boolean()
      }),
      { maxLength: 4 }
    ),
    outside: fc.array(fc.record({ atMs: instants, outside: anyOutside }), { maxLength: 4 }),
    calls: fc.array(anyCall, { maxLength: 12 })
  })
  .map(({ fuelKg, sdKg, total, internal, flows, transfers, outside, calls }) => ({
    start: { atMs: 5 * MIN_MS, fuelKg, sdKg },
    fullScaleKg: { total, internal },
    stretches: flows.map((burnKgPerS, i) => ({
      fromAtMs: i === 0 ? -Infinity : i * 15 * MIN_MS,
      toAtMs: i === flows.length - 1 ? Infinity : (i + 1) * 15 * MIN_MS,
      burnKgPerS
    })),
    transfers: transfers.map(({ fromAtMs, lastsMs, addedKg, sdKg: ofItKg, out }) => ({
      fromAtMs,
      toAtMs: fromAtMs + lastsMs,
      addedKg: out ? -addedKg : addedKg,
      sdKg: ofItKg
    })),
    outside: outside.toSorted((a, b) => a.atMs - b.atMs),
    calls: calls.map((one, seq) => ({ ...one, seq }))
  }))

describe('any watch', () => {
  it('gives a figure, whatever is in it, and the least of them is the limit', () => {
    fc.assert(
      fc.property(anyWatch, instants, (watch, atMs) => {
        const now = fuelAt(foldFuel(watch, NOISE, atMs), atMs + 7_000)
        for (const amount of [now, ...(now.inside ? [now.inside] : [])]) {
          const { meanKg, sdKg, lowKg, carriedKg, limitKg } = amount
          for (const value of [meanKg, sdKg, lowKg, carriedKg ?? 0, limitKg]) expect(Number.isFinite(value)).toBe(true)
          expect(Math.min(meanKg, lowKg, limitKg, sdKg)).toBeGreaterThanOrEqual(0)
          expect(meanKg).toBeLessThanOrEqual(watch.fullScaleKg.total + watch.fullScaleKg.internal)
          expect(limitKg).toBe(Math.min(lowKg, carriedKg ?? Infinity))
          expect(lowKg).toBeLessThanOrEqual(meanKg)
        }
        expect(Number.isFinite(now.burnFactor)).toBe(true)
        expect(Number.isFinite(now.burnFactorSd)).toBe(true)
      }),
      { seed: 5, numRuns: 600 }
    )
  })

  it('is the same in whatever order its calls come in', () => {
    fc.assert(
      fc.property(anyWatch, fc.integer({ min: 1, max: 1e6 }), (watch, seed) => {
        const shuffled = { ...watch, calls: chance(seed).shuffled(watch.calls) }
        expect(fuelAt(foldFuel(shuffled), 100 * MIN_MS)).toEqual(fuelAt(foldFuel(watch), 100 * MIN_MS))
        expect(foldFuel(shuffled).heard).toEqual(foldFuel(watch).heard)
      }),
      { seed: 6, numRuns: 200 }
    )
  })

  it('keeps no trace of a call that was withdrawn, and none of one that is yet to be', () => {
    fc.assert(
      fc.property(anyWatch, anyCall, fc.nat({ max: 12 }), (watch, slip, place) => {
        const clean = foldFuel(watch)
        const calls = watch.calls.toSpliced(place, 0, { ...slip, seq: 99 })
        foldFuel({ ...watch, calls })
        const withdrawn = { ...watch, calls: calls.filter((one) => one.seq !== 99) }
        expect(foldFuel(withdrawn).runner).toEqual(clean.runner)
        expect(foldFuel(withdrawn).heard).toEqual(clean.heard)
        const later = { ...watch, calls: [...watch.calls, { ...slip, seq: 99, atMs: 91 * MIN_MS }] }
        expect(foldFuel(later, NOISE, 90 * MIN_MS).runner).toEqual(clean.runner)
      }),
      { seed: 7, numRuns: 200 }
    )
  })

  it('changes a belief by a call in its time, though it is heard last', () => {
    const [first, second] = [call(1, 10, plannedKg(10) - 40), call(2, 20, plannedKg(20) + 30)]
    const late = call(3, 15, plannedKg(15) - 454)
    const folded = foldFuel(withCalls(first, second, late))
    expect(folded.heard.map((one) => one.call.seq)).toEqual([1, 3, 2])
    expect(verdicts(folded)).toEqual(['believed', 'set aside', 'believed'])
    expect(verdicts(foldFuel(withCalls(first, late)))).toEqual(['believed', 'check'])
    expect(verdicts(foldFuel(withCalls(first, second)))).toEqual(['believed', 'believed'])
  })
})

describe('folded call by call', () => {
  const onLoad = { fromAtMs: 20 * MIN_MS, toAtMs: 25 * MIN_MS, addedKg: 900, sdKg: 30 }
  const calls = [call(1, 10, plannedKg(10) - 40), call(2, 30, plannedKg(30) + 930), call(3, 40, plannedKg(40) + 880)]

  it('with mass as it comes, is what the whole watch gives', () => {
    const whole = foldFuel({ ...withCalls(...calls), transfers: [onLoad] })
    const still = { addedKg: 0, sdKg: 0 }
    let step = heard(carried(begun(WATCH), 10 * MIN_MS, still), calls[0] ?? call(0, 0, 0))
    step = carried(step, 20 * MIN_MS, still)
    // In two parts, whose variances add.
    step = carried(step, 22 * MIN_MS, { addedKg: 360, sdKg: 30 * Math.sqrt(0.4) })
    step = carried(step, 25 * MIN_MS, { addedKg: 540, sdKg: 30 * Math.sqrt(0.6) })
    for (const one of calls.slice(1)) step = heard(step, one)
    expect(verdicts(step)).toEqual(verdicts(whole))
    const [mine, its] = [fuelAt(step, 50 * MIN_MS), fuelAt(whole, 50 * MIN_MS)]
    for (const figure of ['meanKg', 'sdKg', 'limitKg', 'burnFactor'] as const)
      expect(mine[figure], figure).toBeCloseTo(its[figure], 6)
  })

  it('takes at once what comes or goes at the instant of the belief, from the carried call as well', () => {
    const folded = foldFuel(withCalls(...calls.slice(0, 1)))
    const lighter = carried(folded, 10 * MIN_MS, { addedKg: -300, sdKg: 10 })
    const [before, after] = [fuelAt(folded, 10 * MIN_MS), fuelAt(lighter, 10 * MIN_MS)]
    expect(after.meanKg).toBeCloseTo(before.meanKg - 300, 9)
    expect(after.carriedKg).toBeCloseTo((before.carriedKg ?? NaN) - 300, 9)
    expect(after.sdKg ** 2).toBeCloseTo(before.sdKg ** 2 + 100, 6)
  })

  it('keeps what is inside when what is outside is thrown off, and forgets it when that gives again', () => {
    const held = turned(begun(WATCH), { kind: 'stopped', insideKg: 2_600, sdKg: 20 })
    expect(isInsideKnown(held)).toBe(true)
    const read = heard(held, call(1, 10, 2_080, 'internal'))
    const thrown = turned(read, { kind: 'keeps', outsideKg: 0, sdKg: 0 })
    const [before, after] = [fuelAt(read, 10 * MIN_MS), fuelAt(thrown, 10 * MIN_MS)]
    expect(before.meanKg - (before.inside?.meanKg ?? NaN)).toBeGreaterThan(1_300)
    expect(after.inside?.meanKg).toBeCloseTo(before.inside?.meanKg ?? NaN, 9)
    expect(after.inside?.carriedKg).toBeCloseTo(before.inside?.carriedKg ?? NaN, 9)
    expect(after.meanKg).toBeCloseTo(after.inside?.meanKg ?? NaN, 9)
    expect(isInsideKnown(turned(read, { kind: 'moving', leastKg: 0, mostKg: 1_500 }))).toBe(false)
  })

  it('lets the waiting call be confirmed by something else', () => {
    const folded = foldFuel(withCalls(call(1, 10, plannedKg(10) + 454)))
    expect(folded.waiting?.seq).toBe(1)
    expect(confirmed(folded).waiting).toBeUndefined()
    expect(verdicts(confirmed(folded))).toEqual(['confirmed'])
  })
})
