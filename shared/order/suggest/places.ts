import type { StationRow } from '../timetable.ts'
import { sameService, type Alone, type AtStation } from './alone.ts'
import type { Least } from './bound.ts'
import type { Place } from './queue.ts'
import { overAtMs } from './unit.ts'

/*
 * The stations that some ships may use, those that are alike for all of them together, each as a queue sees it.
 */

export interface Alike {
  readonly stations: readonly StationRow[]
  readonly place: Place
}

interface Stands {
  readonly station: StationRow
  /** By ship. */
  readonly stands: readonly (AtStation | undefined)[]
}

export function placesOf<State>(least: Least<State>, ships: readonly Alone<State>[]): readonly Alike[] {
  const found: (Stands & { readonly stations: StationRow[] })[] = []
  for (const station of new Set(ships.flatMap(({ at }) => at.map((one) => one.station)))) {
    const stands = ships.map(({ at }) => at.find((one) => one.station === station))
    const like = found.find((one) => areAlike(least, one, { station, stands }))
    if (like === undefined) found.push({ station, stands, stations: [station] })
    else like.stations.push(station)
  }
  return found.map((one) => ({ stations: one.stations, place: placeOf(least, ships, one) }))
}

function placeOf<State>(
  least: Least<State>,
  ships: readonly Alone<State>[],
  { station, stands, stations }: Stands & { readonly stations: readonly StationRow[] }
): Place {
  const { changeoverWithinFlightMs: withinMs, changeoverBetweenMs: betweenMs, hookUpMs } = station.station
  const short = least.short[station.index] === true
  const kinds = ships.map(({ row }, ship) => {
    const at: (AtStation | undefined)[] = []
    at[station.index] = stands[ship]
    return { rows: [row], at }
  })
  const overMs = (ship: number, freeAtMs: number): number => {
    const [stand, kind] = [stands[ship], kinds[ship]]
    if (stand === undefined || kind === undefined) return Infinity
    // A contact may be cut short.
    if (short) return Math.max(stand.startAtMs, freeAtMs) + hookUpMs
    return overAtMs(kind, { station }, freeAtMs) ?? Infinity
  }
  const left = least.stations[station.index]
  // Ships that are not among these may stand between: it is no sooner for that.
  const plain = station.station.changeoverMs === undefined && 2 * betweenMs >= withinMs
  if (!plain) {
    const firstMs = Float64Array.from(ships, (_, ship) => overMs(ship, -Infinity))
    const behind = (ship: number, freeAtMs: number): number =>
      overMs(ship, freeAtMs + (stands[ship]?.changeover.leastMs ?? 0))
    return { count: stations.length, firstMs, withinMs: 0, betweenMs: 0, overAtMs: behind }
  }
  const firstMs = Float64Array.from(ships, ({ row }, ship) => {
    if (left?.last === undefined) return overMs(ship, left?.freeAtMs ?? -Infinity)
    return overMs(ship, left.freeAtMs + (left.last.flightId === row.slot.flightId ? withinMs : betweenMs))
  })
  return { count: stations.length, firstMs, withinMs, betweenMs, overAtMs: overMs }
}

const KEYS = ['hookUpMs', 'closesAtMs', 'changeoverWithinFlightMs', 'changeoverBetweenMs'] as const

function areAlike<State>(least: Least<State>, a: Stands, b: Stands): boolean {
  if (KEYS.some((key) => a.station.station[key] !== b.station.station[key])) return false
  if (a.station.station.changeoverMs !== undefined || b.station.station.changeoverMs !== undefined) return false
  if (least.short[a.station.index] !== least.short[b.station.index]) return false
  const [here, there] = [least.stations[a.station.index], least.stations[b.station.index]]
  if (here?.freeAtMs !== there?.freeAtMs || here?.last?.flightId !== there?.last?.flightId) return false
  return a.stands.every((stand, ship) => sameService(stand, b.stands[ship]))
}
