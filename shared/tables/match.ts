/** Which row of a table a pasted one is: by its call sign or name, by what it joins, or by its turn among its like. */
import { columnOf } from './columns.ts'
import { indexOf, KEYS, nameKey, resolve, type Index } from './refer.ts'
import type { Cells, Draft, PastedRow, Row, TableName } from './table.ts'

/** Tables in which several rows may have one key: phases of a kind, contacts of a ship in a visit. */
export const REPEATING: ReadonlySet<TableName> = new Set(['route', 'order', 'clearances'])

/** The key of a row by some of the columns of its key, names as the rows they mean. */
function keyBy(columns: readonly string[], index: Index, table: TableName, row: Row): string {
  const parts = columns.map((name) => {
    const text = (row.cells[name] ?? '').trim()
    const { refersTo } = columnOf(table, name)
    // A visit that is not said is the first, as the only one.
    const said = text === '' && name === 'visitId' && row.cells['shipId'] ? '1' : text
    const found = refersTo && said !== '' ? resolve(index, table, row, refersTo, said) : undefined
    return found && 'value' in found ? `=${found.value.id}` : nameKey(said)
  })
  return parts.join('\n')
}

/** A slot without a ship is told by its station. */
const columnsFor = (table: TableName, columns: readonly string[], cells: Cells): readonly string[] =>
  table === 'order' && !cells['shipId'] ? ['tanker', 'station'] : columns

export interface Match {
  /** The row of the draft; undefined: none has the key. */
  readonly row: Row | undefined
  /** The key as it is compared; undefined where the paste does not say which row is meant. */
  readonly key: string | undefined
  /** Some columns of the key are not in the paste, and several rows fit the others. */
  readonly isOpen: boolean
}

/** Matches the rows of a paste, in their turn, to those of the draft. */
export function matched(
  draft: Draft,
  table: TableName,
  pasted: readonly Cells[],
  columns: ReadonlySet<string>
): Match[] {
  const index = indexOf(draft)
  if (table === 'event')
    return pasted.map((_, at) => ({ row: at === 0 ? draft.tables.event[0] : undefined, key: '', isOpen: false }))
  const given = KEYS[table].filter((name) => columns.has(name))
  const isWhole = given.length === KEYS[table].length
  const waiting = new Map<string, Row[]>()
  for (const row of draft.tables[table]) {
    const key = keyBy(columnsFor(table, given, row.cells), index, table, row)
    const rows = waiting.get(key)
    if (rows) rows.push(row)
    else waiting.set(key, [row])
  }
  return pasted.map((cells): Match => {
    const its = columnsFor(table, given, cells)
    if (its.every((name) => (cells[name] ?? '') === '')) return { row: undefined, key: undefined, isOpen: false }
    const key = keyBy(its, index, table, { id: '', cells })
    const rows = waiting.get(key) ?? []
    if (!isWhole && !REPEATING.has(table) && rows.length > 1) return { row: undefined, key, isOpen: true }
    return { row: rows.shift(), key, isOpen: false }
  })
}

/**
 * Pasted rows of the order with the contact that each new one is, where its ship has one in that visit already: a row that
 * was meant to move is seen to be one more.
 */
export function withContacts(
  draft: Draft,
  table: TableName,
  rows: readonly PastedRow[],
  replace: boolean
): readonly PastedRow[] {
  if (table !== 'order') return rows
  const index = indexOf(draft)
  const keyOf = (id: string, cells: Cells): string | undefined =>
    cells['shipId'] ? keyBy(KEYS.order, index, table, { id, cells }) : undefined
  const counts = new Map<string | undefined, number>()
  const count = (key: string | undefined): number => {
    counts.set(key, (counts.get(key) ?? 0) + 1)
    return counts.get(key) ?? 0
  }
  const pasted = new Map(rows.flatMap(({ rowId, cells }) => (rowId === undefined ? [] : [[rowId, cells] as const])))
  for (const { id, cells } of draft.tables.order) {
    const after = pasted.get(id)
    if (after !== undefined || !replace) count(keyOf(id, { ...cells, ...after }))
  }
  return rows.map((row) => {
    const key = row.rowId === undefined ? keyOf('', row.cells) : undefined
    const contact = key === undefined ? 1 : count(key)
    return contact > 1 ? { ...row, contact } : row
  })
}
