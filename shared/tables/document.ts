/** The plan's document out of rows that were read, and where each part of it came from. */
import { PLAN_VERSION } from '../contracts/kinds.ts'
import { COLUMNS } from './columns.ts'
import { parentOf, planId, rowKey, type ReadRow, type ReadTables } from './rows.ts'
import type { TableName } from './table.ts'

/** Where a part of the document came from; `column` where the part is one cell whatever stands below it. */
export interface Origin {
  readonly read: ReadRow
  readonly column?: string
}

export interface Made {
  readonly document: Record<string, unknown>
  /** By JSON pointer. */
  readonly origins: ReadonlyMap<string, Origin>
}

/** Columns that say where a row belongs; they are no field of its thing. */
const BESIDE: Readonly<Partial<Record<TableName, ReadonlySet<string>>>> = {
  tankGroups: new Set(['receiverType', 'dumpTurn']),
  stations: new Set(['tankerType']),
  windows: new Set(['tanker']),
  ships: new Set(['flight', 'fallOutTurn']),
  route: new Set(['flight'])
}

type Thing = Record<string, unknown>

/** The fields of a row, each where the name of its column leads. */
function fieldsOf({ table, values }: ReadRow): Thing {
  const thing: Thing = {}
  for (const column of COLUMNS[table]) {
    const value = values.get(column.name)
    if (value !== undefined && BESIDE[table]?.has(column.name) !== true) put(thing, column.name, value)
    else if (column.blankIsNone === true && value === undefined) put(thing, column.name, [])
  }
  return thing
}

function put(thing: Thing, path: string, value: unknown): void {
  const keys = path.split('.')
  const last = keys.pop() ?? path
  let at = thing
  for (const key of keys) at = (at[key] ??= {}) as Thing
  at[last] = value
}

/** Makes the document of rows that lean on nothing but each other. */
export function documentOf(tables: ReadTables): Made {
  const origins = new Map<string, Origin>()
  const children = grouped(tables)
  const list = (rows: readonly ReadRow[], at: string, make: (read: ReadRow, path: string) => Thing): Thing[] =>
    rows.map((read, index) => {
      const path = `${at}/${String(index)}`
      origins.set(path, { read })
      return make(read, path)
    })
  const plain = (read: ReadRow): Thing => ({ id: planId(read.table, read.row.id), ...fieldsOf(read) })

  const [event] = tables.event
  if (event) origins.set('', { read: event })
  const document: Thing = {
    v: PLAN_VERSION,
    ...(event && fieldsOf(event)),
    receiverTypes: list(tables.receiverTypes, '/receiverTypes', (read, path) => {
      const groups = children('tankGroups', read)
      const thing = { flows: {}, ...plain(read), groups: list(groups, `${path}/groups`, plain) } as Thing
      dumped(thing, groups, path, origins)
      return thing
    }),
    tankerTypes: list(tables.tankerTypes, '/tankerTypes', (read, path) => ({
      ...plain(read),
      stations: list(children('stations', read), `${path}/stations`, plain)
    })),
    clearances: list(tables.clearances, '/clearances', fieldsOf),
    bases: list(tables.bases, '/bases', plain),
    tracks: list(tables.tracks, '/tracks', plain),
    tankers: list(tables.tankers, '/tankers', (read, path) => {
      const windows = list(children('windows', read), `${path}/windows`, fieldsOf)
      return { ...plain(read), ...(windows.length > 0 && { windows }) }
    }),
    pushGroups: list(tables.pushGroups, '/pushGroups', plain),
    flights: list(tables.flights, '/flights', (read, path) => ({
      ...plain(read),
      priority: Number(read.values.get('priority')),
      ships: list(children('ships', read), `${path}/ships`, shipOf),
      route: list(children('route', read), `${path}/route`, phaseOf)
    })),
    orders: ordersOf(tables.order, origins)
  }
  fallingOut(document, tables.ships, origins)
  return { document, origins }
}

/** The rows of a table that are part of a row, in their order. */
function grouped(tables: ReadTables): (table: TableName, of: ReadRow) => readonly ReadRow[] {
  const known = new Map<string, ReadRow[]>()
  for (const table of ['tankGroups', 'stations', 'windows', 'ships', 'route'] as const) {
    for (const read of tables[table]) {
      const parent = table === 'windows' ? read.values.get('tanker') : parentOf(read)
      const key = rowKey(table, String(parent))
      const rows = known.get(key)
      if (rows) rows.push(read)
      else known.set(key, [read])
    }
  }
  return (table, of) => known.get(rowKey(table, of.row.id)) ?? []
}

/** Rows with a number first, by it; the others after them, in the order of the table. */
const byTurn =
  (column: string) =>
  (a: ReadRow, b: ReadRow): number =>
    turnOf(a, column) - turnOf(b, column) || a.rowNumber - b.rowNumber
const turnOf = (read: ReadRow, column: string): number => Number(read.values.get(column) ?? Number.MAX_VALUE)

function dumped(thing: Thing, groups: readonly ReadRow[], path: string, origins: Map<string, Origin>): void {
  const its = groups.filter((group) => group.values.has('dumpTurn')).toSorted(byTurn('dumpTurn'))
  if (its.length === 0 && thing['dump'] === undefined) return
  const dump = (thing['dump'] ??= {}) as Thing
  dump['groupIds'] = its.map((group, at) => {
    origins.set(`${path}/dump/groupIds/${String(at)}`, { read: group, column: 'dumpTurn' })
    return planId('tankGroups', group.row.id)
  })
}

function shipOf(read: ReadRow): Thing {
  const ship: Thing = { id: read.row.id, ...fieldsOf(read) }
  if (ship['airSpare'] === false) delete ship['airSpare']
  return ship
}

function phaseOf(read: ReadRow): Thing {
  const phase: Thing = { id: read.row.id, ...fieldsOf(read) }
  const span = phase['span'] as Thing | undefined
  if (span) span['by'] = span['trueAirspeed'] ? 'leg' : span['fuel'] ? 'lump' : 'duration'
  return phase
}

/** The order of each tanker, stations and tankers in the order in which they come first. */
function ordersOf(rows: readonly ReadRow[], origins: Map<string, Origin>): Thing[] {
  const tankers = new Map<string, ReadRow[]>()
  for (const read of rows) append(tankers, String(read.values.get('tanker')), read)
  return [...tankers].map(([tankerId, its], o) => {
    const at = `/orders/${String(o)}`
    if (its[0]) origins.set(at, { read: its[0], column: 'tanker' })
    const stations = new Map<string, ReadRow[]>()
    for (const read of its) {
      const stationId = read.values.get('station')
      if (typeof stationId === 'string') append(stations, stationId, read)
    }
    return {
      tankerId,
      sequences: [...stations].map(([id, slots], q) => sequenceOf(id, slots, `${at}/sequences/${String(q)}`, origins))
    }
  })
}

function append(lists: Map<string, ReadRow[]>, key: string, read: ReadRow): void {
  const list = lists.get(key)
  if (list) list.push(read)
  else lists.set(key, [read])
}

function sequenceOf(stationId: string, rows: readonly ReadRow[], at: string, origins: Map<string, Origin>): Thing {
  if (rows[0]) origins.set(at, { read: rows[0], column: 'station' })
  const slots = rows.filter((read) => read.values.has('shipId')).toSorted(byTurn('turn'))
  return {
    stationId,
    slots: slots.map((read, s) => {
      origins.set(`${at}/slots/${String(s)}`, { read })
      const { values } = read
      return {
        id: read.row.id,
        shipId: values.get('shipId'),
        visitId: values.get('visitId'),
        ...(values.has('notBeforeAtMs') && { notBeforeAtMs: values.get('notBeforeAtMs') }),
        ...(values.get('internalsOnly') === true && { internalsOnly: true })
      }
    })
  }
}

function fallingOut(document: Thing, ships: readonly ReadRow[], origins: Map<string, Origin>): void {
  const its = ships.filter((read) => read.values.has('fallOutTurn')).toSorted(byTurn('fallOutTurn'))
  if (its.length === 0) return
  document['fallOut'] = its.map((read, at) => {
    origins.set(`/fallOut/${String(at)}`, { read, column: 'fallOutTurn' })
    return read.row.id
  })
}
