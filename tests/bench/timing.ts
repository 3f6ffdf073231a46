/*
 * Times taken side by side: other work on the machine moves every absolute time, so ours and the bare thing take turns
 * and what counts is the ratio of their medians.
 */

/** What one side of a row took, or did, in the row's unit. */
export interface Spread {
  median: number
  p95?: number
  p99?: number
  most?: number
}

/** One figure of the bench: ours, and the same job done bare where there is such a thing. */
export interface Row {
  name: string
  unit: string
  ours: Spread
  bare: Spread | null
  /** Ours over bare, of the medians. */
  ratio: number | null
  /** Measurements behind each median. */
  runs: number
}

export function medianOf(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b)
  const middle = sorted.length >> 1
  const upper = sorted[middle]
  if (upper === undefined) throw new RangeError('nothing was measured')
  return sorted.length % 2 === 1 ? upper : (upper + (sorted[middle - 1] ?? upper)) / 2
}

/** The least value that at least this share of them does not exceed. */
export function shareOf(values: readonly number[], share: number): number {
  const sorted = values.toSorted((a, b) => a - b)
  return sorted[Math.ceil(sorted.length * share) - 1] ?? NaN
}

export const p99Of = (values: readonly number[]): number => shareOf(values, 0.99)

export const latencies = (values: readonly number[]): Spread => ({ median: medianOf(values), p99: p99Of(values) })

export function rowOf(name: string, unit: string, runs: number, ours: Spread, bare: Spread | null): Row {
  return { name, unit, ours, bare, ratio: bare === null ? null : ours.median / bare.median, runs }
}

/** Does the job once; its answer is kept, so that no compiler leaves the job out. */
export type Job = () => number

const WARM_MS = 200
const BATCH_MS = 1

/** Time of one run of each job in ms, by batches that take turns. */
export function interleaved<Name extends string>(jobs: Record<Name, Job>, batches: number): Record<Name, number[]> {
  const names = Object.keys(jobs) as Name[]
  const times = Object.fromEntries(names.map((name) => [name, []])) as unknown as Record<Name, number[]>
  const sizes = new Map(names.map((name) => [name, batchOf(jobs[name])]))
  for (let round = 0; round < batches; round++) {
    // The other one first every other time: whoever comes second finds warmer caches.
    for (const name of round % 2 === 0 ? names : names.toReversed()) {
      const size = sizes.get(name) ?? 1
      const startedMs = performance.now()
      keep(sumOver(jobs[name], size))
      times[name].push((performance.now() - startedMs) / size)
    }
  }
  return times
}

/** How many runs of a job make a batch worth timing, once the compiler has seen it. */
function batchOf(job: Job): number {
  const startedMs = performance.now()
  let runs = 0
  do {
    keep(job())
    runs++
  } while (performance.now() - startedMs < WARM_MS)
  return Math.max(1, Math.round((runs * BATCH_MS) / WARM_MS))
}

function sumOver(job: Job, count: number): number {
  let sum = 0
  for (let i = 0; i < count; i++) sum += job()
  return sum
}

let kept = 0
function keep(answer: number): void {
  kept += answer
  if (Number.isNaN(kept)) throw new RangeError('a job answered with NaN')
}
