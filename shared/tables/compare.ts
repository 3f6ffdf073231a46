/** Cells of two drafts compared by what they say: a name by the row it means, so that a new name of it is no change. */
import { COLUMNS, LABELS } from './columns.ts'
import { indexOf, rowNamed, withNames, type Index } from './refer.ts'
import { TABLE_NAMES, type Column, type Draft, type Row, type TableName } from './table.ts'

/** A cell with the row it means in place of each name; other cells as they are. */
export function pinned(index: Index, table: TableName, row: Row, column: Column): string {
  const text = (row.cells[column.name] ?? '').trim()
  if (text === '' || (column.refersTo === undefined && column.kind !== 'place')) return text
  return withNames(text, column, (name) => {
    const meant = rowNamed(index, table, row, column, name)
    return meant ? `\u0000${meant.table}/${meant.row.id}` : name
  })
}

/** The columns of a row that say something else in another draft. */
export function changedColumns(
  table: TableName,
  one: { draft: Draft; row: Row },
  other: { draft: Draft; row: Row }
): readonly Column[] {
  if (one.row === other.row && sameNames(one.draft, other.draft)) return []
  const [was, is] = [indexOf(one.draft), indexOf(other.draft)]
  return COLUMNS[table].filter((column) => pinned(was, table, one.row, column) !== pinned(is, table, other.row, column))
}

/** Columns that a name is found by: what a row is called and what it names itself. */
const namingOf = (table: TableName): readonly string[] => [
  ...COLUMNS[table]
    .filter(({ name, kind, refersTo }) => name === LABELS[table] || refersTo !== undefined || kind === 'place')
    .map(({ name }) => name),
  // A visit is called by its turn among the visits of its flight.
  ...(table === 'route' ? ['kind'] : [])
]
const NAMING = new Map(TABLE_NAMES.map((table) => [table, namingOf(table)]))

const alike = new WeakMap<Draft, WeakMap<Draft, boolean>>()

/** True where every name means the same row in both drafts: only then says a row that is the same object the same. */
function sameNames(one: Draft, other: Draft): boolean {
  let byOther = alike.get(one)
  if (!byOther) alike.set(one, (byOther = new WeakMap<Draft, boolean>()))
  let isAlike = byOther.get(other)
  if (isAlike === undefined) {
    isAlike = TABLE_NAMES.every((table) => sameTexts(one.tables[table], other.tables[table], NAMING.get(table) ?? []))
    byOther.set(other, isAlike)
  }
  return isAlike
}

const sameTexts = (rows: readonly Row[], others: readonly Row[], columns: readonly string[]): boolean =>
  rows === others ||
  (rows.length === others.length &&
    rows.every((row, at) => {
      const its = others[at]
      if (row === its) return true
      return row.id === its?.id && columns.every((name) => (row.cells[name] ?? '') === (its.cells[name] ?? ''))
    }))

/** True of drafts with the very same texts in the same rows. */
export const sameDraft = (one: Draft, other: Draft): boolean =>
  one === other ||
  Object.entries(one.tables).every(([table, rows]) => {
    const others = other.tables[table as TableName]
    return rows === others || (rows.length === others.length && rows.every((row, at) => sameRow(row, others[at])))
  })

function sameRow(one: Row, other: Row | undefined): boolean {
  if (one === other) return true
  if (one.id !== other?.id) return false
  const names = new Set([...Object.keys(one.cells), ...Object.keys(other.cells)])
  return [...names].every((name) => (one.cells[name] ?? '') === (other.cells[name] ?? ''))
}
