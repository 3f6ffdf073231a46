import { compareJudgements, stepsOfMs, type Judgement } from '../judgement.ts'
import type { GroupRow, SlotRow } from '../timetable.ts'
import { leastWeight } from './alone.ts'
import { flownShortage, leastBy, type Least } from './bound.ts'
import type { Field } from './field.ts'
import { NOISE_MS, partsOf, stepsLate, type Part } from './part.ts'
import { PartProof, type ServedPart } from './proof.ts'
import type { Work } from './unit.ts'
import { NO_STEP } from './ways.ts'

/*
 * The best order, station after station: first all that may be served at one tanker in any turn, and at each other one, then
 * what of these goes together. Of two ways to serve the same ships the one that is nowhere earlier is forgotten. Ships
 * and tankers that share nothing are gone through apart.
 *
 * What this leaves out makes orders only better: a ship may be lost wherever it would stand; every ship is as little short
 * as it can be whenever it comes; pinned ones keep their station but not their turn; later visits whose ready instant
 * hangs on the order are not there. So its best is a bound, and an order that the judge finds as good is the best.
 */

export interface Relaxed<State> {
  /** The four levels before slots moved, compared from the left: no order is better than this. */
  readonly least: Judgement
  /** A better one: free slots in turn, by station index; whoever is lost or was left out is in none. */
  readonly free: readonly (readonly SlotRow<State>[])[] | undefined
  readonly labels: number
}

/** Sets looked at for what is left, for each label there may be. */
const WORK_A_LABEL = 4
/** Ways of parts that are gone through together. */
const MOST_TOGETHER = 20_000

export interface Limits {
  /** At most so many ways are looked at. */
  readonly labels: number
  /** Only orders in blocks: flights come to each tanker one after another, the ships of each worst first. */
  readonly blocks?: boolean
  readonly stop?: (() => boolean) | undefined
}

/** One way for each part so far. */
interface Together<State> {
  readonly lostWeight: number
  readonly shortage: number
  /** By group of the timetable: steps late, and weight of those served. */
  readonly late: readonly number[]
  readonly weights: readonly number[]
  readonly last: number
  readonly rows: ReadonlyMap<number, readonly SlotRow<State>[]>
}

/**
 * The best order (with `blocks`, of those in blocks) when what is said above is left out, or `known` where none is better;
 * where the work ends before all is seen, lateness and last disconnect are what is left adds at least; undefined where that may forbid what an
 * order can do (a tanker may run short), where there are too many ships for it, or the known order leaves fuel short that
 * another one might not.
 */
export function stationByStation<State>(
  field: Field<State>,
  known: Judgement,
  limits: Limits
): Relaxed<State> | undefined {
  const least = leastBy(field, known)
  if (least.alone.some(({ at }) => at.some(({ station }) => least.short[station.index] === true))) return undefined
  const parts = partsOf(field, least)
  if (parts === undefined) return undefined
  if (limits.blocks === true && parts.some(({ kinds }) => kinds.some(({ party }) => party < 0))) return undefined
  const proof = new Proof(field, least, parts, known, limits)
  return proof.run()
}

class Proof<State> {
  private readonly work: Work
  private readonly parts: readonly PartProof<State>[]
  private readonly flownLast: number
  private readonly start: Together<State>

  constructor(
    private readonly field: Field<State>,
    private readonly least: Least<State>,
    parts: readonly Part<State>[],
    private readonly known: Judgement,
    limits: Limits
  ) {
    const { table } = field
    this.work = { count: 0, most: limits.labels, stop: limits.stop, stopped: false }
    this.parts = parts.map(
      (part) =>
        new PartProof(part, {
          before: least.stations,
          work: this.work,
          nowMs: table.nowMs,
          mostLateness: known.lateness,
          mostWork: WORK_A_LABEL * limits.labels,
          blocks: limits.blocks === true
        })
    )
    const ends = least.served.map(({ slot }) => slot.fixed?.disconnectAtMs ?? -Infinity)
    this.flownLast = ends.length === 0 ? NO_STEP : stepsOfMs(Math.max(...ends))
    this.start = {
      lostWeight: least.lostWeight,
      shortage: flownShortage(least),
      late: table.groups.map((row) => stepsLate(row, (least.pushes.get(row) ?? 0) - NOISE_MS)),
      weights: table.groups.map((group) =>
        least.served.reduce((sum, row) => (row.group === group ? sum + leastWeight(row) : sum), 0)
      ),
      last: this.flownLast,
      rows: new Map()
    }
  }

  run(): Relaxed<State> | undefined {
    const judgement = this.known
    const { least, work } = this
    const mustShortage = this.parts.reduce(
      (sum, { part }) =>
        part.kinds.reduce((one, kind) => (kind.must ? one + kind.rows.length * kind.shortage : one), sum),
      this.start.shortage
    )
    const before = (lostWeight: number): number => {
      if (lostWeight > least.mayLose) return 1
      return least.lostWeight + lostWeight - judgement.lostWeight || mustShortage - judgement.shortage
    }
    // Whatever is found leaves as much short.
    if (least.mayLose === 0 && before(0) < 0) return undefined
    const alone = this.parts.map((one) => one.least())
    const apart = this.start.late.reduce((sum, steps, g) => {
      const inPart = this.parts.some(({ part }) => part.groups.includes(this.field.table.groups[g] as GroupRow))
      return inPart ? sum : sum + steps * (this.start.weights[g] ?? 0)
    }, 0)
    const lateness = alone.reduce((sum, one) => sum + one.lateness, apart)
    const last = Math.max(this.flownLast, ...alone.map((one) => one.last))
    if (lateness > judgement.lateness) return this.none()
    let all: readonly Together<State>[] = [this.start]
    for (const [i, one] of this.parts.entries()) {
      const its = alone[i] ?? { lateness: 0, last: NO_STEP }
      const aim = { lateness: judgement.lateness - (lateness - its.lateness), last: judgement.lastDisconnect, before }
      const found = one.better(aim, this.flownLast)
      if (found === undefined || work.stopped) {
        const { lostWeight } = least
        const told = {
          lostWeight,
          shortage: mustShortage,
          lateness,
          lastDisconnect: Math.max(0, last),
          moved: 0
        }
        return { least: told, free: undefined, labels: work.count }
      }
      if (found.length === 0) return this.none()
      all = this.joinedBy(all, one, found)
      if (all.length > MOST_TOGETHER) return undefined
    }
    let best: { all: Together<State>; judgement: Judgement } | undefined
    for (const one of all) {
      const worth = this.worth(one)
      if (best === undefined || compareJudgements(worth, best.judgement) < 0) best = { all: one, judgement: worth }
    }
    if (best === undefined || compareJudgements(best.judgement, { ...judgement, moved: 0 }) >= 0) return this.none()
    const { rows } = best.all
    const free = this.field.table.stations.map(({ index }) =>
      (rows.get(index) ?? []).filter(({ slot }) => !slot.pinned)
    )
    return { least: best.judgement, free, labels: work.count }
  }

  private none(): Relaxed<State> {
    return { least: { ...this.known, moved: 0 }, free: undefined, labels: this.work.count }
  }

  private worth({ lostWeight, shortage, late, weights, last }: Together<State>): Judgement {
    const lateness = late.reduce((sum, steps, g) => sum + steps * (weights[g] ?? 0), 0)
    return { lostWeight, shortage, lateness, lastDisconnect: last === NO_STEP ? 0 : last, moved: 0 }
  }

  private joinedBy(
    all: readonly Together<State>[],
    { part }: PartProof<State>,
    found: readonly ServedPart<State>[]
  ): readonly Together<State>[] {
    const groups = part.groups.map((group) => this.field.table.groups.indexOf(group))
    return all.flatMap((one) =>
      found.map((its) => {
        const late = [...one.late]
        const weights = [...one.weights]
        groups.forEach((g, i) => (late[g] = Math.max(late[g] ?? 0, its.late[i] ?? 0)))
        let { lostWeight, shortage } = one
        for (const kind of part.kinds) {
          const count = (its.set & kind.mask) / kind.one
          const g = groups[kind.group] ?? -1
          lostWeight += (kind.rows.length - count) * kind.weight
          shortage += count * kind.shortage
          weights[g] = (weights[g] ?? 0) + count * kind.pushWeight
        }
        return {
          lostWeight,
          shortage,
          late,
          weights,
          last: Math.max(one.last, its.last),
          rows: new Map([...one.rows, ...its.rows])
        }
      })
    )
  }
}
