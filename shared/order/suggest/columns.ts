import { stepsOfMs } from '../judgement.ts'
import type { GroupRow, StationRow } from '../timetable.ts'
import type { Least } from './bound.ts'
import { excessOf, type Column, type Multipliers } from './cover.ts'
import type { Field } from './field.ts'
import { NOISE_MS, stepsLate, type Kind } from './part.ts'
import { Tanker, TOO_MANY, type Best, type Lot } from './tanker.ts'
import { sameStation, type Work } from './unit.ts'
import { NO_STEP } from './ways.ts'

/*
 * Which flights one tanker may serve together, each such set a column. What it costs exactly takes work, so first comes what
 * it costs at least, by what is known of smaller sets; and only sets that may be of interest are there at all.
 */

export interface Known<State> extends Column {
  /** Its cost is what it costs, not the least of it. */
  exact: boolean
  /** It serves nobody: it costs more than any order of interest, or comes too late. */
  dead: boolean
  best: Best<State> | undefined
}

/** What an order of interest comes to at most. */
export interface Aim {
  lateness: number
  last: number
}

/** Tankers that are alike for all ships. */
export interface Kindred<State> {
  readonly tanker: Tanker<State>
  readonly units: readonly (readonly StationRow[])[]
}

interface Task {
  readonly releaseAtMs: number
  readonly workMs: number
}

/** Lots are below this, so that a set of some of them is a number. */
export const MOST_LOTS = 63
const KEY = MOST_LOTS + 1
/** What costs little more than is of interest may be of interest later. */
const LOOSER = 1.02
const SMALL = 1e-6

const keyOf = (items: readonly number[]): number => items.reduce((key, item) => key * KEY + item + 1, 0)

export class Columns<State> {
  readonly all: Known<State>[] = []
  readonly kindred: readonly Kindred<State>[]
  /** A column of interest has too many ships to be gone through. */
  stuck = false
  private readonly byKey: readonly Map<number, Known<State>>[]
  private readonly tasks = new Map<number, readonly Task[]>()

  constructor(
    private readonly field: Field<State>,
    private readonly lots: readonly Lot<State>[],
    private readonly by: {
      readonly before: Least<State>['stations']
      readonly startLate: readonly number[]
      readonly mostLate?: readonly number[] | undefined
      readonly work: Work
      readonly aim: Aim
    }
  ) {
    this.kindred = this.kindredOf()
    this.byKey = this.kindred.map(() => new Map())
  }

  /** Those that may be in an order of interest, as far as they are known exactly. */
  useful(): readonly Known<State>[] {
    const { last } = this.by.aim
    return this.all.filter(({ exact, best }) => exact && (best?.last ?? NO_STEP) <= last)
  }

  /** All columns of one lot and of two. */
  begin(): void {
    const { aim } = this.by
    for (const kind of this.kindred.keys()) for (const lot of this.lots.keys()) this.add(kind, [lot], 0)
    this.refine(this.all, () => aim.lateness)
    this.grow(1)
    this.refine(this.all, () => aim.lateness)
  }

  /** Some lots at a tanker given by its stations, whatever they cost. */
  put(station: StationRow, items: readonly number[]): void {
    const kind = this.kindred.findIndex(({ units }) => units.some((unit) => unit.includes(station)))
    if (kind < 0 || items.length === 0) return
    this.add(kind, items, 0)
    const column = this.byKey[kind]?.get(keyOf(items))
    if (column !== undefined) this.refine([column], () => this.by.aim.lateness, false)
  }

  /**
   * Looks for all columns that may be of interest by these multipliers, smaller ones first. True when one costs less than
   * they say, or the work ends: then no bound comes of them.
   */
  below(multipliers: Multipliers): boolean {
    for (let size = 2; ; size++) {
      const open = this.all.filter(({ items, exact, dead }) => items.length === size && !exact && !dead)
      // What is known of smaller ones may have grown.
      for (const column of open)
        column.cost = Math.max(column.cost, this.leastOf(column.kind, column.items) ?? Infinity)
      if (!this.refine(open, (column) => this.limitOf(column, multipliers))) return true
      const its = this.useful().filter(({ items }) => items.length === size)
      if (its.some((column) => excessOf(column, multipliers) < -SMALL)) return true
      if (!this.grow(size, multipliers)) return false
    }
  }

  private kindredOf(): Kindred<State>[] {
    const { field, lots, by } = this
    const kinds = lots.flatMap((lot) => lot.kinds)
    const found: { tanker: Tanker<State>; units: StationRow[][] }[] = []
    for (const tanker of field.table.tankers) {
      const unit = field.table.stations.filter(
        (station) => station.tanker === tanker && kinds.some((kind) => kind.at[station.index] !== undefined)
      )
      if (unit.length === 0) continue
      const like = found.find((other) => alike(kinds, other.tanker.unit, unit, by.before))
      if (like !== undefined) like.units.push(unit)
      else found.push({ tanker: new Tanker(unit, lots, { ...by, groups: field.table.groups }), units: [unit] })
    }
    return found
  }

  private add(kind: number, items: readonly number[], cost: number): void {
    const key = keyOf(items)
    const its = this.byKey[kind]
    if (its === undefined || its.has(key)) return
    const column: Known<State> = { items, kind, cost, exact: false, dead: false, best: undefined }
    its.set(key, column)
    this.all.push(column)
  }

  /** What a column costs above its items' multipliers; may be below 0. */
  private above(column: Column, by: Multipliers): number {
    return excessOf(column, by) + (by.ofKind[column.kind] ?? 0)
  }

  /** What a column may cost so that it, or a larger one that has it, may be of interest. */
  private limitOf(column: Column, by: Multipliers): number {
    return column.cost - this.above(column, by) + this.mostAbove(column.kind, column.items.length, by)
  }

  /**
   * Up to so much above their multipliers columns of a size may be of interest, or larger ones that have all their lots.
   * Leave out one lot or another: the mean of what is left is above its multipliers by less than the whole, in the
   * proportion of their sizes. So whatever is far below comes of smaller ones that are below too.
   */
  private mostAbove(kind: number, size: number, by: Multipliers): number {
    const most = Math.max(0, this.by.aim.lateness - by.least) + (by.ofKind[kind] ?? 0) + SMALL
    return most >= 0 ? most : (most * size) / Math.max(size, this.largest(kind, most, by))
  }

  /** No column of more lots is so little above its multipliers: one after the other they are over no sooner than the shortest. */
  private largest(kind: number, most: number, by: Multipliers): number {
    const lots = [...this.lots.keys()].filter((lot) => this.byKey[kind]?.get(keyOf([lot]))?.dead === false)
    const tasks = lots.map((lot) => this.tasksOf(kind, lot))
    const works = tasks.map((its) => its.reduce((sum, { workMs }) => sum + workMs, 0)).sort((a, b) => a - b)
    let overMs = Math.min(...tasks.flat().map(({ releaseAtMs }) => releaseAtMs))
    let [sum, largest] = [0, 1]
    for (const [before, workMs] of works.entries()) {
      overMs += workMs / this.widthOf(kind)
      sum += Math.min(...lots.map((lot) => this.costAt(kind, lot, overMs) - (by.ofItem[lot] ?? 0)))
      if (sum <= most) largest = before + 1
    }
    return largest
  }

  private widthOf(kind: number): number {
    return this.kindred[kind]?.tanker.unit.length ?? 1
  }

  /** Columns of one lot more than `size`, by multipliers only those of interest; whether any of that size may come of some. */
  private grow(size: number, by?: Multipliers): boolean {
    let any = false
    for (const [kind, its] of this.byKey.entries()) {
      const most = by === undefined ? Infinity : this.mostAbove(kind, size + 1, by)
      // All but one of its lots, some of them, are no farther above.
      const mostBefore = (most * size) / (size + 1)
      for (const column of [...its.values()]) {
        if (column.items.length !== size || column.dead) continue
        if (by !== undefined && this.above(column, by) > mostBefore) continue
        any = true
        for (const lot of this.lots.keys()) if (!column.items.includes(lot)) this.addWith(column, lot, { most, by })
      }
    }
    return any
  }

  private addWith(
    { kind, items: before }: Column,
    lot: number,
    { most, by }: { readonly most: number; readonly by: Multipliers | undefined }
  ): void {
    const items = [...before, lot].sort((a, b) => a - b)
    if (this.byKey[kind]?.has(keyOf(items)) === true) return
    const cost = this.leastOf(kind, items)
    if (cost === undefined || cost > this.by.aim.lateness) return
    if (by === undefined || this.above({ items, kind, cost }, by) <= most) this.add(kind, items, cost)
  }

  /**
   * What some lots cost at least; undefined where they cannot be served together in time. All but one of them cost no
   * more without it; and whichever is over last is over no sooner than all services shared by all stations.
   */
  private leastOf(kind: number, items: readonly number[]): number | undefined {
    const overMs = this.overAtMs(kind, items)
    if (stepsOfMs(overMs - NOISE_MS) > this.by.aim.last) return undefined
    let [sum, least] = [0, Infinity]
    for (const lot of items) {
      const others = items.filter((one) => one !== lot)
      const but = this.byKey[kind]?.get(keyOf(others))
      const cost = but === undefined && others.length > 1 ? this.leastOf(kind, others) : but?.cost
      if (cost === undefined || cost === Infinity) return undefined
      sum += cost
      least = Math.min(least, cost + this.costAt(kind, lot, overMs))
    }
    return Math.max(Math.ceil(sum / (items.length - 1) - SMALL), least)
  }

  /** What a lot costs at least when it is over then. */
  private costAt(kind: number, lot: number, overMs: number): number {
    const its = this.lots[lot]
    const alone = this.byKey[kind]?.get(keyOf([lot]))?.cost ?? 0
    if (its === undefined || its.groups.length > 1) return alone
    const row = this.field.table.groups[its.groups[0] ?? 0] as GroupRow
    return Math.max(alone, (its.weights[0] ?? 0) * stepsLate(row, overMs + row.group.reformMs - NOISE_MS))
  }

  /** When lots are over at the earliest: all services shared by all stations, those that come late by themselves too. */
  private overAtMs(kind: number, items: readonly number[]): number {
    const unit = this.kindred[kind]?.tanker.unit ?? []
    const tasks = items.flatMap((lot) => this.tasksOf(kind, lot)).sort((a, b) => b.releaseAtMs - a.releaseAtMs)
    let [workMs, overMs] = [0, -Infinity]
    for (const task of tasks) {
      workMs += task.workMs
      overMs = Math.max(overMs, task.releaseAtMs + workMs / unit.length)
    }
    // All but the first on each station come after another flight.
    const more = unit.map(({ station }) => station.changeoverBetweenMs - station.changeoverWithinFlightMs)
    const flights = new Set(items.map((lot) => this.lots[lot]?.flightId)).size
    const moreMs = Math.max(0, flights - unit.length) * Math.max(0, Math.min(...more))
    return Math.max(overMs, (tasks.at(-1)?.releaseAtMs ?? 0) + (workMs + moreMs) / unit.length)
  }

  /** The ships of a lot at a tanker; the changeover before each is part of its work. */
  private tasksOf(kind: number, lot: number): readonly Task[] {
    const key = kind * KEY + lot
    const known = this.tasks.get(key)
    if (known !== undefined) return known
    const unit = this.kindred[kind]?.tanker.unit ?? []
    const made = (this.lots[lot]?.kinds ?? []).flatMap(({ at, rows }) => {
      const here = unit.flatMap(({ index }) => at[index] ?? [])
      const releaseAtMs = Math.min(...here.map((one) => one.startAtMs - one.changeover.leastMs))
      const works = here.map((one) => one.changeover.leastMs + one.station.station.hookUpMs + one.serviceMs)
      return rows.map(() => ({ releaseAtMs, workMs: Math.min(...works) }))
    })
    this.tasks.set(key, made)
    return made
  }

  /** What columns cost exactly, those that may cost no more than a limit; false when the work ends or there are too many ships. */
  private refine(columns: readonly Known<State>[], limitOf: (column: Column) => number, must = true): boolean {
    const { aim, work } = this.by
    for (const column of columns) {
      const limit = Math.min(aim.lateness, Math.floor(limitOf(column) * LOOSER))
      if (column.exact || column.dead || column.cost > limit) continue
      const best = this.kindred[column.kind]?.tanker.best(column.items, { lateness: limit, last: aim.last })
      if (work.stopped || work.count > work.most) return false
      if (best === TOO_MANY) {
        this.stuck = must
        return !must
      }
      column.exact = best !== undefined
      column.best = best
      // Of those that cost more than any order of interest no larger one is of use.
      column.dead = best === undefined && limit >= aim.lateness
      column.cost = best?.lateness ?? (column.dead ? Infinity : limit + 1)
    }
    return true
  }
}

function alike<State>(
  kinds: readonly Kind<State>[],
  unit: readonly StationRow[],
  other: readonly StationRow[],
  before: Least<State>['stations']
): boolean {
  if (unit.length !== other.length) return false
  return unit.every((one, place) =>
    sameStation({ kinds }, { station: one, before }, { station: other[place] as StationRow, before })
  )
}
