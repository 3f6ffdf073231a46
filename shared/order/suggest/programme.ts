import { goesOn, type Work } from './unit.ts'

/*
 * The least cost of columns that may be taken in part, so that each row has what it must or no more than it may; columns
 * may come while it is worked out. What a row is worth, its price, tells which columns would make it cheaper, also of those
 * that are not there yet. The rows are some dozens or a few hundred, so their inverse is kept whole.
 *
 * Source: the revised simplex method (from memory).
 * Checked: tests/shared/order/suggest/programme.test.ts, against highs.
 */

export interface Row {
  readonly amount: number
  /** It must have it; else it has no more. */
  readonly must: boolean
}

export interface Entries {
  /** It has one of each. */
  readonly rows: readonly number[]
  readonly cost: number
}

export interface Taken {
  /** By index. */
  readonly column: number
  readonly part: number
}

const SMALL = 1e-9
/** Parts below come of the noise that is added. */
const NOISE = 1e-6
const MOST_STEPS = 2_000
/** Of work a step with so many entries of the inverse is one unit more, as a power of 2. */
const STEPS_A_UNIT = 10
/** Basis entries below are no columns: −1 less the row, what it lacks or leaves over. */
const OWN = -1

export class Programme {
  readonly columns: Entries[] = []
  /** By row. */
  readonly price: Float64Array
  /** By column: its cost above what its rows are worth. */
  reduced = new Float64Array(64)
  private readonly count: number
  private readonly inverse: Float64Array
  private readonly amounts: Float64Array
  private readonly basis: Int32Array
  private readonly costs: Float64Array
  private readonly entering: Float64Array

  /** `fine`: what it costs that a row lacks one of what it must have; what it has had once it does not lack again. */
  constructor(
    private readonly rows: readonly Row[],
    private readonly fine: number
  ) {
    const count = rows.length
    this.count = count
    this.price = new Float64Array(count)
    this.inverse = new Float64Array(count * count)
    for (let i = 0; i < count; i++) this.inverse[i * count + i] = 1
    this.amounts = Float64Array.from(rows, (row, i) => row.amount + moreOf(row) * (1 + ((i * 7) % 11) / 11))
    this.basis = Int32Array.from(rows, (_, i) => OWN - i)
    this.costs = Float64Array.from(rows, ({ must }) => (must ? fine : 0))
    this.entering = new Float64Array(count)
  }

  /** Its index. */
  add(column: Entries): number {
    const index = this.columns.push(column) - 1
    if (index === this.reduced.length) {
      const longer = new Float64Array(2 * index)
      longer.set(this.reduced)
      this.reduced = longer
    }
    return index
  }

  /** From where it stands on, until no column makes it cheaper or `enough`, asked at each step, says so. */
  run(work: Work, enough?: () => boolean): void {
    for (let step = 0; step < MOST_STEPS; step++) {
      if (!goesOn(work, 1 + ((this.count * this.count) >> STEPS_A_UNIT))) return
      this.setPrice()
      const next = this.cheapest()
      if (enough?.() === true || next === undefined || !this.enter(next)) return
    }
  }

  /** What all comes to at these prices. */
  value(): number {
    return this.rows.reduce((sum, { amount }, i) => sum + amount * (this.price[i] ?? 0), 0)
  }

  taken(): Taken[] {
    const all = Array.from(this.basis, (column, i) => ({ column, part: this.amounts[i] ?? 0 }))
    return all.filter(({ column, part }) => column >= 0 && part > NOISE)
  }

  private setPrice(): void {
    const { count, inverse, price, costs } = this
    price.fill(0)
    for (let row = 0; row < count; row++) {
      const cost = costs[row] ?? 0
      if (cost === 0) continue
      for (let i = 0; i < count; i++) price[i] = (price[i] ?? 0) + cost * (inverse[row * count + i] ?? 0)
    }
  }

  reducedOf({ rows, cost }: Entries): number {
    const { price } = this
    let left = cost
    for (let k = 0; k < rows.length; k++) left -= price[rows[k] ?? 0] ?? 0
    return left
  }

  /** The column to take more of; below 0 less of what a row leaves over; undefined when nothing is cheaper. */
  private cheapest(): number | undefined {
    const { columns, reduced, rows, price, count } = this
    let [least, next]: [number, number | undefined] = [-SMALL * Math.max(1, this.fine), undefined]
    for (let c = 0; c < columns.length; c++) {
      const its = this.reducedOf(columns[c] as Entries)
      reduced[c] = its
      if (its < least) [least, next] = [its, c]
    }
    for (let row = 0; row < count; row++) {
      if (rows[row]?.must === false && -(price[row] ?? 0) < least) [least, next] = [-(price[row] ?? 0), OWN - row]
    }
    return next
  }

  private enter(next: number): boolean {
    const { count, inverse, amounts, basis, costs, entering } = this
    const column = this.columns[next] ?? { rows: [OWN - next], cost: 0 }
    const leaving = this.leaving(column)
    if (leaving < 0) return false
    const pivot = entering[leaving] ?? 1
    for (let i = 0; i < count; i++) inverse[leaving * count + i] = (inverse[leaving * count + i] ?? 0) / pivot
    amounts[leaving] = (amounts[leaving] ?? 0) / pivot
    for (let row = 0; row < count; row++) {
      const factor = entering[row] ?? 0
      if (row === leaving || factor === 0) continue
      for (let i = 0; i < count; i++)
        inverse[row * count + i] = (inverse[row * count + i] ?? 0) - factor * (inverse[leaving * count + i] ?? 0)
      amounts[row] = Math.max(0, (amounts[row] ?? 0) - factor * (amounts[leaving] ?? 0))
    }
    basis[leaving] = next
    costs[leaving] = column.cost
    return true
  }

  /** The row whose column goes; below 0 where none does. */
  private leaving({ rows }: Entries): number {
    const { count, inverse, amounts, entering } = this
    let [leaving, least] = [-1, Infinity]
    for (let row = 0; row < count; row++) {
      let value = 0
      for (let k = 0; k < rows.length; k++) value += inverse[row * count + (rows[k] ?? 0)] ?? 0
      entering[row] = value
      if (value <= SMALL) continue
      const ratio = (amounts[row] ?? 0) / value
      if (ratio < least) [leaving, least] = [row, ratio]
    }
    return leaving
  }
}

/**
 * A little more of each row, none as much as another: steps that change nothing are rare then. Most of what may be left
 * over: of prices that are as good those that ask least for it leave least to look at.
 */
const moreOf = ({ must }: Row): number => (must ? 1e-7 : 1e-4)
