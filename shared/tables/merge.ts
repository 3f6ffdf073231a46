/**
 * Two drafts that began as one, put together by row and cell: what only one changed is taken over, and only what both
 * changed differently is asked about. Names are followed to the rows they mean, so a new name of a thing is one change.
 */
import { COLUMNS } from './columns.ts'
import { changedColumns, pinned, sameDraft } from './compare.ts'
import { carried, withCell, withRows } from './edit.ts'
import { minter } from './ids.ts'
import { indexOf, KEYS, labelOf, nameKey, nameOf, rowNamed, withNames } from './refer.ts'
import {
  TABLE_NAMES,
  type Cells,
  type Conflict,
  type Draft,
  type Merged,
  type Row,
  type Side,
  type TableName
} from './table.ts'

interface Sides {
  readonly base: Draft
  readonly theirs: Draft
  readonly mine: Draft
}
/** Where the text of each cell of a merged row comes from. */
type Origins = ReadonlyMap<string, Side>

/**
 * Puts theirs and mine together. The merged draft holds mine wherever there is a conflict; a row that one took away and
 * the other changed is kept until it is settled.
 */
export function merge(base: Draft, theirs: Draft, mine: Draft): Merged {
  if (sameDraft(base, theirs) || sameDraft(theirs, mine)) return { draft: mine, conflicts: [] }
  if (sameDraft(base, mine)) return { draft: theirs, conflicts: [] }
  const sides = { base, theirs, mine: apart(base, theirs, mine) }
  const conflicts: Conflict[] = []
  const origins = new Map<Row, Origins>()
  const tables = {} as Record<TableName, readonly Row[]>
  for (const table of TABLE_NAMES) {
    const rows = new Map<string, Row>()
    for (const id of idsInOrder(table, sides)) {
      const made = mergedRow(table, id, sides)
      if (made === undefined) continue
      rows.set(id, made.row)
      origins.set(made.row, made.origins)
      conflicts.push(...made.conflicts)
    }
    tables[table] = [...rows.values()]
  }
  const draft = { tables }
  const named = followed(draft, sides, origins)
  return { draft: named, conflicts: conflicts.map((one) => ({ ...one, label: labelOf(named, one.table, one.rowId) })) }
}

/** Mine with new ids for rows that both added under one id and that are two different things. */
function apart(base: Draft, theirs: Draft, mine: Draft): Draft {
  const [was, other] = [indexOf(base), indexOf(theirs)]
  const key = (table: TableName, { cells }: Row): string =>
    KEYS[table].map((name) => nameKey(cells[name] ?? '')).join('\n')
  return TABLE_NAMES.reduce((draft, table) => {
    const own = draft.tables[table].map(({ id }) => id)
    const mint = minter([...other[table].byId.keys(), ...was[table].byId.keys(), ...own])
    const rows = draft.tables[table].map((row) => {
      const twin = was[table].byId.has(row.id) ? undefined : other[table].byId.get(row.id)
      return twin === undefined || key(table, twin) === key(table, row) ? row : { ...row, id: mint(row.id) }
    })
    return rows.every((row, at) => row === draft.tables[table][at]) ? draft : withRows(draft, table, rows)
  }, mine)
}

/** Ids of all rows, in the order of whoever changed it, mine before theirs; the other's new rows behind the one before. */
function idsInOrder(table: TableName, { base, theirs, mine }: Sides): readonly string[] {
  const [was, other, own] = [base, theirs, mine].map((draft) => draft.tables[table].map((row) => row.id))
  const isMoved = inOrder(was, own) !== inOrder(own, was)
  const [first = [], second = []] = isMoved ? [own, other] : [other, own]
  const there = new Set(first)
  const behind = new Map<string | undefined, string[]>()
  let last: string | undefined
  for (const id of second) {
    if (there.has(id)) last = id
    else if (behind.get(last)?.push(id) === undefined) behind.set(last, [id])
  }
  return [...(behind.get(undefined) ?? []), ...first.flatMap((id) => [id, ...(behind.get(id) ?? [])])]
}

/** Those that both have, in the order of the first. */
function inOrder(ids: readonly string[] = [], others: readonly string[] = []): string {
  const known = new Set(others)
  return ids.filter((id) => known.has(id)).join('\n')
}

interface MergedRow {
  row: Row
  origins: Origins
  conflicts: Conflict[]
}

function mergedRow(table: TableName, rowId: string, sides: Sides): MergedRow | undefined {
  const [base, theirs, mine] = [sides.base, sides.theirs, sides.mine].map((draft) =>
    indexOf(draft)[table].byId.get(rowId)
  )
  if (theirs && mine) return mergedCells(table, { base, theirs, mine }, sides)
  const side: Side = theirs ? 'theirs' : 'mine'
  const row = theirs ?? mine
  if (row === undefined) return undefined
  const whole = { row: { ...row }, origins: new Map(COLUMNS[table].map(({ name }) => [name, side])), conflicts: [] }
  if (base === undefined) return whole
  if (changedColumns(table, { draft: sides.base, row: base }, { draft: sides[side], row }).length === 0)
    return undefined
  const told = { theirs: undefined, mine: undefined, [side]: labelOf(sides[side], table, rowId) }
  const conflict = { table, rowId, label: '', column: undefined, base: labelOf(sides.base, table, rowId), ...told }
  return { ...whole, conflicts: [conflict] }
}

function mergedCells(
  table: TableName,
  { base, theirs, mine }: { base: Row | undefined; theirs: Row; mine: Row },
  sides: Sides
): MergedRow {
  let cells: Cells = mine.cells
  const origins = new Map<string, Side>()
  const conflicts: Conflict[] = []
  for (const column of COLUMNS[table]) {
    const said = {
      base: base && pinned(indexOf(sides.base), table, base, column),
      theirs: pinned(indexOf(sides.theirs), table, theirs, column),
      mine: pinned(indexOf(sides.mine), table, mine, column)
    }
    const takesTheirs = said.mine === said.base && said.theirs !== said.mine
    origins.set(column.name, takesTheirs ? 'theirs' : 'mine')
    if (takesTheirs) cells = withCell(cells, column.name, theirs.cells[column.name] ?? '')
    if (said.theirs === said.mine || takesTheirs || said.theirs === said.base) continue
    const text = (row: Row | undefined): string | undefined => row && (row.cells[column.name] ?? '')
    const texts = { base: text(base), theirs: text(theirs), mine: text(mine) }
    conflicts.push({ table, rowId: mine.id, label: '', column: column.name, ...texts })
  }
  return { row: { id: mine.id, cells }, origins, conflicts }
}

/** The merged draft with names as they are in it: a text from one side may name what the other calls otherwise. */
function followed(draft: Draft, sides: Sides, origins: ReadonlyMap<Row, Origins>): Draft {
  const is = indexOf(draft)
  const tables = { ...draft.tables }
  for (const table of TABLE_NAMES) {
    const columns = COLUMNS[table].filter((column) => column.refersTo !== undefined || column.kind === 'place')
    tables[table] = draft.tables[table].map((row) => {
      let cells = row.cells
      for (const column of columns) {
        const side = sides[origins.get(row)?.get(column.name) ?? 'mine']
        const from = indexOf(side)
        const there = from[table].byId.get(row.id)
        if (there === undefined) continue
        const text = withNames(row.cells[column.name] ?? '', column, (name) => {
          const meant = rowNamed(from, table, there, column, name)
          const called = meant && nameOf(is, meant.table, meant.row.id)
          return called === undefined || nameKey(called) === nameKey(name) ? name : called
        })
        cells = withCell(cells, column.name, text)
      }
      return cells === row.cells ? row : { ...row, cells }
    })
  }
  return { tables }
}

/** The merged draft with what was chosen for each conflict, in their order; one without a choice keeps mine. */
export function settle({ draft, conflicts }: Merged, choices: readonly (Side | undefined)[]): Draft {
  return conflicts.reduce((settled, conflict, at) => settledOne(settled, conflict, choices[at] ?? 'mine'), draft)
}

function settledOne(draft: Draft, conflict: Conflict, side: Side): Draft {
  const { table, rowId, column } = conflict
  const rows = draft.tables[table]
  const at = rows.findIndex((row) => row.id === rowId)
  const row = rows[at]
  if (row === undefined) return draft
  if (column === undefined)
    return conflict[side] === undefined ? carried(draft, withRows(draft, table, rows.toSpliced(at, 1)), table) : draft
  const cells = side === 'mine' ? row.cells : withCell(row.cells, column, conflict.theirs ?? '')
  return cells === row.cells
    ? draft
    : carried(draft, withRows(draft, table, rows.with(at, { id: rowId, cells })), table)
}
