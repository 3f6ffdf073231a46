import { COLUMNS, LABELS } from '../../shared/tables/columns.ts'
import { TABLE_NAMES, type Cells, type Draft, type Row, type TableName } from '../../shared/tables/table.ts'

/*
 * Types, tracks and bases kept beside any one plan, as rows of its tables: a type with its tank groups or stations. What
 * they name elsewhere, a base say, is looked for by name in the draft they are put into.
 */

export const LIBRARY_TABLES = ['receiverTypes', 'tankerTypes', 'tracks', 'bases'] as const
export type LibraryTable = (typeof LIBRARY_TABLES)[number]

export interface LibraryItem {
  readonly table: LibraryTable
  readonly label: string
  /** The thing itself first, then what is part of it. */
  readonly rows: readonly { readonly table: TableName; readonly cells: Cells }[]
}

/** What is part of it: the table, and the column that names what its rows are part of. */
const PARTS: Readonly<Partial<Record<LibraryTable, { table: TableName; column: string }>>> = {
  receiverTypes: { table: 'tankGroups', column: 'receiverType' },
  tankerTypes: { table: 'stations', column: 'tankerType' }
}

export const isLibraryTable = (table: TableName): table is LibraryTable =>
  (LIBRARY_TABLES as readonly TableName[]).includes(table)

const labelIn = (table: LibraryTable, cells: Cells): string => cells[LABELS[table] ?? ''] ?? ''
const isSameName = (a: string, b: string): boolean => a.trim().toLowerCase() === b.trim().toLowerCase()

/** A row as it is kept, with what is part of it. */
export function itemOf(draft: Draft, table: LibraryTable, row: Row): LibraryItem {
  const label = labelIn(table, row.cells)
  const part = PARTS[table]
  const parts =
    part === undefined
      ? []
      : draft.tables[part.table].filter(({ cells }) => isSameName(cells[part.column] ?? '', label))
  return {
    table,
    label,
    rows: [{ table, cells: row.cells }, ...parts.map(({ cells }) => ({ table: part?.table ?? table, cells }))]
  }
}

/** Everything of a draft that can be kept. */
export const itemsOf = (draft: Draft): LibraryItem[] =>
  LIBRARY_TABLES.flatMap((table) => draft.tables[table].map((row) => itemOf(draft, table, row)))

/** Whether the draft has something of that name already. */
export const isThere = (draft: Draft, { table, label }: LibraryItem): boolean =>
  draft.tables[table].some(({ cells }) => isSameName(labelIn(table, cells), label))

/** The library with one thing more; one of its kind and name gives way. */
export const withItem = (items: readonly LibraryItem[], item: LibraryItem): LibraryItem[] => [
  ...items.filter((one) => one.table !== item.table || !isSameName(one.label, item.label)),
  item
]

export const libraryText = (items: readonly LibraryItem[]): string =>
  JSON.stringify({ v: 1, kind: 'ullage library', items }, undefined, 2)

export interface ReadLibrary {
  items: LibraryItem[]
  /** Columns that no table here has, as another version of the page may have had them: `Sleet: wingspan`. */
  leftOut: string[]
}

/** What a file or the browser holds; undefined where it is no library. */
export function libraryIn(text: string): ReadLibrary | undefined {
  let read: unknown
  try {
    read = JSON.parse(text)
  } catch {
    return undefined
  }
  const items = (read as { kind?: unknown; items?: unknown } | null)?.items
  if ((read as { kind?: unknown } | null)?.kind !== 'ullage library' || !Array.isArray(items)) return undefined
  if (!items.every(isItem)) return undefined
  const leftOut = items.flatMap(({ label, rows }) =>
    rows.flatMap(({ table, cells }) => unknownIn(table, cells).map((name) => `${label}: ${name}`))
  )
  return { items: items.map(withKnownCells), leftOut }
}

const isKnown = (table: TableName, name: string): boolean => COLUMNS[table].some((column) => column.name === name)
const unknownIn = (table: TableName, cells: Cells): string[] =>
  Object.keys(cells).filter((name) => !isKnown(table, name))
const withKnownCells = (item: LibraryItem): LibraryItem => ({
  ...item,
  rows: item.rows.map(({ table, cells }) => ({
    table,
    cells: Object.fromEntries(Object.entries(cells).filter(([name]) => isKnown(table, name)))
  }))
})

function isItem(read: unknown): read is LibraryItem {
  const item = read as Partial<LibraryItem> | null
  return (
    LIBRARY_TABLES.some((table) => table === item?.table) &&
    typeof item?.label === 'string' &&
    Array.isArray(item.rows) &&
    item.rows.every(isKeptRow)
  )
}

function isKeptRow(read: unknown): boolean {
  const row = read as { table?: unknown; cells?: unknown } | null
  if (!TABLE_NAMES.some((table) => table === row?.table)) return false
  if (typeof row?.cells !== 'object' || row.cells === null) return false
  return Object.values(row.cells).every((cell) => typeof cell === 'string')
}
