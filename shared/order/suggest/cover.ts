import { Programme, type Entries } from './programme.ts'
import { goesOn, type Work } from './unit.ts'

/*
 * Columns that together have every item once, of each kind no more than there are: the least cost. Multipliers of the
 * items give a cost that no choice is below, whatever the multipliers; the best ones are those of the linear programme
 * in which columns may be taken in part.
 * Source: Lagrangean bounds (from memory).
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

/** Multipliers are noisy: nothing is left out for less. */
const NOISE = 1e-6

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
export function multipliers(columns: readonly Column[], { items, counts, most }: Cover, work: Work): Multipliers {
  const amounts = [...Array.from({ length: items }, () => 1), ...counts]
  const programme = new Programme(
    amounts.map((amount, i) => ({ amount, must: i < items })),
    most + 1
  )
  for (const column of columns) programme.add(entriesOf(column, items))
  let best: Multipliers = { least: 0, ofItem: new Float64Array(items), ofKind: new Float64Array(counts.length) }
  programme.run(work, () => {
    const { price, reduced } = programme
    const ofKind = new Float64Array(counts.length)
    for (let c = 0; c < columns.length; c++) {
      const kind = columns[c]?.kind ?? 0
      const cost = (reduced[c] ?? 0) + (price[items + kind] ?? 0)
      if (cost < (ofKind[kind] ?? 0)) ofKind[kind] = cost
    }
    let least = 0
    for (let item = 0; item < items; item++) least += price[item] ?? 0
    for (let kind = 0; kind < counts.length; kind++) least += (counts[kind] ?? 0) * (ofKind[kind] ?? 0)
    if (least > best.least) best = { least, ofItem: price.slice(0, items), ofKind }
    return best.least > most + NOISE
  })
  return best
}

/** A row an item, then one a kind. */
export const entriesOf = ({ items, kind, cost }: Column, count: number): Entries => ({
  rows: [...items, count + kind],
  cost
})

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
