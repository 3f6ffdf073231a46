import { onPiece, pieceAt } from '../curves.ts'
import type { StationRow } from '../timetable.ts'
import { sameService, type Alone, type AtStation } from './alone.ts'

/*
 * Who is over when at which station, in whole ticks: instants are rounded down, so that a station's turn is over no later
 * than it is.
 */

/** Fine enough that all roundings of a station's turn together are about a step of the judgement. */
export const TICK_MS = 2_000

/** Stations that are alike for all ships. */
export interface Like {
  readonly count: number
  /** By ship, tick after tick from the first on: the tick it is over in when the station is free then; −1: never. */
  readonly overAt: readonly Int32Array[]
  /** By ship: the same on the station as it is found. */
  readonly first: Int32Array
}

export interface Grid {
  /** Of event time. */
  readonly firstTick: number
  /** Ticks from the first on; whoever is over later is not there. */
  readonly ticks: number
  /** By station: a contact may be cut short. */
  readonly short: readonly boolean[]
}

/** Undefined where a service may take no time. */
export function likesOf<State>(ships: readonly Alone<State>[], grid: Grid): readonly Like[] | undefined {
  const stations = [...new Set(ships.flatMap(({ at }) => at.map(({ station }) => station)))]
  const standsAt = (station: StationRow): (AtStation | undefined)[] =>
    ships.map(({ at }) => at.find((one) => one.station === station))
  const groups: { readonly station: StationRow; readonly stands: (AtStation | undefined)[]; count: number }[] = []
  for (const station of stations) {
    const stands = standsAt(station)
    const like = groups.find(
      (one) =>
        grid.short[one.station.index] === grid.short[station.index] &&
        one.station.station.hookUpMs === station.station.hookUpMs &&
        one.station.station.closesAtMs === station.station.closesAtMs &&
        one.stands.every((stand, i) => sameStand(stand, stands[i]))
    )
    if (like === undefined) groups.push({ station, stands, count: 1 })
    else like.count++
  }
  const likes = groups.map(({ stands, count }) => ({
    count,
    first: Int32Array.from(stands, (stand) => (stand === undefined ? -1 : overTick(stand, -Infinity, grid))),
    overAt: stands.map((stand) =>
      Int32Array.from({ length: grid.ticks + 1 }, (_, tick) =>
        stand === undefined ? -1 : overTick(stand, (grid.firstTick + tick) * TICK_MS, grid)
      )
    )
  }))
  const takesTime = likes.every(({ overAt }) => overAt.every((ends) => ends.every((end, at) => end < 0 || end > at)))
  return takesTime ? likes : undefined
}

const sameStand = (a: AtStation | undefined, b: AtStation | undefined): boolean =>
  sameService(a, b) && a?.changeover.leastMs === b?.changeover.leastMs

/** Ticks from the first on; beyond the last one: −1. */
function overTick({ station, curve, startAtMs, changeover }: AtStation, freeAtMs: number, grid: Grid): number {
  const { hookUpMs, closesAtMs } = station.station
  const contactAtMs = Math.max(startAtMs, freeAtMs + changeover.leastMs) + hookUpMs
  const piece = pieceAt(curve, contactAtMs)
  const whole = piece >= 0 && grid.short[station.index] !== true
  const overMs = whole ? onPiece(curve, curve.disconnectAtMs, piece, contactAtMs) : contactAtMs
  const tick = Math.floor(Math.min(overMs, Math.max(contactAtMs, closesAtMs)) / TICK_MS) - grid.firstTick
  return tick > grid.ticks ? -1 : Math.max(0, tick)
}
