import { describe, expect, it } from 'vitest'
import { foldFuel, fuelAt, type Folded } from '../../../shared/filter/fold.ts'
import { NOISE, type Noise } from '../../../shared/filter/noise.ts'
import { insideSortie, ownSortie, STEADILY, strangeSortie, type Sortie, type Strange } from './sorties.ts'

const RUNS = 300
/** Where only the calls are looked at. */
const SHIPS = 1_500
const MIN_MS = 60_000

const OWN: readonly Sortie[] = Array.from({ length: RUNS }, (_, seed) => ownSortie(seed + 1, NOISE))

const percent = (share: number): string => `${(100 * share).toFixed(2)} %`

interface Coverage {
  /** Share of minutes at which the truth is no less than the low side. */
  low: number
  /** And no less than the limit. */
  limit: number
  /** Of the low side 15 minutes on, as foreseen with no further call. */
  ahead: number
  /** Mean shortfall of the low side below the truth, kg. */
  belowKg: number
  count: number
}

/** What is believed at every minute but the first, of the calls observed by then. */
function* minutesOf({ watch, trueKg }: Sortie, noise: Noise): Generator<{ atMin: number; folded: Folded }> {
  let folded = foldFuel(watch, noise, 0)
  for (let atMin = 1; atMin < trueKg.length; atMin++) {
    const atMs = atMin * MIN_MS
    // Until the next call it is the same fold.
    if (watch.calls.some((call) => call.atMs > atMs - MIN_MS && call.atMs <= atMs))
      folded = foldFuel(watch, noise, atMs)
    yield { atMin, folded }
  }
}

function coverageOf(sorties: readonly Sortie[], noise: Noise): Coverage {
  const sum = { low: 0, limit: 0, ahead: 0, belowKg: 0 }
  let count = 0
  let aheadCount = 0
  for (const sortie of sorties) {
    for (const { atMin, folded } of minutesOf(sortie, noise)) {
      const truth = sortie.trueKg[atMin] ?? NaN
      const now = fuelAt(folded, atMin * MIN_MS)
      count++
      if (truth >= now.lowKg) sum.low++
      if (truth >= now.limitKg) sum.limit++
      sum.belowKg += truth - now.lowKg
      const then = sortie.trueKg[atMin + 15]
      if (then === undefined) continue
      aheadCount++
      if (then >= fuelAt(folded, (atMin + 15) * MIN_MS).lowKg) sum.ahead++
    }
  }
  return {
    low: sum.low / count,
    limit: sum.limit / count,
    ahead: sum.ahead / aheadCount,
    belowKg: sum.belowKg / count,
    count
  }
}

function print(title: string, { low, limit, ahead, belowKg, count }: Coverage): void {
  console.log(
    `${title}: ${count} minutes, low side ${percent(low)}, limit ${percent(limit)}, 15 min ahead ${percent(ahead)}; low side below the truth by ${belowKg.toFixed(0)} kg in the mean`
  )
}

describe('on ships of its own law', () => {
  it('has innovations as large as it says: their normalised squares lie in the chi-square band', () => {
    let sum = 0
    let count = 0
    let inside = 0
    for (let seed = 1; seed <= SHIPS; seed++) {
      const { heard } = foldFuel(ownSortie(seed, NOISE).watch, { ...NOISE, gate: Infinity })
      const its = heard.reduce(
        (part, { innovationKg = NaN, innovationVarKg2 = NaN }) => part + innovationKg ** 2 / innovationVarKg2,
        0
      )
      sum += its
      count += heard.length
      if (its > chiSquare(heard.length, -1.96) && its < chiSquare(heard.length, 1.96)) inside++
    }
    const [low, high] = [chiSquare(count, -1.96), chiSquare(count, 1.96)]
    console.log(
      `normalised innovations squared: ${sum.toFixed(0)} of ${count}, 95 % band ${low.toFixed(0)} to ${high.toFixed(0)}; ${percent(inside / SHIPS)} of ${SHIPS} ships in their own band`
    )
    expect(count).toBeGreaterThan(20_000)
    expect(sum).toBeGreaterThan(low)
    expect(sum).toBeLessThan(high)
    // 95 % of the ships, and three standard deviations of that.
    expect(Math.abs(inside / SHIPS - 0.95)).toBeLessThan(3 * Math.sqrt((0.95 * 0.05) / SHIPS))
  })

  it('would show by that a gauge twice or half as good as it says', () => {
    for (const times of [0.5, 2]) {
      const gaugeShare = times * NOISE.gaugeShare
      let sum = 0
      let count = 0
      for (const { watch } of OWN) {
        for (const { innovationKg = NaN, innovationVarKg2 = NaN } of foldFuel(watch, {
          ...NOISE,
          gaugeShare,
          gate: Infinity
        }).heard) {
          sum += innovationKg ** 2 / innovationVarKg2
          count++
        }
      }
      const off = sum < chiSquare(count, -1.96) || sum > chiSquare(count, 1.96)
      expect(off, `${times} times`).toBe(true)
    }
  })

  it('has a low side above which the truth lies 93 to 97 times in a hundred', () => {
    const coverage = coverageOf(OWN, NOISE)
    print('its own law', coverage)
    expect(coverage.low).toBeGreaterThan(0.93)
    expect(coverage.low).toBeLessThan(0.97)
    expect(coverage.ahead).toBeGreaterThan(0.93)
    expect(coverage.ahead).toBeLessThan(0.97)
    expect(coverage.limit).toBeGreaterThanOrEqual(coverage.low)
  })

  it('has such a low side where all but the task is flown steadily', () => {
    const coverage = coverageOf(
      OWN.map((_, seed) => ownSortie(seed + 1, NOISE, STEADILY)),
      NOISE
    )
    print('its own law, steadily', coverage)
    expect(coverage.low).toBeGreaterThan(0.93)
    expect(coverage.low).toBeLessThan(0.97)
    expect(coverage.ahead).toBeGreaterThan(0.93)
    expect(coverage.ahead).toBeLessThan(0.97)
  })
})

/** Quantile of chi-square by standard deviations of a normal. Source: Wilson and Hilferty 1931. */
const chiSquare = (count: number, sds: number): number =>
  count * (1 - 2 / (9 * count) + sds * Math.sqrt(2 / (9 * count))) ** 3

describe('the chi-square band', () => {
  it('is that of printed tables', () => {
    // 2.5 % and 97.5 % points of 20 and 100 degrees of freedom. Source: printed tables, from memory.
    expect(chiSquare(20, -1.96)).toBeCloseTo(9.591, 1)
    expect(chiSquare(20, 1.96)).toBeCloseTo(34.17, 1)
    expect(chiSquare(100, -1.96)).toBeCloseTo(74.22, 1)
    expect(chiSquare(100, 1.96)).toBeCloseTo(129.56, 1)
  })
})

describe('on ships of its own law whose gauge shows the inside alone', () => {
  const sorties = Array.from({ length: RUNS }, (_, seed) => insideSortie(seed + 1, NOISE))

  it('has innovations as large as it says once the gauge tells something', () => {
    let sum = 0
    let count = 0
    let silent = 0
    for (const { watch } of sorties) {
      for (const { innovationKg, innovationVarKg2 } of foldFuel(watch, { ...NOISE, gate: Infinity }).heard) {
        if (innovationKg === undefined || innovationVarKg2 === undefined) silent++
        else {
          sum += innovationKg ** 2 / innovationVarKg2
          count++
        }
      }
    }
    console.log(
      `inside alone: normalised innovations squared ${sum.toFixed(0)} of ${count}, 95 % band ${chiSquare(count, -1.96).toFixed(0)} to ${chiSquare(count, 1.96).toFixed(0)}; ${silent} told nothing`
    )
    expect(silent).toBeGreaterThan(RUNS)
    expect(sum).toBeGreaterThan(chiSquare(count, -1.96))
    expect(sum).toBeLessThan(chiSquare(count, 1.96))
  })

  it('has low sides of all and of the inside above which the truth lies 93 to 97 times in a hundred', () => {
    const all = coverageOf(sorties, NOISE)
    print('inside alone, all fuel', all)
    let low = 0
    let count = 0
    for (const sortie of sorties) {
      for (const { atMin, folded } of minutesOf(sortie, NOISE)) {
        const { inside } = fuelAt(folded, atMin * MIN_MS)
        if (!inside) continue
        count++
        if ((sortie.insideKg?.[atMin] ?? NaN) >= inside.lowKg) low++
      }
    }
    console.log(`inside alone, of the inside: ${count} minutes, low side ${percent(low / count)}`)
    expect(all.low).toBeGreaterThan(0.93)
    expect(all.low).toBeLessThan(0.97)
    expect(low / count).toBeGreaterThan(0.93)
    expect(low / count).toBeLessThan(0.97)
  })
})

/** Bursts at three times the flow, phases entered up to a minute and a half late, a sheet 5 % off, 2 % wrong by 1000 lb. */
const STRANGE: Strange = {
  biases: [0.95, 1.05],
  burstEveryS: 360,
  burstS: [10, 30],
  lateS: [0, 90],
  wrongShare: 0.02
}

describe('on ships of a law it does not know', () => {
  // The defaults were set on seeds 1 to 60 and 1001 to 1150; these are others.
  const FIRST_SEED = 5_001
  it.each([
    ['either way', STRANGE, 0.9],
    ['all burning more', { ...STRANGE, biases: [1.05] }, 0.9],
    ['without wrong figures', { ...STRANGE, wrongShare: 0 }, 0.9],
    ['steady but for the task', { ...STRANGE, stretches: STEADILY, burstsOnTask: true }, 0.9],
    ['so, and all burning more', { ...STRANGE, biases: [1.05], stretches: STEADILY, burstsOnTask: true }, 0.9],
    // What fixes how little steady flight may be believed to stray: with a tenth of the variance left it is 87.
    ['bursts where it is told that nobody bursts', { ...STRANGE, stretches: STEADILY }, 0.9],
    // Far from its law it does worse, and is to say by how much.
    ['such bursts, and all burning more', { ...STRANGE, biases: [1.05], stretches: STEADILY }, 0.85],
    ['twice as many bursts', { ...STRANGE, burstEveryS: 180 }, 0.8]
  ])('has a low side above which the truth lies often enough: %s', (title, strange, least) => {
    const sorties = Array.from({ length: RUNS / 2 }, (_, run) => strangeSortie(FIRST_SEED + run, NOISE, strange))
    const coverage = coverageOf(sorties, NOISE)
    print(title, coverage)
    expect(coverage.low).toBeGreaterThanOrEqual(least)
  })

  it('would not reach that everywhere with half the walk and half the bursts', () => {
    const sorties = Array.from({ length: RUNS / 2 }, (_, run) =>
      strangeSortie(FIRST_SEED + run, NOISE, { ...STRANGE, biases: [1.05] })
    )
    const half = { ...NOISE, burnFactorSdPerHour: NOISE.burnFactorSdPerHour / 2, burstS: NOISE.burstS / 2 }
    const coverage = coverageOf(sorties, half)
    print('half the noise', coverage)
    expect(coverage.low).toBeLessThan(0.9)
  })
})
