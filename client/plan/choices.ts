import { COLUMNS, columnOf, LABELS, PARENTS } from '../../shared/tables/columns.ts'
import type { Column, Draft, Reference, Row, TableName } from '../../shared/tables/table.ts'

/* What may stand in a cell, as far as that is a list: words of a choice, and names of the rows that it may refer to. */

const YES_NO = ['yes', 'no']
const ON_LOADS = ['required', 'internals', 'full']

export function choicesFor(draft: Draft, table: TableName, row: Row | undefined, column: Column): readonly string[] {
  if (column.choices !== undefined) return column.choices
  if (column.kind === 'yesNo') return YES_NO
  if (column.kind === 'onLoad') return ON_LOADS
  if (column.kind === 'place') return [...namesOf(draft, 'bases'), ...namesOf(draft, 'tracks')]
  const isReference = column.kind === 'reference' || column.kind === 'references'
  return isReference && column.refersTo !== undefined ? referred(draft, table, row, column.refersTo) : []
}

const namesOf = (draft: Draft, table: TableName): string[] => {
  const label = LABELS[table]
  return label === undefined ? [] : filled(draft.tables[table].map((row) => row.cells[label]))
}
const filled = (names: readonly (string | undefined)[]): string[] => [
  ...new Set(names.filter((name): name is string => name !== undefined && name !== ''))
]

function referred(draft: Draft, table: TableName, row: Row | undefined, { table: to, by }: Reference): string[] {
  if (by === undefined) return namesOf(draft, to)
  const parent = PARENTS[to]
  const owner = ownerOf(draft, table, row, by)
  if (parent === undefined || owner === undefined) return []
  const rows = draft.tables[to].filter((one) => one.cells[parent] === owner)
  if (to === 'route') return rows.filter(({ cells }) => cells['kind'] === 'refuelling').map((_, at) => String(at + 1))
  const label = LABELS[to]
  return label === undefined ? [] : filled(rows.map((one) => one.cells[label]))
}

/** The name of what the names are unique inside of: from row to row, each named by a cell of the one before. */
function ownerOf(draft: Draft, table: TableName, row: Row | undefined, by: readonly string[]): string | undefined {
  const [first, ...others] = by
  const name = first === undefined ? undefined : row?.cells[first]
  if (first === undefined || name === undefined || name === '') return undefined
  const next = columnOf(table, first).refersTo?.table
  if (others.length === 0 || next === undefined) return name
  const label = LABELS[next]
  const owner = draft.tables[next].find((one) => label !== undefined && one.cells[label] === name)
  return ownerOf(draft, next, owner, others)
}

/** What a new row says already, from the row it comes after: what it belongs to. */
export function inherited(table: TableName, after: Row | undefined): Readonly<Record<string, string>> {
  const first = COLUMNS[table].find(({ kind, refersTo }) => kind === 'reference' && refersTo !== undefined)
  const name = PARENTS[table] ?? (table === 'ships' ? 'flight' : first?.name)
  const value = name === undefined ? undefined : after?.cells[name]
  return name === undefined || value === undefined || table === 'flights' ? {} : { [name]: value }
}
