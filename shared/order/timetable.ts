import { onPiece, pieceAt, type ServiceCurve } from './curves.ts'
import { greatestOnLoadKg } from './ledger.ts'
import type { OrderIn, PushGroupIn, Ready, SlotIn, SlotOutState, StationIn, TankerIn } from './times.ts'

/*
 * The one evaluator of sequences. A timetable is prepared once for the slots, stations, groups and tankers of an order
 * and filled anew for any sequences: filling allocates nothing but what a second visit or a bound give needs.
 */

/** Why a slot is lost. */
export type Cause = 'past latest contact' | 'station closed' | 'waits in a circle' | 'not in the order'

export interface GroupRow {
  readonly group: PushGroupIn
  readonly rows: SlotRow<unknown>[]
  /** Slots whose end is not known yet. */
  pending: number
  lastDisconnectAtMs: number
  pushAtMs: number
}

export interface TankerRow {
  readonly tanker: TankerIn
  readonly giveAtPlannedKg: number
  givenKg: number
  promisedKg: number
  shortKg: number
  dryAt: SlotRow<unknown> | undefined
  leavesAtMs: number
  lastContactAtMs: number
  /** A contact was dealt with after one that begins later. */
  outOfTurn: boolean
}

export interface StationRow {
  readonly station: StationIn
  readonly index: number
  readonly tanker: TankerRow
  turn: number
  lastDisconnectAtMs: number
  lastFlightId: string | undefined
  ahead: SlotRow<unknown> | undefined
  /** The next to serve, its instants known; undefined when the next one waits for something or there is none. */
  head: SlotRow<unknown> | undefined
}

export interface SlotRow<State> {
  readonly slot: SlotIn<State>
  readonly index: number
  readonly group: GroupRow
  readonly after: SlotRow<State> | undefined
  readonly next: SlotRow<State>[]
  /** Curves by station for the ready state they were made from. */
  readonly curves: (ServiceCurve | undefined)[]
  ready: Ready<State> | undefined
  /** What `ready` was made from, for a later visit. */
  readyFrom: { stationIndex: number; contactAtMs: number; onLoadKg: number; pushAtMs: number }
  resolved: boolean
  /** Counted as lost from the start, see `settle`. */
  presumedLost: boolean
  state: SlotOutState
  cause: Cause | undefined
  station: StationRow | undefined
  turn: number
  ahead: SlotRow<unknown> | undefined
  readyAtMs: number
  startAtMs: number
  contactAtMs: number
  disconnectAtMs: number
  /** Infinity: none known. */
  latestContactAtMs: number
  onLoadKg: number
  /** What it would take if the tanker gave all. */
  wantedKg: number
  endedByGive: boolean
  fuelAtContactKg: number
  fuelAtDisconnectKg: number
}

export interface Timetable<State> {
  readonly rows: readonly SlotRow<State>[]
  readonly stations: readonly StationRow[]
  readonly groups: readonly GroupRow[]
  readonly tankers: readonly TankerRow[]
  readonly nowMs: number
  /** The sequences of the input, by station index. */
  readonly ordered: readonly (readonly SlotRow<State>[])[]
  /** Place in the order in force: station index and turn, −1 where it has none. */
  readonly stationInForce: Int32Array
  readonly turnInForce: Int32Array
  readonly scratch: { readonly values: Int32Array; readonly tails: Int32Array }
}

function known<Value>(rows: ReadonlyMap<string, Value>, what: string, id: string): Value {
  const row = rows.get(id)
  if (row === undefined) throw new RangeError(`${what} ${id} is not known`)
  return row
}

/**
 * The timetable of an order's slots, not filled yet.
 * @throws RangeError naming an unknown push group, tanker, or earlier slot.
 */
export function timetableOf<State>(input: OrderIn<State>): Timetable<State> {
  const tankers = new Map<string, TankerRow>()
  for (const tanker of input.tankers) {
    tankers.set(tanker.id, {
      tanker,
      giveAtPlannedKg: tanker.giveKg(tanker.leavesAtMs),
      givenKg: 0,
      promisedKg: 0,
      shortKg: 0,
      dryAt: undefined,
      leavesAtMs: 0,
      lastContactAtMs: 0,
      outOfTurn: false
    })
  }
  const stations = input.stations.map((station, index): StationRow => {
    const tanker = known(tankers, 'tankerId', station.tankerId)
    return {
      station,
      index,
      tanker,
      turn: 0,
      lastDisconnectAtMs: 0,
      lastFlightId: '',
      ahead: undefined,
      head: undefined
    }
  })
  const groups = new Map<string, GroupRow>()
  for (const group of input.pushGroups) {
    groups.set(group.id, { group, rows: [], pending: 0, lastDisconnectAtMs: 0, pushAtMs: 0 })
  }
  const byId = rowsOf(input.slots, groups)
  const rows = [...byId.values()]
  const rowsIn = (ids: readonly string[] | undefined): SlotRow<State>[] => {
    const seen = new Set<string>()
    const inTurn: SlotRow<State>[] = []
    for (const id of ids ?? []) {
      const row = byId.get(id)
      if (row !== undefined && !seen.has(id)) inTurn.push(row)
      seen.add(id)
    }
    return inTurn
  }
  const stationInForce = new Int32Array(rows.length).fill(-1)
  const turnInForce = new Int32Array(rows.length).fill(-1)
  for (const { station, index } of stations) {
    rowsIn(input.inForce?.get(station.id)).forEach((row, turn) => {
      stationInForce[row.index] = index
      turnInForce[row.index] = turn
    })
  }
  const ordered = stations.map(({ station }) => rowsIn(input.sequences.get(station.id)))
  const scratch = { values: new Int32Array(rows.length), tails: new Int32Array(rows.length) }
  return {
    rows,
    stations,
    groups: [...groups.values()],
    tankers: [...tankers.values()],
    nowMs: input.nowMs ?? -Infinity,
    ordered,
    stationInForce,
    turnInForce,
    scratch
  }
}

function rowsOf<State>(
  slots: readonly SlotIn<State>[],
  groups: ReadonlyMap<string, GroupRow>
): Map<string, SlotRow<State>> {
  const byId = new Map<string, SlotRow<State>>()
  const inputs = new Map(slots.map((slot) => [slot.id, slot]))
  const rowOf = (slot: SlotIn<State>, behind: number): SlotRow<State> => {
    const made = byId.get(slot.id)
    if (made !== undefined) return made
    if (behind > slots.length) throw new RangeError(`afterSlotId of ${slot.id} leads back to itself`)
    const after = slot.afterSlotId === undefined ? undefined : known(inputs, 'afterSlotId', slot.afterSlotId)
    const afterRow = after === undefined ? undefined : rowOf(after, behind + 1)
    const row: SlotRow<State> = {
      slot,
      index: byId.size,
      group: known(groups, 'pushGroupId', slot.pushGroupId),
      after: afterRow,
      next: [],
      curves: [],
      ready: undefined,
      readyFrom: { stationIndex: -1, contactAtMs: NaN, onLoadKg: NaN, pushAtMs: NaN },
      resolved: false,
      presumedLost: false,
      state: 'planned',
      cause: undefined,
      station: undefined,
      turn: -1,
      ahead: undefined,
      readyAtMs: 0,
      startAtMs: 0,
      contactAtMs: 0,
      disconnectAtMs: 0,
      latestContactAtMs: Infinity,
      onLoadKg: 0,
      wantedKg: 0,
      endedByGive: false,
      fuelAtContactKg: 0,
      fuelAtDisconnectKg: 0
    }
    byId.set(slot.id, row)
    afterRow?.next.push(row)
    row.group.rows.push(row)
    return row
  }
  for (const slot of slots) rowOf(slot, 0)
  return byId
}

/** Sequences to judge: for each station by index its slots in turn. */
export type Turns<State> = readonly (readonly SlotRow<State>[])[]

/**
 * Fills the timetable for the given sequences; each slot stands at most once in them.
 *
 * Contacts are dealt with in the order of their instants: a contact that begins later can change nothing before it.
 * The one exception is a second visit that waits for a push whose last ship is found to miss only later on. Where such
 * a visit was dealt with out of turn and its tanker runs dry, the sequences are gone through again with the ships that
 * missed not waited for from the start, and that answer stands if the same ships miss in it.
 */
export function settle<State>(table: Timetable<State>, turns: Turns<State>): void {
  for (const row of table.rows) row.presumedLost = false
  run(table, turns)
  for (let again = 0; again < 3 && table.tankers.some((row) => row.outOfTurn && row.dryAt !== undefined); again++) {
    for (const row of table.rows) row.presumedLost = row.state === 'missed'
    run(table, turns)
    if (table.rows.every((row) => !row.presumedLost || row.state === 'missed')) continue
    for (const row of table.rows) row.presumedLost = false
    run(table, turns)
    return
  }
}

function run<State>(table: Timetable<State>, turns: Turns<State>): void {
  begin(table, turns)
  for (;;) {
    let first: StationRow | undefined
    let blocked = false
    let moving = true
    while (moving) {
      moving = false
      first = undefined
      blocked = false
      for (const station of table.stations) {
        if (station.head === undefined) moving = advance(table, station, turns[station.index] ?? []) || moving
        if (station.head !== undefined) {
          if (first?.head === undefined || station.head.contactAtMs < first.head.contactAtMs) first = station
        } else if (station.turn < (turns[station.index] ?? []).length) blocked = true
      }
      // Somebody found to miss may be whom an earlier station waits for.
      moving = moving && blocked
    }
    if (first?.head === undefined) {
      if (blocked) for (const row of table.rows) if (!row.resolved) lose(row, 'waits in a circle')
      return
    }
    contact(first, first.head as SlotRow<State>)
  }
}

function begin<State>(table: Timetable<State>, turns: Turns<State>): void {
  for (const row of table.tankers) {
    row.givenKg = 0
    row.promisedKg = 0
    row.shortKg = 0
    row.dryAt = undefined
    row.leavesAtMs = row.tanker.leavesAtMs
    row.lastContactAtMs = -Infinity
    row.outOfTurn = false
  }
  for (const row of table.stations) {
    row.turn = 0
    row.lastDisconnectAtMs = row.station.freeAtMs
    row.lastFlightId = row.station.lastFlightId
    row.ahead = undefined
    row.head = undefined
  }
  for (const row of table.groups) {
    row.pending = row.rows.length
    row.lastDisconnectAtMs = -Infinity
    row.pushAtMs = row.group.pushedAtMs ?? NaN
  }
  for (const row of table.rows) {
    row.resolved = false
    row.state = 'planned'
    row.cause = undefined
    row.station = undefined
    row.turn = -1
    row.ahead = undefined
    if (row.presumedLost) settled(row.group)
  }
  for (const station of table.stations) {
    const inTurn = turns[station.index] ?? []
    for (let turn = 0; turn < inTurn.length; turn++) {
      const row = inTurn[turn] as SlotRow<State>
      row.station = station
      row.turn = turn
    }
  }
  for (const row of table.rows) if (row.slot.fixed !== undefined) stand(row, row.slot.fixed)
  for (const row of table.rows) {
    if (row.resolved) continue
    if (row.slot.gone) goneWith(row)
    else if (row.station === undefined) lose(row, 'not in the order')
    else if (!row.station.station.takesNew) lose(row, 'station closed')
  }
}

/** A slot already flown or in contact: its instants stand, whatever the sequence says. */
function stand<State>(row: SlotRow<State>, fixed: NonNullable<SlotIn<State>['fixed']>): void {
  row.resolved = true
  row.state = fixed.done ? 'done' : 'in contact'
  row.readyAtMs = fixed.contactAtMs - (row.station?.station.hookUpMs ?? 0)
  row.startAtMs = row.readyAtMs
  row.contactAtMs = fixed.contactAtMs
  row.disconnectAtMs = fixed.disconnectAtMs
  row.latestContactAtMs = fixed.latestContactAtMs ?? Infinity
  row.onLoadKg = fixed.onLoadKg
  row.wantedKg = fixed.onLoadKg
  row.endedByGive = false
  row.fuelAtContactKg = fixed.fuelAtContactKg
  row.fuelAtDisconnectKg = fixed.fuelAtDisconnectKg
  const { station } = row
  if (station !== undefined) {
    if (station.lastFlightId === undefined || fixed.disconnectAtMs >= station.lastDisconnectAtMs) {
      station.lastDisconnectAtMs = fixed.disconnectAtMs
      station.lastFlightId = row.slot.flightId
    }
    const { tanker } = station
    if (fixed.done) tanker.givenKg += fixed.onLoadKg
    else {
      tanker.promisedKg += fixed.onLoadKg
      tanker.leavesAtMs = Math.max(tanker.leavesAtMs, fixed.disconnectAtMs)
      const overKg = tanker.promisedKg - tanker.tanker.giveKg(tanker.leavesAtMs)
      if (overKg > 1e-6) {
        tanker.shortKg = overKg
        tanker.dryAt ??= row
      }
    }
  }
  row.group.lastDisconnectAtMs = Math.max(row.group.lastDisconnectAtMs, fixed.disconnectAtMs)
  settledOnce(row)
}

/** One slot fewer to wait for; the push is known with the last of them. */
function settled(group: GroupRow): void {
  group.pending--
  if (group.pending > 0) return
  const { plannedAtMs, reformMs, pushedAtMs } = group.group
  group.pushAtMs = pushedAtMs ?? Math.max(plannedAtMs, group.lastDisconnectAtMs + reformMs)
}

function settledOnce(row: SlotRow<unknown>): void {
  if (!row.presumedLost) settled(row.group)
}

/** Neither contact nor a place in anybody's wait; the ship's later visits go with it. */
function goneWith<State>(row: SlotRow<State>): void {
  if (row.resolved) return
  row.resolved = true
  row.state = 'gone'
  unknownInstants(row)
  settledOnce(row)
  for (const next of row.next) goneWith(next)
}

function lose<State>(row: SlotRow<State>, cause: Cause): void {
  if (cause !== 'past latest contact') unknownInstants(row)
  row.resolved = true
  row.state = 'missed'
  row.cause = cause
  row.onLoadKg = 0
  row.endedByGive = false
  settledOnce(row)
  // In a circle each is named for itself.
  if (cause !== 'waits in a circle') for (const next of row.next) goneWith(next)
}

/** Instants for a slot that has none of its own: from its station as it stands, without figures of fuel. */
function unknownInstants<State>(row: SlotRow<State>): void {
  const before = row.after
  const atMs = before === undefined ? firstReady(row).atMs : before.group.group.plannedAtMs
  const { station } = row
  row.readyAtMs = atMs
  row.startAtMs = station === undefined ? atMs : Math.max(atMs, station.station.opensAtMs, station.lastDisconnectAtMs)
  row.contactAtMs = row.startAtMs + (station?.station.hookUpMs ?? 0)
  row.disconnectAtMs = row.contactAtMs
  row.latestContactAtMs = Infinity
  row.onLoadKg = 0
  row.wantedKg = 0
  row.endedByGive = false
  row.fuelAtContactKg = 0
  row.fuelAtDisconnectKg = 0
}

function firstReady<State>(row: SlotRow<State>): Ready<State> {
  row.ready ??= row.slot.ready(undefined)
  return row.ready
}

/** Ready instant and state; for a later visit from what the earlier one left, kept while that stays the same. */
export function readyOf<State>(row: SlotRow<State>): Ready<State> {
  const { after, readyFrom } = row
  if (after === undefined) return firstReady(row)
  const stationIndex = after.station?.index ?? -1
  if (
    row.ready !== undefined &&
    readyFrom.stationIndex === stationIndex &&
    readyFrom.contactAtMs === after.contactAtMs &&
    readyFrom.onLoadKg === after.onLoadKg &&
    readyFrom.pushAtMs === after.group.pushAtMs
  ) {
    return row.ready
  }
  const pushAtMs = after.group.pushAtMs
  row.ready = row.slot.ready({ disconnectAtMs: after.disconnectAtMs, pushAtMs, state: stateAfter(after) })
  row.readyFrom = { stationIndex, contactAtMs: after.contactAtMs, onLoadKg: after.onLoadKg, pushAtMs }
  row.curves.length = 0
  return row.ready
}

function stateAfter<State>(row: SlotRow<State>): State {
  const { fixed } = row.slot
  if (fixed?.state !== undefined) return fixed.state
  const station = row.station?.station
  if (station === undefined) throw new RangeError(`slot ${row.slot.id} was flown at no known station and has no state`)
  const limitKg = fixed !== undefined || row.endedByGive ? row.onLoadKg : undefined
  return row.slot.serve(station, readyOf(row), row.contactAtMs, limitKg).state
}

function curveOf<State>(row: SlotRow<State>, station: StationRow, ready: Ready<State>): ServiceCurve {
  const made = row.curves[station.index]
  if (made !== undefined) return made
  const curve = row.slot.curve(station.station, ready)
  row.curves[station.index] = curve
  return curve
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
      if (row.state === 'in contact' || row.state === 'done') at.ahead = row
      at.turn++
      continue
    }
    if (row.after !== undefined && !(row.after.resolved && !Number.isNaN(row.after.group.pushAtMs))) return found
    const ready = readyOf(row)
    const curve = curveOf(row, at, ready)
    let startAtMs = Math.max(ready.atMs, station.opensAtMs, table.nowMs)
    if (at.lastFlightId !== undefined) {
      const sameFlight = at.lastFlightId === row.slot.flightId
      const changeoverMs = sameFlight ? station.changeoverWithinFlightMs : station.changeoverBetweenMs
      startAtMs = Math.max(startAtMs, at.lastDisconnectAtMs + changeoverMs)
    } else startAtMs = Math.max(startAtMs, at.lastDisconnectAtMs)
    row.readyAtMs = ready.atMs
    row.startAtMs = startAtMs
    row.contactAtMs = startAtMs + station.hookUpMs
    row.latestContactAtMs = curve.latestContactAtMs ?? Infinity
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

/** Figures of a ship that is too late: as if it had come; beyond the curve it goes on burning. */
function wouldBe<State>(row: SlotRow<State>, curve: ServiceCurve): void {
  const last = curve.contactAtMs.length - 1
  const lastMs = curve.contactAtMs[last] ?? row.contactAtMs
  const atMs = Math.min(Math.max(row.contactAtMs, curve.contactAtMs[0] ?? row.contactAtMs), lastMs)
  const piece = pieceAt(curve, atMs)
  const beyondMs = Math.max(0, row.contactAtMs - lastMs)
  const empty = piece < 0
  const fuelKg = empty ? 0 : onPiece(curve, curve.fuelAtContactKg, piece, atMs)
  row.disconnectAtMs = row.contactAtMs + (empty ? 0 : onPiece(curve, curve.disconnectAtMs, piece, atMs) - atMs)
  row.wantedKg = empty ? 0 : onPiece(curve, curve.onLoadKg, piece, atMs)
  row.fuelAtContactKg = Math.max(0, fuelKg - (row.slot.waitBurnKgPerS * beyondMs) / 1000)
  row.fuelAtDisconnectKg = row.fuelAtContactKg
}

/** The contact of the next slot of a station: its service, its tanker's give, its group's push. */
function contact<State>(at: StationRow, row: SlotRow<State>): void {
  const { station, tanker } = at
  const ready = readyOf(row)
  const curve = curveOf(row, at, ready)
  const piece = pieceAt(curve, row.contactAtMs)
  const closesAtMs = station.closesAtMs
  row.endedByGive = false
  row.disconnectAtMs = piece < 0 ? Infinity : onPiece(curve, curve.disconnectAtMs, piece, row.contactAtMs)
  if (row.disconnectAtMs > closesAtMs) take(row, row.slot.serve(station, ready, row.contactAtMs))
  else {
    row.onLoadKg = onPiece(curve, curve.onLoadKg, piece, row.contactAtMs)
    row.fuelAtContactKg = onPiece(curve, curve.fuelAtContactKg, piece, row.contactAtMs)
    row.fuelAtDisconnectKg = onPiece(curve, curve.fuelAtDisconnectKg, piece, row.contactAtMs)
  }
  row.wantedKg = row.onLoadKg
  row.resolved = true

  if (row.contactAtMs < tanker.lastContactAtMs) tanker.outOfTurn = true
  else tanker.lastContactAtMs = row.contactAtMs
  const leavesAtMs = Math.max(tanker.leavesAtMs, row.disconnectAtMs)
  const planned = leavesAtMs === tanker.tanker.leavesAtMs
  const giveKg = planned ? tanker.giveAtPlannedKg : tanker.tanker.giveKg(leavesAtMs)
  if (row.onLoadKg > 1e-6 && tanker.promisedKg + row.onLoadKg > giveKg + 1e-6) limit(at, row, ready)
  if (row.onLoadKg > 0) tanker.leavesAtMs = Math.max(tanker.leavesAtMs, row.disconnectAtMs)
  tanker.promisedKg += row.onLoadKg

  const { group } = row
  if (row.disconnectAtMs > group.lastDisconnectAtMs) group.lastDisconnectAtMs = row.disconnectAtMs
  settledOnce(row)
  at.lastDisconnectAtMs = row.disconnectAtMs
  at.lastFlightId = row.slot.flightId
  at.ahead = row
  at.head = undefined
  at.turn++
}

function take<State>(row: SlotRow<State>, served: ReturnType<SlotIn<State>['serve']>): void {
  row.disconnectAtMs = served.disconnectAtMs
  row.onLoadKg = served.onLoadKg
  row.fuelAtContactKg = served.fuelAtContactKg
  row.fuelAtDisconnectKg = served.fuelAtDisconnectKg
}

/** The tanker reaches what it keeps during this contact, or before it. */
function limit<State>(at: StationRow, row: SlotRow<State>, ready: Ready<State>): void {
  const { station, tanker } = at
  const { slot, contactAtMs } = row
  const onLoadKg = greatestOnLoadKg({
    wantedKg: row.onLoadKg,
    promisedKg: tanker.promisedKg,
    leavesAtMs: tanker.leavesAtMs,
    giveKg: (leavesAtMs) => tanker.tanker.giveKg(leavesAtMs),
    disconnectAtMs: (kg) => slot.serve(station, ready, contactAtMs, kg).disconnectAtMs
  })
  take(row, slot.serve(station, ready, contactAtMs, onLoadKg))
  row.onLoadKg = onLoadKg
  row.endedByGive = true
  tanker.shortKg += row.wantedKg - onLoadKg
  tanker.dryAt ??= row
}
