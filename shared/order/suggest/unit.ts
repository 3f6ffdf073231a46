import { onPiece, pieceAt } from '../curves.ts'
import { stepsOfMs } from '../judgement.ts'
import { changeoverMs, readyOf, type SlotRow, type StationRow } from '../timetable.ts'
import type { OnStation } from '../times.ts'
import { sameService, type Before } from './alone.ts'
import { stepsLate, type Kind, type Part } from './part.ts'
import { Heads, NO_STEP, Ways, putNewest } from './ways.ts'

/*
 * All that one tanker may serve of a part, station after station: from each way on the first one all on the second, and so
 * on. Of two ways to serve the same ships the one that is nowhere earlier is forgotten.
 */

/** What may be looked at yet. */
export interface Work {
  count: number
  readonly most: number
  readonly stop: (() => boolean) | undefined
  stopped: boolean
}

/** How often it is asked whether to stop, as a power of 2. */
const ASKED_EACH = 10

/** One more was looked at, or what is as much work as some more; false when that was the last one. */
export function goesOn(work: Work, more = 1): boolean {
  const before = work.count >> ASKED_EACH
  work.count += more
  if (work.count >> ASKED_EACH !== before && work.stop?.() === true) work.stopped = true
  return work.count <= work.most && !work.stopped
}

/** Whether no order better than the known one comes of a way. */
export interface Hopeless {
  /** It is on a station of the unit, given by its place there, and goes on. */
  during(ways: Ways, way: number, place: number): boolean
  /** All that it has of that station is over. */
  behind(ways: Ways, way: number, place: number): boolean
}

export interface Table {
  /** What it was put together from. */
  readonly of?: readonly [Table, Table]
  readonly ways: Ways
  /** Each set that may be served with the first way of its list. */
  readonly sets: readonly { readonly set: number; readonly head: number }[]
}

export interface Step {
  readonly station: StationRow
  readonly freeAtMs: number
  /** An earlier station of the unit is just like it. */
  readonly twin: boolean
  /** By who was there, then who comes. */
  readonly changeMs: readonly (readonly number[])[]
  /** By who was there in one way, then in the other. */
  readonly handicapMs: readonly (readonly number[])[]
}

/** Ways to serve sets of ships at a unit's stations and nowhere else; undefined when the work ends. */
export function tableOf<State>(
  part: Part<State>,
  unit: readonly StationRow[],
  by: {
    readonly before: readonly Before[]
    readonly hopeless: Hopeless
    readonly work: Work
    readonly startLast: number
  }
): Table | undefined {
  const ways = new Ways(part)
  let ended: readonly number[] = [rootIn(ways, part, by.startLast)]
  const steps = stepsOf(part, unit, by.before)
  for (const [place, step] of steps.entries()) {
    const served = new Served(part, ways, { step, place, ...by })
    const over = served.all(ended)
    if (over === undefined) return undefined
    ended = over
  }
  return { ways, sets: setsOf(part, ways, ended) }
}

/** The way in which nobody is served yet. */
export function rootIn<State>(ways: Ways, part: Part<State>, startLast: number): number {
  const root = ways.add()
  ways.last[root] = startLast
  ways.from[root] = -1
  ways.with[root] = -1
  part.startLate.forEach((steps, group) => {
    ways.late[root * ways.groups + group] = steps
    ways.cost[root] = (ways.cost[root] ?? 0) + steps * (part.weights[group] ?? 0)
    ways.mustCost[root] = (ways.mustCost[root] ?? 0) + steps * (part.mustWeights[group] ?? 0)
  })
  return root
}

/** When a ship of a kind is over at a station that is free for it from an instant; undefined where it is not served. */
export function overAtMs<State>(
  kind: Pick<Kind<State>, 'at' | 'rows'>,
  { station: at }: Pick<Step, 'station'>,
  freeAtMs: number
): number | undefined {
  const here = kind.at[at.index]
  if (here === undefined) return undefined
  const { hookUpMs, closesAtMs } = at.station
  const contactAtMs = Math.max(here.startAtMs, freeAtMs) + hookUpMs
  const row = kind.rows[0] as SlotRow<State>
  if (contactAtMs >= closesAtMs) return undefined
  if (!row.slot.serveAnyway && contactAtMs > (here.curve.latestContactAtMs ?? Infinity)) return undefined
  const piece = pieceAt(here.curve, contactAtMs)
  const endsAtMs = piece < 0 ? Infinity : onPiece(here.curve, here.curve.disconnectAtMs, piece, contactAtMs)
  if (piece >= 0 && endsAtMs <= closesAtMs) return endsAtMs
  return row.slot.serve(at.station, readyOf(row, at), contactAtMs).disconnectAtMs
}

/** A way with one ship more, of the kind `k`, over at an instant: its set, lateness and last disconnect. */
export function withShip<State>(
  ways: Ways,
  part: Part<State>,
  way: number,
  { k, overMs }: { readonly k: number; readonly overMs: number }
): number {
  const kind = part.kinds[k] as Kind<State>
  const { groups } = ways
  const { group } = kind
  const row = kind.rows[0] as SlotRow<State>
  const was = ways.late[way * groups + group] ?? 0
  const late = Math.max(was, stepsLate(row.group, overMs + row.group.group.reformMs))
  const made = ways.add()
  ways.set[made] = (ways.set[way] ?? 0) + kind.one
  ways.last[made] = Math.max(ways.last[way] ?? NO_STEP, stepsOfMs(overMs))
  ways.mustCost[made] = (ways.mustCost[way] ?? 0) + (late - was) * (part.mustWeights[group] ?? 0)
  ways.cost[made] = (ways.cost[way] ?? 0) + (late - was) * (part.weights[group] ?? 0)
  ways.late.copyWithin(made * groups, way * groups, (way + 1) * groups)
  ways.late[made * groups + group] = late
  ways.from[made] = way
  ways.with[made] = k
  return made
}

/** Ways by set, those that are as good as another left out, and those that leave a flight begun which must be whole. */
export function setsOf<State>(part: Part<State>, ways: Ways, ended: readonly number[]): Table['sets'] {
  const heads = new Heads()
  const sets: number[] = []
  const must = part.kinds.reduce((bits, kind) => (kind.must ? bits | kind.mask : bits), 0)
  for (const way of ended) {
    const set = ways.set[way] ?? 0
    const unfinished = part.parties.some(({ mask, all }) => {
      const here = set & mask
      return here !== 0 && (here & must) !== (all & must)
    })
    if (unfinished) continue
    const at = heads.placeOf(set)
    if (heads.head(at) < 0) sets.push(set)
    putBest(ways, heads, at, way)
  }
  return sets.map((set) => ({ set, head: heads.headOf(set) }))
}

/** Into a list whose ways differ in lateness and last disconnect only. */
export function putBest(ways: Ways, heads: Heads, at: number, way: number): boolean {
  let kept = -1
  for (let rival = heads.head(at); rival >= 0; rival = ways.next[rival] ?? -1) if (ways.asGood(rival, way)) return false
  for (let rival = heads.head(at); rival >= 0;) {
    const next = ways.next[rival] ?? -1
    if (!ways.asGood(way, rival)) {
      ways.next[rival] = kept
      kept = rival
    }
    rival = next
  }
  ways.next[way] = kept
  heads.setHead(at, way)
  return true
}

/** What may be served on one station behind ways that are over. */
class Served<State> {
  private readonly heads = new Heads()
  private readonly byCount: number[][]
  private readonly twins: boolean

  constructor(
    private readonly part: Part<State>,
    private readonly ways: Ways,
    private readonly on: {
      readonly step: Step
      readonly place: number
      readonly hopeless: Hopeless
      readonly work: Work
    }
  ) {
    this.byCount = Array.from({ length: part.ships + 1 }, () => [])
    this.twins = on.step.twin
  }

  all(ended: readonly number[]): readonly number[] | undefined {
    const { ways, byCount, on } = this
    for (const way of ended) {
      const copy = ways.add()
      ways.set[copy] = ways.set[way] ?? 0
      ways.freeAtMs[copy] = on.step.freeAtMs
      ways.on[copy] = 0
      ways.left[copy] = 0
      ways.party[copy] = -1
      ways.last[copy] = ways.last[way] ?? 0
      ways.cost[copy] = ways.cost[way] ?? 0
      ways.mustCost[copy] = ways.mustCost[way] ?? 0
      ways.late.copyWithin(copy * ways.groups, way * ways.groups, (way + 1) * ways.groups)
      ways.from[copy] = way
      ways.with[copy] = -1
      if (!this.put(copy, countIn(this.part, ways.set[copy] ?? 0))) return undefined
    }
    const over: number[] = []
    for (let count = 0; count < byCount.length; count++) {
      // Nothing is put among those of the same count while they are gone through.
      for (const way of byCount[count] ?? []) {
        if (ways.dead[way] === 1) continue
        over.push(way)
        for (let k = 0; k < this.part.kinds.length; k++) if (!this.extend(way, k, count + 1)) return undefined
      }
    }
    return over.filter((way) => ways.dead[way] === 0 && !on.hopeless.behind(ways, way, on.place))
  }

  /** A ship of a kind behind a way, if it may be; false when the work ends. */
  private extend(way: number, k: number, count: number): boolean {
    const { part, ways, on } = this
    const { step } = on
    const kind = part.kinds[k] as Kind<State>
    const set = ways.set[way] ?? 0
    if ((set & kind.mask) === kind.all) return true
    // Of two stations that are alike the first one has the first of the ships that both serve.
    if (this.twins && (set === 0 || ((kind.mask & -kind.mask) < (set & -set) && (set & kind.mask) === 0))) return true
    const left = ways.left[way] ?? 0
    if (kind.party >= 0 && ((left >> kind.party) & 1) === 1) return true
    const changeMs = step.changeMs[ways.on[way] ?? 0]?.[k] ?? 0
    const overMs = overAtMs(kind, step, (ways.freeAtMs[way] ?? 0) + changeMs)
    if (overMs === undefined) return true
    const made = withShip(ways, part, way, { k, overMs })
    const nextSet = ways.set[made] ?? 0
    const party = ways.party[way] ?? -1
    const whole = part.parties[party]
    const leaves = whole !== undefined && party !== kind.party && (nextSet & whole.mask) !== whole.all
    ways.freeAtMs[made] = overMs
    ways.on[made] = k + 1
    ways.left[made] = leaves ? left | (1 << party) : left
    ways.party[made] = kind.party
    ways.station[made] = on.place
    if (on.hopeless.during(ways, made, on.place)) {
      ways.count--
      return true
    }
    return this.put(made, count)
  }

  /** The newest way among those with the same ships, unless another one is as good; false when the work ends. */
  private put(way: number, count: number): boolean {
    const { ways, heads, on } = this
    const more = goesOn(on.work)
    const at = heads.placeOf(ways.set[way] ?? 0, ways.left[way] ?? 0)
    if (putNewest(ways, heads, { way, at }, this.covers)) this.byCount[count]?.push(way)
    return more
  }

  private readonly covers = (a: number, b: number): boolean => {
    const { ways, part, on } = this
    if ((ways.freeAtMs[a] ?? 0) > (ways.freeAtMs[b] ?? 0)) return false
    const handicapMs = on.step.handicapMs[ways.on[a] ?? 0]?.[ways.on[b] ?? 0] ?? Infinity
    if ((ways.freeAtMs[a] ?? 0) + handicapMs > (ways.freeAtMs[b] ?? 0)) return false
    if (ways.party[a] !== ways.party[b]) {
      const whole = part.parties[ways.party[a] ?? -1]
      if (whole !== undefined && ((ways.set[a] ?? 0) & whole.mask) !== whole.all) return false
    }
    return ways.asGood(a, b)
  }
}

/** How many ships a set has. */
export const countIn = <State>({ kinds }: Part<State>, set: number): number =>
  kinds.reduce((count, { mask, one }) => count + (set & mask) / one, 0)

export function stepsOf<State>(
  part: Part<State>,
  unit: readonly StationRow[],
  before: readonly Before[]
): readonly Step[] {
  return unit.map((station, place) => {
    const left = before[station.index] ?? { freeAtMs: station.station.freeAtMs, last: undefined }
    const slots = part.kinds.map(({ rows }) => rows[0]?.slot as OnStation)
    const who: readonly (OnStation | undefined)[] = [left.last, ...slots]
    return {
      station,
      freeAtMs: left.freeAtMs,
      twin: unit.slice(0, place).some((other) => sameStation(part, { station: other, before }, { station, before })),
      changeMs: who.map((from) => slots.map((to) => changeoverMs(station.station, from, to))),
      handicapMs: handicapsOf(station, who, slots)
    }
  })
}

/** How much earlier one who was last on a station must be off it to be as good as another, whatever comes next, ms. */
function handicapsOf(
  { station }: StationRow,
  who: readonly (OnStation | undefined)[],
  slots: readonly OnStation[]
): number[][] {
  const { changeoverMs: any, changeoverWithinFlightMs: withinMs, changeoverBetweenMs: betweenMs } = station
  const two = (a: OnStation | undefined, b: OnStation | undefined): number => {
    if (a === undefined || a.flightId === b?.flightId) return 0
    return b === undefined ? Math.max(withinMs, betweenMs) : Math.abs(betweenMs - withinMs)
  }
  const between = (a: OnStation | undefined, b: OnStation | undefined): number =>
    a === b || any === undefined ? two(a, b) : Math.max(0, ...slots.map((slot) => any(a, slot) - any(b, slot)))
  return who.map((a) => who.map((b) => (a === b ? 0 : between(a, b))))
}

interface Stand {
  readonly station: StationRow
  readonly before: readonly Before[]
}

/** Whoever may stand at one may stand at the other, to the same end. */
export function sameStation<State>(part: Pick<Part<State>, 'kinds'>, a: Stand, b: Stand): boolean {
  const [one, other] = [a.station.station, b.station.station]
  if (one.changeoverMs !== undefined || other.changeoverMs !== undefined) return false
  const keys = ['hookUpMs', 'closesAtMs', 'changeoverWithinFlightMs', 'changeoverBetweenMs'] as const
  if (keys.some((key) => one[key] !== other[key])) return false
  const [here, there] = [a.before[a.station.index], b.before[b.station.index]]
  if (here?.freeAtMs !== there?.freeAtMs || here?.last?.flightId !== there?.last?.flightId) return false
  if ((here?.last === undefined) !== (there?.last === undefined)) return false
  return part.kinds.every(({ at }) => sameService(at[a.station.index], at[b.station.index]))
}
