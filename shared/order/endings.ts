import { onPiece, pieceAt, type ServiceCurve } from './curves.ts'
import { exclude, firstReady, type Cause, type GroupRow, type SlotRow } from './timetable.ts'
import type { SlotIn } from './times.ts'

/*
 * The ways a slot's end is known other than by a contact to come: flown already, gone, lost.
 */

/** A slot already flown or in contact: its instants stand, whatever the sequence says. */
export function stand<State>(row: SlotRow<State>, fixed: NonNullable<SlotIn<State>['fixed']>): void {
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
    if (station.last === undefined || fixed.disconnectAtMs >= station.lastDisconnectAtMs) {
      station.lastDisconnectAtMs = fixed.disconnectAtMs
      station.last = row.slot
    }
    exclude(station, row, fixed.disconnectAtMs)
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
  resolve(row)
}

/** Its group waits for one slot fewer; the push is known with the last of them. */
export function notAwaited(group: GroupRow): void {
  group.pending--
  if (group.pending > 0) return
  const { plannedAtMs, reformMs, pushedAtMs, notBeforeMs = -Infinity } = group.group
  group.pushAtMs = pushedAtMs ?? Math.max(plannedAtMs, notBeforeMs, group.lastDisconnectAtMs + reformMs)
}

/** The end of a slot is known. */
export function resolve(row: SlotRow<unknown>): void {
  row.resolved = true
  if (!row.presumedLost) notAwaited(row.group)
}

/** Neither contact nor a place in anybody's wait; the ship's later visits go with it. */
export function goneWith<State>(row: SlotRow<State>): void {
  // Lost from the start for its station's sake, now it turns out that its ship never comes that far.
  if (row.resolved && row.state !== 'missed') return
  row.state = 'gone'
  row.cause = undefined
  unknownInstants(row)
  if (!row.resolved) resolve(row)
  for (const next of row.next) goneWith(next)
}

/**
 * Takes no station time and no fuel, nobody waits for it; its instants are set before. Its ship's later visits go with
 * it, but for a top-off: after that the ship goes on with what the contact before left.
 */
export function lose<State>(row: SlotRow<State>, cause: Cause): void {
  row.state = 'missed'
  row.cause = cause
  row.onLoadKg = 0
  row.endedByGive = false
  resolve(row)
  // In a circle each is named for itself.
  if (cause !== 'waits in a circle' && !row.topOff) for (const next of row.next) goneWith(next)
}

/** Instants for a slot that has none of its own: from its station as it stands, without figures of fuel. */
export function unknownInstants<State>(row: SlotRow<State>): void {
  const before = row.after
  const atMs = before === undefined ? firstReady(row, row.station).atMs : before.group.group.plannedAtMs
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

/** Figures of a ship that is too late: as if it had come; beyond the curve it goes on burning. */
export function wouldBe<State>(row: SlotRow<State>, curve: ServiceCurve): void {
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
