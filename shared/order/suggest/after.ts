import { readyOf, type GroupRow, type SlotRow, type StationRow } from '../timetable.ts'
import type { Alone, AtStation, Before } from './alone.ts'
import type { Field } from './field.ts'

/*
 * Later visits, whose ready instant hangs on the order: how early their contact can be at most. One thing more than in alone.ts
 * is taken for granted: a ship is ready again no sooner after a later push, whatever it holds.
 */

interface Known {
  readonly stations: readonly Before[]
  /** By group: no order has it push earlier. */
  readonly pushes: ReadonlyMap<GroupRow, number>
}

/**
 * Earliest contacts of later visits: their group before pushes as early as it can, and what is left of the ship then is ready
 * no sooner after a later push. What it holds hangs on the order, so its service counts for nothing.
 */
export function laterContacts<State>(
  field: Field<State>,
  by: Known & { readonly mayLose: number; readonly surely: readonly Alone<State>[] }
): ReadonlyMap<SlotRow<State>, number> {
  const firsts = new Map(by.surely.map((one) => [one.row, one]))
  const later = new Map<SlotRow<State>, number>()
  for (const row of field.table.rows) {
    const first = row.after && firsts.get(row.after)
    if (first === undefined || row.topOff || row.slot.gone || row.slot.fixed !== undefined) continue
    if (row.slot.weight <= by.mayLose) continue
    const contacts = (field.stationsOf[row.index] ?? []).flatMap((index) => {
      const at = field.table.stations[index]
      return at === undefined || !at.station.takesNew
        ? []
        : first.at.map((one) => earliestAfter(field, row, { first: one, at, ...by }))
    })
    const known = contacts.filter((contactAtMs) => contactAtMs !== undefined)
    if (known.length > 0 && known.length === contacts.length) later.set(row, Math.min(...known))
  }
  return later
}

/** Undefined where the service before might be cut short and its ship be ready sooner than after the whole of it. */
function earliestAfter<State>(
  { table }: Field<State>,
  row: SlotRow<State>,
  { first, at, stations, pushes }: Known & { readonly first: AtStation; readonly at: StationRow }
): number | undefined {
  const before = row.after as SlotRow<State>
  const { station } = first.station
  const { state } = before.slot.serve(station, readyOf(before, first.station), first.contactAtMs)
  const pushAtMs = pushes.get(before.group) ?? -Infinity
  if (pushAtMs < first.disconnectAtMs) return undefined
  const ready = row.slot.ready({ disconnectAtMs: first.contactAtMs, pushAtMs, state }, at.station)
  const { opensAtMs, hookUpMs } = at.station
  const freeAtMs = stations[at.index]?.freeAtMs ?? -Infinity
  return Math.max(ready.atMs, opensAtMs, freeAtMs, row.notBeforeMs, table.nowMs) + hookUpMs
}
