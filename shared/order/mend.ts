import type { Reason } from '../contracts/view.ts'
import { onPiece, pieceAt } from './curves.ts'
import { stepsOfKg } from './judgement.ts'
import { curveOf, readyOf, type SlotRow, type StationRow } from './timetable.ts'

/*
 * What would mend what breaks, as data: a figure is the least that it takes, and a station or an order that cannot help is
 * only named where no turn of it can. Spans s, masses kg.
 */

export type Mend = NonNullable<Reason['mend']>

export const mendBy = (kind: Mend['kind'], by: { readonly byS?: number; readonly byKg?: number } = {}): Mend => ({
  kind,
  byS: by.byS ?? null,
  byKg: by.byKg ?? null
})

/** For a contact past its latest one: to come earlier, where any turn of its station is early enough. */
export function pastMend<State>(row: SlotRow<State>, nowMs: number): Mend {
  const { station } = row
  if (station === undefined) return mendBy('another station')
  const { opensAtMs, hookUpMs } = station.station
  const aloneAtMs = Math.max(row.readyAtMs, opensAtMs, row.notBeforeMs, nowMs) + hookUpMs
  if (aloneAtMs > row.latestContactAtMs) return mendBy('another station')
  return mendBy('contact earlier', { byS: (row.contactAtMs - row.latestContactAtMs) / 1000 })
}

/** For a contact at a station that takes nobody new, or whose window is over. */
export function closedMend(row: SlotRow<unknown>): Mend {
  const { station } = row
  if (station?.station.takesNew !== true) return mendBy('open station')
  return mendBy('close later', { byS: Math.max(0, row.contactAtMs - station.station.closesAtMs) / 1000 })
}

/** For a ship that is short at its push by so much, served or to be served. */
export function shortMend<State>(row: SlotRow<State>, byKg: number): Mend {
  const { station, slot, group } = row
  if (row.state === 'done' || station === undefined) return mendBy('top off', { byKg })
  if (row.state === 'in contact') return mendBy('take more', { byKg })
  const ready = readyOf(row, station)
  /** What it would lack at its push with another end of this contact, which may move the push. */
  const lacks = (end: { readonly disconnectAtMs: number; readonly fuelAtDisconnectKg: number }): boolean => {
    const pushAtMs = group.group.pushedAtMs ?? Math.max(group.pushAtMs, end.disconnectAtMs + group.group.reformMs)
    const burnedKg = (slot.waitBurnKgPerS * Math.max(0, pushAtMs - end.disconnectAtMs)) / 1000
    return stepsOfKg(slot.requiredAtPushKg - end.fuelAtDisconnectKg + burnedKg) > 0
  }
  const served = slot.serve(station.station, ready, row.contactAtMs)
  if (row.endedByGive) {
    return lacks(served) ? mendBy('top off', { byKg }) : mendBy('more give', { byKg: row.wantedKg - row.onLoadKg })
  }
  switch (served.endedBy) {
    case 'window': {
      const whole = wholeOf(row, station)
      if (whole === undefined || lacks(whole)) return mendBy('top off', { byKg })
      return mendBy('close later', { byS: (whole.disconnectAtMs - station.station.closesAtMs) / 1000 })
    }
    case 'full': {
      // Whoever is full at the last disconnect of all still waits for the reform.
      const leastKg =
        slot.requiredAtPushKg - row.fuelAtDisconnectKg + (slot.waitBurnKgPerS * group.group.reformMs) / 1000
      return stepsOfKg(leastKg) > 0 ? mendBy('no order', { byKg: leastKg }) : mendBy('top off', { byKg })
    }
    case 'target':
    case 'called':
    case 'give':
      return mendBy('take more', { byKg })
  }
}

/** The contact as if its station's window had no end. */
function wholeOf<State>(
  row: SlotRow<State>,
  station: StationRow
): { disconnectAtMs: number; fuelAtDisconnectKg: number } | undefined {
  const curve = curveOf(row, station, readyOf(row, station))
  const piece = pieceAt(curve, row.contactAtMs)
  if (piece < 0) return undefined
  return {
    disconnectAtMs: onPiece(curve, curve.disconnectAtMs, piece, row.contactAtMs),
    fuelAtDisconnectKg: onPiece(curve, curve.fuelAtDisconnectKg, piece, row.contactAtMs)
  }
}
