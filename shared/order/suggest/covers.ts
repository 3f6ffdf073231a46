import type { Dice } from './dice.ts'
import { Programme } from './programme.ts'
import { Queues, type Place, type Queue } from './queue.ts'
import type { Work } from './unit.ts'

/*
 * Queues that together have every ship once, of each kind of station no more than there are. Where there are none even when
 * each queue may be taken in part, there are none: that needs only those queues which are worth more than is lacking, and
 * they are looked for as it goes. From the largest parts comes a choice of whole ones.
 *
 * Source: column generation for parallel machines, J. van den Akker, J. Hoogeveen, S. van de Velde, Operations Research 47,
 * 1999 (from memory).
 * Checked: tests/shared/order/suggest/queues.test.ts, never above the best of all orders (constructed).
 */

/** A queue at a kind of station. */
export interface Turn {
  readonly kind: number
  /** In turn. */
  readonly ships: readonly number[]
  /** By place in it. */
  readonly overMs: readonly number[]
}

/** What is left to be chosen. */
interface Left {
  readonly ships: readonly number[]
  /** By kind of station. */
  readonly counts: readonly number[]
}

/** Queues of a length that go on where the best of all is not needed. */
const NARROW = 300
const ALL = Infinity
/** Ships: so many more than can be served are no noise. */
const SURELY = 1e-6
/** Ships: fewer that are lacking come of noise. */
const LACKING = 1e-4
const MOST_ROUNDS = 400
/** Where the rest cannot be served so many queues of those chosen are given up, so often. */
const GIVEN_UP = 3
const MOST_AGAIN = 40
/** What is chosen instead is among so many of the largest parts. */
const MOST_LIKELY = 4

export class Covers {
  private readonly queues: readonly Queues[]
  private readonly turns: Turn[] = []
  /** By kind and ships: when such a queue is over at the earliest that is known. */
  private readonly known = new Map<string, number>()
  private readonly all: Left

  constructor(
    places: readonly Place[],
    private readonly by: { readonly flightOf: Int32Array; readonly untilMs: number; readonly work: Work }
  ) {
    this.queues = places.map((place) => new Queues(place, by.flightOf, by))
    this.all = { ships: [...by.flightOf.keys()], counts: places.map(({ count }) => count) }
  }

  /** False where nothing can be told. */
  get apt(): boolean {
    return this.queues.every(({ apt }) => apt)
  }

  ended(): boolean {
    const { work } = this.by
    return work.stopped || work.count > work.most
  }

  /** No choice has each ship over before its instant; undefined when the work ends. */
  hasNone(beforeMs: Float64Array): boolean | undefined {
    const found = this.inParts(beforeMs, this.all, [NARROW, ALL])
    return this.ended() ? undefined : found === undefined
  }

  /**
   * The least weight that every choice leaves out, by the weight of each ship, when all others are over before their
   * instant; what is known when the work ends.
   */
  leastLost(beforeMs: Float64Array, weights: readonly number[]): number {
    const parts = new Parts(this.all, beforeMs, weights)
    for (const turn of this.turns) parts.put(turn)
    let least = 0
    for (let round = 0; round < MOST_ROUNDS; round++) {
      parts.run(this.by.work)
      if (this.ended()) break
      const { more, lacking } = this.moreAt(parts, NARROW)
      least = Math.max(least, lacking)
      const all = more ? undefined : this.moreAt(parts, ALL)
      least = Math.max(least, all?.lacking ?? 0)
      if (all?.more === false || this.ended()) break
    }
    return least
  }

  /** A choice that leaves out little weight, the largest parts of the best in parts taken whole one after the other. */
  chooseMost(beforeMs: Float64Array, weights: readonly number[]): readonly Turn[] {
    const chosen: Turn[] = []
    while (!this.ended()) {
      const parts = new Parts(this.leftBy(chosen), beforeMs, weights)
      for (const turn of this.turns) parts.put(turn)
      for (let round = 0, more = true; more && round < MOST_ROUNDS && !this.ended(); round++) {
        parts.run(this.by.work)
        more = this.moreAt(parts, NARROW).more
      }
      const [first, ...others] = parts.largest()
      if (first === undefined) break
      chosen.push(first.turn)
      for (const { turn, part } of others) if (part > 1 - LACKING) chosen.push(turn)
    }
    return chosen
  }

  private leftBy(chosen: readonly Turn[]): Left {
    const taken = new Set(chosen.flatMap(({ ships }) => ships))
    return {
      ships: this.all.ships.filter((ship) => !taken.has(ship)),
      counts: this.all.counts.map((count, kind) => count - chosen.filter((turn) => turn.kind === kind).length)
    }
  }

  /** The best in parts, of queues found at these widths; undefined where there is none. */
  private inParts(beforeMs: Float64Array, left: Left, widths: readonly number[]): Parts | undefined {
    const parts = new Parts(left, beforeMs)
    for (const turn of this.turns) parts.put(turn)
    for (let round = 0; round < MOST_ROUNDS; round++) {
      parts.run(this.by.work)
      if (this.ended() || parts.lacking() < LACKING) return parts
      const more = this.moreFor(parts, widths)
      if (more === undefined) return undefined
      if (!more) return widths.includes(ALL) ? parts : undefined
    }
    return parts
  }

  /** Whether there are more queues for it; undefined where even with the best of all queues some ships are lacking. */
  private moreFor(parts: Parts, widths: readonly number[]): boolean | undefined {
    for (const width of widths) {
      const { more, lacking } = this.moreAt(parts, width)
      if (lacking > SURELY) return undefined
      if (more || this.ended()) return true
    }
    return false
  }

  /** Whether there are more queues for it, and what is lacking with the best of all queues at least. */
  private moreAt(parts: Parts, width: number): { readonly more: boolean; readonly lacking: number } {
    const { beforeMs, worth, left } = parts
    let [more, lacking] = [false, parts.ofShips()]
    for (const [kind, queues] of this.queues.entries()) {
      const count = left.counts[kind] ?? 0
      if (count === 0) continue
      const told = queues.worthMost({ worth, beforeMs, above: parts.ofKind(kind), width })
      lacking -= count * told.most
      for (const queue of told.queues) more = this.take(kind, queue, parts) || more
    }
    return { more, lacking }
  }

  /** False where it is known already. */
  private take(kind: number, { ships, overMs }: Queue, parts: Parts): boolean {
    const key = `${String(kind)}:${ships.toSorted((a, b) => a - b).join()}`
    if ((this.known.get(key) ?? Infinity) <= overMs) return false
    this.known.set(key, overMs)
    const turn = { kind, ships, overMs: this.queues[kind]?.endsOf(ships) ?? [] }
    this.turns.push(turn)
    parts.put(turn)
    return true
  }

  /** A choice that has each ship over before its instant, the largest parts taken whole; undefined where none is found. */
  choose(beforeMs: Float64Array, dice: Dice): readonly Turn[] | undefined {
    const chosen: Turn[] = []
    for (let again = 0; again <= MOST_AGAIN && !this.ended();) {
      const left = this.leftBy(chosen)
      if (left.ships.length === 0) return chosen
      const largest = this.inParts(beforeMs, left, [NARROW])?.largest() ?? []
      if (largest.length === 0) {
        again++
        for (let i = 0; i < GIVEN_UP; i++) chosen.splice(dice.below(chosen.length), 1)
        continue
      }
      const [first, ...others] = again === 0 ? largest : inOtherTurn(largest, dice)
      if (first !== undefined) chosen.push(first.turn)
      for (const { turn, part } of others) if (part > 1 - LACKING) chosen.push(turn)
    }
    return undefined
  }
}

function inOtherTurn<Part>(parts: readonly Part[], dice: Dice): readonly Part[] {
  const at = dice.below(Math.min(MOST_LIKELY, parts.length))
  return [...parts.slice(at, at + 1), ...parts.filter((_, i) => i !== at)]
}

/** Queues in parts: a row a ship that is left, then one a kind of station; what is lacking is the cost, by weight where given. */
class Parts {
  /** By ship. */
  readonly worth: Float64Array
  private readonly programme: Programme
  private readonly rowOf: Int32Array
  private readonly turns: Turn[] = []
  private readonly firstTurn: number

  constructor(
    readonly left: Left,
    readonly beforeMs: Float64Array,
    private readonly weights?: readonly number[]
  ) {
    this.worth = new Float64Array(beforeMs.length)
    this.rowOf = new Int32Array(beforeMs.length).fill(-1)
    left.ships.forEach((ship, row) => (this.rowOf[ship] = row))
    const ships = left.ships.map(() => ({ amount: 1, must: true }))
    const fine = weights === undefined ? 1 : Math.max(...weights) + 1
    this.programme = new Programme([...ships, ...left.counts.map((amount) => ({ amount, must: false }))], fine)
    if (weights !== undefined)
      left.ships.forEach((ship, row) => this.programme.add({ rows: [row], cost: weights[ship] ?? 0 }))
    this.firstTurn = this.programme.columns.length
  }

  /** Where all its ships are left and over in time. */
  put(turn: Turn): void {
    const { ships, kind, overMs } = turn
    const isInTime = (ship: number, at: number): boolean => (overMs[at] ?? Infinity) < (this.beforeMs[ship] ?? 0)
    if ((this.left.counts[kind] ?? 0) === 0) return
    if (!ships.every((ship, at) => (this.rowOf[ship] ?? -1) >= 0 && isInTime(ship, at))) return
    const rows = ships.map((ship) => this.rowOf[ship] ?? 0)
    this.programme.add({ rows: [...rows, this.left.ships.length + kind], cost: 0 })
    this.turns.push(turn)
  }

  run(work: Work): void {
    this.programme.run(work)
    // None is worth more than what it costs that it is lacking.
    for (const ship of this.left.ships)
      this.worth[ship] = Math.min(this.programme.price[this.rowOf[ship] ?? 0] ?? 0, this.weights?.[ship] ?? Infinity)
  }

  lacking(): number {
    return this.programme.value()
  }

  ofShips(): number {
    return this.left.ships.reduce((sum, ship) => sum + (this.worth[ship] ?? 0), 0)
  }

  ofKind(kind: number): number {
    return Math.max(0, -(this.programme.price[this.left.ships.length + kind] ?? 0))
  }

  largest(): { readonly turn: Turn; readonly part: number }[] {
    return this.programme
      .taken()
      .flatMap(({ column, part }) => {
        const turn = this.turns[column - this.firstTurn]
        return turn === undefined || part < LACKING ? [] : [{ turn, part }]
      })
      .sort((a, b) => b.part - a.part)
  }
}
