import { stepsOfMs, type Judgement } from '../judgement.ts'
import type { Sequences } from '../times.ts'
import type { GroupRow, SlotRow } from '../timetable.ts'
import { leastWeight, type Alone } from './alone.ts'
import { flownShortage, leastShortage, type Least } from './bound.ts'
import type { Box, InBox } from './boxes.ts'
import { Columns, type Aim, type Known } from './columns.ts'
import { cheapest, multipliers, type Multipliers } from './cover.ts'
import type { Field } from './field.ts'
import { NOISE_MS, stepsLate } from './part.ts'
import type { Relaxed } from './stations.ts'
import type { Lot } from './tanker.ts'
import type { Work } from './unit.ts'
import { NO_STEP } from './ways.ts'

/*
 * Lots dealt out to tankers: what each comes to with some lots and nobody else is a column, and every lot is in one of
 * them. First how little late all can be, then how early the last disconnect is then. A group that has several lots counts
 * with each lot's own weight by when that one is over, never more than it is late.
 */

/** Choices looked at in one go. */
const NODES = 20_000
/** Steps by which a last disconnect that is not found may be sought earlier, to see by when there is none. */
const MOST_DOWN = 24
const SMALL = 1e-6

/** What is known when the work ends. */
export interface Whole<State> extends Relaxed<State> {
  /** Nothing is left open that a wider search could tell. */
  readonly complete: boolean
}

export type Choice<State> = readonly Known<State>[]

export interface Given<State> {
  readonly known: Judgement
  readonly least: Least<State>
  readonly lots: readonly Lot<State>[]
  readonly must: readonly Alone<State>[]
  /** Ships that may be served. */
  readonly servable: number
  /** Every ship that may be served is in a lot, and no group in two. */
  readonly all: boolean
  readonly work: Work
}

export class Wholes<State> {
  private readonly columns: Columns<State>
  private readonly counts: readonly number[]
  private readonly aim: Aim
  /** By group: steps it is late whatever comes. */
  readonly startLate: readonly number[]
  /** Weighted lateness of groups without lots, and of all whatever comes. */
  readonly apart: number
  private readonly startCost: number
  readonly flownLast: number
  readonly shortage: number
  /** Better is only what is less late, or as little late and over sooner. */
  readonly settled: boolean
  private readonly seeksLast: boolean
  private choice: Choice<State> | undefined
  /** Steps: no order is as little late and over by then. */
  private refuted = -Infinity

  constructor(
    private readonly field: Field<State>,
    private readonly given: Given<State>,
    box?: Omit<Box, 'least'> & { readonly most: number; readonly mostLast: number }
  ) {
    const { least, lots, known, work } = given
    const { groups } = field.table
    const startLate = box?.leastLate ?? groups.map((row) => stepsLate(row, (least.pushes.get(row) ?? 0) - NOISE_MS))
    this.startLate = startLate
    const having = new Set(lots.flatMap((lot) => lot.groups))
    this.apart = groups.reduce(
      (sum, row, g) => (having.has(g) ? sum : sum + (startLate[g] ?? 0) * flownWeight(least, row)),
      0
    )
    this.startCost = lots.reduce(
      (sum, lot) => sum + lot.groups.reduce((one, g, i) => one + (startLate[g] ?? 0) * (lot.weights[i] ?? 0), 0),
      0
    )
    const ends = least.served.map(({ slot }) => slot.fixed?.disconnectAtMs ?? -Infinity)
    this.flownLast = ends.length === 0 ? NO_STEP : stepsOfMs(Math.max(...ends))
    this.shortage = given.must.reduce((sum, one) => sum + leastShortage(one, least.pushes), flownShortage(least))
    this.settled = known.lostWeight === least.lostWeight && known.shortage === this.shortage
    this.aim = { lateness: box?.most ?? known.lateness - this.apart, last: box?.mostLast ?? Infinity }
    // Nobody can be less late: only the last disconnect is open.
    this.seeksLast = box === undefined && this.settled && this.startCost === this.aim.lateness
    if (this.seeksLast) this.aim.last = known.lastDisconnect - 1
    const by = { before: least.stations, startLate, mostLate: box?.mostLate, work, aim: this.aim }
    this.columns = new Columns(field, lots, by)
    this.counts = this.columns.kindred.map(({ units }) => units.length)
  }

  run(from: Sequences | undefined): Whole<State> {
    const { aim, startCost } = this
    if (aim.lateness < startCost) return this.none()
    if (!this.settled && aim.lateness === startCost) return this.told(startCost, -Infinity, true)
    const { least, closed } = this.closeLateness(from)
    if (this.seeksLast) {
      return closed && this.choice === undefined ? this.none() : this.told(aim.lateness, this.refuted + 1, closed)
    }
    if (closed && least > aim.lateness) return this.none()
    if (!closed || !this.settled)
      return this.told(closed ? aim.lateness : Math.max(startCost, least), -Infinity, closed)
    const last = this.closeLast()
    return last.whole && this.choice === undefined ? this.none() : this.told(aim.lateness, last.least, last.whole)
  }

  /** How little late lots are in a box, each by itself, and when the groups of such a choice are over. */
  inBox(from: Sequences | undefined): InBox<Choice<State>> {
    if (this.aim.lateness < this.startCost) return { least: Infinity, choice: undefined, late: [] }
    const { least, closed } = this.closeLateness(from)
    if (this.choice === undefined)
      return { least: closed ? Infinity : Math.max(this.startCost, least), choice: undefined, late: [] }
    const late = [...this.startLate]
    for (const { best } of this.choice)
      for (const [group, steps] of best?.late ?? []) late[group] = Math.max(late[group] ?? 0, steps)
    return { least: closed ? this.aim.lateness : Math.max(this.startCost, least), choice: this.choice, late }
  }

  weightOf(group: number): number {
    return this.given.lots.reduce((sum, lot) => sum + (lot.weights[lot.groups.indexOf(group)] ?? 0), 0)
  }

  /** Nothing is better, or where another level is open, nothing less late. */
  private none(): Whole<State> {
    const { known, all, work } = this.given
    if (!this.settled) return this.told(this.aim.lateness, -Infinity, true)
    return { least: { ...known, moved: 0 }, free: undefined, labels: work.count, complete: all }
  }

  private told(lateness: number, last: number, whole: boolean): Whole<State> {
    const { known, least, all, work } = this.given
    return {
      least: {
        lostWeight: least.lostWeight,
        shortage: this.shortage,
        lateness: Math.min(known.lateness, lateness + this.apart),
        lastDisconnect: Math.max(0, this.flownLast, last),
        moved: 0
      },
      free: this.choice && this.freeOf(this.choice),
      labels: work.count,
      complete: whole && all
    }
  }

  /**
   * Columns until it is known how little late an order may be; where that is known from the start, until none that is as
   * little late is over sooner.
   */
  private closeLateness(from: Sequences | undefined): { least: number; closed: boolean } {
    const { columns, aim } = this
    columns.begin()
    let [least, begun] = [0, from === undefined]
    for (;;) {
      const by = multipliers(columns.useful(), this.cover(), this.given.work)
      if (!begun && from !== undefined && by.least > aim.lateness + SMALL) {
        // Flights two by two do not do.
        begun = true
        this.beginFrom(from)
        continue
      }
      const { last } = aim
      this.choose(by)
      const open = this.ended() || columns.below(by)
      if (this.ended()) return { least, closed: false }
      if (open || aim.last < last) continue
      if (by.least > aim.lateness + SMALL) {
        this.refuted = aim.last
        return { least: aim.lateness + 1, closed: !this.seeksLast || aim.last === this.bestLast() - 1 }
      }
      least = Math.max(least, Math.ceil(by.least - SMALL))
      // Columns may have come that are not below, but as good.
      const all = this.choose(by)
      if (aim.last < last) continue
      if (all) this.refuted = aim.last
      else if (this.seeksLast && this.bestLast() - aim.last < MOST_DOWN) {
        // There may be one: by when is there none for sure?
        aim.last--
        continue
      }
      const closed = all && !this.ended()
      return { least: closed ? aim.lateness : least, closed }
    }
  }

  private ended(): boolean {
    const { work } = this.given
    return this.columns.stuck || work.stopped || work.count > work.most
  }

  private cover(): { items: number; counts: readonly number[]; most: number } {
    return { items: this.given.lots.length, counts: this.counts, most: this.aim.lateness }
  }

  /** The tankers as an order has them. */
  private beginFrom(from: Sequences): void {
    const lotOf = new Map<string, number>()
    for (const [lot, { kinds }] of this.given.lots.entries())
      for (const { rows } of kinds) for (const { slot } of rows) lotOf.set(slot.id, lot)
    for (const { units } of this.columns.kindred) {
      for (const unit of units) {
        const ids = unit.flatMap(({ station }) => from.get(station.id) ?? [])
        const items = [...new Set(ids.flatMap((id) => lotOf.get(id) ?? []))].sort((a, b) => a - b)
        const [station] = unit
        if (station !== undefined) this.columns.put(station, items)
      }
    }
  }

  /** A better choice of columns that are known, if there is one; true when all were gone through. */
  private choose(by: Multipliers): boolean {
    const { aim } = this
    const columns = this.columns.useful()
    const most = this.choice === undefined || this.seeksLast ? aim.lateness : aim.lateness - 1
    const { work } = this.given
    const { choice, whole } = cheapest(columns, { ...this.cover(), most, work, nodes: NODES }, by)
    if (choice === undefined) return whole
    this.take(choice.columns.map((c) => columns[c] as Known<State>))
    if (!this.seeksLast) return whole
    this.closeLast()
    aim.last = this.bestLast() - 1
    return false
  }

  private take(columns: Choice<State>): void {
    this.choice = columns
    this.aim.lateness = columns.reduce((sum, column) => sum + column.cost, 0)
  }

  /** The last disconnect of the best order so far, steps. */
  private bestLast(): number {
    return this.choice === undefined ? this.given.known.lastDisconnect : this.lastOfAll(this.choice)
  }

  lastOfAll(choice: Choice<State>): number {
    return Math.max(...choice.map((column) => this.lastOf(column)))
  }

  private lastOf({ best }: Known<State>): number {
    return Math.max(best?.last ?? NO_STEP, this.flownLast)
  }

  /** As little late as that, the earliest last disconnect that the columns known allow. */
  private closeLast(): { readonly least: number; readonly whole: boolean } {
    const { work } = this.given
    const columns = this.columns.useful()
    const lasts = [...new Set(columns.map((column) => this.lastOf(column)))].sort((a, b) => a - b)
    const known = this.bestLast()
    let found = lasts.findIndex((last) => last >= known)
    if (found < 0) found = lasts.length
    // Below `refuted` there is no choice; below `tried` none was found.
    let [refuted, tried] = [0, 0]
    while (tried < found && !this.ended()) {
      const middle = (tried + found) >> 1
      const here = columns.filter((column) => this.lastOf(column) <= (lasts[middle] ?? 0))
      const its = multipliers(here, this.cover(), work)
      const none = its.least > this.aim.lateness + SMALL
      const { choice, whole } = none
        ? { choice: undefined, whole: true }
        : cheapest(here, { ...this.cover(), any: true, work, nodes: NODES }, its)
      if (choice !== undefined) {
        this.take(choice.columns.map((c) => here[c] as Known<State>))
        found = lasts.indexOf(this.bestLast())
      } else {
        tried = middle + 1
        if (whole && !this.ended()) refuted = tried
      }
    }
    const last = this.bestLast()
    return { least: Math.min(last, lasts[refuted] ?? last), whole: refuted >= found }
  }

  /** Tankers that are alike in turn. */
  freeOf(choice: Choice<State>): SlotRow<State>[][] {
    const free: SlotRow<State>[][] = this.field.table.stations.map(() => [])
    const used = this.columns.kindred.map(() => 0)
    for (const { kind, best } of choice) {
      const its = this.columns.kindred[kind]
      const unit = its?.units[used[kind] ?? 0]
      used[kind] = (used[kind] ?? 0) + 1
      for (const [index, rows] of best?.rows ?? []) {
        const place = its?.tanker.unit.findIndex((station) => station.index === index) ?? 0
        free[unit?.[place]?.index ?? index] = rows.filter(({ slot }) => !slot.pinned)
      }
    }
    return free
  }
}

/** Of those flown, at the push of a group. */
export const flownWeight = <State>({ served }: Least<State>, group: GroupRow | undefined): number =>
  served.reduce((sum, row) => (row.group === group ? sum + leastWeight(row) : sum), 0)
