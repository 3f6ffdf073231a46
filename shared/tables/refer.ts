/** Names of rows, and which row a name means. A name that two share is told apart by its turn: `Wing #2`. */
import { columnOf, LABELS, PARENTS, TABLE_HEADINGS } from './columns.ts'
import { tidy } from './cell.ts'
import { listOf, listText, NONE } from './list.ts'
import { readPosition } from './position.ts'
import { TABLE_NAMES, type Column, type Draft, type Reference, type Row, type TableName } from './table.ts'
import { lacking, wrong, type Reading } from './wrong.ts'

/** What two names are compared by: neither case nor spaces part them. */
export const nameKey = (name: string): string => name.trim().toLowerCase().replace(/\s+/g, ' ')

const TURN = /^(.*) #(\d{1,4})$/s
/** True of a name that looks like the turn of another. */
export const looksLikeTurn = (name: string): boolean => TURN.test(name.trim())

/** The names of one table, or of one thing in it. */
interface Names {
  /** Rows by what they are called, in the order of the table. */
  readonly rows: Map<string, Row[]>
  /** What each row is called, by its id. */
  readonly labels: Map<string, string>
}

interface TableIndex {
  readonly byId: ReadonlyMap<string, Row>
  /** By the id of what they are part of; '' where names hold in the whole table. */
  readonly names: ReadonlyMap<string, Names>
  readonly parents: ReadonlyMap<string, string>
}
export type Index = Readonly<Record<TableName, TableIndex>>

/** Tables whose rows have a name of their own. */
export const LABELLED = Object.keys(LABELS) as TableName[]

const known = new WeakMap<Draft, Index>()

/** All names of a draft; made once for each. */
export function indexOf(draft: Draft): Index {
  const found = known.get(draft)
  if (found) return found
  const index = {} as Record<TableName, TableIndex>
  for (const table of TABLE_NAMES) index[table] = tableIndex(draft, table, index)
  known.set(draft, index)
  return index
}

function tableIndex(draft: Draft, table: TableName, index: Index): TableIndex {
  const parent = PARENTS[table]
  const names = new Map<string, Names>()
  const parents = new Map<string, string>()
  for (const row of draft.tables[table]) {
    const scope = parent === undefined ? '' : (parentId(index, table, row, parent) ?? '')
    parents.set(row.id, scope)
    const its = names.get(scope) ?? { rows: new Map<string, Row[]>(), labels: new Map<string, string>() }
    names.set(scope, its)
    enter(its, row, table)
  }
  if (table !== 'route') {
    for (const { labels } of names.values()) {
      const ids = [...labels.keys()]
      toldApart([...labels.values()]).forEach((label, at) => labels.set(ids[at] ?? '', label))
    }
  }
  return { byId: new Map(draft.tables[table].map((row) => [row.id, row])), names, parents }
}

/** A visit is called by its turn among the visits of its flight. */
function enter(its: Names, row: Row, table: TableName): void {
  const column = LABELS[table]
  const label =
    table === 'route' && isVisit(row) ? String(its.labels.size + 1) : column && (row.cells[column] ?? '').trim()
  if (label === undefined || label === '') return
  its.labels.set(row.id, label)
  const alike = its.rows.get(nameKey(label))
  if (alike) alike.push(row)
  else its.rows.set(nameKey(label), [row])
}

/**
 * What things are called where one of them is meant: by their names, with their turn behind it where two share one, or
 * where the name itself looks like the turn of another.
 */
export function toldApart(names: readonly string[]): string[] {
  const counts = new Map<string, number>()
  for (const name of names) counts.set(nameKey(name), (counts.get(nameKey(name)) ?? 0) + 1)
  const seen = new Map<string, number>()
  return names.map((name) => {
    const key = nameKey(name)
    const turn = (seen.get(key) ?? 0) + 1
    seen.set(key, turn)
    const [, before = '', its] = TURN.exec(name) ?? []
    const isAnothers = its !== undefined && (counts.get(nameKey(before)) ?? 0) >= Math.max(2, Number(its))
    return counts.get(key) === 1 && !isAnothers ? name : `${name} #${String(turn)}`
  })
}

const KIND = columnOf('route', 'kind')

/** True of a row of the route that is a visit to a tanker. */
export const isVisit = (row: Row): boolean =>
  tidy(row.cells['kind'] ?? '', KIND, { massUnit: undefined, opensAtMs: undefined }) === 'refuelling'

function parentId(index: Index, table: TableName, row: Row, column: string): string | undefined {
  const { refersTo } = columnOf(table, column)
  const found = refersTo && find(index, refersTo.table, '', row.cells[column] ?? '')
  return found?.length === 1 ? found[0]?.id : undefined
}

/** The rows of that name; one, none, or several that share it. */
function find(index: Index, table: TableName, scope: string, name: string): readonly Row[] {
  const rows = index[table].names.get(scope)?.rows
  const [, before, turn] = TURN.exec(name.trim()) ?? []
  const alike = (before === undefined ? undefined : rows?.get(nameKey(before))) ?? []
  const one = alike[Number(turn) - 1]
  if (one && alike.length > 1) return [one]
  return rows?.get(nameKey(name)) ?? (one ? [one] : [])
}

/** The id of what the names of a reference are part of; undefined where the way there is broken. */
function scopeOf(index: Index, table: TableName, row: Row, { by = [] }: Reference): string | undefined {
  let at: { table: TableName; row: Row } | undefined = { table, row }
  for (const column of by) {
    const reference: Reference | undefined = columnOf(at.table, column).refersTo
    const name: string = at.row.cells[column] ?? ''
    const its: Reading<Row> | undefined = reference && resolve(index, at.table, at.row, reference, name)
    const next: Row | undefined = its && 'value' in its ? its.value : undefined
    if (reference === undefined || next === undefined) return undefined
    at = { table: reference.table, row: next }
  }
  return by.length === 0 ? '' : at.row.id
}

/** A name as one of a list in a sentence: in quotes where it has a comma of its own. */
export const quotedName = (name: string): string => (/[,;"]/.test(name) ? `"${name.replaceAll('"', '""')}"` : name)

/** How many names a message lists. */
const LISTED_MOST = 8

/** The row that a name in a cell means. */
export function resolve(index: Index, table: TableName, row: Row, reference: Reference, name: string): Reading<Row> {
  const scope = scopeOf(index, table, row, reference)
  const what = reference.table === 'route' ? 'visits of its flight' : TABLE_HEADINGS[reference.table].toLowerCase()
  if (scope === undefined)
    return lacking(`one of the ${what}`, 'what it is part of is not known', 'Mend the names beside it first.')
  const found = find(index, reference.table, scope, name)
  const [only] = found
  if (only !== undefined && found.length === 1) return { value: only }
  const labels = [...(index[reference.table].names.get(scope)?.labels.values() ?? [])]
  if (labels.length === 0)
    return lacking(`one of the ${what}`, `there are no ${what} for it yet`, `Fill in the ${what} first.`)
  const choices = labels.slice(0, LISTED_MOST).map(quotedName).join(', ') + (labels.length > LISTED_MOST ? ', …' : '')
  if (found.length > 1)
    return wrong(
      'a name only one has',
      `${String(found.length)} ${what} are called "${name.trim()}"`,
      `Give each a name of its own, or write ${name.trim()} #1.`
    )
  return wrong(`one of the ${what}`, `no such name among the ${what}: "${name.trim()}"`, `Write one of: ${choices}.`)
}

/** The base or track of that name, for a column that takes a place. */
export function resolvePlace(index: Index, name: string): Reading<{ table: 'bases' | 'tracks'; row: Row }> {
  for (const table of ['bases', 'tracks'] as const) {
    const [row, other] = find(index, table, '', name)
    if (row !== undefined && other === undefined) return { value: { table, row } }
  }
  return wrong(
    'a position, or the name of a base or track',
    `"${name.trim()}" is neither`,
    'Write latitude, then longitude, 44 09.0N 155 24.0W, or the name of a base or track of this plan.'
  )
}

/** What a row is called where others refer to it; undefined where it has no name. */
export function nameOf(index: Index, table: TableName, rowId: string): string | undefined {
  const { parents, names } = index[table]
  return names.get(parents.get(rowId) ?? '')?.labels.get(rowId)
}

/** What a row is called on its own: `Alder 1`, `Larch / Wing`, `Alder / refuelling 2`. */
export function labelOf(draft: Draft, table: TableName, rowId: string): string {
  const row = indexOf(draft)[table].byId.get(rowId)
  return row === undefined ? rowId : rowLabel(draft, table, row)
}

/** The cells that say together what a row is; what a paste is matched by. */
export const KEYS: Readonly<Record<TableName, readonly string[]>> = {
  event: [],
  receiverTypes: ['name'],
  tankGroups: ['receiverType', 'name'],
  tankerTypes: ['name'],
  stations: ['tankerType', 'name'],
  clearances: ['receiverTypeId', 'tankerTypeId', 'stationId'],
  bases: ['name'],
  tracks: ['name'],
  tankers: ['callSign'],
  windows: ['tanker', 'stationId'],
  pushGroups: ['name'],
  flights: ['callSign'],
  ships: ['callSign'],
  route: ['flight', 'kind'],
  order: ['shipId', 'visitId']
}

function rowLabel(draft: Draft, table: TableName, row: Row): string {
  if (table === 'event') return row.cells['name'] ?? ''
  const parts = KEYS[table].map((column) => (row.cells[column] ?? '').trim())
  if (table === 'order' && parts.every((part) => part === ''))
    return [row.cells['tanker'], row.cells['station']].filter((part) => part).join(' / ')
  if (table === 'route') parts[1] = `${parts[1] ?? ''} ${String(turnAmongAlike(draft, row))}`
  if (table === 'order' && parts[1]) parts[1] = `visit ${parts[1]}`
  return parts.filter((part) => part !== '').join(' / ')
}

/** Which of the phases of its kind in its flight a row is, from 1. */
function turnAmongAlike(draft: Draft, row: Row): number {
  const alike = draft.tables.route.filter(
    (one) =>
      nameKey(one.cells['flight'] ?? '') === nameKey(row.cells['flight'] ?? '') &&
      nameKey(one.cells['kind'] ?? '') === nameKey(row.cells['kind'] ?? '')
  )
  return alike.findIndex((one) => one.id === row.id) + 1
}

const OWN_VISIT = /^((?:visit )?)([^\s:]{1,12})(\s*:)/i

/** The cell with each name in it changed; the very same text where none is. */
export function withNames(text: string, column: Column, change: (name: string) => string): string {
  const plain = text.trim()
  if (plain === '') return text
  if (column.kind === 'reference') return kept(text, plain, change(plain))
  if (column.kind === 'place') return 'value' in readPosition(plain) ? text : kept(text, plain, change(plain))
  if (column.kind !== 'references' && column.kind !== 'ownOnLoads') return text
  if (plain.toLowerCase() === NONE) return text
  const items = listOf(plain)
  const changed =
    column.kind === 'references'
      ? items.map(change)
      : items.map((item) =>
          item.replace(OWN_VISIT, (_, before: string, visit: string, after: string) => before + change(visit) + after)
        )
  return changed.every((item, at) => item === items[at]) ? text : listText(changed)
}

const kept = (text: string, before: string, after: string): string => (before === after ? text : after)

/** The names in a cell. */
export function namesIn(text: string, column: Column): readonly string[] {
  const names: string[] = []
  withNames(text, column, (name) => {
    names.push(name)
    return name
  })
  return names
}

/** The row that a name in a cell of a column means; undefined where it means none. */
export function rowNamed(index: Index, table: TableName, row: Row, column: Column, name: string) {
  if (column.kind === 'place') {
    const place = resolvePlace(index, name)
    return 'value' in place ? place.value : undefined
  }
  const found = column.refersTo && resolve(index, table, row, column.refersTo, name)
  return column.refersTo && found && 'value' in found ? { table: column.refersTo.table, row: found.value } : undefined
}
