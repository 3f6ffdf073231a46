import type { ServiceCurve } from './curves.ts'
import type { OnStation, OrderIn, PushGroupIn, Ready, SlotIn, SlotOutState, StationIn, TankerIn } from './times.ts'

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
  /** Stations that have nobody in contact while this one has. */
  readonly excluded: StationRow[]
  /** Nothing starts here before, for the last contact at a station that excludes this one. */
  excludedUntilMs: number
  excludedBy: SlotRow<unknown> | undefined
  turn: number
  lastDisconnectAtMs: number
  /** Who was on it last; undefined: nobody yet. */
  last: OnStation | undefined
  /** At the start of judging. */
  readonly lastAtStart: OnStation | undefined
  ahead: SlotRow<unknown> | undefined
  /** The next to serve, its instants known; undefined when the next one waits for something or there is none. */
  head: SlotRow<unknown> | undefined
}

interface ReadyFrom {
  readonly slotIndex: number
  readonly readyCount: number
  readonly stationIndex: number
  readonly contactAtMs: number
  readonly onLoadKg: number
  readonly pushAtMs: number | undefined
}

const FROM_NOTHING: ReadyFrom = {
  slotIndex: -1,
  readyCount: -1,
  stationIndex: -1,
  contactAtMs: NaN,
  onLoadKg: NaN,
  pushAtMs: NaN
}

export interface SlotRow<State> {
  readonly slot: SlotIn<State>
  readonly index: number
  /** It does not start earlier. */
  notBeforeMs: number
  readonly group: GroupRow
  readonly after: SlotRow<State> | undefined
  readonly next: SlotRow<State>[]
  /** Another contact of the visit of `after`: one push for both. */
  readonly topOff: boolean
  /** Where it was flown, if that is told. */
  flownAt: StationRow | undefined
  /** Curves by station for the ready state they were made from. */
  readonly curves: (ServiceCurve | undefined)[]
  /** By station, the first one for no station. */
  readonly readies: (Ready<State> | undefined)[]
  /** What `readies` were made from, for a later visit. */
  readyFrom: ReadyFrom
  /** How often `readies` were made anew. */
  readyCount: number
  resolved: boolean
  /** Counted as lost from the start, see `settle`. */
  presumedLost: boolean
  wronglyPresumed: boolean
  state: SlotOutState
  cause: Cause | undefined
  station: StationRow | undefined
  turn: number
  ahead: SlotRow<unknown> | undefined
  /** Whom it waits for at a station that excludes its own. */
  waitsFor: SlotRow<unknown> | undefined
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
  /** Flown or in contact, by contact instant. */
  readonly flown: readonly SlotRow<State>[]
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

/** One named on one side is enough. */
const excludeEachOther = ({ station: one }: StationRow, { station: other }: StationRow): boolean =>
  one.excludes?.includes(other.id) === true || other.excludes?.includes(one.id) === true

/** From the disconnect of who was on a station last until another slot may start there, ms. */
export function changeoverMs(station: StationIn, from: OnStation | undefined, to: OnStation): number {
  if (station.changeoverMs !== undefined) return station.changeoverMs(from, to)
  if (from === undefined) return 0
  return from.flightId === to.flightId ? station.changeoverWithinFlightMs : station.changeoverBetweenMs
}

/** A contact on a station is over: those it excludes wait for it and their method change. */
export function exclude(at: StationRow, row: SlotRow<unknown> | undefined, disconnectAtMs: number): void {
  for (const other of at.excluded) {
    const untilMs = disconnectAtMs + (other.station.methodChangeMs ?? 0)
    if (untilMs <= other.excludedUntilMs) continue
    other.excludedUntilMs = untilMs
    other.excludedBy = row
    // Whoever comes next there comes later now, if it comes in time.
    other.head = undefined
  }
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
      excluded: [],
      excludedUntilMs: -Infinity,
      excludedBy: undefined,
      turn: 0,
      lastDisconnectAtMs: 0,
      last: undefined,
      lastAtStart: station.lastFlightId === undefined ? undefined : { flightId: station.lastFlightId },
      ahead: undefined,
      head: undefined
    }
  })
  for (const one of stations)
    for (const other of stations) if (other !== one && excludeEachOther(one, other)) one.excluded.push(other)
  const groups = new Map<string, GroupRow>()
  for (const group of input.pushGroups) {
    groups.set(group.id, { group, rows: [], pending: 0, lastDisconnectAtMs: 0, pushAtMs: 0 })
  }
  const byId = rowsOf(input.slots, groups)
  const rows = [...byId.values()]
  for (const row of rows) {
    const flownAt = row.slot.fixed?.stationId
    if (flownAt !== undefined) row.flownAt = stations.find(({ station }) => station.id === flownAt)
  }
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
  const contactOf = (row: SlotRow<State>): number => row.slot.fixed?.contactAtMs ?? NaN
  const flown = rows.filter((row) => row.slot.fixed !== undefined).sort((a, b) => contactOf(a) - contactOf(b))
  const scratch = { values: new Int32Array(rows.length), tails: new Int32Array(rows.length) }
  return {
    rows,
    flown,
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
      notBeforeMs: slot.notBeforeMs ?? -Infinity,
      group: known(groups, 'pushGroupId', slot.pushGroupId),
      after: afterRow,
      next: [],
      topOff: after?.pushGroupId === slot.pushGroupId,
      flownAt: undefined,
      curves: [],
      readies: [],
      readyFrom: FROM_NOTHING,
      readyCount: 0,
      resolved: false,
      presumedLost: false,
      wronglyPresumed: false,
      state: 'planned',
      cause: undefined,
      station: undefined,
      turn: -1,
      ahead: undefined,
      waitsFor: undefined,
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

/** Served, being served, or to be served. */
export const served = (row: SlotRow<unknown>): boolean => row.state !== 'missed' && row.state !== 'gone'

/** The served contact that tops a slot off, the first of them; undefined: its visit ends with it. */
export function toppedBy(row: SlotRow<unknown>): SlotRow<unknown> | undefined {
  if (row.next.length === 0) return undefined
  return row.next.find((next) => next.topOff && served(next))
}

/** The slot whose end a later one starts from: a top-off that is missed leaves the ship as the contact before did. */
export function leftBy<State>(row: SlotRow<State>): SlotRow<State> | undefined {
  let { after } = row
  while (after?.topOff === true && after.state === 'missed') after = after.after
  return after
}

/** Sequences to judge: for each station by index its slots in turn. */
export type Turns<State> = readonly (readonly SlotRow<State>[])[]

/** Ready instant and state of a first visit at a station; no station: at its own. */
export function firstReady<State>(row: SlotRow<State>, station: StationRow | undefined): Ready<State> {
  const place = (station?.index ?? -1) + 1
  return row.readies[place] ?? (row.readies[place] = row.slot.ready(undefined, station?.station))
}

/** Ready instant and state at a station; for a later visit from what the earlier one left, kept while that stays the same. */
export function readyOf<State>(row: SlotRow<State>, station: StationRow | undefined): Ready<State> {
  if (row.after === undefined) return firstReady(row, station)
  const { readyFrom } = row
  const after = leftBy(row) ?? row.after
  const place = (station?.index ?? -1) + 1
  const stationIndex = after.station?.index ?? -1
  const pushAtMs = row.topOff ? undefined : after.group.pushAtMs
  const { index: slotIndex, readyCount, contactAtMs, onLoadKg } = after
  if (
    readyFrom.slotIndex !== slotIndex ||
    readyFrom.readyCount !== readyCount ||
    readyFrom.stationIndex !== stationIndex ||
    readyFrom.contactAtMs !== contactAtMs ||
    readyFrom.onLoadKg !== onLoadKg ||
    readyFrom.pushAtMs !== pushAtMs
  ) {
    row.readies.length = 0
    row.curves.length = 0
    row.readyCount++
    row.readyFrom = { slotIndex, readyCount, stationIndex, contactAtMs, onLoadKg, pushAtMs }
  }
  const known = row.readies[place]
  if (known !== undefined) return known
  const before = { disconnectAtMs: after.disconnectAtMs, pushAtMs, state: stateAfter(after) }
  const made = row.slot.ready(before, station?.station)
  row.readies[place] = made
  return made
}

function stateAfter<State>(row: SlotRow<State>): State {
  const { fixed } = row.slot
  if (fixed?.state !== undefined) return fixed.state
  const station = row.station?.station
  if (station === undefined) throw new RangeError(`slot ${row.slot.id} was flown at no known station and has no state`)
  const limitKg = fixed !== undefined || row.endedByGive ? row.onLoadKg : undefined
  return row.slot.serve(station, readyOf(row, row.station), row.contactAtMs, limitKg).state
}

export function curveOf<State>(row: SlotRow<State>, station: StationRow, ready: Ready<State>): ServiceCurve {
  const made = row.curves[station.index]
  if (made !== undefined) return made
  const curve = row.slot.curve(station.station, ready)
  row.curves[station.index] = curve
  return curve
}
