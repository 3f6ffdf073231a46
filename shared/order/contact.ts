import { onPiece, pieceAt } from './curves.ts'
import { resolve } from './endings.ts'
import { greatestOnLoadKg } from './ledger.ts'
import { curveOf, exclude, readyOf, type SlotRow, type StationRow } from './timetable.ts'
import type { Ready, SlotIn } from './times.ts'

/** The contact of the next slot of a station: its service, its tanker's give, its group's push. */
export function contact<State>(at: StationRow, row: SlotRow<State>): void {
  const { station, tanker } = at
  const ready = readyOf(row, at)
  const curve = curveOf(row, at, ready)
  const piece = pieceAt(curve, row.contactAtMs)
  row.endedByGive = false
  row.disconnectAtMs = onPiece(curve, curve.disconnectAtMs, piece, row.contactAtMs)
  if (piece < 0 || row.disconnectAtMs > station.closesAtMs) take(row, row.slot.serve(station, ready, row.contactAtMs))
  else {
    row.onLoadKg = onPiece(curve, curve.onLoadKg, piece, row.contactAtMs)
    row.fuelAtContactKg = onPiece(curve, curve.fuelAtContactKg, piece, row.contactAtMs)
    row.fuelAtDisconnectKg = onPiece(curve, curve.fuelAtDisconnectKg, piece, row.contactAtMs)
  }
  row.wantedKg = row.onLoadKg

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
  resolve(row)
  at.lastDisconnectAtMs = row.disconnectAtMs
  at.last = row.slot
  at.ahead = row
  at.head = undefined
  at.turn++
  if (at.excluded.length > 0) exclude(at, row, row.disconnectAtMs)
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
