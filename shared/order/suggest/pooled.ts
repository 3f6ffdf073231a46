import { stepsOfMs } from '../judgement.ts'
import type { GroupRow, SlotRow } from '../timetable.ts'
import { leastWeight } from './alone.ts'
import type { Field } from './field.ts'

/*
 * What ships ask of stations that all of them share: their services one after the other, begun and broken off at will and
 * as fast as there are stations.
 */

/** Below any step, above the noise of sums. */
const NOISE_MS = 1e-3

/** What one ship asks of the stations at least. */
export interface Job<State> {
  readonly row: SlotRow<State>
  readonly releaseAtMs: number
  readonly workMs: number
  readonly disconnectAtMs: number
  /** Stations that hang together share a component. */
  readonly component: number
}

/** By station: the lowest index of those it is tied to by slots that may use both. */
export function componentsOf<State>({ table, stationsOf }: Field<State>): readonly number[] {
  const component = table.stations.map(({ index }) => index)
  for (const stations of stationsOf) {
    const tied = new Set(stations.map((station) => component[station] ?? station))
    const least = Math.min(...tied)
    component.forEach((one, index) => {
      if (tied.has(one)) component[index] = least
    })
  }
  return component
}

export function stationsIn<State>(field: Field<State>, jobs: readonly Job<State>[]): number {
  const components = componentsOf(field)
  return components.filter((one) => one === jobs[0]?.component).length
}

/** Jobs by component. */
export function tiedJobs<State>(jobs: readonly Job<State>[]): readonly (readonly Job<State>[])[] {
  const tied = new Map<number, Job<State>[]>()
  for (const job of jobs) tied.set(job.component, [...(tied.get(job.component) ?? []), job])
  return [...tied.values()]
}

/** The least instants by which one, two, … of the jobs are over, on so many stations. */
export function endsOf<State>(jobs: readonly Job<State>[], stations: number): number[] {
  const coming = jobs.toSorted((a, b) => a.releaseAtMs - b.releaseAtMs)
  const leftMs: number[] = []
  const ends: number[] = []
  let nowMs = coming[0]?.releaseAtMs ?? 0
  let next = 0
  while (ends.length < jobs.length) {
    for (let job = coming[next]; job !== undefined && job.releaseAtMs <= nowMs; job = coming[++next])
      leftMs.push(job.workMs)
    const comesAtMs = coming[next]?.releaseAtMs ?? Infinity
    leftMs.sort((a, b) => b - a)
    const shortest = leftMs.pop()
    if (shortest === undefined) {
      nowMs = comesAtMs
      continue
    }
    const overAtMs = nowMs + shortest / stations
    if (overAtMs <= comesAtMs) {
      ends.push(overAtMs)
      nowMs = overAtMs
    } else {
      leftMs.push(shortest - (comesAtMs - nowMs) * stations)
      nowMs = comesAtMs
    }
  }
  const single = jobs.map((job) => job.disconnectAtMs).sort((a, b) => a - b)
  return ends.map((endMs, i) => Math.max(endMs, single[i] ?? endMs))
}

/** Beyond this the pushes are taken one by one. */
const MOST_GROUPS = 12

/** The least weighted lateness of all pushes, steps x weight. */
export function latenessOf<State>(
  field: Field<State>,
  jobs: readonly Job<State>[],
  others: readonly SlotRow<State>[],
  pushes: ReadonlyMap<GroupRow, number>
): number {
  const weightOf = new Map<GroupRow, number>()
  for (const row of [...jobs.map((job) => job.row), ...others])
    weightOf.set(row.group, (weightOf.get(row.group) ?? 0) + leastWeight(row))
  const lateAt = (row: GroupRow, pushAtMs: number): number => {
    const { plannedAtMs, pushedAtMs } = row.group
    const atMs = pushedAtMs ?? Math.max(pushAtMs, pushes.get(row) ?? -Infinity)
    return (weightOf.get(row) ?? 0) * Math.max(0, stepsOfMs(atMs - plannedAtMs - NOISE_MS))
  }
  const sizeIn = (row: GroupRow, component: readonly Job<State>[]): number =>
    component.filter((job) => job.row.group === row).length
  // A group counts once: where most of it is.
  const all = tiedJobs(jobs)
  const homes = new Map(
    field.table.groups.map((row) => [row, all.toSorted((a, b) => sizeIn(row, b) - sizeIn(row, a))[0]])
  )
  let lateness = 0
  for (const component of all) {
    const groups = field.table.groups.filter((row) => homes.get(row) === component && sizeIn(row, component) > 0)
    if (groups.length > MOST_GROUPS) continue
    const ends = endsOf(component, stationsIn(field, component))
    lateness += leastInSequence(
      groups.map((row) => ({
        size: sizeIn(row, component),
        lateAt: (count: number) => lateAt(row, (ends[count - 1] ?? -Infinity) + row.group.reformMs)
      }))
    )
    for (const row of groups) homes.delete(row)
  }
  for (const row of homes.keys()) lateness += lateAt(row, -Infinity)
  return lateness
}

/** The least sum over all sequences of groups, each late by how many are over with it. */
function leastInSequence(groups: readonly { size: number; lateAt: (count: number) => number }[]): number {
  const sets = 1 << groups.length
  const least = new Float64Array(sets).fill(Infinity)
  const sizes = new Int32Array(sets)
  least[0] = 0
  for (let set = 1; set < sets; set++) {
    groups.forEach((group, i) => {
      if ((set & (1 << i)) === 0) return
      const rest = set & ~(1 << i)
      sizes[set] = (sizes[rest] ?? 0) + group.size
      least[set] = Math.min(least[set] ?? Infinity, (least[rest] ?? 0) + group.lateAt(sizes[set] ?? 0))
    })
  }
  return least[sets - 1] ?? 0
}
