import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  added,
  beliefOf,
  besideInside,
  burned,
  innovationOf,
  insideIs,
  insideOf,
  weighed,
  type Belief,
  type Figure,
  type Wander
} from '../../../shared/filter/belief.ts'
import { NOISE, wanderOf } from '../../../shared/filter/noise.ts'
import { carriedTo, type Runner } from '../../../shared/filter/run.ts'
import type { Watch } from '../../../shared/filter/watch.ts'

const WANDER = wanderOf(NOISE)
const START = beliefOf({ kg: 4_000, sdKg: 50 }, { mean: 1, sd: 0.05 })

const total = (figureKg: number, sdKg: number): Figure => ({ figureKg, varKg2: sdKg ** 2, covers: 'total' })
const internal = (figureKg: number, sdKg: number): Figure => ({ figureKg, varKg2: sdKg ** 2, covers: 'internal' })

describe('a stretch of constant flow', () => {
  it('agrees with two hundred thousand small steps of the same law', () => {
    const flowKgPerS = 0.9
    const durationS = 3_000
    const steps = 200_000
    const dt = durationS / steps
    let { fuelKg, fuelVarKg2, burnFactorVar, fuelFactorCovKg } = weighed(START, total(3_950, 30))
    const from = weighed(START, total(3_950, 30))
    for (let i = 0; i < steps; i++) {
      fuelKg -= flowKgPerS * from.burnFactor * dt
      // dP/dt = AP + PAᵀ + Q with A = [[0, −f], [0, 0]], taken at the middle of the step.
      const factorVar = burnFactorVar + (WANDER.burnFactorVarPerS * dt) / 2
      const cov = fuelFactorCovKg - (flowKgPerS * factorVar * dt) / 2
      fuelVarKg2 += (-2 * flowKgPerS * cov + WANDER.burstS * flowKgPerS ** 2) * dt
      fuelFactorCovKg -= flowKgPerS * factorVar * dt
      burnFactorVar += WANDER.burnFactorVarPerS * dt
    }
    const after = burned(from, { flowKgPerS, durationS }, WANDER)
    console.log(
      `small steps: fuel ${Math.abs(after.fuelKg - fuelKg).toExponential(1)} kg, variance ${Math.abs(after.fuelVarKg2 / fuelVarKg2 - 1).toExponential(1)} of it`
    )
    expect(Math.abs(after.fuelKg - fuelKg)).toBeLessThan(1e-6)
    expect(Math.abs(after.fuelVarKg2 / fuelVarKg2 - 1)).toBeLessThan(1e-7)
    expect(Math.abs(after.fuelFactorCovKg / fuelFactorCovKg - 1)).toBeLessThan(1e-7)
    expect(after.burnFactorVar).toBeCloseTo(burnFactorVar, 12)
  })

  it('is the same in parts as whole, through phases, transfers and instants', () => {
    const watch: Watch = {
      start: { atMs: 0, fuelKg: 4_000, sdKg: 50 },
      fullScaleKg: { total: 6_000, internal: 4_000 },
      stretches: [
        { fromAtMs: -Infinity, toAtMs: 60_000, burnKgPerS: 0 },
        { fromAtMs: 60_000, toAtMs: 900_000, burnKgPerS: 0.8 },
        { fromAtMs: 900_000, toAtMs: 1_500_000, burnKgPerS: 2.4 },
        { fromAtMs: 1_500_000, toAtMs: 1_500_000, burnKgPerS: 0.3 },
        { fromAtMs: 1_500_000, toAtMs: Infinity, burnKgPerS: 0, entrySdS: 5 }
      ],
      transfers: [
        { fromAtMs: 700_000, toAtMs: 1_000_000, addedKg: 2_500, sdKg: 25 },
        { fromAtMs: 1_200_000, toAtMs: 1_200_000, addedKg: -300, sdKg: 10 }
      ],
      outside: [],
      calls: []
    }
    const start: Runner = { atMs: 0, belief: START, rival: undefined, before: undefined, carriedKg: 4_000 }
    const whole = carriedTo(watch, NOISE, start, 2_000_000)
    expect(whole.carriedKg).toBeCloseTo(4_000 - 0.8 * 840 - 2.4 * 600 + 2_200, 9)
    expect(whole.belief.fuelKg).toBeCloseTo(whole.carriedKg ?? NaN, 9)
    const stops = fc.array(
      fc.oneof(fc.integer({ min: 0, max: 2_000_000 }), fc.constantFrom(60_000, 900_000, 1_200_000)),
      {
        maxLength: 12
      }
    )
    fc.assert(
      fc.property(stops, (atMs) => {
        let runner = start
        for (const toMs of [...atMs.toSorted((a, b) => a - b), 2_000_000])
          runner = carriedTo(watch, NOISE, runner, toMs)
        expect(runner.belief.fuelKg).toBeCloseTo(whole.belief.fuelKg, 6)
        expect(runner.belief.fuelVarKg2).toBeCloseTo(whole.belief.fuelVarKg2, 5)
        expect(runner.belief.fuelFactorCovKg).toBeCloseTo(whole.belief.fuelFactorCovKg, 8)
        expect(runner.belief.burnFactorVar).toBeCloseTo(whole.belief.burnFactorVar, 12)
      }),
      { seed: 1, numRuns: 200 }
    )
  })
})

/** Solves a symmetric system by elimination with pivots; the inverse comes with it. */
function solved(matrix: readonly (readonly number[])[], right: readonly number[]) {
  const n = right.length
  const rows = matrix.map((row, i) => [...row, right[i] ?? 0, ...row.map((_, j) => (i === j ? 1 : 0))])
  for (let column = 0; column < n; column++) {
    let pivot = column
    for (let i = column; i < n; i++)
      if (Math.abs(rows[i]?.[column] ?? 0) > Math.abs(rows[pivot]?.[column] ?? 0)) pivot = i
    ;[rows[column], rows[pivot]] = [rows[pivot] ?? [], rows[column] ?? []]
    const top = rows[column] ?? []
    const scale = top[column] ?? NaN
    for (let j = 0; j < top.length; j++) top[j] = (top[j] ?? 0) / scale
    rows.forEach((row, i) => {
      const part = row[column] ?? 0
      if (i === column || part === 0) return
      for (let j = 0; j < row.length; j++) row[j] = (row[j] ?? 0) - part * (top[j] ?? 0)
    })
  }
  return { x: rows.map((row) => row[n] ?? NaN), inverse: rows.map((row) => row.slice(n + 1)) }
}

/** A row of a least-squares problem: its coefficients, value and variance. */
interface Equation {
  of: Readonly<Record<number, number>>
  value: number
  varKg2: number
}

/** Direct normal equations of all rows at once. */
function leastSquares(count: number, equations: readonly Equation[]) {
  const matrix = Array.from({ length: count }, () => new Array<number>(count).fill(0))
  const right = new Array<number>(count).fill(0)
  for (const { of, value, varKg2 } of equations) {
    const entries = Object.entries(of).map(([index, part]) => [Number(index), part] as const)
    for (const [i, a] of entries) {
      right[i] = (right[i] ?? 0) + (a * value) / varKg2
      const row = matrix[i] ?? []
      for (const [j, b] of entries) row[j] = (row[j] ?? 0) + (a * b) / varKg2
    }
  }
  return solved(matrix, right)
}

const sizes = {
  kg: fc.double({ min: 500, max: 5_000, noNaN: true }),
  sdKg: fc.double({ min: 5, max: 120, noNaN: true })
}

describe('figures weighed in', () => {
  it('give what least squares of all of them at once give: no process noise', () => {
    const step = fc.record({
      ...sizes,
      flowKgPerS: fc.double({ min: 0.2, max: 3, noNaN: true }),
      durationS: fc.integer({ min: 1, max: 900 })
    })
    let worst = 0
    fc.assert(
      fc.property(fc.array(step, { minLength: 1, maxLength: 12 }), (steps) => {
        const still: Wander = { burnFactorVarPerS: 0, burstS: 0 }
        let belief = START
        let planned = 0
        // Unknown: fuel at the start and the factor; every figure is fuel − planned burn × factor.
        const equations: Equation[] = [
          { of: { 0: 1 }, value: 4_000, varKg2: 2_500 },
          { of: { 1: 1 }, value: 1, varKg2: 0.0025 }
        ]
        for (const { kg, sdKg, flowKgPerS, durationS } of steps) {
          planned += flowKgPerS * durationS
          belief = weighed(burned(belief, { flowKgPerS, durationS }, still), total(kg, sdKg))
          equations.push({ of: { 0: 1, 1: -planned }, value: kg, varKg2: sdKg ** 2 })
        }
        const { x, inverse } = leastSquares(2, equations)
        const [fuel = NaN, factor = NaN] = x
        const [[ff = NaN, fk = NaN] = [], [, kk = NaN] = []] = inverse
        const off = [
          (belief.fuelKg - (fuel - planned * factor)) / 1_000,
          belief.burnFactor - factor,
          belief.fuelVarKg2 / (ff - 2 * planned * fk + planned ** 2 * kk) - 1,
          belief.burnFactorVar / kk - 1
        ]
        worst = Math.max(worst, ...off.map(Math.abs))
        expect(Math.max(...off.map(Math.abs))).toBeLessThan(1e-7)
      }),
      { seed: 2, numRuns: 300 }
    )
    console.log(`against normal equations, no process noise: worst ${worst.toExponential(1)}`)
  })

  it('give what least squares give with the noise of every stretch as unknowns of their own', () => {
    const step = fc.record({
      ...sizes,
      flowKgPerS: fc.double({ min: 0.2, max: 3, noNaN: true }),
      durationS: fc.integer({ min: 60, max: 900 })
    })
    let worst = 0
    fc.assert(
      fc.property(fc.array(step, { minLength: 1, maxLength: 6 }), (steps) => {
        let belief = START
        const count = 2 + 3 * steps.length
        const equations: Equation[] = [
          { of: { 0: 1 }, value: 4_000, varKg2: 2_500 },
          { of: { 1: 1 }, value: 1, varKg2: 0.0025 }
        ]
        // Fuel and factor as sums over unknowns: [fuel, factor, then for each stretch end, bridge and burst].
        let fuel: Record<number, number> = { 0: 1 }
        let factor: Record<number, number> = { 1: 1 }
        steps.forEach(({ kg, sdKg, flowKgPerS, durationS }, i) => {
          const burnedKg = flowKgPerS * durationS
          const [end, bridge, burst] = [2 + 3 * i, 3 + 3 * i, 4 + 3 * i]
          const q = WANDER.burnFactorVarPerS
          equations.push({ of: { [end]: 1 }, value: 0, varKg2: q * durationS })
          // The mean of a walk over a stretch is half its end and a bridge of variance qT/12 independent of it.
          equations.push({ of: { [bridge]: 1 }, value: 0, varKg2: (q * durationS) / 12 })
          equations.push({ of: { [burst]: 1 }, value: 0, varKg2: WANDER.burstS * flowKgPerS ** 2 * durationS })
          const next: Record<number, number> = { ...fuel, [burst]: 1, [end]: -burnedKg / 2, [bridge]: -burnedKg }
          for (const [j, part] of Object.entries(factor)) next[Number(j)] = (next[Number(j)] ?? 0) - burnedKg * part
          fuel = next
          factor = { ...factor, [end]: 1 }
          equations.push({ of: fuel, value: kg, varKg2: sdKg ** 2 })
          belief = weighed(burned(belief, { flowKgPerS, durationS }, WANDER), total(kg, sdKg))
        })
        const { x, inverse } = leastSquares(count, equations)
        const meanOf = (of: Record<number, number>): number =>
          Object.entries(of).reduce((sum, [i, part]) => sum + part * (x[Number(i)] ?? NaN), 0)
        const varOf = (of: Record<number, number>): number =>
          Object.entries(of).reduce(
            (sum, [i, a]) =>
              sum +
              Object.entries(of).reduce((part, [j, b]) => part + a * b * (inverse[Number(i)]?.[Number(j)] ?? NaN), 0),
            0
          )
        const off = [
          (belief.fuelKg - meanOf(fuel)) / 1_000,
          belief.burnFactor - meanOf(factor),
          belief.fuelVarKg2 / varOf(fuel) - 1,
          belief.burnFactorVar / varOf(factor) - 1
        ].map(Math.abs)
        worst = Math.max(worst, ...off)
        expect(Math.max(...off)).toBeLessThan(1e-6)
      }),
      { seed: 3, numRuns: 200 }
    )
    console.log(`against normal equations, with process noise: worst ${worst.toExponential(1)}`)
  })

  it('of the inside never make anybody surer of what is outside and was never seen', () => {
    let belief = insideIs(START, 2_400, 40 ** 2)
    for (let i = 0; i < 60; i++) {
      belief = burned(belief, { flowKgPerS: 0.8, durationS: 20 }, WANDER)
      belief = weighed(belief, internal(2_400 - 16 * (i + 1), 20))
    }
    console.log(
      `60 readings of the inside: outside ± ${Math.sqrt(belief.outsideVarKg2).toFixed(1)} kg, all ± ${Math.sqrt(belief.fuelVarKg2).toFixed(1)} kg, inside ± ${Math.sqrt(insideOf(belief).varKg2).toFixed(1)} kg`
    )
    // All was known to 50 kg at the start and nobody has looked outside since.
    expect(Math.sqrt(belief.fuelVarKg2)).toBeGreaterThan(48)
    expect(Math.sqrt(belief.outsideVarKg2)).toBeGreaterThan(48)
    expect(Math.sqrt(insideOf(belief).varKg2)).toBeLessThan(20)
  })

  it('keep a covariance that is one, whatever comes', () => {
    const figure = fc.record({
      figureKg: fc.double({ min: 0, max: 200_000, noNaN: true }),
      varKg2: fc.oneof(fc.constantFrom(0, 1 / 12, 1e10), fc.double({ min: 0, max: 1e7, noNaN: true })),
      covers: fc.constantFrom<Figure['covers']>('total', 'internal')
    })
    const step = fc.oneof(
      figure.map((one) => (belief: Belief) => weighed(belief, one)),
      fc
        .record({
          flowKgPerS: fc.double({ min: 0, max: 120, noNaN: true }),
          durationS: fc.double({ min: 0, max: 1e5, noNaN: true })
        })
        .map((one) => (belief: Belief) => burned(belief, one, WANDER)),
      fc.double({ min: -2e5, max: 2e5, noNaN: true }).map((kg) => (belief: Belief) => added(belief, kg, Math.abs(kg))),
      fc.double({ min: 0, max: 2e5, noNaN: true }).map((kg) => (belief: Belief) => insideIs(belief, kg, 100))
    )
    fc.assert(
      fc.property(fc.array(step, { maxLength: 40 }), (steps) => {
        let belief = START
        for (const one of steps) belief = one(belief)
        for (const value of Object.values(belief)) expect(Number.isFinite(value)).toBe(true)
        const { fuelVarKg2: m, burnFactorVar: k, outsideVarKg2: o } = belief
        expect(Math.min(m, k, o)).toBeGreaterThanOrEqual(0)
        const slack = 1 + 1e-6
        expect(belief.fuelFactorCovKg ** 2).toBeLessThanOrEqual(slack * m * k + 1e-6)
        expect(belief.fuelOutsideCovKg2 ** 2).toBeLessThanOrEqual(slack * m * o + 1e-6)
        expect(belief.factorOutsideCovKg ** 2).toBeLessThanOrEqual(slack * k * o + 1e-6)
      }),
      { seed: 4, numRuns: 500 }
    )
  })

  it('change nothing where neither figure nor fuel has any doubt', () => {
    const sure = beliefOf({ kg: 1_000, sdKg: 0 }, { mean: 1, sd: 0 })
    expect(weighed(sure, total(900, 0))).toEqual(sure)
    expect(innovationOf(sure, total(900, 0))).toEqual({ innovationKg: -100, varKg2: 0 })
  })
})

describe('what is outside, known anew beside a known inside', () => {
  it('leaves the inside as it was; fuel aboard is both, and so is its variance', () => {
    const flow = { flowKgPerS: 0.8, durationS: 900 }
    const before = burned(weighed(insideIs(START, 2_400, 40 ** 2), internal(2_300, 30)), flow, WANDER)
    const after = besideInside(before, 600, 20 ** 2)
    expect(insideOf(after).kg).toBeCloseTo(insideOf(before).kg, 9)
    expect(insideOf(after).varKg2).toBeCloseTo(insideOf(before).varKg2, 6)
    expect(after.fuelKg).toBeCloseTo(insideOf(before).kg + 600, 9)
    // Of independent parts variances add; with one of them the sum shares just that part.
    expect(after.fuelVarKg2).toBeCloseTo(insideOf(before).varKg2 + 400, 6)
    expect(after.fuelOutsideCovKg2).toBe(400)
    // A reading of the inside tells of the burn just what it told before.
    const [told, wouldHave] = [weighed(after, internal(1_500, 30)), weighed(before, internal(1_500, 30))]
    expect(told.burnFactor).toBeCloseTo(wouldHave.burnFactor, 9)
    expect(insideOf(told).kg).toBeCloseTo(insideOf(wouldHave).kg, 6)
    expect(told.outsideKg).toBeCloseTo(600, 9)
  })
})
