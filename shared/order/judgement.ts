/*
 * How good an order is: whole numbers compared from left to right. Values are rounded to 6 s and 5 kg first, so that
 * ties are real and nobody is moved for a second.
 */
export const STEP_MS = 6_000
export const STEP_KG = 5

export interface Judgement {
  /**
   * Sum of the weights of the visits that are lost: past their latest contact, station closed, waiting in a circle. A
   * missed top-off loses no visit.
   */
  readonly lostWeight: number
  /** Weight x shortage at the actual push, steps of 5 kg. */
  readonly shortage: number
  /** Weight x lateness of the push against the planned push, steps of 6 s, summed over visits served. */
  readonly lateness: number
  /** The last disconnect in steps of 6 s of event time; 0 when nobody is served. */
  readonly lastDisconnect: number
  /** Fewest slots that must be taken out of the order in force and put elsewhere to make this one. */
  readonly moved: number
}

/** From the left, as they are compared. */
export const LEVELS = [
  'lostWeight',
  'shortage',
  'lateness',
  'lastDisconnect',
  'moved'
] as const satisfies readonly (keyof Judgement)[]
export type Level = (typeof LEVELS)[number]

/** Steps of 6 s in a span or an instant of ms. */
export const stepsOfMs = (ms: number): number => Math.round(ms / STEP_MS)

/** Steps of 5 kg in a mass of kg. */
export const stepsOfKg = (kg: number): number => Math.round(kg / STEP_KG)

/** Below zero when a is the better order, above when b is, 0 when they are as good as each other. */
export function compareJudgements(a: Judgement, b: Judgement): number {
  return (
    a.lostWeight - b.lostWeight ||
    a.shortage - b.shortage ||
    a.lateness - b.lateness ||
    a.lastDisconnect - b.lastDisconnect ||
    a.moved - b.moved
  )
}

/**
 * Length of the longest rising run (not necessarily adjacent) in the first `count` values; `tails` is scratch of at
 * least that length. Source: patience sorting; Schensted 1961.
 */
export function longestRising(values: Int32Array, count: number, tails: Int32Array): number {
  let length = 0
  for (let i = 0; i < count; i++) {
    const value = values[i] ?? 0
    let low = 0
    let high = length
    while (low < high) {
      const middle = (low + high) >> 1
      if ((tails[middle] ?? 0) < value) low = middle + 1
      else high = middle
    }
    tails[low] = value
    if (low === length) length++
  }
  return length
}
