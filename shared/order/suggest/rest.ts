/*
 * What ships that are not served yet add to an order at least, whatever comes: their services begun and broken off at
 * will, as fast as there are stations for them, the shortest left first.
 */

/** What one ship asks of the stations at least: the changeover before it is part of its work. Event time ms, spans ms. */
export interface Asked {
  readonly releaseAtMs: number
  readonly workMs: number
  /** Alone on its best station. */
  readonly disconnectAtMs: number
}

/**
 * The least instants by which one, two, … of the ships are over on stations free from the instants given, event time ms;
 * Infinity for what no station is left for.
 * Source: shortest remaining processing time first, L. Schrage, Operations Research 16, 1968 (from memory); on one
 * station whose speed is the number of those that are free it has most over at any instant.
 * Checked: tests/shared/order/suggest/bound.test.ts, exact.test.ts, never above the best of all orders (constructed).
 */
export function leastEnds(asked: readonly Asked[], freeAtMs: readonly number[]): number[] {
  const coming = asked.toSorted((a, b) => a.releaseAtMs - b.releaseAtMs)
  const opening = freeAtMs.toSorted((a, b) => a - b)
  const leftMs: number[] = []
  const ends: number[] = []
  let nowMs = coming[0]?.releaseAtMs ?? 0
  let next = 0
  let open = 0
  while (ends.length < asked.length) {
    for (let one = coming[next]; one !== undefined && one.releaseAtMs <= nowMs; one = coming[++next]) {
      let at = leftMs.length
      while (at > 0 && (leftMs[at - 1] ?? 0) < one.workMs) at--
      leftMs.splice(at, 0, one.workMs)
    }
    while (open < opening.length && (opening[open] ?? Infinity) <= nowMs) open++
    const comesAtMs = Math.min(coming[next]?.releaseAtMs ?? Infinity, opening[open] ?? Infinity)
    const shortest = open === 0 ? undefined : leftMs.pop()
    if (shortest === undefined) {
      if (comesAtMs === Infinity) break
      nowMs = comesAtMs
      continue
    }
    const overAtMs = nowMs + shortest / open
    if (overAtMs <= comesAtMs) {
      ends.push(overAtMs)
      nowMs = overAtMs
    } else {
      leftMs.push(shortest - (comesAtMs - nowMs) * open)
      nowMs = comesAtMs
    }
  }
  while (ends.length < asked.length) ends.push(Infinity)
  const single = asked.map((one) => one.disconnectAtMs).sort((a, b) => a - b)
  return ends.map((endMs, i) => Math.max(endMs, single[i] ?? endMs))
}

/** A push group's ships that are still to be served. */
export interface Rest {
  /** By component: how many of them. */
  readonly sizes: readonly number[]
  /** What it weighs when its last one is over at an instant. */
  readonly lateAt: (overAtMs: number) => number
}

/**
 * The least sum over all sequences in which groups are over, each late by the instant at which it and all before it are:
 * by component the least instants by which so many are over.
 */
export function leastLateness(groups: readonly Rest[], ends: readonly (readonly number[])[]): number {
  const sets = 1 << groups.length
  const least = new Float64Array(sets).fill(Infinity)
  least[0] = 0
  const sizes = new Int32Array(sets * ends.length)
  for (let set = 1; set < sets; set++) {
    const lowest = 31 - Math.clz32(set & -set)
    let overAtMs = -Infinity
    for (let c = 0; c < ends.length; c++) {
      const size = (sizes[(set & (set - 1)) * ends.length + c] ?? 0) + (groups[lowest]?.sizes[c] ?? 0)
      sizes[set * ends.length + c] = size
      overAtMs = Math.max(overAtMs, ends[c]?.[size - 1] ?? -Infinity)
    }
    // All of the set are over by then, the last one not before.
    for (let i = 0; i < groups.length; i++) {
      const group = groups[i]
      if (group === undefined || (set & (1 << i)) === 0) continue
      least[set] = Math.min(least[set] ?? Infinity, (least[set & ~(1 << i)] ?? 0) + group.lateAt(overAtMs))
    }
  }
  return least[sets - 1] ?? 0
}
