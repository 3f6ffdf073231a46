import { longestRising, stepsOfKg, stepsOfMs, type Judgement } from './judgement.ts'
import type { TankerLedger } from './ledger.ts'
import { readyOf, served, toppedBy, type SlotRow, type Timetable, type Turns } from './timetable.ts'
import type { ContactEnd, PushOut, SlotOut } from './times.ts'

/*
 * What a filled timetable says: slots, pushes, ledger, judgement. Instants are event time in ms, masses kg.
 */

/** Usable fuel at the push of its group, kg; below zero where the wait alone burns more than it holds. */
function fuelAtPushKg(row: SlotRow<unknown>): number {
  const { atMs, usableKg } = heldSince(row)
  const waitMs = Math.max(0, row.group.pushAtMs - atMs)
  return usableKg - (row.slot.waitBurnKgPerS * waitMs) / 1000
}

/** What is known last of a ship that is done, or will be: from there it waits. */
const heldSince = (row: SlotRow<unknown>): { readonly atMs: number; readonly usableKg: number } =>
  row.slot.fixed?.since ?? { atMs: row.disconnectAtMs, usableKg: row.fuelAtDisconnectKg }

/** It is served, and no later contact of its visit is. */
export const counts = (row: SlotRow<unknown>): boolean => served(row) && toppedBy(row) === undefined

/** What a ship lacks at its push, kg; a ship that is not served has no push, one that is topped off lacks nothing yet. */
export const shortageKg = (row: SlotRow<unknown>): number => (counts(row) ? lackKg(row) : 0)

const lackKg = (row: SlotRow<unknown>): number => Math.max(0, row.slot.requiredAtPushKg - fuelAtPushKg(row))

/** The last served contact of a visit. */
function lastOf(row: SlotRow<unknown>): SlotRow<unknown> {
  let last = row
  for (let next = toppedBy(last); next !== undefined; next = toppedBy(last)) last = next
  return last
}

const lateMs = ({ group }: SlotRow<unknown>): number => Math.max(0, group.pushAtMs - group.group.plannedAtMs)

/** The instant usable fuel falls to the requirement after the disconnect. */
export function latestPushAtMs(row: SlotRow<unknown>): number | undefined {
  const { atMs, usableKg } = heldSince(row)
  const spareKg = usableKg - row.slot.requiredAtPushKg
  if (!counts(row) || spareKg < 0 || row.slot.waitBurnKgPerS <= 0) return undefined
  return atMs + (spareKg / row.slot.waitBurnKgPerS) * 1000
}

/** What some slots come to. */
export interface Worth {
  lostWeight: number
  shortage: number
  lateness: number
  lastDisconnectAtMs: number
}

/** What slots of a filled timetable come to, into what is there already. */
export function worthOf(worth: Worth, rows: readonly SlotRow<unknown>[]): void {
  for (const row of rows) {
    if (row.state === 'missed' && !row.topOff) worth.lostWeight += row.slot.weight
    if (!served(row) || row.station === undefined) continue
    if (row.disconnectAtMs > worth.lastDisconnectAtMs) worth.lastDisconnectAtMs = row.disconnectAtMs
    if (toppedBy(row) !== undefined) continue
    worth.shortage += row.slot.weight * stepsOfKg(lackKg(row))
    worth.lateness += row.slot.weight * stepsOfMs(lateMs(row))
  }
}

/** The judgement of a filled timetable, without allocating more than itself. */
export function judgementOf<State>(table: Timetable<State>, turns: Turns<State>): Judgement {
  const worth: Worth = { lostWeight: 0, shortage: 0, lateness: 0, lastDisconnectAtMs: -Infinity }
  worthOf(worth, table.rows)
  let moved = 0
  for (let station = 0; station < turns.length; station++) moved += movedOn(table, turns[station] ?? [], station)
  return judgementBy(worth, moved)
}

/** What all slots come to, with so many of them moved. */
export function judgementBy(worth: Worth, moved: number): Judgement {
  const { lostWeight, shortage, lateness, lastDisconnectAtMs } = worth
  const lastDisconnect = lastDisconnectAtMs === -Infinity ? 0 : stepsOfMs(lastDisconnectAtMs)
  return { lostWeight, shortage, lateness, lastDisconnect, moved }
}

/** Slots on a station that have a place in the order in force, less those that keep station and turn among each other. */
export function movedOn<State>(table: Timetable<State>, inTurn: readonly SlotRow<State>[], station: number): number {
  const { stationInForce, turnInForce, scratch } = table
  let inBoth = 0
  let count = 0
  for (const row of inTurn) {
    const was = stationInForce[row.index]
    if (was !== -1) inBoth++
    if (was === station) scratch.values[count++] = turnInForce[row.index] ?? -1
  }
  return inBoth - longestRising(scratch.values, count, scratch.tails)
}

function endOf<State>(row: SlotRow<State>): { endedBy: ContactEnd; neededKg: number } {
  const station = row.station?.station
  if (row.slot.fixed !== undefined || station === undefined || row.state !== 'planned') {
    return { endedBy: 'target', neededKg: row.wantedKg }
  }
  const { endedBy, neededKg } = row.slot.serve(station, readyOf(row, row.station), row.contactAtMs)
  return { endedBy: row.endedByGive ? 'give' : endedBy, neededKg }
}

/** The slots by station, then by turn; then what was flown out of any sequence. */
export function slotsOf<State>(table: Timetable<State>, turns: Turns<State>): SlotOut[] {
  const apart = table.flown.filter((row) => row.turn < 0 && row.station !== undefined)
  return [...turns.flat(), ...apart].map((row) => slotOf(row))
}

function slotOf<State>(row: SlotRow<State>): SlotOut {
  const latest = row.latestContactAtMs === Infinity ? undefined : row.latestContactAtMs
  const { endedBy, neededKg } = endOf(row)
  const plain = row as SlotRow<unknown>
  return {
    slotId: row.slot.id,
    stationId: row.station?.station.id ?? '',
    index: row.turn,
    readyAtMs: row.readyAtMs,
    startAtMs: row.startAtMs,
    contactAtMs: row.contactAtMs,
    disconnectAtMs: row.disconnectAtMs,
    latestContactAtMs: latest,
    slackMs: latest === undefined ? undefined : latest - row.contactAtMs,
    pastMs: latest === undefined ? 0 : Math.max(0, row.contactAtMs - latest),
    state: row.state,
    onLoadKg: row.onLoadKg,
    neededKg,
    endedBy,
    fuelAtContactKg: row.fuelAtContactKg,
    fuelAtDisconnectKg: row.fuelAtDisconnectKg,
    requiredAtPushKg: row.slot.requiredAtPushKg,
    pushAtMs: row.group.pushAtMs,
    plannedPushAtMs: row.group.group.plannedAtMs,
    fuelAtPushKg: served(plain) ? fuelAtPushKg(lastOf(plain)) : 0,
    shortageKg: shortageKg(plain),
    latestPushAtMs: latestPushAtMs(plain),
    aheadSlotId: row.ahead?.slot.id,
    waitsForSlotId: row.waitsFor?.slot.id,
    toppedBySlotId: served(plain) ? toppedBy(plain)?.slot.id : undefined
  }
}

export function pushesOf<State>(table: Timetable<State>): PushOut[] {
  return table.groups.map(({ group, pushAtMs }) => ({
    pushGroupId: group.id,
    plannedAtMs: group.plannedAtMs,
    pushAtMs,
    lateMs: Math.max(0, pushAtMs - group.plannedAtMs)
  }))
}

export function ledgerOf<State>(table: Timetable<State>): TankerLedger[] {
  return table.tankers.map((row) => {
    let last: number | undefined
    for (const slot of table.rows) {
      if (slot.station?.tanker !== row || !served(slot)) continue
      last = Math.max(last ?? -Infinity, slot.disconnectAtMs)
    }
    return {
      tankerId: row.tanker.id,
      giveKg: row.tanker.giveKg(row.leavesAtMs),
      givenKg: row.givenKg,
      promisedKg: row.promisedKg,
      shortKg: row.shortKg,
      dryAtSlotId: row.dryAt?.slot.id,
      leavesAtMs: row.leavesAtMs,
      heldMs: row.leavesAtMs - row.tanker.leavesAtMs,
      lastDisconnectAtMs: last
    }
  })
}
