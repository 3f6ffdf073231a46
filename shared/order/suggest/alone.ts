import { onPiece, pieceAt, type ServiceCurve } from '../curves.ts'
import { settle } from '../settle.ts'
import { changeoverMs, curveOf, readyOf, type SlotRow, type StationRow } from '../timetable.ts'
import type { OnStation, PushGroupIn } from '../times.ts'
import type { Field } from './field.ts'

/*
 * What a ship gets at best when it has a station to itself. Two things are taken for granted of every service: a later
 * contact never ends earlier, and a contact cut short never leaves more fuel than the whole one.
 */

export interface AtStation {
  readonly station: StationRow
  readonly curve: ServiceCurve
  readonly changeover: Changeover
  /** It cannot begin before, event time ms; hook-up follows. */
  readonly startAtMs: number
  readonly contactAtMs: number
  readonly disconnectAtMs: number
  /** Its last contact the curve knows. */
  readonly lastContactAtMs: number
  /** From contact to disconnect, ms: the least at any instant it may come, 0 where a contact may be cut short. */
  readonly serviceMs: number
  readonly mostServiceMs: number
  readonly mostOnLoadKg: number
}

export interface Alone<State> {
  readonly row: SlotRow<State>
  /** Where it may be served; nowhere: it is lost in every order. */
  readonly at: readonly AtStation[]
}

/** A station as what is flown leaves it. */
export interface Before {
  readonly freeAtMs: number
  readonly last: OnStation | undefined
}

/** The least and the greatest changeover before a slot on a station, whoever was there before it, ms. */
export interface Changeover {
  readonly leastMs: number
  readonly mostMs: number
}

export function changeoverBefore<State>(
  { table }: Field<State>,
  { station, lastAtStart }: StationRow,
  row: SlotRow<State>
): Changeover {
  if (station.changeoverMs === undefined) {
    const both = [station.changeoverWithinFlightMs, station.changeoverBetweenMs] as const
    return { leastMs: Math.min(...both), mostMs: Math.max(...both) }
  }
  const others = table.rows.flatMap((other) => (other === row ? [] : [changeoverMs(station, other.slot, row.slot)]))
  if (lastAtStart !== undefined) others.push(changeoverMs(station, lastAtStart, row.slot))
  // Alone and the first, it has the one before nobody.
  if (others.length === 0) others.push(changeoverMs(station, undefined, row.slot))
  return { leastMs: Math.min(...others), mostMs: Math.max(...others, changeoverMs(station, undefined, row.slot)) }
}

/** What stations are left like by what is flown: the last disconnect and whose. Fills the timetable with the order in force. */
export function stationsBefore<State>({ table }: Field<State>): Before[] {
  settle(table, table.ordered)
  return table.stations.map((at) => {
    let { freeAtMs } = at.station
    let last = at.lastAtStart
    for (const { slot, station } of table.flown) {
      if (station !== at || slot.fixed === undefined) continue
      if (last !== undefined && slot.fixed.disconnectAtMs < freeAtMs) continue
      freeAtMs = slot.fixed.disconnectAtMs
      last = slot
    }
    return { freeAtMs, last }
  })
}

/**
 * What a slot's ready state hangs on is known whatever the order, and its ship is lost without it: it is a first visit,
 * or its earlier one is flown and pushed; no top-off.
 */
export const readyKnown = ({ after, topOff }: SlotRow<unknown>): boolean =>
  !topOff && (after === undefined || (after.slot.fixed !== undefined && after.group.group.pushedAtMs !== undefined))

/** Some order may top it off: then nothing is counted of it but that it is served. */
export const mayBeTopped = (row: SlotRow<unknown>): boolean => row.next.some((next) => next.topOff && !next.slot.gone)

/** The least weight a visit counts with at its push, whichever of its contacts is the last; 0: another one flown counts. */
export function leastWeight(row: SlotRow<unknown>): number {
  let least = row.slot.weight
  for (const next of row.next) {
    if (!next.topOff) continue
    if (next.slot.fixed !== undefined) return 0
    least = Math.min(least, leastWeight(next))
  }
  return least
}

/** A slot alone at each station it may use; the timetable must be filled with the order in force. */
export function aloneOf<State>(field: Field<State>, before: readonly Before[], row: SlotRow<State>): Alone<State> {
  const { table, stationsOf } = field
  const own = table.stationInForce[row.index] ?? -1
  // Pinned, it stays.
  const all = row.slot.pinned ? [own] : (stationsOf[row.index] ?? [])
  const at: AtStation[] = []
  for (const index of all) {
    const station = table.stations[index]
    const left = before[index]
    if (station === undefined || left === undefined || !station.station.takesNew) continue
    const ready = readyOf(row, station)
    const { opensAtMs, hookUpMs, closesAtMs } = station.station
    const changeover = changeoverBefore(field, station, row)
    const beforeMs =
      left.last === undefined
        ? Math.min(changeover.leastMs, changeoverMs(station.station, undefined, row.slot))
        : changeover.leastMs
    const freeAtMs = left.freeAtMs + beforeMs
    const startAtMs = Math.max(ready.atMs, opensAtMs, freeAtMs, row.notBeforeMs, table.nowMs)
    const contactAtMs = startAtMs + hookUpMs
    const curve = curveOf(row, station, ready)
    const latestMs = row.slot.serveAnyway ? Infinity : (curve.latestContactAtMs ?? Infinity)
    if (contactAtMs > latestMs || contactAtMs >= closesAtMs) continue
    const piece = pieceAt(curve, contactAtMs)
    const wholeAtMs =
      piece < 0
        ? row.slot.serve(station.station, ready, contactAtMs).disconnectAtMs
        : onPiece(curve, curve.disconnectAtMs, piece, contactAtMs)
    const lastContactAtMs = Math.max(contactAtMs, Math.min(latestMs, curve.contactAtMs.at(-1) ?? contactAtMs))
    const spans = alongCurve(curve, contactAtMs, lastContactAtMs, (one) => one.disconnectAtMs - one.contactAtMs)
    const loads = alongCurve(curve, contactAtMs, lastContactAtMs, (one) => one.onLoadKg)
    at.push({
      station,
      curve,
      changeover,
      startAtMs,
      contactAtMs,
      disconnectAtMs: Math.min(wholeAtMs, closesAtMs),
      lastContactAtMs,
      serviceMs: closesAtMs < Infinity ? 0 : Math.min(wholeAtMs - contactAtMs, ...spans),
      mostServiceMs: Math.max(wholeAtMs - contactAtMs, ...spans),
      mostOnLoadKg: Math.max(0, ...loads)
    })
  }
  return { row, at }
}

interface OnCurve {
  readonly contactAtMs: number
  readonly disconnectAtMs: number
  readonly onLoadKg: number
  readonly fuelAtDisconnectKg: number
}

/** A quantity at both ends of a stretch and at every breakpoint in it, on both sides where the curve jumps. */
function alongCurve(curve: ServiceCurve, fromMs: number, toMs: number, of: (at: OnCurve) => number): number[] {
  return pointsOf(curve, fromMs, toMs).map(of)
}

/** A curve's points from an instant to another, both sides where it jumps. */
export function pointsOf(curve: ServiceCurve, fromMs: number, toMs: number): OnCurve[] {
  const points: OnCurve[] = []
  const add = (contactAtMs: number, piece: number): void => {
    points.push({
      contactAtMs,
      disconnectAtMs: onPiece(curve, curve.disconnectAtMs, piece, contactAtMs),
      onLoadKg: onPiece(curve, curve.onLoadKg, piece, contactAtMs),
      fuelAtDisconnectKg: onPiece(curve, curve.fuelAtDisconnectKg, piece, contactAtMs)
    })
  }
  for (const [index, contactAtMs] of curve.contactAtMs.entries()) {
    if (index === 0 || contactAtMs < fromMs || contactAtMs > toMs) continue
    add(contactAtMs, index)
    // The piece before ends here too, with what it has there.
    const beforeMs = curve.contactAtMs[index - 1] ?? contactAtMs
    if (beforeMs < contactAtMs) add(contactAtMs, index - 1)
  }
  for (const endMs of [fromMs, toMs]) {
    const piece = pieceAt(curve, endMs)
    if (piece >= 0) add(endMs, piece)
  }
  return points.sort((a, b) => a.contactAtMs - b.contactAtMs)
}

/**
 * The least a ship is short at its push, kg, whenever it comes to a station: its group pushes no earlier than
 * `pushAtMs`, nor before it is over and has reformed. 0 where its curve does not tell.
 */
export function leastShortageKg(row: SlotRow<unknown>, at: AtStation, group: PushGroupIn, pushAtMs: number): number {
  const points = pointsOf(at.curve, at.contactAtMs, at.lastContactAtMs)
  if (points.length === 0) return 0
  const leastWaitMs = group.pushedAtMs === undefined ? group.reformMs : 0
  const pushMs = group.pushedAtMs ?? pushAtMs
  const { requiredAtPushKg, waitBurnKgPerS } = row.slot
  const shortKg = (disconnectAtMs: number, fuelAtDisconnectKg: number): number =>
    requiredAtPushKg - fuelAtDisconnectKg + (waitBurnKgPerS * Math.max(leastWaitMs, pushMs - disconnectAtMs)) / 1000
  let least = Infinity
  points.forEach((point, i) => {
    least = Math.min(least, shortKg(point.disconnectAtMs, point.fuelAtDisconnectKg))
    // Between two points all is linear but for where the ship begins to be the one the push waits for.
    const next = points[i + 1]
    const bendMs = pushMs - leastWaitMs
    if (next === undefined || !(point.disconnectAtMs < bendMs && bendMs < next.disconnectAtMs)) return
    const part = (bendMs - point.disconnectAtMs) / (next.disconnectAtMs - point.disconnectAtMs)
    least = Math.min(
      least,
      shortKg(bendMs, point.fuelAtDisconnectKg + part * (next.fuelAtDisconnectKg - point.fuelAtDisconnectKg))
    )
  })
  return Math.max(0, least)
}

/** The same instants and fuel whenever it comes. */
export function sameService(a: AtStation | undefined, b: AtStation | undefined): boolean {
  if (a === undefined || b === undefined) return a === b
  return (
    a.startAtMs === b.startAtMs &&
    a.curve.latestContactAtMs === b.curve.latestContactAtMs &&
    same(a.curve.contactAtMs, b.curve.contactAtMs) &&
    same(a.curve.disconnectAtMs, b.curve.disconnectAtMs) &&
    same(a.curve.fuelAtDisconnectKg, b.curve.fuelAtDisconnectKg)
  )
}

const same = (a: readonly number[], b: readonly number[]): boolean =>
  a === b || (a.length === b.length && a.every((value, i) => value === b[i]))
