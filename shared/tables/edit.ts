/** Changes of a draft, one at a time; undo is whoever keeps the draft before. */
import { sightIn, sightOf, tidy } from './cell.ts'
import { COLUMNS, columnOf } from './columns.ts'
import { minter, slug } from './ids.ts'
import { indexOf, labelOf, nameKey, namesIn, nameOf, resolve, rowNamed, withNames, type Index } from './refer.ts'
import { TABLE_NAMES, type Cells, type Draft, type Referrer, type Row, type TableName } from './table.ts'

/** The draft with other rows in one table; the same where they are the same. */
export const withRows = (draft: Draft, table: TableName, rows: readonly Row[]): Draft =>
  rows === draft.tables[table] ? draft : { tables: { ...draft.tables, [table]: rows } }

/** The cells with one of them changed; a blank one is left out. */
export function withCell(cells: Cells, column: string, text: string): Cells {
  const { [column]: before = '', ...others } = cells
  if (before === text) return cells
  return text === '' ? others : { ...others, [column]: text }
}

function rowAt(draft: Draft, table: TableName, rowId: string): { row: Row; at: number } {
  const at = draft.tables[table].findIndex((row) => row.id === rowId)
  const row = draft.tables[table][at]
  if (row === undefined) throw new RangeError(`row ${rowId} is not in table ${table}`)
  return { row, at }
}

/**
 * The draft with one cell changed, written as it is kept: `1432` becomes `14:32Z`, `4500` becomes `4500 lb`. A text that
 * cannot be read stays as it was typed. Where the row gets another name, every cell that names it follows. Another
 * opening changes no other text: a time of day is then the first one not before that opening; `movedBy` in moved.ts
 * answers which times mean another day.
 * @throws RangeError where there is no such row or column
 */
export function setCell(draft: Draft, table: TableName, rowId: string, column: string, text: string): Draft {
  const { row, at } = rowAt(draft, table, rowId)
  const its = columnOf(table, column)
  const cells = withCell(row.cells, column, tidy(text, its, sightIn(row.cells, its, sightOf(draft))))
  if (cells === row.cells) return draft
  return carried(draft, withRows(draft, table, draft.tables[table].with(at, { id: rowId, cells })), table)
}

/**
 * The draft with a row more, behind another or at the end, and the id of the row. The id is made of what the row is
 * called, where that is given, and is never one in use.
 */
export function addRow(
  draft: Draft,
  table: TableName,
  given: Cells = {},
  afterId?: string
): { draft: Draft; rowId: string } {
  const sight = sightOf(draft)
  const cells = Object.entries(given).reduce<Cells>((made, [name, text]) => {
    const column = columnOf(table, name)
    return withCell(made, name, tidy(text, column, sightIn(given, column, sight)))
  }, {})
  const rowId = newId(draft, table, cells)
  const at = afterId === undefined ? draft.tables[table].length : rowAt(draft, table, afterId).at + 1
  const rows = draft.tables[table].toSpliced(at, 0, { id: rowId, cells })
  return { draft: carried(draft, withRows(draft, table, rows), table), rowId }
}

/**
 * The draft without a row, and the cells that named it: they stay, and name nothing. The visits behind a visit that goes
 * are counted anew, wherever they are named.
 */
export function removeRow(
  draft: Draft,
  table: TableName,
  rowId: string
): { draft: Draft; referrers: readonly Referrer[] } {
  const { at } = rowAt(draft, table, rowId)
  const referrers = refersTo(draft, table, rowId)
  return { draft: carried(draft, withRows(draft, table, draft.tables[table].toSpliced(at, 1)), table), referrers }
}

/** The draft with a row at another place of its table, counted from 0; slots of its station get their turns anew. */
export function moveRow(draft: Draft, table: TableName, rowId: string, to: number): Draft {
  const { row, at } = rowAt(draft, table, rowId)
  const place = Math.max(0, Math.min(draft.tables[table].length - 1, Math.trunc(to)))
  if (place === at) return draft
  const moved = draft.tables[table].toSpliced(at, 1).toSpliced(place, 0, row)
  return carried(draft, withRows(draft, table, table === 'order' ? inTurn(moved, row) : moved), table)
}

/** Turns from 1 in the order of the rows, at the station of one of them, where they had turns. */
function inTurn(rows: readonly Row[], moved: Row): readonly Row[] {
  const place = ({ cells }: Row): string => `${nameKey(cells['tanker'] ?? '')}/${nameKey(cells['station'] ?? '')}`
  let turn = 0
  return rows.map((row) => {
    if (place(row) !== place(moved) || !row.cells['turn']) return row
    turn += 1
    const cells = withCell(row.cells, 'turn', String(turn))
    return cells === row.cells ? row : { ...row, cells }
  })
}

/** Every cell that names a row. */
export function refersTo(draft: Draft, table: TableName, rowId: string): readonly Referrer[] {
  const index = indexOf(draft)
  const found: Referrer[] = []
  for (const from of TABLE_NAMES) {
    for (const column of COLUMNS[from]) {
      if (column.kind !== 'place' && column.refersTo?.table !== table) continue
      for (const row of draft.tables[from]) {
        const names = namesIn(row.cells[column.name] ?? '', column)
        const isNamed = names.some((name) => {
          const meant = rowNamed(index, from, row, column, name)
          return meant?.table === table && meant.row.id === rowId
        })
        if (isNamed)
          found.push({ table: from, rowId: row.id, label: labelOf(draft, from, row.id), column: column.name })
      }
    }
  }
  return found
}

/** What the cell of a visit says when the visit is gone: its number is another's now. */
const GONE = 'removed'

/**
 * The draft after a change of one table, with every name in it following the row it meant before: rows that are called
 * otherwise now, visits that are counted otherwise.
 */
export function carried(before: Draft, after: Draft, table: TableName): Draft {
  if (after === before) return after
  const [was, is] = [indexOf(before), indexOf(after)]
  const renamed = before.tables[table].some(({ id }) => nameOf(was, table, id) !== nameOf(is, table, id))
  if (!renamed) return after
  const tables = { ...after.tables }
  for (const from of TABLE_NAMES) {
    const columns = COLUMNS[from].filter((column) => column.kind === 'place' || column.refersTo?.table === table)
    if (columns.length > 0)
      tables[from] = after.tables[from].map((row) => followed(row, from, columns, { was, is, table }))
  }
  return { tables }
}

function followed(
  row: Row,
  from: TableName,
  columns: (typeof COLUMNS)[TableName],
  { was, is, table }: { was: Index; is: Index; table: TableName }
): Row {
  // What it named before is found from where it stood before.
  const before = was[from].byId.get(row.id)
  if (before === undefined) return row
  let cells = row.cells
  for (const column of columns) {
    const text = cells[column.name] ?? ''
    if (text === '' || text !== before.cells[column.name]) continue
    const now = withNames(text, column, (name) => {
      const meant = rowNamed(was, from, before, column, name)
      if (meant?.table !== table) return name
      const called = nameOf(is, table, meant.row.id)
      if (called === nameOf(was, table, meant.row.id)) return name
      return called ?? (table === 'route' ? GONE : name)
    })
    cells = withCell(cells, column.name, now)
  }
  return cells === row.cells ? row : { ...row, cells }
}

/** What rows of a table are called in an id, where nothing better is known. */
const NOUNS: Readonly<Record<TableName, string>> = {
  event: 'event',
  receiverTypes: 'receiver-type',
  tankGroups: 'group',
  tankerTypes: 'tanker-type',
  stations: 'station',
  clearances: 'clearance',
  bases: 'base',
  tracks: 'track',
  tankers: 'tanker',
  windows: 'window',
  pushGroups: 'push-group',
  flights: 'flight',
  ships: 'ship',
  route: 'phase',
  order: 'slot'
}
/** An id is at most 60 letters; a number may come behind it. */
const LONGEST = 54

/** An id for a new row: what it is called, or what it joins. Slots and phases are told apart over the whole plan. */
export function newId(
  draft: Draft,
  table: TableName,
  cells: Cells,
  mint: (id: string) => string = minter(indexOf(draft)[table].byId.keys())
): string {
  const index = indexOf(draft)
  const row = { id: '', cells }
  const idOf = (column: string): string | undefined => {
    const { refersTo: reference } = columnOf(table, column)
    const found = reference && cells[column] ? resolve(index, table, row, reference, cells[column]) : undefined
    return found && 'value' in found ? found.value.id : undefined
  }
  return mint(idWords(table, cells, idOf))
}

function idWords(table: TableName, cells: Cells, idOf: (column: string) => string | undefined): string {
  const noun = NOUNS[table]
  const named = slug(cells['name'] ?? cells['callSign'] ?? '', noun)
  const joined = (ids: readonly (string | undefined)[], between: string): string =>
    ids.every((id) => id !== undefined) ? ids.join(between) : noun
  switch (table) {
    case 'tankGroups':
      return `${idOf('receiverType') ?? 'new'}/${named}`
    case 'stations':
      return `${idOf('tankerType') ?? 'new'}/${named}`
    case 'clearances':
      return joined([idOf('receiverTypeId'), idOf('tankerTypeId'), idOf('stationId')?.replace(/^.*\//, '')], '/')
    case 'windows':
      return joined([idOf('tanker'), idOf('stationId')?.replace(/^.*\//, '')], '/')
    case 'route':
      return joined([idOf('flight'), slug((cells['kind'] ?? '').replace('refuelling', 'visit'), noun)], '-').slice(
        0,
        LONGEST
      )
    case 'order':
      return joined([idOf('visitId'), idOf('shipId')], '.').slice(0, LONGEST)
    default:
      return named
  }
}
