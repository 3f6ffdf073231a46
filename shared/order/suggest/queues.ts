import { STEP_MS, type Judgement } from '../judgement.ts'
import type { GroupRow, SlotRow } from '../timetable.ts'
import { leastWeight, type Alone } from './alone.ts'
import type { Least } from './bound.ts'
import { Covers, type Turn } from './covers.ts'
import { dice } from './dice.ts'
import type { Field } from './field.ts'
import { NOISE_MS, stepsLate } from './part.ts'
import { placesOf, type Alike } from './places.ts'
import type { Work } from './unit.ts'

/*
 * By when all ships can be over at the earliest where each may stand at any station that takes it, and an order that comes
 * near: from what each station may have in turn (covers.ts). No group is later than in an order that is as good before its
 * last disconnect. Later visits whose ready instant hangs on the order are not there, and flights need not stay whole.
 */

/** Weight: less is noise. */
const SURELY = 1e-6

export interface ByQueues<State> {
  /** No order that is as good before it comes to less: steps of the last disconnect, or weight lost; −Infinity where nothing is known. */
  readonly least: number
  /** An order to begin with: free slots in turn, by station index. */
  readonly free: readonly (readonly SlotRow<State>[])[] | undefined
  readonly work: number
}

interface Limits {
  /** It is known that none is over earlier. */
  readonly from: number
  /** Queues looked at, and steps of about as much work. */
  readonly most: number
  readonly stop?: (() => boolean) | undefined
}

/**
 * What is known of the last disconnect when the work ends.
 * Checked: tests/shared/order/suggest/queues.test.ts and exact.test.ts, never above the best of all orders (constructed).
 */
export function byQueues<State>(
  field: Field<State>,
  known: Judgement,
  least: Least<State>,
  { from, most, stop }: Limits
): ByQueues<State> {
  const must = new Set(least.jobs.map(({ row }) => row))
  const ships = least.alone.filter(({ row }) => must.has(row))
  const work = { count: 0, most, stop, stopped: false }
  if (ships.length === 0) return { least: -Infinity, free: undefined, work: 0 }
  return new Last(field, { known, ships, places: placesOf(least, ships), least, work }).run(from)
}

/**
 * The least weight lost in every order, and one to begin with that loses little: of ships that may be served by themselves,
 * what the stations cannot take in time.
 */
export function lostByQueues<State>(
  field: Field<State>,
  least: Least<State>,
  { most, stop }: Omit<Limits, 'from'>
): ByQueues<State> {
  const ships = least.alone.filter(({ at }) => at.length > 0)
  const work = { count: 0, most, stop, stopped: false }
  // Whoever is served anyway may come when its curve tells no more.
  if (ships.length === 0 || ships.some(({ row }) => row.slot.serveAnyway))
    return { least: -Infinity, free: undefined, work: 0 }
  const places = placesOf(least, ships)
  const untilMs = overByMs(ships)
  const covers = coversOf(ships, places, { untilMs, work })
  if (!covers.apt) return { least: -Infinity, free: undefined, work: 0 }
  const weights = ships.map(({ row }) => row.slot.weight)
  const beforeMs = new Float64Array(ships.length).fill(untilMs)
  const lost = covers.leastLost(beforeMs, weights)
  const chosen = staysWhole(field, ships) ? [] : covers.chooseMost(beforeMs, weights)
  return {
    least: least.lostWeight + Math.ceil(lost - SURELY),
    free: chosen.length === 0 ? undefined : freeOf(field, { ships, places }, chosen),
    work: work.count
  }
}

function coversOf<State>(
  ships: readonly Alone<State>[],
  places: readonly Alike[],
  by: { readonly untilMs: number; readonly work: Work }
): Covers {
  const flights = [...new Set(ships.map(({ row }) => row.slot.flightId))]
  const flightOf = Int32Array.from(ships, ({ row }) => flights.indexOf(row.slot.flightId))
  return new Covers(
    places.map(({ place }) => place),
    { flightOf, ...by }
  )
}

/** Some flight may not be split as these orders may. */
const staysWhole = <State>({ partyOf, breaksInForce }: Field<State>, ships: readonly Alone<State>[]): boolean =>
  ships.some(({ row }) => breaksInForce[partyOf[row.index] ?? -1] === 0)

/** Stations that are alike in turn. */
function freeOf<State>(
  field: Field<State>,
  { ships, places }: Pick<Given<State>, 'ships' | 'places'>,
  chosen: readonly Turn[]
): SlotRow<State>[][] {
  const free: SlotRow<State>[][] = field.table.stations.map(() => [])
  const used = places.map(() => 0)
  for (const turn of chosen) {
    const at = used[turn.kind] ?? 0
    used[turn.kind] = at + 1
    const station = places[turn.kind]?.stations[at]
    const rows = turn.ships.flatMap((ship) => ships[ship]?.row ?? [])
    if (station !== undefined) free[station.index] = rows.filter(({ slot }) => !slot.pinned)
  }
  return free
}

/** When those that are served are over however they stand, if none waits for nothing. */
function overByMs<State>(ships: readonly Alone<State>[]): number {
  let [startMs, workMs, latestMs] = [-Infinity, 0, -Infinity]
  for (const { at } of ships) {
    startMs = Math.max(startMs, ...at.map((one) => one.startAtMs))
    latestMs = Math.max(latestMs, ...at.map((one) => (one.curve.latestContactAtMs ?? Infinity) + one.mostServiceMs))
    workMs += Math.max(
      ...at.map(
        ({ mostServiceMs, station, changeover }) => mostServiceMs + station.station.hookUpMs + changeover.mostMs
      )
    )
  }
  return Math.min(startMs + workMs, latestMs) + 1
}

interface Given<State> {
  readonly known: Judgement
  readonly least: Least<State>
  readonly ships: readonly Alone<State>[]
  readonly places: readonly Alike[]
  readonly work: Work
}

class Last<State> {
  private readonly covers: Covers
  /** By ship: in no order as good is it over later. */
  private readonly inTimeMs: Float64Array

  constructor(
    private readonly field: Field<State>,
    private readonly given: Given<State>
  ) {
    const { known, ships, places, work } = given
    this.covers = coversOf(ships, places, { untilMs: overBeforeMs(known.lastDisconnect), work })
    this.inTimeMs = inTime(field, given)
  }

  run(from: number): ByQueues<State> {
    const { covers } = this
    const { known, work } = this.given
    if (!covers.apt) return { least: -Infinity, free: undefined, work: work.count }
    let [none, open] = [from - 1, known.lastDisconnect]
    while (none + 1 < open && !covers.ended()) {
      const middle = (none + open) >> 1
      if (covers.hasNone(this.beforeMs(middle)) === true) none = middle
      else open = middle
    }
    // What the work ended in counts as open.
    const least = none + 1
    if (staysWhole(this.field, this.given.ships)) return { least, free: undefined, work: work.count }
    for (let last = least; last < known.lastDisconnect && !covers.ended(); last++) {
      const chosen = covers.choose(this.beforeMs(last), dice(last))
      if (chosen !== undefined) return { least, free: freeOf(this.field, this.given, chosen), work: work.count }
    }
    return { least, free: undefined, work: work.count }
  }

  private beforeMs(last: number): Float64Array {
    return this.inTimeMs.map((ms) => Math.min(ms, overBeforeMs(last)))
  }
}

/** What is over before that has its disconnect in no later step. */
const overBeforeMs = (step: number): number => (step + 0.5) * STEP_MS

/** By ship, ms: it is over before in every order whose groups together are no later than in the known one. */
function inTime<State>(field: Field<State>, { known, least, ships }: Given<State>): Float64Array {
  const weights = new Map<GroupRow, number>()
  for (const row of [...least.served, ...ships.map((one) => one.row)])
    weights.set(row.group, (weights.get(row.group) ?? 0) + leastWeight(row))
  const lateOf = (row: GroupRow): number => stepsLate(row, (least.pushes.get(row) ?? -Infinity) - NOISE_MS)
  const spare = field.table.groups.reduce((sum, row) => sum - (weights.get(row) ?? 0) * lateOf(row), known.lateness)
  return Float64Array.from(ships, ({ row: { group: row } }) => {
    const { plannedAtMs, pushedAtMs, reformMs } = row.group
    const weight = weights.get(row) ?? 0
    if (pushedAtMs !== undefined || weight === 0) return Infinity
    const mostLate = lateOf(row) + Math.max(0, Math.floor(spare / weight))
    return plannedAtMs - reformMs + overBeforeMs(mostLate) + NOISE_MS
  })
}
