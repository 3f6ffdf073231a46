import type { Part, Some } from './part.ts'

/*
 * Ways to serve some ships of a part, by number: arrays that grow, so that millions of them cost no objects.
 */

/** Nobody is over yet. */
export const NO_STEP = -(2 ** 31)

const START = 1 << 8

export class Ways {
  count = 0
  set = new Int32Array(START)
  /** Of the last station, when it is free again, event time ms; and who was on it: a kind + 1, 0 as it was found. */
  freeAtMs = new Float64Array(START)
  on = new Int16Array(START)
  /** Parties left on this station before all of theirs were served; and the one in turn, −1 none. */
  left = new Int16Array(START)
  party = new Int8Array(START)
  /** Steps of 6 s of the last disconnect. */
  last = new Int32Array(START)
  /** Weighted lateness of those that must be served, and of all there are. */
  mustCost = new Float64Array(START)
  cost = new Float64Array(START)
  /** What it was made from: a way and a kind at a station, or two ways put together. */
  from = new Int32Array(START)
  with = new Int32Array(START)
  station = new Int8Array(START)
  /** The next one of the same place in a list. */
  next = new Int32Array(START)
  dead = new Uint8Array(START)
  /** Steps late, group after group. */
  late: Int32Array
  readonly groups: number
  private readonly groupShips: readonly Some[]
  private readonly weights: Float64Array

  constructor({ groups, groupShips, weights }: Pick<Part<unknown>, 'groups' | 'groupShips' | 'weights'>) {
    this.groups = groups.length
    this.groupShips = groupShips
    this.weights = Float64Array.from(weights)
    this.late = new Int32Array(START * Math.max(1, this.groups))
  }

  /** Room for one more; its number. */
  add(): number {
    if (this.count === this.set.length) this.grow()
    return this.count++
  }

  private grow(): void {
    const length = 2 * this.set.length
    const longer = <Values extends { set(from: Values): void }>(to: Values, from: Values): Values => {
      to.set(from)
      return to
    }
    this.set = longer(new Int32Array(length), this.set)
    this.freeAtMs = longer(new Float64Array(length), this.freeAtMs)
    this.on = longer(new Int16Array(length), this.on)
    this.left = longer(new Int16Array(length), this.left)
    this.party = longer(new Int8Array(length), this.party)
    this.last = longer(new Int32Array(length), this.last)
    this.mustCost = longer(new Float64Array(length), this.mustCost)
    this.cost = longer(new Float64Array(length), this.cost)
    this.from = longer(new Int32Array(length), this.from)
    this.with = longer(new Int32Array(length), this.with)
    this.station = longer(new Int8Array(length), this.station)
    this.next = longer(new Int32Array(length), this.next)
    this.dead = longer(new Uint8Array(length), this.dead)
    this.late = longer(new Int32Array(length * Math.max(1, this.groups)), this.late)
  }

  /**
   * Of two ways to serve the same ships: with the same ships behind both, the first one never comes to more lateness, nor to
   * as much and a later end. Groups that are over count as they are, others at most.
   */
  asGood(a: number, b: number): boolean {
    let more = (this.cost[a] ?? 0) - (this.cost[b] ?? 0)
    if (more > 0) return false
    const { groups, late, weights, groupShips } = this
    const set = this.set[a] ?? 0
    for (let group = 0; group < groups; group++) {
      const steps = (late[a * groups + group] ?? 0) - (late[b * groups + group] ?? 0)
      if (steps >= 0) continue
      const ships = groupShips[group]
      if (ships === undefined || (set & ships.mask) === ships.all) continue
      more -= steps * (weights[group] ?? 0)
      if (more > 0) return false
    }
    return more < 0 || (this.last[a] ?? 0) <= (this.last[b] ?? 0)
  }
}

/** Heads of lists by a key of two whole numbers; the second below 2^16. */
export class Heads {
  private keys = new Int32Array(START)
  private seconds = new Int32Array(START)
  private slots = new Int32Array(START).fill(-1)
  private count = 0

  /** The place of a key, made where there is none; its head is −1 then. */
  placeOf(key: number, second = 0): number {
    if (2 * this.count >= this.slots.length) this.grow()
    const at = this.find(key, second)
    if (this.slots[at] === -1) {
      this.keys[at] = key
      this.seconds[at] = second
      this.slots[at] = -2
      this.count++
    }
    return at
  }

  head(at: number): number {
    const head = this.slots[at] ?? -1
    return head === -2 ? -1 : head
  }

  setHead(at: number, head: number): void {
    this.slots[at] = head < 0 ? -2 : head
  }

  /** The head of a key, −1: none. */
  headOf(key: number, second = 0): number {
    return this.head(this.find(key, second))
  }

  private find(key: number, second: number): number {
    const mask = this.slots.length - 1
    let at = (Math.imul(key ^ Math.imul(second, 0x85ebca6b), 0x9e3779b1) >>> 7) & mask
    while (this.slots[at] !== -1 && (this.keys[at] !== key || this.seconds[at] !== second)) at = (at + 1) & mask
    return at
  }

  private grow(): void {
    const { keys, seconds, slots } = this
    const length = 2 * slots.length
    this.keys = new Int32Array(length)
    this.seconds = new Int32Array(length)
    this.slots = new Int32Array(length).fill(-1)
    slots.forEach((head, i) => {
      if (head === -1) return
      const at = this.find(keys[i] ?? 0, seconds[i] ?? 0)
      this.keys[at] = keys[i] ?? 0
      this.seconds[at] = seconds[i] ?? 0
      this.slots[at] = head
    })
  }
}

/**
 * Puts the newest way at a place of `heads`, unless one that stands there covers it: then it is taken off again. Those it
 * covers are dead. Says whether it stays.
 */
export function putNewest(
  ways: Ways,
  heads: Heads,
  { way, at }: { way: number; at: number },
  covers: (a: number, b: number) => boolean
): boolean {
  for (let rival = heads.head(at); rival >= 0; rival = ways.next[rival] ?? -1) {
    if (!covers(rival, way)) continue
    // Nothing points to it yet.
    ways.count--
    ways.dead[way] = 0
    return false
  }
  let kept = -1
  for (let rival = heads.head(at); rival >= 0;) {
    const next = ways.next[rival] ?? -1
    if (covers(way, rival)) ways.dead[rival] = 1
    else {
      ways.next[rival] = kept
      kept = rival
    }
    rival = next
  }
  ways.next[way] = kept
  heads.setHead(at, way)
  return true
}
