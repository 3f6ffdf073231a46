/** Pasted rows put into a draft. */
import { carried, newId, withCell, withRows } from './edit.ts'
import { minter } from './ids.ts'
import type { Cells, Draft, PastedRow, Row, TableName } from './table.ts'

/** The draft with pasted rows in it, and the id of each of them. */
export function withPasted(
  draft: Draft,
  table: TableName,
  pasted: readonly Pick<PastedRow, 'rowId' | 'cells'>[],
  replace: boolean
) {
  const before = new Map(draft.tables[table].map((row) => [row.id, row]))
  const mint = minter(before.keys())
  const rows = pasted.map(({ rowId, cells }): Row => {
    const old = rowId === undefined ? undefined : before.get(rowId)
    const whole = Object.entries(cells).reduce<Cells>(
      (all, [name, text]) => withCell(all, name, text),
      old?.cells ?? {}
    )
    if (old) return whole === old.cells ? old : { id: old.id, cells: whole }
    return { id: newId(draft, table, whole, mint), cells: whole }
  })
  const placed = replace ? rows : inPlace(draft.tables[table], rows)
  const same = placed.length === before.size && placed.every((row, at) => row === draft.tables[table][at])
  const after = same ? draft : carried(draft, withRows(draft, table, placed), table)
  return { draft: after, rowIds: rows.map((row) => row.id) }
}

/** Pasted rows in the places of those they are matched to, in the order of the paste; new ones behind the one before. */
function inPlace(rows: readonly Row[], pasted: readonly Row[]): readonly Row[] {
  const there = new Set(rows.map((row) => row.id))
  const known = pasted.filter((row) => there.has(row.id))
  const isPasted = new Set(known.map((row) => row.id))
  let next = 0
  const placed = rows.map((row) => (isPasted.has(row.id) ? (known[next++] ?? row) : row))
  const behind = new Map<string | undefined, Row[]>()
  let last: string | undefined
  for (const row of pasted) {
    if (there.has(row.id)) last = row.id
    else if (behind.get(last)?.push(row) === undefined) behind.set(last, [row])
  }
  const end = behind.get(undefined) ?? []
  return [...placed.flatMap((row) => [row, ...(behind.get(row.id) ?? [])]), ...end]
}
