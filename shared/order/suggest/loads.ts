import { STEP_MS, stepsOfMs, type Judgement } from '../judgement.ts'
import type { Least } from './bound.ts'
import { likesOf, TICK_MS, type Like } from './grid.ts'
import { Taken } from './taken.ts'

/*
 * By when all ships can be over at the earliest, each at any station it may use. For an instant each station takes the
 * ships worth most that it can be over with by then, whatever they are worth; where all ships together are worth more than
 * that, no order is over by then. What a ship is worth is changed until it is so, or the work ends.
 *
 * Source: Lagrangean relaxation of columns, a column being a station's turn; J. van den Akker, J. Hoogeveen, S. van de
 * Velde, Operations Research 47, 1999 (from memory).
 * Checked: tests/shared/order/suggest/exact.test.ts and loads.test.ts, never above the best of all orders (constructed).
 */

/** Changes of what ships are worth, for one instant. */
const MOST_ROUNDS = 300
/** More ticks from the first start on are not gone through. */
const MOST_TICKS = 12_000
/** Of all worth: what the changes aim at, and how much slower they become where they do not help. */
const AIM = 0.01
const SLOWER = 0.97
/** By so much of its worth more than can be taken all is worth what shows that there is no order. */
const SURELY = 1e-7

/**
 * Steps: no order that is as good as a known one before it has its last disconnect earlier than that; −Infinity where
 * nothing is known. `from` is known to be so already.
 */
export function leastLoads<State>(
  known: Judgement,
  least: Least<State>,
  limits: { readonly from: number; readonly stop?: (() => boolean) | undefined }
): number {
  const must = new Set(least.jobs.map(({ row }) => row))
  const ships = least.alone.filter(({ row }) => must.has(row))
  const starts = ships.flatMap(({ at }) => at.map(({ startAtMs }) => startAtMs))
  const firstTick = Math.floor(Math.min(...starts) / TICK_MS)
  const ticks = Math.floor((known.lastDisconnect * STEP_MS) / TICK_MS) - firstTick
  if (ships.length === 0 || !(ticks > 0 && ticks <= MOST_TICKS)) return -Infinity
  const likes = likesOf(ships, { firstTick, ticks, short: least.short })
  if (likes === undefined) return -Infinity
  const none = Math.floor(((limits.from - 0.5) * STEP_MS) / TICK_MS) - firstTick - 1
  const first = new Loads({ ships: ships.length, likes, ticks, stop: limits.stop }).firstPossible(Math.max(0, none))
  return stepsOfMs((firstTick + first) * TICK_MS)
}

class Loads {
  private stopped = false
  private readonly worth: Float64Array
  private readonly taken: Taken

  constructor(
    private readonly given: {
      readonly ships: number
      readonly likes: readonly Like[]
      readonly ticks: number
      readonly stop: (() => boolean) | undefined
    }
  ) {
    const { ships, likes, ticks } = given
    // At first by the time it takes.
    const least = (ship: number): number => Math.min(ticks, ...likes.map(({ first }) => first[ship] ?? ticks))
    this.worth = Float64Array.from({ length: ships }, (_, ship) => Math.max(1, least(ship)))
    this.taken = new Taken(ships, ticks, { worth: this.worth, share: new Float64Array(ships), late: [] })
  }

  /** The first tick by which an order may be over, not before the one behind `none`. */
  firstPossible(none: number): number {
    let [refuted, open] = [none, this.given.ticks]
    while (refuted + 1 < open && !this.stopped) {
      const middle = (refuted + open) >> 1
      if (this.isTooMuch(middle)) refuted = middle
      else open = middle
    }
    return refuted + 1
  }

  /** All ships are worth more than all stations can take by a tick. */
  private isTooMuch(last: number): boolean {
    const { worth, taken } = this
    const { likes, stop } = this.given
    const before = worth.slice()
    let [speed, most] = [1, -Infinity]
    for (let round = 0; round < MOST_ROUNDS && !this.stopped; round++) {
      this.stopped = stop?.() === true
      const all = worth.reduce((sum, one) => sum + one, 0)
      const by = taken.all(likes, last)
      const over = (all - by) / all
      if (over > SURELY) return true
      if (over > most) most = over
      else speed *= SLOWER
      // Whoever is taken too often is worth less, whoever is left out more.
      const norm = taken.counts.reduce((sum, count) => sum + (1 - count) ** 2, 0)
      if (norm === 0) break
      const step = (speed * (by - all + AIM * all)) / norm
      for (const [ship, count] of taken.counts.entries())
        worth[ship] = Math.max(0, (worth[ship] ?? 0) + step * (1 - count))
    }
    worth.set(before)
    return false
  }
}
