import { stepsOfMs } from '../judgement.ts'
import type { GroupRow, SlotRow, StationRow } from '../timetable.ts'
import { sameService, type Before } from './alone.ts'
import { stepsLate, type Kind } from './part.ts'
import { Ends, Labels } from './stand.ts'
import { goesOn, overAtMs, type Work } from './unit.ts'
import { NO_STEP } from './ways.ts'

/*
 * What one tanker comes to at best when it serves some flights and nobody else, each whole: on every station a flight's
 * ships stand side by side. Station for station all that may stand there in any turn, then what goes together.
 *
 * It takes for granted that who is left out makes nobody later: no changeover between others outweighs two.
 */

/** Ships that come to one tanker: a flight that stays whole, or one ship. */
export interface Lot<State> {
  readonly flightId: string
  readonly kinds: readonly Kind<State>[]
  /** Push groups of its ships, by index, and the weight that its lateness counts with in each. */
  readonly groups: readonly number[]
  readonly weights: readonly number[]
}

/** The best for some lots at a tanker: weighted steps late, then steps of the last disconnect. */
export interface Best<State> {
  readonly lateness: number
  readonly last: number
  /** By push group, by index: steps late. */
  readonly late: ReadonlyMap<number, number>
  /** In turn, by station index. */
  readonly rows: ReadonlyMap<number, readonly SlotRow<State>[]>
}

/** No more than this is asked for. */
export interface Most {
  readonly lateness: number
  readonly last: number
}

export interface TankerBy {
  readonly before: readonly Before[]
  readonly groups: readonly GroupRow[]
  /** By group: steps it is late whatever comes, and those it may be late; any number where left out. */
  readonly startLate: readonly number[]
  readonly mostLate?: readonly number[] | undefined
  readonly work: Work
}

/** Beyond this many sets of ships nothing is gone through. */
const MOST_SETS = 1 << 16

export const TOO_MANY = 'too many'

/** The lots in question as sets: a whole number has, kind after kind, how many of each are in it. */
interface Layout<State> {
  readonly kinds: readonly Kind<State>[]
  /** By kind. */
  readonly lotOf: readonly number[]
  readonly groupOf: readonly number[]
  readonly strides: readonly number[]
  readonly sets: number
  readonly groups: readonly number[]
  readonly weights: readonly number[]
  readonly start: readonly number[]
  readonly flightIds: readonly string[]
}

export class Tanker<State> {
  /** By lot: steps late of its one group when the tanker serves nobody else. */
  private readonly alone: (number | undefined)[] = []

  constructor(
    readonly unit: readonly StationRow[],
    private readonly lots: readonly Lot<State>[],
    private readonly by: TankerBy
  ) {}

  /** The best with all of some lots; undefined where none comes to so little, or the work ends. */
  best(which: readonly number[], most: Most): Best<State> | typeof TOO_MANY | undefined {
    const at = this.layoutOf(which)
    if (at.sets > MOST_SETS) return TOO_MANY
    if (costOf(at, (g) => at.start[g] ?? 0) > most.lateness) return undefined
    const stations = this.unit.filter(({ index }) => at.kinds.some((kind) => kind.at[index] !== undefined))
    const labels = stations.map((station, k): Labels | undefined => {
      const twin = stations.findIndex((other) => this.sameFor(at, other, station))
      return twin < k ? undefined : this.labelsAt(at, station, most)
    })
    const of = (k: number): Labels | undefined =>
      labels[k] ?? labels[stations.findIndex((one) => this.sameFor(at, one, stations[k] as StationRow))]
    if (this.by.work.stopped || this.by.work.count > this.by.work.most) return undefined
    const ends = [nobody(at)]
    for (const k of stations.keys()) {
      const [here, before] = [of(k), ends[k]]
      if (here === undefined || before === undefined) return undefined
      if (k + 1 < stations.length) ends.push(joined(at, before, here))
      else return this.told(at, { stations, ends, of, found: bestOf(at, before, here, most) }, which)
    }
    return undefined
  }

  private told(
    at: Layout<State>,
    {
      stations,
      ends,
      of,
      found
    }: {
      readonly stations: readonly StationRow[]
      readonly ends: readonly Ends[]
      readonly of: (k: number) => Labels | undefined
      readonly found: ReturnType<typeof bestOf>
    },
    which: readonly number[]
  ): Best<State> | undefined {
    if (found === undefined) return undefined
    const { lateness, last, late } = found
    const [only, ...others] = which
    if (only !== undefined && others.length === 0 && at.groups.length === 1) this.alone[only] = late[0]
    const used = at.kinds.map(() => 0)
    const rows = new Map<number, readonly SlotRow<State>[]>()
    let { from: way, label: ended } = found
    for (let k = stations.length - 1; k >= 0; k--) {
      const here = of(k)
      const turn: SlotRow<State>[] = []
      for (let label = ended; here !== undefined && label >= 0; label = here.from[label] ?? -1) {
        const kind = here.kind[label] ?? -1
        const row = at.kinds[kind]?.rows[used[kind] ?? 0]
        if (row === undefined) continue
        used[kind] = (used[kind] ?? 0) + 1
        turn.unshift(row)
      }
      rows.set(stations[k]?.index ?? -1, turn)
      ended = ends[k]?.label[way] ?? -1
      way = ends[k]?.from[way] ?? -1
    }
    return { lateness, last, late: new Map(at.groups.map((group, g) => [group, late[g] ?? 0])), rows }
  }

  private layoutOf(which: readonly number[]): Layout<State> {
    const lots = which.map((lot) => this.lots[lot] as Lot<State>)
    const kinds = lots.flatMap((lot) => lot.kinds)
    const groups = [...new Set(lots.flatMap((lot) => lot.groups))]
    const strides: number[] = []
    let sets = 1
    for (const { rows } of kinds) {
      strides.push(sets)
      sets *= rows.length + 1
    }
    const weights = groups.map((group) =>
      lots.reduce((sum, lot) => sum + (lot.weights[lot.groups.indexOf(group)] ?? 0), 0)
    )
    const start = groups.map((group) =>
      which.reduce((late, lot) => {
        const single = this.lots[lot]?.groups[0] === group ? (this.alone[lot] ?? 0) : 0
        return Math.max(late, single)
      }, this.by.startLate[group] ?? 0)
    )
    return {
      kinds,
      lotOf: lots.flatMap((lot, i) => lot.kinds.map(() => i)),
      groupOf: kinds.map((kind) => groups.indexOf(kind.group)),
      strides,
      sets,
      groups,
      weights,
      start,
      flightIds: lots.map((lot) => lot.flightId)
    }
  }

  /** One after the other, nobody of a lot behind somebody else once another lot came. */
  private labelsAt(at: Layout<State>, station: StationRow, most: Most): Labels {
    const { by } = this
    const width = at.groups.length
    const made = new Labels(at.sets, width)
    const touched = new Int32Array(at.sets)
    const left = by.before[station.index] ?? { freeAtMs: station.station.freeAtMs, last: undefined }
    made.overAtMs[0] = left.freeAtMs
    made.lot[0] = -1
    made.kind[0] = -1
    made.from[0] = -1
    for (let g = 0; g < width; g++) made.late[g] = at.start[g] ?? 0
    made.keep(0)
    const { changeoverWithinFlightMs: withinMs, changeoverBetweenMs: betweenMs } = station.station
    const changeMs = (lot: number, next: number): number => {
      const from = lot < 0 ? left.last?.flightId : at.flightIds[lot]
      if (from === undefined) return 0
      return from === at.flightIds[next] ? withinMs : betweenMs
    }
    for (let set = 0; set < at.sets; set++) {
      for (let label = made.heads[set] ?? -1; label >= 0; label = made.next[label] ?? -1) {
        const lot = made.lot[label] ?? -1
        for (let k = 0; k < at.kinds.length; k++) {
          const kind = at.kinds[k] as Kind<State>
          const stride = at.strides[k] ?? 1
          if (Math.floor(set / stride) % (kind.rows.length + 1) === kind.rows.length) continue
          const comes = at.lotOf[k] ?? 0
          if (comes !== lot && ((touched[set] ?? 0) & (1 << comes)) !== 0) continue
          const overMs = overAtMs(kind, { station }, (made.overAtMs[label] ?? 0) + changeMs(lot, comes))
          if (overMs === undefined || stepsOfMs(overMs) > most.last) continue
          if (!goesOn(by.work)) return made
          made.room()
          const to = made.count
          made.overAtMs[to] = overMs
          made.lot[to] = comes
          made.kind[to] = k
          made.from[to] = label
          for (let g = 0; g < width; g++) made.late[to * width + g] = made.late[label * width + g] ?? 0
          const g = at.groupOf[k] ?? 0
          const row = by.groups[kind.group] as GroupRow
          const late = stepsLate(row, overMs + row.group.reformMs)
          if (late > (by.mostLate?.[kind.group] ?? Infinity)) continue
          if (late > (made.late[to * width + g] ?? 0)) {
            made.late[to * width + g] = late
            if (costOf(at, (one) => made.late[to * width + one] ?? 0) > most.lateness) continue
          }
          if (made.keep(set + stride)) touched[set + stride] = (touched[set] ?? 0) | (1 << comes)
        }
      }
    }
    return made
  }

  /** Whoever of these may stand at one may stand at the other, to the same end. */
  private sameFor(at: Layout<State>, a: StationRow, b: StationRow): boolean {
    if (a === b) return true
    const keys = ['hookUpMs', 'closesAtMs', 'changeoverWithinFlightMs', 'changeoverBetweenMs'] as const
    if (keys.some((key) => a.station[key] !== b.station[key])) return false
    const [here, there] = [this.by.before[a.index], this.by.before[b.index]]
    if (here?.freeAtMs !== there?.freeAtMs || here?.last?.flightId !== there?.last?.flightId) return false
    if ((here?.last === undefined) !== (there?.last === undefined)) return false
    return at.kinds.every((kind) => sameService(kind.at[a.index], kind.at[b.index]))
  }
}

const costOf = ({ weights }: Pick<Layout<unknown>, 'weights'>, late: (group: number) => number): number => {
  let cost = 0
  for (let g = 0; g < weights.length; g++) cost += (weights[g] ?? 0) * late(g)
  return cost
}

/** Nobody stands anywhere yet. */
function nobody(at: Layout<unknown>): Ends {
  const made = new Ends(at.sets, at.groups.length)
  made.add(0, (g) => at.start[g] ?? 0, { last: NO_STEP, from: -1, label: -1 })
  return made
}

/** What stands at the stations so far with what stands at one more. */
function joined(at: Layout<unknown>, before: Ends, here: Labels): Ends {
  const { width } = here
  const made = new Ends(at.sets, width)
  const putAll = (a: number, b: number): void => {
    for (let label = here.heads[b] ?? -1; label >= 0; label = here.next[label] ?? -1) {
      for (let from = before.heads[a] ?? -1; from >= 0; from = before.next[from] ?? -1) {
        const last = Math.max(endOf(here, label), before.last[from] ?? NO_STEP)
        made.add(a + b, (g) => lateWith(g, { before, from, here, label }), { last, from, label })
      }
    }
  }
  for (const a of before.used)
    for (let b = 0; b < at.sets - a; b++) if ((here.heads[b] ?? -1) >= 0 && apart(at, a, b)) putAll(a, b)
  return made
}

interface Pair {
  readonly before: Ends
  readonly from: number
  readonly here: Labels
  readonly label: number
}

const endOf = (here: Labels, label: number): number =>
  here.from[label] === -1 ? NO_STEP : stepsOfMs(here.overAtMs[label] ?? 0)

const lateWith = (g: number, { before, from, here, label }: Pair): number =>
  Math.max(here.late[label * here.width + g] ?? 0, before.late[from * here.width + g] ?? 0)

/** The best that the last station makes of all ships; undefined where none comes to so little. */
function bestOf(
  at: Layout<unknown>,
  before: Ends,
  here: Labels,
  most: Most
): (Most & Pick<Pair, 'from' | 'label'> & { readonly late: readonly number[] }) | undefined {
  let best: Pair | undefined
  let least: Most = { lateness: most.lateness, last: most.last + 1 }
  const all = at.sets - 1
  for (const a of before.used) {
    for (let label = here.heads[all - a] ?? -1; label >= 0; label = here.next[label] ?? -1) {
      const end = endOf(here, label)
      for (let from = before.heads[a] ?? -1; from >= 0; from = before.next[from] ?? -1) {
        const last = Math.max(end, before.last[from] ?? NO_STEP)
        const pair = { before, from, here, label }
        const lateness = costOf(at, (g) => lateWith(g, pair))
        if (lateness > least.lateness || (lateness === least.lateness && last >= least.last)) continue
        best = pair
        least = { lateness, last }
      }
    }
  }
  if (best === undefined) return undefined
  const found = best
  return { ...least, from: found.from, label: found.label, late: at.groups.map((_, g) => lateWith(g, found)) }
}

/** No kind has more ships in both sets than there are. */
function apart({ kinds, strides }: Layout<unknown>, a: number, b: number): boolean {
  return kinds.every(({ rows }, k) => {
    const [stride, base] = [strides[k] ?? 1, rows.length + 1]
    return (Math.floor(a / stride) % base) + (Math.floor(b / stride) % base) < base
  })
}
