import { stepsOfMs } from '../judgement.ts'
import type { SlotRow, StationRow } from '../timetable.ts'
import type { Before } from './alone.ts'
import { blockTableOf, type HopelessBlocks } from './blocks.ts'
import { joined } from './join.ts'
import { NOISE_MS, stepsLate, type Part } from './part.ts'
import { Remainders, type Asked } from './rest.ts'
import { sameStation, tableOf, type Hopeless, type Table, type Work } from './unit.ts'
import { NO_STEP, type Ways } from './ways.ts'

/*
 * The ways to serve a part that may belong to an order better than a known one.
 */

/** What a way of a part must beat. */
export interface Aim {
  /** Weighted lateness of the part that is no better, and the last disconnect that then is none. */
  readonly lateness: number
  readonly last: number
  /** Below 0: with so much weight lost it is better whatever it is late; above: never better. */
  readonly before: (lostWeight: number) => number
}

/** A way to serve ships of a part. */
export interface ServedPart<State> {
  readonly set: number
  /** By group of the part. */
  readonly late: readonly number[]
  /** Steps; NO_STEP when nobody is served. */
  readonly last: number
  /** In turn, by station index. */
  readonly rows: ReadonlyMap<number, readonly SlotRow<State>[]>
}

type Unit = readonly StationRow[]

export class PartProof<State> {
  private readonly asked: readonly Asked[]
  /** Each ship is a kind of its own: then a set is the ships themselves. */
  private readonly single: boolean
  private readonly moreMs: readonly number[]

  constructor(
    readonly part: Part<State>,
    private readonly by: {
      readonly before: readonly Before[]
      readonly work: Work
      readonly nowMs: number
      readonly mostLateness: number
      readonly mostWork: number
      /** Flights come to each tanker one after another; all ships of the part are in flights that stay whole. */
      readonly blocks: boolean
    }
  ) {
    let bit = 1
    this.asked = part.kinds.flatMap((kind) =>
      kind.rows.map((): Asked => {
        const one = bit
        bit *= 2
        const here = kind.at.filter((at) => at !== undefined)
        return {
          bit: one,
          group: kind.group,
          party: kind.party,
          component: 0,
          // The changeover before it is part of its work.
          releaseAtMs: Math.min(...here.map((at) => at.startAtMs - at.changeover.leastMs)),
          workMs: Math.min(...here.map((at) => at.changeover.leastMs + at.station.station.hookUpMs + at.serviceMs)),
          disconnectAtMs: Math.min(...here.map((at) => at.disconnectAtMs))
        }
      })
    )
    this.single = part.kinds.every(({ rows }) => rows.length === 1)
    this.moreMs = this.moreOfParties()
  }

  /** What the part comes to at least: weighted lateness of those that must be served, last disconnect. */
  least(): { readonly lateness: number; readonly last: number } {
    const { part } = this
    const { groups, lateness, lastMs } = this.remainders(part.units).of(0, 0)
    const others = part.startLate.reduce(
      (sum, steps, g) => ((groups >> g) & 1 ? sum : sum + steps * (part.mustWeights[g] ?? 0)),
      0
    )
    return { lateness: lateness + others, last: stepsAtLeast(lastMs) }
  }

  /** All ways that may belong to a better order, of equal sets those that are as good left out; undefined when the work ends. */
  better(aim: Aim, startLast: number): readonly ServedPart<State>[] | undefined {
    const { part } = this
    const tables: { readonly unit: Unit; readonly table: Table }[] = []
    for (const unit of part.units) {
      const twin = tables.find((one) => this.sameUnit(one.unit, unit))
      const table = twin?.table ?? this.tableOf(unit, aim, startLast)
      if (table === undefined) return undefined
      tables.push({ unit, table })
    }
    const half = Math.ceil(tables.length / 2)
    const left = this.together(tables.slice(0, half), aim)
    if (left === undefined) return undefined
    const right = this.together(tables.slice(half), aim)
    if (right === undefined && half < tables.length) return undefined
    const fits = (set: number): boolean =>
      part.kinds.every((kind) => !kind.must || (set & kind.mask) === kind.all) && aim.before(this.missing(set)) <= 0
    const both = right === undefined ? left : this.put(left, right, aim, { fits, last: true })
    return both && this.traced(both, part.units, fits)
  }

  private tableOf(unit: Unit, aim: Aim, startLast: number): Table | undefined {
    const { part, by } = this
    if (by.blocks) return blockTableOf(part, unit, { ...by, startLast, hopeless: this.inBlocks(aim, unit) })
    return tableOf(part, unit, { ...by, startLast, hopeless: this.inUnit(aim, unit) })
  }

  /** Tables put together one after the other; none of them: undefined. */
  private together(tables: readonly { readonly unit: Unit; readonly table: Table }[], aim: Aim): Table | undefined {
    let units: Unit[] = []
    let all: Table | undefined
    for (const { unit, table } of tables) {
      units = [...units, unit]
      all = all === undefined ? table : this.put(all, table, aim, { fits: () => true, units })
      if (all === undefined) return undefined
    }
    return all
  }

  private put(
    one: Table,
    other: Table,
    aim: Aim,
    of: { readonly fits: (set: number) => boolean; readonly last?: true; readonly units?: readonly Unit[] }
  ): Table | undefined {
    const { part, by } = this
    const units = part.units.filter((unit) => of.units?.includes(unit) === false)
    const rest = of.last ? undefined : this.remainders(units)
    return joined(part, one, other, {
      work: by.work,
      fits: of.fits,
      whole: of.last === true && part.kinds.every(({ must }) => must),
      hopeless: (ways, way) => this.isHopeless(aim, ways, way, rest?.of(this.shipsOf(ways.set[way] ?? 0), 0))
    })
  }

  private inUnit(aim: Aim, unit: Unit): Hopeless {
    const rest = this.remainders([unit, ...this.part.units.filter((other) => other !== unit)])
    const served = (ways: Ways, way: number): number => this.shipsOf(ways.set[way] ?? 0)
    return {
      during: (ways, way) => this.isHopeless(aim, ways, way),
      behind: (ways, way, place) => this.isHopeless(aim, ways, way, rest.of(served(ways, way), place + 1))
    }
  }

  private inBlocks(aim: Aim, unit: Unit): HopelessBlocks {
    const anywhere = this.remainders(this.part.units)
    const elsewhere = this.remainders(this.part.units.filter((other) => other !== unit))
    const rest = (of: Remainders, ways: Ways, way: number) => of.of(this.shipsOf(ways.set[way] ?? 0), 0)
    return {
      begun: (ways, way) => this.isHopeless(aim, ways, way),
      between: (ways, way) => this.isHopeless(aim, ways, way, rest(anywhere, ways, way)),
      behind: (ways, way) => this.isHopeless(aim, ways, way, rest(elsewhere, ways, way))
    }
  }

  private isHopeless(
    { before, lateness, last }: Aim,
    ways: Ways,
    way: number,
    rest?: { readonly groups: number; readonly lateness: number; readonly lastMs: number }
  ): boolean {
    const sure = before(0)
    if (sure !== 0) return sure > 0
    const cost = ways.mustCost[way] ?? 0
    const end = ways.last[way] ?? NO_STEP
    if (cost > lateness || (cost === lateness && end >= last)) return true
    if (rest === undefined) return false
    let over = rest.lateness
    for (let group = 0; group < ways.groups; group++)
      if (group > 30 || (rest.groups & (1 << group)) === 0)
        over += (ways.late[way * ways.groups + group] ?? 0) * (this.part.mustWeights[group] ?? 0)
    const surely = Math.max(cost, over)
    return surely > lateness || (surely === lateness && Math.max(end, stepsAtLeast(rest.lastMs)) >= last)
  }

  /** Weight of those not in a set. */
  missing(set: number): number {
    return this.part.kinds.reduce((sum, { mask, all, one, weight }) => sum + ((all - (set & mask)) / one) * weight, 0)
  }

  /** A set, each ship a bit. */
  private shipsOf(set: number): number {
    if (this.single) return set
    let ships = 0
    let shift = 0
    for (const { mask, one, rows } of this.part.kinds) {
      ships |= ((1 << ((set & mask) / one)) - 1) << shift
      shift += rows.length
    }
    return ships
  }

  private sameUnit(one: Unit, other: Unit): boolean {
    const { before } = this.by
    if (one.length !== other.length) return false
    return one.every((a, i) => {
      const b = other[i]
      return b !== undefined && sameStation(this.part, { station: a, before }, { station: b, before })
    })
  }

  private remainders(units: readonly Unit[]): Remainders {
    const { part, by } = this
    return new Remainders({
      ships: this.asked.filter((_, i) => this.mustShip(i)),
      places: units.flatMap((unit, tanker) =>
        unit.map((station) => ({ tanker, component: 0, beginMs: this.beginMs(station) }))
      ),
      moreMs: this.moreMs,
      lateAt: (group, overAtMs) => {
        const row = part.groups[group]
        const steps = row === undefined ? 0 : stepsLate(row, overAtMs + row.group.reformMs - NOISE_MS)
        return Math.max(part.startLate[group] ?? 0, steps)
      },
      weights: part.mustWeights,
      mostLateness: by.mostLateness,
      mostWork: by.mostWork
    })
  }

  private mustShip(ship: number): boolean {
    let first = 0
    for (const { rows, must } of this.part.kinds) {
      if (ship < first + rows.length) return must
      first += rows.length
    }
    return false
  }

  /** Where the first changeover of a station could begin. */
  private beginMs({ index, station }: StationRow): number {
    const moreMs = this.betweenMs()
    const changeMs = Math.max(0, ...this.part.kinds.map(({ at }) => at[index]?.changeover.leastMs ?? 0))
    const { freeAtMs, last } = this.by.before[index] ?? { freeAtMs: -Infinity, last: undefined }
    // On a station where nobody was yet the first one has no changeover, also none between flights.
    const earlyMs = changeMs + moreMs
    const fromMs = last === undefined ? freeAtMs - earlyMs : freeAtMs
    return Math.max(fromMs, station.opensAtMs - earlyMs, this.by.nowMs - earlyMs)
  }

  /** Between flights a changeover takes so much longer, wherever; 0 where that is not so at all stations. */
  private betweenMs(): number {
    const all = this.part.units.flat().map(({ station }) => {
      return station.changeoverMs === undefined ? station.changeoverBetweenMs - station.changeoverWithinFlightMs : 0
    })
    return Math.max(0, Math.min(...all))
  }

  /** By party: the changeover between flights before its first ship, where all of its flight is in it and must be served. */
  private moreOfParties(): readonly number[] {
    const { part, by } = this
    const lastFlights = new Set(part.units.flat().map(({ index }) => by.before[index]?.last?.flightId))
    const moreMs = this.betweenMs()
    return part.parties.map((_, party) => {
      const its = part.kinds.filter((kind) => kind.party === party)
      const flightIds = new Set(its.flatMap(({ rows }) => rows.map(({ slot }) => slot.flightId)))
      const apart = part.kinds.every(
        ({ rows, must, party: of }) => !flightIds.has(rows[0]?.slot.flightId ?? '') || (of === party && must)
      )
      return apart && ![...flightIds].some((id) => lastFlights.has(id)) ? moreMs : 0
    })
  }

  private traced(table: Table, units: readonly Unit[], fits: (set: number) => boolean): readonly ServedPart<State>[] {
    const found: ServedPart<State>[] = []
    const { ways } = table
    for (const { set, head } of table.sets) {
      if (!fits(set)) continue
      for (let way = head; way >= 0; way = ways.next[way] ?? -1) {
        const late = Array.from({ length: ways.groups }, (_, group) => ways.late[way * ways.groups + group] ?? 0)
        found.push({ set, late, last: ways.last[way] ?? NO_STEP, rows: this.rowsOf(table, way, units) })
      }
    }
    return found
  }

  /** Who stands where, by the units in the order they were put together in. */
  private rowsOf(table: Table, way: number, units: readonly Unit[]): ReadonlyMap<number, readonly SlotRow<State>[]> {
    const turns = new Map<number, SlotRow<State>[]>()
    const used = this.part.kinds.map(() => 0)
    let unit = units.length
    const trace = (of: Table, at: number): void => {
      const { ways, of: both } = of
      if (both !== undefined) {
        trace(both[1], ways.with[at] ?? -1)
        trace(both[0], ways.from[at] ?? -1)
        return
      }
      unit--
      const stations = units[unit] ?? []
      for (let step = at; step >= 0; step = ways.from[step] ?? -1) {
        const k = ways.with[step] ?? -1
        const kind = this.part.kinds[k]
        const station = stations[ways.station[step] ?? -1]
        if (kind === undefined || station === undefined) continue
        const row = kind.rows[used[k] ?? 0] as SlotRow<State>
        used[k] = (used[k] ?? 0) + 1
        turns.set(station.index, [row, ...(turns.get(station.index) ?? [])])
      }
    }
    trace(table, way)
    return turns
  }
}

/** Steps of an instant that may be noise later than it is. */
const stepsAtLeast = (ms: number): number =>
  ms === -Infinity ? NO_STEP : ms === Infinity ? Infinity : stepsOfMs(ms - NOISE_MS)
