import { goesOn, type Work } from './unit.ts'

/*
 * Columns that together have every item once, of each kind no more than there are: the least cost. Multipliers of the
 * items give a cost that no choice is below, whatever the multipliers; the best ones are those of the linear programme
 * in which columns may be taken in part. Its simplex works on some dozens of rows, so its inverse is kept whole.
 * Source: the revised simplex method and Lagrangean bounds (from memory).
 * Checked: tests/shared/order/suggest/cover.test.ts, against every choice (constructed).
 */

export interface Column {
  /** Items by index, ascending. */
  readonly items: readonly number[]
  readonly kind: number
  /** Whole numbers: what it costs, at least where that is not known exactly. */
  cost: number
}

export interface Cover {
  readonly items: number
  /** By kind: how many columns there may be. */
  readonly counts: readonly number[]
  /** Choices that cost more are of no interest. */
  readonly most: number
}

/** What is known of all choices. */
export interface Multipliers {
  /** No choice costs less; above `most` where there is none that costs no more. */
  readonly least: number
  readonly ofItem: Float64Array
  /** By kind: no column of it costs less than its items' multipliers by more; at most 0. */
  readonly ofKind: Float64Array
}

const SMALL = 1e-9
/** Multipliers are noisy: nothing is left out for less. */
const NOISE = 1e-6
const MOST_STEPS = 600

/** What a column costs above its items' multipliers and the best of its kind: at least 0. */
export const excessOf = (column: Column, { ofItem, ofKind }: Multipliers): number => {
  let cost = column.cost - (ofKind[column.kind] ?? 0)
  for (const item of column.items) cost -= ofItem[item] ?? 0
  return cost
}

/** A choice with this column costs no more than `most`, for all that is known. */
export const mayServe = (column: Column, by: Multipliers, most: number): boolean =>
  by.least + excessOf(column, by) <= most + NOISE * Math.max(1, most)

/** The best multipliers found for columns of which any may be taken. Ends early once no choice costs as little as `most`. */
export function multipliers(columns: readonly Column[], cover: Cover, work: Work): Multipliers {
  return new Simplex(columns, cover).run(work)
}

class Simplex {
  private readonly rows: number
  private readonly inverse: Float64Array
  private readonly amounts: Float64Array
  /** By row: the column in it; −1 an item uncovered, −2 − kind a column of a kind not used. */
  private readonly basis: Int32Array
  private readonly costs: Float64Array
  private readonly price: Float64Array
  private readonly entering: Float64Array
  private best: Multipliers
  /** What an item costs that no column has. */
  private readonly uncovered: number

  constructor(
    private readonly columns: readonly Column[],
    private readonly cover: Cover
  ) {
    const { items, counts } = cover
    const rows = items + counts.length
    this.rows = rows
    this.uncovered = cover.most + 1
    this.inverse = new Float64Array(rows * rows)
    for (let i = 0; i < rows; i++) this.inverse[i * rows + i] = 1
    // A little more of each, none as much as another: steps that change nothing are rare then. Most of the kinds: of
    // multipliers that are as good those that ask least for a kind leave least to look at.
    const moreOf = (i: number): number => (i < items ? 1e-7 : 1e-4) * (1 + ((i * 7) % 11) / 11)
    this.amounts = Float64Array.from({ length: rows }, (_, i) => (i < items ? 1 : (counts[i - items] ?? 0)) + moreOf(i))
    this.basis = Int32Array.from({ length: rows }, (_, i) => (i < items ? -1 : -2 - (i - items)))
    this.costs = Float64Array.from({ length: rows }, (_, i) => (i < items ? this.uncovered : 0))
    this.price = new Float64Array(rows)
    this.entering = new Float64Array(rows)
    this.best = { least: 0, ofItem: new Float64Array(items), ofKind: new Float64Array(counts.length) }
  }

  run(work: Work): Multipliers {
    for (let step = 0; step < MOST_STEPS; step++) {
      if (!goesOn(work)) break
      this.setPrice()
      const next = this.cheapest()
      if (next === undefined || this.best.least > this.cover.most + NOISE) break
      if (!this.enter(next)) break
    }
    return this.best
  }

  private setPrice(): void {
    const { rows, inverse, price, costs } = this
    price.fill(0)
    for (let row = 0; row < rows; row++) {
      const cost = costs[row] ?? 0
      if (cost === 0) continue
      for (let i = 0; i < rows; i++) price[i] = (price[i] ?? 0) + cost * (inverse[row * rows + i] ?? 0)
    }
  }

  /** The column to take more of, −2 − kind for less of a kind, undefined when the choice in parts is the best. */
  private cheapest(): number | undefined {
    const { columns, cover, price } = this
    const { items, counts } = cover
    const ofKind = new Float64Array(counts.length)
    let [least, next]: [number, number | undefined] = [-SMALL * Math.max(1, this.uncovered), undefined]
    for (let c = 0; c < columns.length; c++) {
      const column = columns[c] as Column
      let reduced = column.cost
      for (const item of column.items) reduced -= price[item] ?? 0
      if (reduced < (ofKind[column.kind] ?? 0)) ofKind[column.kind] = reduced
      reduced -= price[items + column.kind] ?? 0
      if (reduced < least) [least, next] = [reduced, c]
    }
    for (let kind = 0; kind < counts.length; kind++) {
      const reduced = -(price[items + kind] ?? 0)
      if (reduced < least) [least, next] = [reduced, -2 - kind]
    }
    let sum = 0
    for (let item = 0; item < items; item++) sum += price[item] ?? 0
    for (let kind = 0; kind < counts.length; kind++) sum += (counts[kind] ?? 0) * (ofKind[kind] ?? 0)
    if (sum > this.best.least) this.best = { least: sum, ofItem: price.slice(0, items), ofKind }
    return next
  }

  private enter(next: number): boolean {
    const { rows, inverse, amounts, basis, costs, entering, cover } = this
    const column = this.columns[next]
    const its = column === undefined ? [cover.items - next - 2] : [...column.items, cover.items + column.kind]
    let [leaving, least] = [-1, Infinity]
    for (let row = 0; row < rows; row++) {
      let value = 0
      for (const i of its) value += inverse[row * rows + i] ?? 0
      entering[row] = value
      if (value <= SMALL) continue
      const ratio = (amounts[row] ?? 0) / value
      if (ratio < least) [leaving, least] = [row, ratio]
    }
    if (leaving < 0) return false
    const pivot = entering[leaving] ?? 1
    for (let i = 0; i < rows; i++) inverse[leaving * rows + i] = (inverse[leaving * rows + i] ?? 0) / pivot
    amounts[leaving] = (amounts[leaving] ?? 0) / pivot
    for (let row = 0; row < rows; row++) {
      const factor = entering[row] ?? 0
      if (row === leaving || factor === 0) continue
      for (let i = 0; i < rows; i++)
        inverse[row * rows + i] = (inverse[row * rows + i] ?? 0) - factor * (inverse[leaving * rows + i] ?? 0)
      amounts[row] = Math.max(0, (amounts[row] ?? 0) - factor * (amounts[leaving] ?? 0))
    }
    basis[leaving] = next
    costs[leaving] = column?.cost ?? 0
    return true
  }
}

export interface Choice {
  readonly cost: number
  /** Columns by index. */
  readonly columns: readonly number[]
}

/**
 * The cheapest choice that costs no more than `most`, or the first one where `any`. `whole`: all were gone through, so
 * that without a choice there is none.
 */
export function cheapest(
  columns: readonly Column[],
  cover: Cover & { readonly any?: boolean; readonly work: Work; readonly nodes: number },
  by: Multipliers
): { readonly choice: Choice | undefined; readonly whole: boolean } {
  const walk = new Walk(columns, cover, by)
  walk.from(0, by.least)
  return { choice: walk.best, whole: walk.whole }
}

class Walk {
  best: Choice | undefined
  whole = true
  private readonly having: number[][]
  private readonly excess: Float64Array
  private readonly taken: boolean[]
  private readonly left: number[]
  private readonly chosen: number[] = []
  private most: number
  private nodes = 0
  private over = false

  constructor(
    private readonly columns: readonly Column[],
    private readonly cover: Cover & { readonly any?: boolean; readonly work: Work; readonly nodes: number },
    by: Multipliers
  ) {
    this.most = cover.most
    this.excess = Float64Array.from(columns, (column) => excessOf(column, by))
    const alive = [...columns.keys()].filter((c) => mayServe(columns[c] as Column, by, cover.most))
    const excess = (c: number): number => Math.round((this.excess[c] ?? 0) / NOISE)
    const size = (c: number): number => columns[c]?.items.length ?? 0
    // Of equals the one that leaves fewer to be taken.
    alive.sort((a, b) => excess(a) - excess(b) || size(b) - size(a) || a - b)
    this.having = Array.from({ length: cover.items }, (_, item) =>
      alive.filter((c) => columns[c]?.items.includes(item) === true)
    )
    this.taken = Array.from({ length: cover.items }, () => false)
    this.left = [...cover.counts]
  }

  /** `least`: no choice with the columns taken so far costs less. */
  from(cost: number, least: number): void {
    const item = this.hardest(least)
    if (item === undefined) {
      // With columns of a kind left over it costs more than the bound tells.
      if (cost > this.most) return
      this.best = { cost, columns: [...this.chosen] }
      this.most = cost - 1
      if (this.cover.any === true) this.over = true
      return
    }
    for (const c of item) {
      const next = least + (this.excess[c] ?? 0)
      if (!this.fits(c, least)) continue
      if (++this.nodes > this.cover.nodes || !goesOn(this.cover.work)) {
        this.over = true
        this.whole = false
      }
      if (this.over) return
      const column = this.columns[c] as Column
      for (const one of column.items) this.taken[one] = true
      this.left[column.kind] = (this.left[column.kind] ?? 0) - 1
      this.chosen.push(c)
      this.from(cost + column.cost, next)
      this.chosen.pop()
      this.left[column.kind] = (this.left[column.kind] ?? 0) + 1
      for (const one of column.items) this.taken[one] = false
    }
  }

  private fits(c: number, least: number): boolean {
    const column = this.columns[c] as Column
    if (least + (this.excess[c] ?? 0) > this.most + NOISE * Math.max(1, this.most)) return false
    return (this.left[column.kind] ?? 0) > 0 && !column.items.some((one) => this.taken[one])
  }

  /** The columns of the item that the fewest have; undefined when all items are taken. */
  private hardest(least: number): readonly number[] | undefined {
    let found: readonly number[] | undefined
    let fewest = Infinity
    for (let item = 0; item < this.cover.items; item++) {
      if (this.taken[item]) continue
      let count = 0
      for (const c of this.having[item] ?? []) {
        if (this.fits(c, least)) count++
        if (count >= fewest) break
      }
      if (count >= fewest) continue
      fewest = count
      found = this.having[item]
    }
    return found
  }
}
