import { GrownQueues } from './grown.ts'
import { goesOn, type Work } from './unit.ts'

/*
 * Which ships one station may have in turn when each is worth something: the queues worth most. Queue after queue grows by
 * a ship, but none that is worth no more than is asked for with all that may still come behind it. What may still come is
 * worked out backwards over ticks, forgetting who stood there already but for the last.
 *
 * Source: label setting with bounds on what may follow, as for routes with time windows (from memory).
 * Checked: tests/shared/order/suggest/queue.test.ts, against every queue (constructed).
 */

/** Stations that are alike for all ships. */
export interface Place {
  readonly count: number
  /** By ship, ms: when it is over as the first one; Infinity: it does not stand there. */
  readonly firstMs: Float64Array
  /** The changeover between two ships of a flight, and of two flights. */
  readonly withinMs: number
  readonly betweenMs: number
  /** When a ship is over at a station that is free for it from an instant: never earlier for a later one, never at once. */
  readonly overAtMs: (ship: number, freeAtMs: number) => number
}

export interface Queue {
  /** In turn. */
  readonly ships: readonly number[]
  readonly overMs: number
  readonly worth: number
}

export interface Ask {
  /** By ship; who is worth nothing stands nowhere. */
  readonly worth: Float64Array
  /** By ship, ms: it must be over before. */
  readonly beforeMs: Float64Array
  /** At least 0: queues worth no more are of no interest. */
  readonly above: number
  /** At most so many of a length go on; Infinity: all. */
  readonly width: number
}

export interface Told {
  /** No queue is worth more, nor than `above`. */
  readonly most: number
  /** Of those of interest that went on the ones worth most, the most first. */
  readonly queues: readonly Queue[]
  /** All of interest went on. */
  readonly whole: boolean
}

/** Fine enough to leave little that is of no interest. */
const TICK_MS = 10_000
const MOST_TICKS = 400
const MOST_TOLD = 40
const SMALL = 1e-9
const NOBODY = -1

export class Queues {
  /** False where a ship may be over within the tick in which it begins: what may follow is not known then. */
  readonly apt: boolean
  private readonly ships: number
  private readonly beginMs: number
  private readonly tickMs: number
  private readonly ticks: number
  /** By tick and ship, ms: over when the station is free for it then, behind its own flight and behind another. */
  private readonly ownMs: Float64Array
  private readonly otherMs: Float64Array
  /** By tick and ship: no more is what may follow worth when the ship is over then. */
  private readonly follows: Float64Array
  /** Of one tick: no more is a ship worth with what may follow, behind its own flight. */
  private readonly behindOwn: Float64Array
  private readonly grown: GrownQueues

  constructor(
    private readonly place: Place,
    private readonly flightOf: Int32Array,
    private readonly by: { readonly untilMs: number; readonly work: Work }
  ) {
    const { firstMs, withinMs, betweenMs, overAtMs } = place
    const { untilMs } = by
    this.ships = flightOf.length
    this.beginMs = Math.min(untilMs, ...firstMs)
    this.tickMs = Math.max(TICK_MS, (untilMs - this.beginMs) / MOST_TICKS)
    this.ticks = Math.ceil((untilMs - this.beginMs) / this.tickMs) + 1
    const cells = this.ticks * this.ships
    this.ownMs = new Float64Array(cells).fill(Infinity)
    this.otherMs = new Float64Array(cells).fill(Infinity)
    this.follows = new Float64Array(cells)
    for (let tick = 0; tick < this.ticks; tick++)
      for (let ship = 0; ship < this.ships; ship++) {
        if (firstMs[ship] === Infinity) continue
        const freeAtMs = this.beginMs + tick * this.tickMs
        this.ownMs[tick * this.ships + ship] = overAtMs(ship, freeAtMs + withinMs)
        this.otherMs[tick * this.ships + ship] = overAtMs(ship, freeAtMs + betweenMs)
      }
    const endsLater = (overMs: number, cell: number): boolean => this.tickOf(overMs) > Math.floor(cell / this.ships)
    const isLast = (cell: number): boolean => cell >= (this.ticks - 1) * this.ships
    this.apt = [this.ownMs, this.otherMs].every((ends) => ends.every((ms, cell) => isLast(cell) || endsLater(ms, cell)))
    this.behindOwn = new Float64Array(this.ships)
    this.grown = new GrownQueues(this.ships)
  }

  /** Those worth most; when the work ends those found till then. */
  worthMost(ask: Ask): Told {
    const { grown } = this
    this.setFollows(ask)
    const mayBe = this.mostOf(ask)
    grown.clear()
    for (let ship = 0; ship < this.ships; ship++) this.put(ship, this.place.firstMs[ship] ?? Infinity, NOBODY, ask)
    let [most, whole, from] = [ask.above, true, 0]
    const found: number[] = []
    while (from < grown.count) {
      const layer = this.widest(from, ask.width)
      whole &&= layer.length === grown.count - from
      from = grown.count
      grown.beginLayer()
      for (const queue of layer) {
        const worth = grown.worth[queue] ?? 0
        if (worth > ask.above + SMALL) found.push(queue)
        most = Math.max(most, worth)
        if (!this.extend(queue, ask)) return { most: mayBe, queues: this.told(found), whole: false }
      }
    }
    return { most: whole ? Math.min(mayBe, most + SMALL) : mayBe, queues: this.told(found), whole }
  }

  /** When each of some ships in turn is over, ms. */
  endsOf(ships: readonly number[]): number[] {
    const { flightOf, place } = this
    const ends: number[] = []
    for (const [at, ship] of ships.entries()) {
      const before = ships[at - 1]
      if (before === undefined) ends.push(place.firstMs[ship] ?? Infinity)
      else {
        const changeMs = flightOf[before] === flightOf[ship] ? place.withinMs : place.betweenMs
        ends.push(place.overAtMs(ship, (ends[at - 1] ?? Infinity) + changeMs))
      }
    }
    return ends
  }

  private told(found: number[]): Queue[] {
    const { worth, overMs } = this.grown
    const better = (a: number, b: number): number =>
      (worth[b] ?? 0) - (worth[a] ?? 0) || (overMs[a] ?? 0) - (overMs[b] ?? 0) || a - b
    return found
      .sort(better)
      .slice(0, MOST_TOLD)
      .map((queue) => ({ ships: this.grown.inTurn(queue), overMs: overMs[queue] ?? 0, worth: worth[queue] ?? 0 }))
  }

  /** Those from an index on that may come to most. */
  private widest(from: number, width: number): number[] {
    const { grown } = this
    const layer = Array.from({ length: grown.count - from }, (_, i) => from + i)
    if (layer.length <= width) return layer
    const may = Float64Array.from(layer, (queue) => {
      const ship = grown.ship[queue] ?? 0
      return (grown.worth[queue] ?? 0) + this.followsAt(ship, grown.overMs[queue] ?? 0)
    })
    return layer.sort((a, b) => (may[b - from] ?? 0) - (may[a - from] ?? 0) || a - b).slice(0, width)
  }

  private followsAt(ship: number, overMs: number): number {
    return this.follows[this.tickOf(overMs) * this.ships + ship] ?? 0
  }

  private tickOf(atMs: number): number {
    return Math.min(this.ticks - 1, Math.max(0, Math.floor((atMs - this.beginMs) / this.tickMs)))
  }

  /** A ship over then with all that may follow; below 0 where it does not stand there. */
  private mayBe(ship: number, overMs: number, { worth, beforeMs }: Ask): number {
    const its = worth[ship] ?? 0
    if (!(its > 0 && overMs < (beforeMs[ship] ?? Infinity))) return NOBODY
    return its + this.followsAt(ship, overMs)
  }

  private mostOf(ask: Ask): number {
    let most = ask.above
    for (let ship = 0; ship < this.ships; ship++)
      most = Math.max(most, this.mayBe(ship, this.place.firstMs[ship] ?? Infinity, ask))
    return most
  }

  private setFollows(ask: Ask): void {
    const { ships, ticks, flightOf, ownMs, otherMs, follows, behindOwn } = this
    for (let tick = ticks - 1; tick >= 0; tick--) {
      // The most of a flight, and the most of any other.
      let [most, itsFlight, next] = [0, NOBODY, 0]
      for (let ship = 0; ship < ships; ship++) {
        behindOwn[ship] = this.mayBe(ship, ownMs[tick * ships + ship] ?? Infinity, ask)
        const may = this.mayBe(ship, otherMs[tick * ships + ship] ?? Infinity, ask)
        const flight = flightOf[ship] ?? NOBODY
        if (may > most) {
          if (flight !== itsFlight) next = most
          ;[most, itsFlight] = [may, flight]
        } else if (flight !== itsFlight && may > next) next = may
      }
      for (let ship = 0; ship < ships; ship++) {
        const flight = flightOf[ship] ?? NOBODY
        let best = flight === itsFlight ? next : most
        for (let mate = 0; mate < ships; mate++)
          if (mate !== ship && flightOf[mate] === flight) best = Math.max(best, behindOwn[mate] ?? 0)
        follows[tick * ships + ship] = best
      }
    }
  }

  /** False when the work ends. */
  private extend(queue: number, ask: Ask): boolean {
    const { grown, ships, flightOf, place } = this
    const overMs = grown.overMs[queue] ?? 0
    const flight = flightOf[grown.ship[queue] ?? 0]
    for (let ship = 0; ship < ships; ship++) {
      if (!((ask.worth[ship] ?? 0) > 0) || place.firstMs[ship] === Infinity || grown.has(queue, ship)) continue
      if (!goesOn(this.by.work)) return false
      const changeMs = flightOf[ship] === flight ? place.withinMs : place.betweenMs
      this.put(ship, place.overAtMs(ship, overMs + changeMs), queue, ask)
    }
    return true
  }

  private put(ship: number, overMs: number, from: number, { worth, beforeMs, above }: Ask): void {
    const its = worth[ship] ?? 0
    if (!(its > 0 && overMs < (beforeMs[ship] ?? Infinity))) return
    const sum = its + (from < 0 ? 0 : (this.grown.worth[from] ?? 0))
    if (sum + this.followsAt(ship, overMs) <= above + SMALL) return
    this.grown.put({ ship, flight: this.flightOf[ship] ?? 0, overMs, worth: sum, from })
  }
}
