import { shortageKg } from '../answer.ts'
import { compareJudgements, stepsOfKg, stepsOfMs, LEVELS, type Judgement } from '../judgement.ts'
import { Judging } from '../judging.ts'
import type { SlotRow, Turns } from '../timetable.ts'
import { judge, type Judged, type OrderIn, type Sequences } from '../times.ts'
import { dice, type Dice } from './dice.ts'
import { fieldOf, isLegal, sequencesOf, turnsOf, type Allowed, type Field, type Free } from './field.ts'
import { anyMove, inTurnOf, placeOf, withAt, without } from './moves.ts'

/*
 * A better order, looked for: built flight by flight, mended slot by slot, then shaken and mended again. What is tried
 * counts in judgements, never in time, so the same input gives the same answer on every machine.
 */

export interface Ask<State> extends Allowed {
  /** Its `inForce` is the order in force, or its `sequences` where that is left out; both are where the search begins. */
  readonly input: OrderIn<State>
  /** How many orders may be judged. */
  readonly judgements: number
  readonly seed?: number | undefined
  /** Each order that is better than all before it, the order in force included. */
  readonly onBetter?: ((found: Found) => void) | undefined
  /** Asked now and then: true ends the search. */
  readonly stop?: (() => boolean) | undefined
}

export interface Found {
  readonly sequences: Sequences
  readonly judgement: Judgement
  /** Orders judged so far by whoever found it. */
  readonly judgements: number
}

export interface Work {
  /** Orders judged. */
  readonly judgements: number
  /** It was told to stop before all were used. */
  readonly stopped: boolean
}

export interface Suggestion {
  readonly sequences: Sequences
  readonly judged: Judged
  readonly judgement: Judgement
  /** Of the order in force. */
  readonly before: Judgement
  /** Slots of the order in force that are put elsewhere, the fewest that explain the difference. */
  readonly moved: readonly string[]
  readonly work: Work
}

/** Judgements times slots, and judgements at most, that take about 50 ms once the code is warm: tests/bench/suggest.ts. */
const INSTANT_WORK = 120_000
const INSTANT_MOST = 4_000
/** A later visit is worked out anew whenever the one before it ends elsewhere: as dear as so many slots. */
const LATER_VISIT_SLOTS = 15

/** How many judgements there is time for at once, for so many slots, and how many of them are later visits of a ship. */
export const instantJudgements = (slots: number, laterVisits = 0): number =>
  Math.min(INSTANT_MOST, Math.ceil(INSTANT_WORK / Math.max(1, slots + LATER_VISIT_SLOTS * laterVisits)))

const ASK_STOP_EVERY = 32
/** Judgements of the first shaking for each slot, and how much longer each next one is. */
const ROUND_PER_SLOT = 250
const LONGER = 1.5
const MENDING_ROUNDS = 2

/**
 * The best order found, never worse than the order in force; of equals the one with the fewest slots moved, and the
 * order in force itself where nothing is better. What may be suggested is told in field.ts. A flight's ships are first
 * tried worst first; another turn among them stays only where it is better.
 * @throws RangeError when `judgements` or `seed` is no whole number, or naming what the input does not know.
 * Checked: tests/shared/order/suggest/search.test.ts, against every order of small cases (constructed).
 */
export function suggest<State>(ask: Ask<State>): Suggestion {
  if (!Number.isInteger(ask.judgements) || ask.judgements < 0)
    throw new RangeError(`judgements must be a whole number of at least 0, is ${String(ask.judgements)}`)
  const field = fieldOf(ask.input, ask)
  const input = { ...ask.input, inForce: field.inForce }
  const asIs = judge({ ...input, sequences: field.inForce })
  const search = new Search(field, ask, asIs.judgement)
  if (field.movable.length > 0) search.run()
  const work = { judgements: search.judgements, stopped: search.stopped }
  if (search.best !== undefined) {
    const { sequences, moved } = sequencesOf(field, search.best.turns)
    const judged = judge({ ...input, sequences })
    if (compareJudgements(judged.judgement, asIs.judgement) < 0)
      return { sequences, judged, judgement: judged.judgement, before: asIs.judgement, moved, work }
  }
  return {
    sequences: field.inForce,
    judged: asIs,
    judgement: asIs.judgement,
    before: asIs.judgement,
    moved: [],
    work
  }
}

/** An order with what it was found worth. */
interface Tried<State> {
  readonly free: Free<State>
  readonly turns: Turns<State>
  readonly judgement: Judgement
}

/** How readily a worse order is followed at first and at last, as a part of the mean worsening on that level. */
const WARM = 1
const COLD = 0.001

class Search<State> {
  judgements = 0
  stopped = false
  best: Tried<State> | undefined
  private readonly dice: Dice
  private readonly judging: Judging<State>
  /** By level: how much worse the worse ones were, in sum, and how many. */
  private readonly worse = LEVELS.map(() => ({ sum: 0, count: 0 }))
  /** Proposals that come to nothing are not judged, but they end too. */
  private proposals = 0

  constructor(
    private readonly field: Field<State>,
    private readonly ask: Ask<State>,
    private readonly before: Judgement
  ) {
    this.dice = dice(ask.seed ?? 1)
    this.judging = new Judging(field.table)
  }

  run(): void {
    for (const free of this.seeds()) {
      this.try(free)
      if (this.ended()) return
    }
    // A small budget is for shaking at once; mending costs a judgement for every place of every slot.
    let round = Math.max(400, this.field.movable.length * ROUND_PER_SLOT)
    let mending = false
    while (this.best !== undefined && !this.ended()) {
      if (mending) this.mend(this.best, MENDING_ROUNDS)
      else {
        this.shake(this.best, Math.min(round, this.ask.judgements - this.judgements))
        round *= LONGER
      }
      mending = !mending
    }
  }

  private ended(): boolean {
    if (this.judgements >= this.ask.judgements || this.proposals >= 12 * this.ask.judgements) return true
    return this.stopped
  }

  /** Judges an order that may be suggested; undefined for another. */
  private try(free: Free<State>): Tried<State> | undefined {
    this.proposals++
    const turns = turnsOf(this.field, free)
    if (!isLegal(this.field, free, turns)) return undefined
    const tried = { free, turns, judgement: this.worth(turns) }
    if (this.best === undefined || compareJudgements(tried.judgement, this.best.judgement) < 0) this.found(tried)
    return tried
  }

  private worth(turns: Turns<State>): Judgement {
    this.judgements++
    if (this.judgements % ASK_STOP_EVERY === 0 && this.ask.stop?.() === true) this.stopped = true
    return this.judging.judgement(turns)
  }

  private found(tried: Tried<State>): void {
    this.best = tried
    if (this.ask.onBetter === undefined || compareJudgements(tried.judgement, this.before) >= 0) return
    const { sequences } = sequencesOf(this.field, tried.turns)
    this.ask.onBetter({ sequences, judgement: tried.judgement, judgements: this.judgements })
  }

  /** Orders to begin with. */
  private *seeds(): Generator<Free<State>> {
    const { field, ask } = this
    const placed = this.placeAll(field.start, field.unplaced)
    yield placed
    const proposed = this.proposed(ask.input.sequences)
    if (proposed !== undefined) yield proposed
    const latest = (rows: readonly SlotRow<State>[]): number =>
      Math.min(...rows.map((row) => field.latestMs[row.index] ?? Infinity))
    const push = (rows: readonly SlotRow<State>[]): number =>
      Math.min(...rows.map((row) => row.group.group.plannedAtMs))
    const weight = (rows: readonly SlotRow<State>[]): number => Math.max(...rows.map((row) => row.slot.weight))
    const keys: ((rows: readonly SlotRow<State>[]) => readonly number[])[] = [
      (rows) => [latest(rows), push(rows)],
      (rows) => [push(rows), latest(rows)],
      (rows) => [-weight(rows), latest(rows)]
    ]
    for (const key of keys) {
      if (this.ended()) return
      yield this.built(key)
    }
  }

  /** The sequences of the input as far as they keep to what may be suggested. */
  private proposed(sequences: Sequences): Free<State> | undefined {
    const { field } = this
    if (sequences === field.inForce) return undefined
    const rowOf = new Map(field.table.rows.map((row) => [row.slot.id, row]))
    const movable = new Set(field.movable)
    const seen = new Set<SlotRow<State>>()
    const free = field.table.stations.map(({ station, index }) => {
      // Whoever may go nowhere stays where it is, behind the others.
      const stay = (field.start[index] ?? []).filter((row) => !movable.has(row))
      const listed = (sequences.get(station.id) ?? []).flatMap((id) => rowOf.get(id) ?? [])
      const here = listed.filter((row) => {
        const may = movable.has(row) && !seen.has(row) && field.stationsOf[row.index]?.includes(index) === true
        if (may) seen.add(row)
        return may
      })
      return [...here, ...stay]
    })
    return this.placeAll(
      free,
      field.movable.filter((row) => !seen.has(row))
    )
  }

  /** Flight after flight in the turn a key gives, each at the tanker where the order is best with it. */
  private built(key: (rows: readonly SlotRow<State>[]) => readonly number[]): Free<State> {
    const { field } = this
    const alone = field.movable.filter((row) => (field.partyOf[row.index] ?? -1) < 0).map((row) => [row])
    const all = [...field.parties.filter((rows) => rows.length > 0), ...alone]
    const keyed = all.map((rows) => ({ rows: inTurnOf(field, rows), key: key(rows), behind: depthOf(rows) }))
    keyed.sort((a, b) => a.behind - b.behind || compareKeys(a.key, b.key))
    let free: Free<State> = without(field.start, field.movable)
    for (const { rows } of keyed) {
      let best: Tried<State> | undefined
      const tankers = new Set(rows.flatMap((row) => field.stationsOf[row.index] ?? []).map((at) => field.tankerOf[at]))
      for (const tanker of tankers) {
        const tried = this.appended(free, rows, tanker)
        if (best === undefined || compareJudgements(tried.judgement, best.judgement) < 0) best = tried
      }
      free = best?.free ?? free
    }
    return free
  }

  /** Slots one by one at the end of the station of a tanker where each is over first. */
  private appended(from: Free<State>, rows: readonly SlotRow<State>[], tanker: number | undefined): Tried<State> {
    const { field } = this
    let best: Tried<State> | undefined
    let free = from
    for (const row of rows) {
      let over = Infinity
      best = undefined
      const all = field.stationsOf[row.index] ?? []
      const here = all.filter((station) => field.tankerOf[station] === tanker)
      for (const station of here.length > 0 ? here : all) {
        const next = withAt(free, { station, at: free[station]?.length ?? 0 }, [row])
        const turns = turnsOf(field, next)
        const judgement = this.worth(turns)
        if (best !== undefined && !(row.disconnectAtMs < over)) continue
        over = row.disconnectAtMs
        best = { free: next, turns, judgement }
      }
      free = best?.free ?? free
    }
    const turns = turnsOf(field, free)
    return best ?? { free, turns, judgement: this.worth(turns) }
  }

  /** Puts slots in one after the other, each at its best place. */
  private placeAll(from: Free<State>, rows: readonly SlotRow<State>[]): Free<State> {
    let free = from
    for (const row of inTurnOf(this.field, rows)) {
      let best: Tried<State> | undefined
      let anywhere = free
      for (const next of this.places(free, row)) {
        anywhere = next
        const turns = turnsOf(this.field, next)
        if (this.ended() || !isLegal(this.field, next, turns)) continue
        const tried = { free: next, turns, judgement: this.worth(turns) }
        if (best === undefined || compareJudgements(tried.judgement, best.judgement) < 0) best = tried
      }
      free = best?.free ?? anywhere
    }
    return free
  }

  /** The order with a slot at every place it may have. */
  private *places(rest: Free<State>, row: SlotRow<State>): Generator<Free<State>> {
    for (const station of this.field.stationsOf[row.index] ?? []) {
      const length = rest[station]?.length ?? 0
      for (let at = length; at >= 0; at--) yield withAt(rest, { station, at }, [row])
    }
  }

  /** Takes each slot out and puts it in where it is best, those that are not served well first, until nothing gets better. */
  private mend(from: Tried<State>, rounds: number): Tried<State> {
    let now = from
    for (let round = 0; round < rounds; round++) {
      const before = now
      const sore = new Set(this.sore(now))
      const rows = [...sore, ...shuffled(this.field.movable, this.dice).filter((row) => !sore.has(row))]
      for (const row of rows) {
        const place = placeOf(now.free, row)
        for (const next of this.places(without(now.free, [row]), row)) {
          if (this.ended()) return now
          if (place !== undefined && next[place.station]?.[place.at] === row) continue
          const tried = this.try(next)
          if (tried !== undefined && compareJudgements(tried.judgement, now.judgement) < 0) now = tried
        }
      }
      if (now === before) break
    }
    return now
  }

  /** Small changes by choice, followed when they are better, and less and less when they are worse. */
  private shake(from: Tried<State>, count: number): Tried<State> {
    const { field } = this
    let now = from
    let best = from
    let sore = this.sore(now)
    const until = this.judgements + count
    const begin = this.judgements
    while (this.judgements < until && !this.ended()) {
      const free = anyMove({ field, free: now.free, dice: this.dice, sore })
      const tried = free === undefined ? undefined : this.try(free)
      if (tried === undefined) {
        this.proposals++
        continue
      }
      const warm = 1 - (this.judgements - begin) / count
      if (!this.follows(now.judgement, tried.judgement, warm)) continue
      now = tried
      // The timetable is filled for it just now.
      sore = soreOf(field.movable)
      if (compareJudgements(now.judgement, best.judgement) < 0) best = now
    }
    return best
  }

  private follows(now: Judgement, next: Judgement, warm: number): boolean {
    for (let i = 0; i < LEVELS.length; i++) {
      const level = LEVELS[i]
      const seen = this.worse[i]
      if (level === undefined || seen === undefined) break
      const worse = next[level] - now[level]
      if (worse < 0) return true
      if (worse === 0) continue
      seen.sum += worse
      seen.count++
      return this.dice.part() < Math.exp((-worse * seen.count) / (seen.sum * WARM * (COLD / WARM) ** (1 - warm)))
    }
    return true
  }

  private sore(tried: Tried<State>): readonly SlotRow<State>[] {
    this.judging.judgement(tried.turns)
    return soreOf(this.field.movable)
  }
}

/** Slots lost, short or late at their push, as the timetable stands. */
export function soreOf<State>(rows: readonly SlotRow<State>[]): readonly SlotRow<State>[] {
  return rows.filter((row) => {
    if (row.state === 'missed') return true
    const { pushAtMs, group } = row.group
    if (stepsOfMs(pushAtMs - group.plannedAtMs) > 0) return true
    return stepsOfKg(shortageKg(row)) > 0
  })
}

function depthOf(rows: readonly SlotRow<unknown>[]): number {
  let most = 0
  for (const row of rows) {
    let depth = 0
    for (let at = row.after; at !== undefined; at = at.after) depth++
    most = Math.max(most, depth)
  }
  return most
}

function compareKeys(a: readonly number[], b: readonly number[]): number {
  for (let i = 0; i < a.length; i++) {
    const [one, other] = [a[i] ?? 0, b[i] ?? 0]
    if (one !== other) return one < other ? -1 : 1
  }
  return 0
}

function shuffled<Value>(values: readonly Value[], by: Dice): Value[] {
  const left = [...values]
  return values.map(() => left.splice(by.below(left.length), 1)).flat()
}
