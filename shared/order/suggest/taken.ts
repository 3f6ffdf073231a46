import type { Like } from './grid.ts'

/*
 * What one station takes at most when each ship is worth something, less for every step that it is late. That a ship stands
 * only once is forgotten, but for twice running.
 */

export interface Worths {
  /** By ship. */
  readonly worth: Float64Array
  /** By ship: so much less for each step late; and how late it is, tick after tick. */
  readonly share: Float64Array
  readonly late: readonly Int32Array[]
}

export class Taken {
  /** By ship: how often it is taken, and steps late in sum. */
  readonly counts: Float64Array
  readonly lates: Float64Array
  /** By tick a station is free: the most taken, by whom last, and the most with another one last. */
  private readonly best: Float64Array
  private readonly other: Float64Array
  private readonly bestBy: Int32Array
  private readonly otherBy: Int32Array
  /** What it was made from: a tick, or −2 less a tick where it is that one's other; −1: the station as it is found. */
  private readonly bestFrom: Int32Array
  private readonly otherFrom: Int32Array

  constructor(
    private readonly ships: number,
    ticks: number,
    private readonly by: Worths
  ) {
    this.best = new Float64Array(ticks + 1)
    this.other = new Float64Array(ticks + 1)
    this.bestBy = new Int32Array(ticks + 1)
    this.otherBy = new Int32Array(ticks + 1)
    this.bestFrom = new Int32Array(ticks + 1)
    this.otherFrom = new Int32Array(ticks + 1)
    this.counts = new Float64Array(ships)
    this.lates = new Float64Array(ships)
  }

  /** All that stations take by a tick, at most. */
  all(likes: readonly Like[], last: number): number {
    this.counts.fill(0)
    this.lates.fill(0)
    return likes.reduce((sum, like) => sum + like.count * this.byOne(like, last), 0)
  }

  private byOne({ first, overAt, count }: Like, last: number): number {
    const { best, other, bestBy, ships } = this
    best.fill(-Infinity, 0, last + 1)
    other.fill(-Infinity, 0, last + 1)
    for (let ship = 0; ship < ships; ship++) this.put(first[ship] ?? -1, last, ship, 0, -1)
    let [most, at] = [0, -1]
    for (let tick = 0; tick <= last; tick++) {
      const had = best[tick] ?? -Infinity
      if (had === -Infinity) continue
      if (had > most) [most, at] = [had, tick]
      for (let ship = 0; ship < ships; ship++) {
        const over = overAt[ship]?.[tick] ?? -1
        if (over < 0 || over > last) continue
        const isOther = bestBy[tick] === ship
        const worth = isOther ? (other[tick] ?? -Infinity) : had
        if (worth > -Infinity) this.put(over, last, ship, worth, isOther ? -2 - tick : tick)
      }
    }
    this.countFrom(at, count)
    return most
  }

  private put(over: number, last: number, ship: number, before: number, from: number): void {
    if (over < 0 || over > last) return
    const { best, other, bestBy, otherBy, bestFrom, otherFrom, by } = this
    const worth = before + (by.worth[ship] ?? 0) - (by.share[ship] ?? 0) * (by.late[ship]?.[over] ?? 0)
    if (worth > (best[over] ?? -Infinity)) {
      if (bestBy[over] !== ship) {
        other[over] = best[over] ?? -Infinity
        otherBy[over] = bestBy[over] ?? -1
        otherFrom[over] = bestFrom[over] ?? -1
      }
      best[over] = worth
      bestBy[over] = ship
      bestFrom[over] = from
    } else if (bestBy[over] !== ship && worth > (other[over] ?? -Infinity)) {
      other[over] = worth
      otherBy[over] = ship
      otherFrom[over] = from
    }
  }

  private countFrom(tick: number, count: number): void {
    for (let from = tick; from !== -1;) {
      const isOther = from < -1
      const at = isOther ? -2 - from : from
      const ship = (isOther ? this.otherBy[at] : this.bestBy[at]) ?? 0
      this.counts[ship] = (this.counts[ship] ?? 0) + count
      this.lates[ship] = (this.lates[ship] ?? 0) + count * (this.by.late[ship]?.[at] ?? 0)
      from = (isOther ? this.otherFrom[at] : this.bestFrom[at]) ?? -1
    }
  }
}
