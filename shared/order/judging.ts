import { judgementBy, movedOn, worthOf, type Worth } from './answer.ts'
import type { Judgement } from './judgement.ts'
import { settle, settleSome, type Some } from './settle.ts'
import type { GroupRow, SlotRow, StationRow, Timetable, Turns } from './timetable.ts'

/*
 * Orders of one timetable judged one after the other: only what differs from the one before is gone through again, and
 * what hangs on it. Stations hang together by what their tanker gives and where they exclude each other; later visits
 * hang on all whose push is theirs before.
 */

const nothing = (): Worth => ({ lostWeight: 0, shortage: 0, lateness: 0, lastDisconnectAtMs: -Infinity })

/** Judges orders of a timetable that nobody else fills meanwhile. */
export class Judging<State> {
  /** What the timetable is filled for, where it can be filled on from there. */
  private turns: Turns<State> | undefined
  /** By station: those it hangs together with, itself too. */
  private readonly tied: readonly (readonly StationRow[])[]
  private readonly groupOf: readonly number[]
  /** By station, slot, group: it is gone through again. */
  private readonly stationAgain: Uint8Array
  private readonly rowAgain: Uint8Array
  private readonly groupAgain: Uint8Array
  private readonly stations: StationRow[] = []
  private readonly groups: GroupRow[] = []
  /** By group, and by station. */
  private readonly worths: readonly Worth[]
  private readonly moved: Int32Array

  constructor(private readonly table: Timetable<State>) {
    const { stations, rows, groups } = table
    this.tied = tiedOf(stations)
    this.groupOf = rows.map((row) => groups.indexOf(row.group))
    this.stationAgain = new Uint8Array(stations.length)
    this.rowAgain = new Uint8Array(rows.length)
    this.groupAgain = new Uint8Array(groups.length)
    this.worths = groups.map(nothing)
    this.moved = new Int32Array(stations.length)
  }

  /**
   * The judgement of an order, the same as `settle` and `judgementOf` give; the timetable is filled for it then, but for
   * the instants of lost slots. A station that has the same array as before has the same slots in turn.
   * Checked: tests/shared/order/judging.test.ts, against these on random orders and changes of them (constructed).
   */
  judgement(turns: Turns<State>): Judgement {
    const { table } = this
    const before = this.turns
    this.turns = turns
    const some = before && this.differing(before, turns)
    if (some === undefined || !settleSome(table, turns, some)) this.whole(turns)
    const all = nothing()
    let moved = 0
    for (let g = 0; g < this.worths.length; g++) {
      const worth = this.worths[g] as Worth
      if (this.groupAgain[g] === 1) {
        Object.assign(worth, nothing())
        worthOf(worth, table.groups[g]?.rows ?? [])
      }
      all.lostWeight += worth.lostWeight
      all.shortage += worth.shortage
      all.lateness += worth.lateness
      if (worth.lastDisconnectAtMs > all.lastDisconnectAtMs) all.lastDisconnectAtMs = worth.lastDisconnectAtMs
    }
    for (let station = 0; station < turns.length; station++) {
      const inTurn = turns[station] ?? []
      if (before?.[station] !== inTurn) this.moved[station] = movedOn(table, inTurn, station)
      moved += this.moved[station] ?? 0
    }
    return judgementBy(all, moved)
  }

  private whole(turns: Turns<State>): void {
    const { table } = this
    settle(table, turns)
    this.groupAgain.fill(1)
    // Where some are presumed lost, or stand where they were not flown, all hang on all.
    const alike = turns.every((inTurn, station) => inTurn.every((row) => standsAt(row, station)))
    if (!alike || table.rows.some((row) => row.presumedLost)) this.turns = undefined
  }

  /** What hangs on the stations whose slots are not as before; undefined where all does. */
  private differing(before: Turns<State>, turns: Turns<State>): Some<State> | undefined {
    const { table, stationAgain, rowAgain, groupAgain, stations, groups } = this
    stationAgain.fill(0)
    rowAgain.fill(0)
    groupAgain.fill(0)
    stations.length = 0
    groups.length = 0
    for (let station = 0; station < turns.length; station++)
      if (before[station] !== turns[station]) this.addStation(table.stations[station] as StationRow)
    // Each adds to the end of what is gone through.
    for (let s = 0, g = 0; s < stations.length || g < groups.length;) {
      const station = stations[s++]
      if (station !== undefined) {
        for (const row of before[station.index] ?? []) this.addRow(row)
        for (const row of turns[station.index] ?? []) {
          if (!standsAt(row, station.index)) return undefined
          this.addRow(row)
        }
        continue
      }
      s--
      for (const row of groups[g++]?.rows ?? []) for (const next of row.next) this.addLater(next)
    }
    for (const row of table.flown)
      if (row.station !== undefined && stationAgain[row.station.index] === 1) this.addRow(row)
    stations.sort((a, b) => a.index - b.index)
    const rows = table.rows.filter(({ index }) => rowAgain[index] === 1)
    const tankers = table.tankers.filter((tanker) => stations.some((station) => station.tanker === tanker))
    return { stations, tankers, groups, rows, flown: table.flown.filter(({ index }) => rowAgain[index] === 1) }
  }

  private addStation(station: StationRow): void {
    for (const one of this.tied[station.index] ?? []) {
      if (this.stationAgain[one.index] === 1) continue
      this.stationAgain[one.index] = 1
      this.stations.push(one)
    }
  }

  private addRow(row: SlotRow<unknown>): void {
    if (this.rowAgain[row.index] === 1) return
    this.rowAgain[row.index] = 1
    const group = this.groupOf[row.index] ?? 0
    if (this.groupAgain[group] === 1) return
    this.groupAgain[group] = 1
    this.groups.push(row.group)
  }

  /** Where it stood, it stands, unless that station differs. */
  private addLater(row: SlotRow<unknown>): void {
    this.addRow(row)
    if (row.station !== undefined) this.addStation(row.station)
  }
}

const standsAt = ({ flownAt }: SlotRow<unknown>, station: number): boolean =>
  flownAt === undefined || flownAt.index === station

function tiedOf(stations: readonly StationRow[]): StationRow[][] {
  const tie = stations.map(({ index }) => index)
  for (const one of stations)
    for (const other of stations) {
      if (other.tanker !== one.tanker && !one.excluded.includes(other)) continue
      const [from, to] = [tie[other.index], tie[one.index] ?? 0]
      tie.forEach((id, index) => {
        if (id === from) tie[index] = to
      })
    }
  return stations.map(({ index }) => stations.filter((other) => tie[other.index] === tie[index]))
}
