/**
 * Rows with something in place of what cannot be read, so that the rows around them can be judged. What is found at a
 * row with stand-ins is worth nothing and is never told.
 */
import { columnOf, COLUMNS } from './columns.ts'
import { parentOf, type ReadRow, type ReadTables } from './rows.ts'
import { TABLE_NAMES, type Column, type TableName } from './table.ts'

/** Cells of the event that no rule works with. */
const IDLE_IN_EVENT: ReadonlySet<string | undefined> = new Set(['name', 'opensAtMs', 'massUnit', 'rules.staleAfterMin'])

/** True of an event that rules can work with, whatever it is called and whenever it opens. */
export const canJudge = ({ faults }: ReadRow): boolean => faults.every(({ column }) => IDLE_IN_EVENT.has(column))

/** Earlier than any event, and later than the bound of instants. */
const SOME_TIME_MS = Date.UTC(2001, 0, 1)

/** Rows whose rest means nothing without the cell that is faulty. */
const LEFT_OUT: ReadonlySet<TableName> = new Set(['tankGroups', 'clearances', 'windows', 'order'])
/** Fields that come in pairs or lean on each other: where one is faulty all of them go. */
const TOGETHER: Readonly<Partial<Record<TableName, readonly string[]>>> = {
  receiverTypes: ['gaugeBand.low', 'gaugeBand.high', 'notGivingBelow', 'weighing.zeroFuel', 'weighing.reference'],
  route: ['span.durationMin', 'span.to', 'span.trueAirspeed', 'span.fuel', 'jettisons', 'dumpTo']
}

/**
 * Every row that can stand with stand-ins, without those that are known to be faulty; types that lack a tank group go,
 * since they hold too little.
 */
export function looseRows(tables: ReadTables, faulty: ReadonlySet<ReadRow>): ReadTables {
  const stands = (read: ReadRow): boolean =>
    !faulty.has(read) && (read.faults.length === 0 || !LEFT_OUT.has(read.table))
  const typesShort = new Set(tables.tankGroups.filter((read) => !stands(read)).map(parentOf))
  const typesWithGroups = new Set(tables.tankGroups.map(parentOf))
  const isShort = ({ table, row }: ReadRow): boolean =>
    table === 'receiverTypes' && (typesShort.has(row.id) || !typesWithGroups.has(row.id))
  const loose = {} as Record<TableName, readonly ReadRow[]>
  for (const table of TABLE_NAMES)
    loose[table] = tables[table].filter((read) => stands(read) && !isShort(read)).map(withStandIns)
  return loose
}

/** The row itself where all of its cells can be read. */
export function withStandIns(read: ReadRow): ReadRow {
  if (read.faults.length === 0) return read
  const { table } = read
  const values = new Map(read.values)
  const faulty = new Set(read.faults.flatMap(({ column }) => column ?? []))
  for (const name of [...faulty, ...(TOGETHER[table] ?? [])]) values.delete(name)
  for (const column of COLUMNS[table]) {
    if (!column.required || values.has(column.name)) continue
    const value = standIn(column, read.row.id)
    if (value !== undefined) values.set(column.name, value)
  }
  // Its groups may be listed for the dump.
  if (table === 'receiverTypes' && !values.has('dump.rate')) values.set('dump.rate', { value: 1, unit: 'kg/h' })
  if (table === 'route' && values.get('kind') !== 'refuelling') {
    values.set('span.durationMin', 0)
    // Of a kind that nobody knows no type can be asked for its flow.
    if (faulty.has('kind')) values.set('flow', standIn(columnOf('route', 'flow'), read.row.id))
  }
  return { ...read, values }
}

/** Something of the kind of a column; undefined where nothing is better. */
function standIn(column: Column, rowId: string): unknown {
  switch (column.kind) {
    case 'name':
    case 'callSign':
      return `\u0000${rowId}`
    case 'quantity':
    case 'mass':
      return { value: 0, unit: 'kg' }
    case 'flow':
      return { value: 1, unit: 'kg/h' }
    case 'speed':
      return { value: 1, unit: 'kt' }
    case 'minutes':
    case 'bearing':
      return 0
    case 'count':
      return 1
    case 'opening':
      return SOME_TIME_MS
    case 'choice':
      return column.choices?.[0]
    case 'yesNo':
      return false
    case 'position':
      return { latitudeDeg: 0, longitudeDeg: 0 }
    case 'positions':
      return [
        { latitudeDeg: 0, longitudeDeg: 0 },
        { latitudeDeg: 0, longitudeDeg: 1 }
      ]
    case 'references':
      return []
    default:
      return undefined
  }
}
