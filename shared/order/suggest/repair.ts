import { compareJudgements, type Judgement } from '../judgement.ts'
import { Judging } from '../judging.ts'
import { judge } from '../times.ts'
import type { SlotRow, Turns } from '../timetable.ts'
import { fieldOf, isLegal, sequencesOf, turnsOf, type Field, type Free } from './field.ts'
import { inTurnOf, maySit, placeOf, withAt, without } from './moves.ts'
import { soreOf, type Ask, type Suggestion } from './search.ts'

/*
 * The order in force mended: only slots that are lost, late or short are taken out and put elsewhere, alone, with
 * their party, or in exchange for another, and only where that pays. Everybody else keeps station and turn. It is there
 * at once and changes little; what a new order from scratch would gain is for `suggest` to say.
 */

/** No flight is worth going through more often. */
const MOST_ROUNDS = 6

/**
 * The order in force with the slots that go wrong put where the judgement is best, never worse than it was; slots that
 * stand nowhere yet are placed. Its work is bound by `judgements`.
 * @throws RangeError naming what the input does not know.
 * Checked: tests/shared/order/suggest/repair.test.ts (constructed).
 */
export function repair<State>(ask: Ask<State>): Suggestion {
  const field = fieldOf(ask.input, ask)
  const bench = new Bench(field, ask)
  const mended = bench.mended()
  const work = { judgements: bench.judgements, stopped: bench.stopped }
  const better = mended !== undefined && compareJudgements(mended.judgement, bench.before) < 0
  const { sequences, moved } = better ? sequencesOf(field, mended.turns) : { sequences: field.inForce, moved: [] }
  const judged = judge({ ...ask.input, inForce: field.inForce, sequences })
  return { sequences, judged, judgement: judged.judgement, before: bench.before, moved, work }
}

interface Tried<State> {
  readonly free: Free<State>
  readonly turns: Turns<State>
  readonly judgement: Judgement
}

const isLost = (row: SlotRow<unknown>): boolean => row.state === 'missed'

class Bench<State> {
  judgements = 0
  stopped = false
  /** Of the order in force. */
  readonly before: Judgement
  /** Of the best one told. */
  private told: Judgement
  private readonly judging: Judging<State>

  constructor(
    private readonly field: Field<State>,
    private readonly ask: Ask<State>
  ) {
    this.judging = new Judging(field.table)
    this.before = this.judging.judgement(field.table.ordered)
    this.told = this.before
  }

  mended(): Tried<State> | undefined {
    let now = this.placed()
    if (now !== undefined) this.tell(now)
    for (let round = 0; round < MOST_ROUNDS && now !== undefined; round++) {
      const before: Tried<State> = now
      for (const row of this.worstFirst(now)) {
        if (this.ended()) return now
        const next: Tried<State> | undefined = this.best(now, this.moves(now.free, row))
        if (next === undefined) continue
        now = next
        this.tell(now)
      }
      if (now === before) break
    }
    return now
  }

  /** Whoever stands nowhere, or is lost where it stands, at its best place: the first order there is to show. */
  private placed(): Tried<State> | undefined {
    let now = this.tried(this.field.start)
    // Whoever stands nowhere must stand somewhere, also where that makes others late.
    for (const row of inTurnOf(this.field, this.field.unplaced)) {
      const free: Free<State> | undefined = now?.free
      now = this.best(undefined, this.likely(free, [row])) ?? this.best(undefined, this.places(free, [row])) ?? now
    }
    if (now === undefined) return undefined
    for (const row of inTurnOf(this.field, this.sore(now).filter(isLost))) {
      if (this.ended() || !this.isLostIn(now, row)) continue
      now = this.best(now, this.likely(without(now.free, [row]), [row])) ?? now
      if (!this.isLostIn(now, row)) continue
      const party = this.partyOf(row)
      now = this.best(now, this.likely(without(now.free, party), party)) ?? now
      if (!this.isLostIn(now, row)) continue
      now = this.best(now, this.apart(now.free, this.ownOf(row))) ?? now
    }
    return now
  }

  private isLostIn(now: Tried<State>, row: SlotRow<State>): boolean {
    this.judging.judgement(now.turns)
    return isLost(row)
  }

  private worstFirst(now: Tried<State>): readonly SlotRow<State>[] {
    const sore = inTurnOf(this.field, this.sore(now))
    const lost = sore.filter(isLost)
    return [...lost, ...sore.filter((row) => !lost.includes(row))]
  }

  /** Each better order, as it is found. */
  private tell({ turns, judgement }: Tried<State>): void {
    const { onBetter } = this.ask
    if (onBetter === undefined || compareJudgements(judgement, this.told) >= 0) return
    this.told = judgement
    onBetter({ sequences: sequencesOf(this.field, turns).sequences, judgement, judgements: this.judgements })
  }

  /** The best of some orders where it is better than the one there is. */
  private best(now: Tried<State> | undefined, orders: Iterable<Free<State>>): Tried<State> | undefined {
    let best: Tried<State> | undefined
    for (const free of orders) {
      if (this.ended()) break
      const tried = this.tried(free)
      const than = best ?? now
      if (tried && (than === undefined || compareJudgements(tried.judgement, than.judgement) < 0)) best = tried
    }
    return best
  }

  private *moves(free: Free<State>, row: SlotRow<State>): Generator<Free<State>> {
    yield* this.places(without(free, [row]), [row])
    const party = this.partyOf(row)
    if (party.length > 1) yield* this.places(without(free, party), party)
    yield* this.exchanges(free, row)
    const own = this.ownOf(row)
    if (own.length > 1) yield* this.apart(free, own)
  }

  /** All contacts of its ship that may move: where a visit is missed, those after it are lost with it wherever they stand. */
  private ownOf(row: SlotRow<State>): readonly SlotRow<State>[] {
    return inTurnOf(
      this.field,
      this.field.movable.filter((one) => one.slot.shipId === row.slot.shipId)
    )
  }

  /** Slots each at every likely place of its own. */
  private *apart(free: Free<State>, rows: readonly SlotRow<State>[]): Generator<Free<State>> {
    let all: Free<State>[] = [without(free, rows)]
    for (const row of rows) all = all.flatMap((rest) => [...this.likely(rest, [row])])
    yield* all
  }

  private partyOf(row: SlotRow<State>): readonly SlotRow<State>[] {
    return inTurnOf(this.field, this.field.parties[this.field.partyOf[row.index] ?? -1] ?? [row])
  }

  /** Side by side at the two places of each station that are likely: before whoever pushes later, and at the end. */
  private *likely(rest: Free<State> | undefined, rows: readonly SlotRow<State>[]): Generator<Free<State>> {
    if (rest === undefined) return
    const pushAtMs = Math.min(...rows.map((row) => row.group.group.plannedAtMs))
    for (const station of this.field.stationsOf[rows[0]?.index ?? -1] ?? []) {
      if (!rows.every((row) => maySit(this.field, row, station))) continue
      const inTurn = rest[station] ?? []
      const before = inTurn.findIndex((row) => row.group.group.plannedAtMs > pushAtMs)
      if (before >= 0) yield withAt(rest, { station, at: before }, rows)
      yield withAt(rest, { station, at: inTurn.length }, rows)
    }
  }

  /** Slots side by side at every place they all may have. */
  private *places(rest: Free<State> | undefined, rows: readonly SlotRow<State>[]): Generator<Free<State>> {
    if (rest === undefined) return
    for (const station of this.field.stationsOf[rows[0]?.index ?? -1] ?? []) {
      if (!rows.every((row) => maySit(this.field, row, station))) continue
      for (let at = rest[station]?.length ?? 0; at >= 0; at--) yield withAt(rest, { station, at }, rows)
    }
  }

  /** The slot and another one in each other's place. */
  private *exchanges(free: Free<State>, row: SlotRow<State>): Generator<Free<State>> {
    const place = placeOf(free, row)
    if (place === undefined) return
    const change = (one: SlotRow<State>, other: SlotRow<State>, inTurn: readonly SlotRow<State>[]) =>
      inTurn.map((here) => (here === one ? other : here === other ? one : here))
    for (const station of this.field.stationsOf[row.index] ?? []) {
      for (const other of free[station] ?? []) {
        if (other === row || !maySit(this.field, other, place.station)) continue
        yield free.map((inTurn, at) => (at === station || at === place.station ? change(row, other, inTurn) : inTurn))
      }
    }
  }

  private tried(free: Free<State>): Tried<State> | undefined {
    const turns = turnsOf(this.field, free)
    if (!isLegal(this.field, free, turns)) return undefined
    this.judgements++
    return { free, turns, judgement: this.judging.judgement(turns) }
  }

  private sore({ turns }: Tried<State>): readonly SlotRow<State>[] {
    this.judging.judgement(turns)
    return soreOf(this.field.movable)
  }

  private ended(): boolean {
    if (this.judgements % 32 === 31 && this.ask.stop?.() === true) this.stopped = true
    return this.stopped || this.judgements >= this.ask.judgements
  }
}
