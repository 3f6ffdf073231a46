import { addRow, setCell } from '../../shared/tables/edit.ts'
import { TABLE_NAMES, type Cells, type Draft, type Row, type TableName } from '../../shared/tables/table.ts'

/** A cell as it is to be; in the blank row at the end, where no row is named. */
export interface CellChange {
  rowId: string | undefined
  column: string
  value: string
}

/** All changes of one step. Those of the blank row make one row together, with what it has from the one before it. */
export function changed(draft: Draft, table: TableName, changes: readonly CellChange[], begin: Cells): Draft {
  const fresh = changes.filter(({ rowId }) => rowId === undefined)
  const set = changes.reduce(
    (now, { rowId, column, value }) => (rowId === undefined ? now : setCell(now, table, rowId, column, value)),
    draft
  )
  if (fresh.every(({ value }) => value === '')) return set
  return addRow(set, table, { ...begin, ...Object.fromEntries(fresh.map(({ column, value }) => [column, value])) })
    .draft
}

/** The later draft, with the very rows and tables of the earlier one where they say the same. */
export function sharing(before: Draft, after: Draft): Draft {
  const tables = TABLE_NAMES.map((name) => [name, sharedRows(before.tables[name], after.tables[name])])
  return { tables: Object.fromEntries(tables) as Draft['tables'] }
}

function sharedRows(before: readonly Row[], after: readonly Row[]): readonly Row[] {
  const byId = new Map(before.map((row) => [row.id, row]))
  const rows = after.map((row) => {
    const old = byId.get(row.id)
    return old !== undefined && saysSame(old.cells, row.cells) ? old : row
  })
  return rows.length === before.length && rows.every((row, place) => row === before[place]) ? before : rows
}

function saysSame(a: Cells, b: Cells): boolean {
  const names = Object.keys(a)
  return names.length === Object.keys(b).length && names.every((name) => a[name] === b[name])
}
