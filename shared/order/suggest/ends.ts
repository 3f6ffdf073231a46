import { onPiece, pieceAt, type ServiceCurve } from '../curves.ts'
import { STEP_MS, type Judgement } from '../judgement.ts'
import { readyOf, type SlotRow, type StationRow } from '../timetable.ts'
import {
  changeoverBefore,
  leastWeight,
  mayBeTopped,
  pointsOf,
  sameService,
  type Alone,
  type AtStation
} from './alone.ts'
import type { Least } from './bound.ts'
import type { Field } from './field.ts'

/*
 * How early the last disconnect can be in orders that are as good as a known one before it: a flight that stays whole has
 * one tanker's stations for itself at best. A later visit counts like a first one, with the best of the services that its
 * ship may have then.
 *
 * One thing more than in alone.ts and after.ts is taken for granted: after a first contact between two breakpoints of its
 * curve a later visit is over no earlier than after the better one of the two, and no push between the earliest and the
 * latest makes it so.
 */

/** Ships of one flight for which all ways to share a tanker's stations are gone through. */
const MOST_SHIPS = 8
/** Two instants no farther apart are the same. */
const SAME_MS = 0.1

/** A ship at a station: no order has it start earlier there. */
interface Stand {
  readonly station: StationRow
  readonly startAtMs: number
  readonly changeMs: number
  /** Its service is one of these. */
  readonly curves: readonly ServiceCurve[]
}

/** Undefined: where it may stand, its service is not known. */
type Stands = readonly Stand[] | undefined

export class Ends<State> {
  private later: ReadonlyMap<SlotRow<State>, Stands> = new Map()
  /** What order the later visits were looked at for. */
  private lateness = Infinity

  constructor(private readonly field: Field<State>) {}

  /** Event time ms; −Infinity where a tanker may run short, so that a contact may be cut short. */
  leastLast(known: Judgement, least: Least<State>): number {
    const lastMs = (known.lastDisconnect + 1) * STEP_MS
    if (known.lateness < this.lateness) this.later = laterStands(this.field, least, known)
    this.lateness = Math.min(known.lateness, this.lateness)
    const stands = new Map<SlotRow<State>, Stands>(this.later)
    for (const one of least.alone) stands.set(one.row, one.at.map(standOf))
    if (mayRunShort(this.field, stands, lastMs)) return -Infinity
    let ends = -Infinity
    for (const rows of this.parties(least)) {
      const here = rows.map((row) => stands.get(row))
      if (!here.includes(undefined)) ends = Math.max(ends, this.ofParty(here as readonly (readonly Stand[])[]))
    }
    return ends - 2 * SAME_MS
  }

  /** Ships that every order as good serves, by flights that stay whole. */
  private parties(least: Least<State>): readonly (readonly SlotRow<State>[])[] {
    const { partyOf, breaksInForce } = this.field
    const together = new Map<number, SlotRow<State>[]>()
    const surely = [...least.jobs.map(({ row }) => row), ...least.later.keys()]
    for (const row of surely) {
      const party = partyOf[row.index] ?? -1
      const key = party >= 0 && breaksInForce[party] === 0 ? party : -1 - row.index
      together.set(key, [...(together.get(key) ?? []), row])
    }
    return [...together.values()].filter((rows) => rows.length <= MOST_SHIPS)
  }

  /** At whichever tanker is best for all of it; −Infinity: none is known. */
  private ofParty(ships: readonly (readonly Stand[])[]): number {
    const tankers = this.field.table.tankers.map((tanker) => {
      const here = ships.map((stands) => stands.filter(({ station }) => station.tanker === tanker))
      return here.some((stands) => stands.length === 0) ? Infinity : endAt(here)
    })
    const least = Math.min(...tankers)
    return least === Infinity ? -Infinity : least
  }
}

const standOf = ({ station, startAtMs, changeover, curve }: AtStation): Stand => ({
  station,
  startAtMs,
  changeMs: changeover.leastMs,
  curves: [curve]
})

/** Whenever it comes to a contact up to an instant. */
function mostOnLoadKg({ station, startAtMs, curves }: Stand, { slot }: SlotRow<unknown>, lastMs: number): number {
  const fromMs = startAtMs + station.station.hookUpMs
  if (fromMs > lastMs) return 0
  const most = curves.flatMap((curve) => {
    const latestMs = slot.serveAnyway ? Infinity : (curve.latestContactAtMs ?? Infinity)
    const toMs = Math.max(fromMs, Math.min(lastMs, latestMs, curve.contactAtMs.at(-1) ?? fromMs))
    return pointsOf(curve, fromMs, toMs).map(({ onLoadKg }) => onLoadKg)
  })
  return Math.max(0, ...most)
}

/** When all ships are over on the stations of one tanker, in the best turns. */
function endAt(ships: readonly (readonly Stand[])[]): number {
  const stations = [...new Set(ships.flatMap((stands) => stands.map(({ station }) => station)))]
  const sets = 1 << ships.length
  let over = new Float64Array(sets).fill(Infinity)
  over[0] = -Infinity
  for (const station of stations) {
    const here = endsOn(
      ships.map((stands) => stands.find((stand) => stand.station === station)),
      sets
    )
    const next = new Float64Array(sets).fill(Infinity)
    for (let set = 0; set < sets; set++)
      for (let some = set; ; some = (some - 1) & set) {
        next[set] = Math.min(next[set] ?? Infinity, Math.max(over[set & ~some] ?? Infinity, here[some] ?? Infinity))
        if (some === 0) break
      }
    over = next
  }
  return over[sets - 1] ?? Infinity
}

/** By set of ships: when they are over on one station; a later contact never ends earlier. */
function endsOn(ships: readonly (Stand | undefined)[], sets: number): Float64Array {
  const ends = new Float64Array(sets).fill(Infinity)
  ends[0] = -Infinity
  for (let set = 0; set < sets; set++)
    for (const [i, stand] of ships.entries()) {
      if (stand === undefined || (set & (1 << i)) !== 0) continue
      const overMs = overAt(stand, ends[set] ?? Infinity)
      const to = set | (1 << i)
      ends[to] = Math.min(ends[to] ?? Infinity, overMs)
    }
  return ends
}

function overAt({ station, startAtMs, changeMs, curves }: Stand, freeAtMs: number): number {
  if (freeAtMs === Infinity) return Infinity
  const { hookUpMs, closesAtMs } = station.station
  const contactAtMs = Math.max(startAtMs, freeAtMs + changeMs) + hookUpMs
  const ends = curves.map((curve) => {
    const piece = pieceAt(curve, contactAtMs)
    if (piece >= 0) return onPiece(curve, curve.disconnectAtMs, piece, contactAtMs)
    // Before its curve it is not ready; what comes behind it is not known.
    return contactAtMs < (curve.contactAtMs[0] ?? -Infinity) ? Infinity : contactAtMs
  })
  return Math.min(Math.max(contactAtMs, closesAtMs), ...ends)
}

/** All that may come to a tanker come, each at its most, and it leaves no later than its last contact may end. */
function mayRunShort<State>(
  { table }: Field<State>,
  stands: ReadonlyMap<SlotRow<State>, Stands>,
  lastMs: number
): boolean {
  const open = table.rows.filter(({ slot }) => !slot.gone && slot.fixed === undefined)
  return table.tankers.some(({ tanker }) => {
    const giveKg = tanker.giveKg(Math.max(tanker.leavesAtMs, lastMs))
    if (giveKg === Infinity) return false
    let askedKg = 0
    for (const row of open) {
      const here = stands.get(row)?.filter(({ station }) => station.tanker.tanker === tanker)
      askedKg += here === undefined ? Infinity : Math.max(0, ...here.map((stand) => mostOnLoadKg(stand, row, lastMs)))
    }
    for (const { slot, station } of table.flown)
      if (station?.tanker.tanker === tanker && slot.fixed?.done === false) askedKg += slot.fixed.onLoadKg
    return !(askedKg <= giveKg)
  })
}

/** Later visits of ships that are served for the first time, and of no others. */
function laterStands<State>(
  field: Field<State>,
  least: Least<State>,
  { lateness }: Judgement
): ReadonlyMap<SlotRow<State>, Stands> {
  const firsts = new Map(least.alone.map((one) => [one.row, one]))
  const found = new Map<SlotRow<State>, Stands>()
  for (const row of field.table.rows) {
    if (row.after === undefined || row.slot.gone || row.slot.fixed !== undefined) continue
    const first = firsts.get(row.after)
    // Lost with its first visit, it asks for nothing.
    if (first?.at.length === 0) found.set(row, [])
    else if (first !== undefined && !row.topOff && !mayBeTopped(row.after))
      found.set(row, standsAfter(field, row, { first, lateness, ...least }))
  }
  return found
}

interface First<State> extends Pick<Least<State>, 'pushes' | 'stations'> {
  readonly first: Alone<State>
  /** Weighted steps: no order of interest is so late. */
  readonly lateness: number
}

function standsAfter<State>(field: Field<State>, row: SlotRow<State>, by: First<State>): Stands {
  const { table, stationsOf } = field
  const before = by.first.at.filter((at, i, all) => all.findIndex((one) => sameService(one, at)) === i)
  if (before.some(({ station }) => station.station.closesAtMs < Infinity)) return undefined
  const stands: Stand[] = []
  for (const index of row.slot.pinned ? [table.stationInForce[row.index] ?? -1] : (stationsOf[row.index] ?? [])) {
    const station = table.stations[index]
    if (station?.station.takesNew !== true) continue
    const after = before.flatMap((at) => servicesAfter(row, { at, station, ...by }))
    const { opensAtMs } = station.station
    const { leastMs: changeMs } = changeoverBefore(field, station, row)
    const freeAtMs = by.stations[index]?.freeAtMs ?? -Infinity
    stands.push({
      station,
      startAtMs: Math.max(
        Math.min(...after.map(({ readyAtMs }) => readyAtMs)),
        opensAtMs,
        freeAtMs,
        row.notBeforeMs,
        table.nowMs
      ),
      changeMs,
      curves: after
        .map(({ curve }) => curve)
        .filter((curve, i, all) => !all.slice(0, i).some((one) => isSame(one, curve)))
    })
  }
  return stands
}

interface After {
  readonly readyAtMs: number
  readonly curve: ServiceCurve
}

/**
 * Its services after a first contact at each breakpoint, the group before pushing as early as it can then, and as late as
 * it may.
 */
function servicesAfter<State>(
  row: SlotRow<State>,
  {
    at,
    station: { station },
    pushes,
    lateness
  }: Pick<First<State>, 'pushes' | 'lateness'> & { readonly at: AtStation; readonly station: StationRow }
): readonly After[] {
  const before = row.after as SlotRow<State>
  const ready = readyOf(before, at.station)
  const { plannedAtMs, reformMs } = before.group.group
  const mostMs = plannedAtMs + (Math.floor(lateness / Math.max(1, leastWeight(before))) + 0.5) * STEP_MS
  const points = pointsOf(at.curve, at.contactAtMs, at.lastContactAtMs)
  const contacts = new Set(untilOver(points, mostMs - reformMs))
  const served = [...contacts].map((contactAtMs) => before.slot.serve(at.station.station, ready, contactAtMs))
  const earliestMs = (disconnectAtMs: number): number =>
    Math.max(pushes.get(before.group) ?? -Infinity, disconnectAtMs + reformMs)
  const latestMs = Math.max(...served.map(({ disconnectAtMs }) => earliestMs(disconnectAtMs)))
  return served.flatMap(({ state, disconnectAtMs }) =>
    // Others of its group may hold it up too.
    [...new Set([earliestMs(disconnectAtMs), latestMs])].map((pushAtMs) => {
      const then = row.slot.ready({ disconnectAtMs, pushAtMs, state }, station)
      return { readyAtMs: then.atMs, curve: row.slot.curve(station, then) }
    })
  )
}

/** Contacts at points of a curve that are over by an instant, and the last one that is. */
function untilOver(points: ReturnType<typeof pointsOf>, overByMs: number): number[] {
  const [first] = points
  const inTime = points.filter(({ disconnectAtMs }) => disconnectAtMs <= overByMs)
  const [last, next] = [inTime.at(-1), points[inTime.length]]
  const contacts = inTime.map(({ contactAtMs }) => contactAtMs)
  if (first !== undefined && last === undefined) return [first.contactAtMs]
  if (last !== undefined && next !== undefined && next.contactAtMs > last.contactAtMs) {
    const part = (overByMs - last.disconnectAtMs) / (next.disconnectAtMs - last.disconnectAtMs)
    contacts.push(last.contactAtMs + part * (next.contactAtMs - last.contactAtMs))
  }
  return contacts
}

const isSame = (one: ServiceCurve, other: ServiceCurve): boolean =>
  one === other || (isNear(one.contactAtMs, other.contactAtMs) && isNear(one.disconnectAtMs, other.disconnectAtMs))

const isNear = (one: readonly number[], other: readonly number[]): boolean =>
  one.length === other.length && one.every((ms, i) => Math.abs(ms - (other[i] ?? NaN)) <= SAME_MS)
