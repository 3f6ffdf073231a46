import { contact } from './contact.ts'
import type { ServiceCurve } from './curves.ts'
import { goneWith, lose, notAwaited, stand, unknownInstants, wouldBe } from './endings.ts'
import {
  changeoverMs,
  curveOf,
  exclude,
  leftBy,
  readyOf,
  served,
  type Cause,
  type GroupRow,
  type SlotRow,
  type StationRow,
  type Timetable,
  type Turns
} from './timetable.ts'

/*
 * The evaluator: who comes to which station when, contact by contact.
 */

/**
 * Fills the timetable for the given sequences; each slot stands at most once in them.
 *
 * Contacts are dealt with in the order of their instants: a contact that begins later can change nothing before it.
 * The one exception is a second visit that waits for a ship that is found to miss only later on. Where a contact was
 * dealt with out of turn for that and its tanker runs dry, the sequences are gone through again with the ships that
 * missed not waited for from the start, less those that then do not miss. Where no such set is found
 * give is dealt in the order in which the contacts can be known.
 */
export function settle<State>(table: Timetable<State>, turns: Turns<State>): void {
  for (const row of table.rows) {
    row.presumedLost = false
    row.wronglyPresumed = false
  }
  run(table, turns, table)
  for (let again = 0; again < MOST_ROUNDS; again++) {
    if (!presumeAgain(table)) return
    run(table, turns, table)
  }
  for (const row of table.rows) row.presumedLost = false
  run(table, turns, table)
}

/** What of a timetable is filled anew; nothing else hangs on it. */
export type Some<State> = Pick<Timetable<State>, 'stations' | 'tankers' | 'groups' | 'rows' | 'flown'>

/**
 * Fills some of a timetable anew whose rest is filled, nobody presumed lost; false where that is not enough: then it must
 * be filled as a whole.
 */
export function settleSome<State>(table: Timetable<State>, turns: Turns<State>, some: Some<State>): boolean {
  run(table, turns, some)
  return !presumeAgain(table)
}

/** Each round takes back or adds at least one ship; an order that needs more is beyond what give is worth. */
const MOST_ROUNDS = 8

/** Takes back who was presumed lost and is not, else presumes who missed; false when the answer stands. */
function presumeAgain<State>(table: Timetable<State>): boolean {
  let changed = false
  for (const row of table.rows) {
    if (!row.presumedLost || row.state === 'missed') continue
    row.presumedLost = false
    row.wronglyPresumed = true
    changed = true
  }
  if (changed || !table.tankers.some((row) => row.outOfTurn && row.dryAt !== undefined)) return changed
  for (const row of table.rows) {
    if (row.state !== 'missed' || row.presumedLost || row.wronglyPresumed) continue
    row.presumedLost = true
    changed = true
  }
  return changed
}

function run<State>(table: Timetable<State>, turns: Turns<State>, some: Some<State>): void {
  begin(table, turns, some)
  for (;;) {
    let first: StationRow | undefined
    let blocked = false
    let moving = true
    while (moving) {
      moving = false
      first = undefined
      blocked = false
      for (const station of some.stations) {
        if (station.head === undefined) moving = advance(table, station, turns[station.index] ?? []) || moving
        if (station.head !== undefined) {
          if (first?.head === undefined || station.head.contactAtMs < first.head.contactAtMs) first = station
        } else if (station.turn < (turns[station.index] ?? []).length) blocked = true
      }
      // Somebody found to miss may be whom an earlier station waits for.
      moving = moving && blocked
    }
    if (first?.head === undefined) {
      if (blocked) for (const row of some.rows) if (!row.resolved) loseUnplaced(table, row, 'waits in a circle')
      return
    }
    if (first.excluded.length > 0) first = firstAllowed(table)
    contact(first, first.head as SlotRow<State>)
  }
}

/** Of the stations whose next slot no excluded station goes before, the one with the first contact. */
function firstAllowed<State>(table: Timetable<State>): StationRow {
  let first: StationRow | undefined
  for (const station of table.stations) {
    if (station.head === undefined || goesAfter(station)) continue
    if (first?.head === undefined || station.head.contactAtMs < first.head.contactAtMs) first = station
  }
  // The one with the first start of all goes after nobody.
  return first as StationRow
}

/** A station that excludes this one could start its next slot earlier; of equals the first one given goes first. */
function goesAfter({ head, index, excluded }: StationRow): boolean {
  const startAtMs = head?.startAtMs ?? Infinity
  for (const { head: other, index: place } of excluded) {
    if (other === undefined || other.startAtMs > startAtMs) continue
    if (other.startAtMs < startAtMs || place < index) return true
  }
  return false
}

function begin<State>(table: Timetable<State>, turns: Turns<State>, some: Some<State>): void {
  for (const row of some.tankers) {
    row.givenKg = 0
    row.promisedKg = 0
    row.shortKg = 0
    row.dryAt = undefined
    row.leavesAtMs = row.tanker.leavesAtMs
    row.lastContactAtMs = -Infinity
    row.outOfTurn = false
  }
  beginStations(some)
  for (const row of some.rows) {
    row.resolved = false
    row.state = 'planned'
    row.cause = undefined
    row.station = undefined
    row.turn = -1
    row.ahead = undefined
    row.waitsFor = undefined
  }
  for (const row of some.groups) beginGroup(row)
  for (const row of some.rows) if (row.presumedLost) notAwaited(row.group)
  for (const station of some.stations) {
    const inTurn = turns[station.index] ?? []
    for (let turn = 0; turn < inTurn.length; turn++) {
      const row = inTurn[turn] as SlotRow<State>
      row.station = station
      row.turn = turn
    }
  }
  for (const row of some.flown) {
    row.station = row.flownAt ?? row.station
    if (row.slot.fixed !== undefined) stand(row, row.slot.fixed)
  }
  for (const row of some.rows) if (row.presumedLost && !row.topOff) for (const next of row.next) goneWith(next)
  for (const row of some.rows) if (row.after !== undefined && isLost(row.after)) goneWith(row)
  for (const row of some.rows) {
    if (row.resolved) continue
    if (row.slot.gone) goneWith(row)
    else if (row.station === undefined) loseUnplaced(table, row, 'not in the order')
    else if (!row.station.station.takesNew) loseUnplaced(table, row, 'station closed')
  }
}

/** It is known already that the ship comes to nothing after it. */
const isLost = ({ resolved, state, cause, topOff }: SlotRow<unknown>): boolean =>
  resolved && (state === 'gone' || (state === 'missed' && cause !== 'waits in a circle' && !topOff))

function beginStations<State>({ stations }: Some<State>): void {
  for (const row of stations) {
    row.turn = 0
    row.lastDisconnectAtMs = row.station.freeAtMs
    row.last = row.lastAtStart
    row.ahead = undefined
    row.head = undefined
    row.excludedUntilMs = -Infinity
    row.excludedBy = undefined
  }
  for (const row of stations)
    if (row.excluded.length > 0 && row.last !== undefined) exclude(row, undefined, row.lastDisconnectAtMs)
}

/** What is known already of its slots stays so. */
function beginGroup(row: GroupRow): void {
  // One more, so that a group without slots has its push too.
  row.pending = row.rows.length + 1
  row.lastDisconnectAtMs = -Infinity
  row.pushAtMs = row.group.pushedAtMs ?? NaN
  for (const one of row.rows) {
    if (!one.resolved) continue
    row.pending--
    if (served(one) && one.disconnectAtMs > row.lastDisconnectAtMs) row.lastDisconnectAtMs = one.disconnectAtMs
  }
  notAwaited(row)
}

/**
 * Looks for the next slot to serve on a station, passing those that are gone and finding those that miss.
 * True when somebody was found to miss.
 */
function advance<State>(table: Timetable<State>, at: StationRow, inTurn: readonly SlotRow<State>[]): boolean {
  let found = false
  const { station } = at
  while (at.turn < inTurn.length) {
    const row = inTurn[at.turn] as SlotRow<State>
    row.ahead = at.ahead
    if (row.resolved) {
      if (served(row) && row.station === at) at.ahead = row
      at.turn++
      continue
    }
    if (waits(row)) return found
    const curve = place(table, at, row)
    const past = !row.slot.serveAnyway && row.contactAtMs > row.latestContactAtMs
    if (!past && row.contactAtMs < station.closesAtMs) {
      at.head = row
      return found
    }
    wouldBe(row, curve)
    lose(row, past ? 'past latest contact' : 'station closed')
    found = true
    at.turn++
  }
  return found
}

/** The earlier slot of the ship is not over, or its push is not known where it waits for that, as far as the contacts dealt with tell. */
function waits(row: SlotRow<unknown>): boolean {
  if (row.after === undefined) return false
  if (!row.after.resolved) return true
  const after = leftBy(row) ?? row.after
  // In a circle it was lost, and its ship comes to nothing more.
  return !after.resolved || !served(after) || (!row.topOff && Number.isNaN(after.group.pushAtMs))
}

/** Sets the instants of a ship that comes next to the station as it stands, whether it is in time or not. */
function place<State>(table: Timetable<State>, at: StationRow, row: SlotRow<State>): ServiceCurve {
  const { station } = at
  const ready = readyOf(row, at)
  const curve = curveOf(row, at, ready)
  const freeAtMs = at.lastDisconnectAtMs + changeoverMs(station, at.last, row.slot)
  row.readyAtMs = ready.atMs
  row.startAtMs = Math.max(ready.atMs, station.opensAtMs, freeAtMs, table.nowMs)
  if (row.notBeforeMs > row.startAtMs) row.startAtMs = row.notBeforeMs
  row.waitsFor = undefined
  if (at.excludedUntilMs > row.startAtMs) {
    row.startAtMs = at.excludedUntilMs
    row.waitsFor = at.excludedBy
  }
  row.contactAtMs = row.startAtMs + station.hookUpMs
  row.latestContactAtMs = curve.latestContactAtMs ?? Infinity
  return curve
}

/** Loses a slot whose turn never comes: its instants are those of the station as it stands. */
function loseUnplaced<State>(table: Timetable<State>, row: SlotRow<State>, cause: Cause): void {
  if (row.station === undefined || waits(row)) unknownInstants(row)
  else wouldBe(row, place(table, row.station, row))
  lose(row, cause)
}
