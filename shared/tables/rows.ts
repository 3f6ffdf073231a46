/** Every row of a draft read: its values with ids for names, what is wrong with its cells, and what it leans on. */
import type { Position } from '../contracts/quantities.ts'
import { readCell, sightIn, sightOf } from './cell.ts'
import { COLUMNS, PARENTS, TABLE_HEADINGS } from './columns.ts'
import type { Sight } from './figure.ts'
import { readPosition } from './position.ts'
import { indexOf, isVisit, nameKey, resolve, resolvePlace, type Index } from './refer.ts'
import type { OwnOnLoad } from './rule.ts'
import { TABLE_NAMES, type CellFault, type Column, type Draft, type Row, type TableName } from './table.ts'
import { lacking, wrong, type Reading, type Wrong } from './wrong.ts'

/** A row as it was read; `values` by the name of the column, only where the cell is not blank. */
export interface ReadRow {
  readonly table: TableName
  readonly row: Row
  readonly rowNumber: number
  readonly values: ReadonlyMap<string, unknown>
  /** Rows that it names, `table/id`. */
  readonly leansOn: ReadonlySet<string>
  readonly faults: readonly CellFault[]
}

export type ReadTables = Readonly<Record<TableName, readonly ReadRow[]>>

export const rowKey = (table: TableName, rowId: string): string => `${table}/${rowId}`

/** Reads all rows of a draft. */
export function readRows(draft: Draft): ReadTables {
  const index = indexOf(draft)
  const sight = sightOf(draft)
  const read = {} as Record<TableName, readonly ReadRow[]>
  for (const table of TABLE_NAMES) {
    read[table] = draft.tables[table].map((row, at) => readRow({ index, sight, table, row, rowNumber: at + 1 }))
  }
  return read
}

interface Place {
  readonly index: Index
  readonly sight: Sight
  readonly table: TableName
  readonly row: Row
  readonly rowNumber: number
}

function readRow(place: Place): ReadRow {
  const { table, row, rowNumber } = place
  const values = new Map<string, unknown>()
  const leansOn = new Set<string>()
  const faults: CellFault[] = []
  const say = (column: string, fault: Wrong): void => {
    faults.push(faultAt({ table, rowId: row.id, rowNumber, column, value: (row.cells[column] ?? '').trim() }, fault))
  }
  const needed = neededIn(place)
  for (const column of COLUMNS[table]) {
    const text = (row.cells[column.name] ?? '').trim()
    if (text === '') {
      if (column.required || needed.has(column.name)) say(column.name, blank(column))
      else implied(place, column, values, leansOn)
      continue
    }
    const unfit = misplaced(place, column.name)
    if (unfit !== undefined) say(column.name, unfit)
    const value = valueOf(place, column, text, leansOn)
    if ('wrong' in value) say(column.name, value.wrong)
    else values.set(column.name, value.value)
  }
  return { table, row, rowNumber, values, leansOn, faults }
}

/** A fault with the place it is at. */
export const faultAt = (
  at: Pick<CellFault, 'table' | 'rowId' | 'rowNumber' | 'column' | 'value'>,
  { limit, message, mend, lacking: isLacking }: Wrong
): CellFault => ({ ...at, limit, message, mend, lacking: isLacking ?? false })

const blank = ({ heading, hint }: Column): Wrong =>
  lacking('not blank', `${heading} is blank`, `Fill it in: ${hint}.`).wrong

/** A visit that is not said is the only one of its flight. */
function implied(place: Place, column: Column, values: Map<string, unknown>, leansOn: Set<string>): void {
  if (place.table !== 'order' || column.name !== 'visitId' || !column.refersTo || !place.row.cells['shipId']) return
  const first = resolve(place.index, place.table, place.row, column.refersTo, '1')
  const second = resolve(place.index, place.table, place.row, column.refersTo, '2')
  if ('wrong' in first || 'value' in second) return
  values.set('visitId', first.value.id)
  leansOn.add(rowKey('route', first.value.id))
}

const OF_A_VISIT = ['tankerId', 'pushGroupId', 'onLoad']
const SPAN = ['span.durationMin', 'span.to', 'span.trueAirspeed', 'span.fuel']
const NOT_OF_A_VISIT = [...SPAN, 'flow', 'jettisons', 'dumpTo']
const filled = (row: Row, column: string): boolean => (row.cells[column] ?? '').trim() !== ''

/** Columns a row cannot leave blank because of what stands in its others. */
function neededIn({ index, table, row }: Place): ReadonlySet<string> {
  if (table === 'route') return new Set(isVisit(row) ? OF_A_VISIT : neededOfPhase(row))
  if (table === 'order' && filled(row, 'shipId'))
    return new Set(['station', ...(hasManyVisits(index, row) ? ['visitId'] : [])])
  if (table === 'tankGroups') {
    const role = nameKey(row.cells['role.kind'] ?? '')
    return new Set(role === 'stage' ? ['role.turnCount'] : role === 'reserve' ? ['role.releasedBelow'] : [])
  }
  if (table !== 'receiverTypes') return NOTHING
  const pairs = [
    ['gaugeBand.low', 'gaugeBand.high'],
    ['weighing.zeroFuel', 'weighing.reference']
  ]
  return new Set(pairs.filter((pair) => pair.some((column) => filled(row, column))).flat())
}
const NOTHING: ReadonlySet<string> = new Set()

/** A leg has a place and an airspeed; fuel given whole has its minutes; anything else has minutes. */
function neededOfPhase(row: Row): string[] {
  if (filled(row, 'span.fuel')) return ['span.durationMin']
  if (filled(row, 'span.trueAirspeed')) return ['span.to']
  if (filled(row, 'span.to')) return ['span.trueAirspeed']
  return ['span.durationMin']
}

/** With more than one visit an order says which; with none, or a ship that is not known, others say what is wrong. */
function hasManyVisits(index: Index, row: Row): boolean {
  const reference = { table: 'route', by: ['shipId', 'flight'] } as const
  return 'value' in resolve(index, 'order', row, reference, '2')
}

/** What stands in a cell where its row can have nothing. */
function misplaced({ table, row }: Place, column: string): Wrong | undefined {
  if (table === 'route') {
    if (isVisit(row))
      return NOT_OF_A_VISIT.includes(column) ? nothing('a refuelling is flown at its tanker') : undefined
    if ([...OF_A_VISIT, 'waitAllowanceMin'].includes(column)) return nothing('only a refuelling has it')
    const isLeg = filled(row, 'span.trueAirspeed')
    if (isLeg && column === 'span.durationMin') return nothing('a leg takes the time its airspeed gives')
    if (isLeg && column === 'span.fuel') return nothing('fuel given whole goes with minutes, not with an airspeed')
  }
  if (table === 'tankGroups') {
    const role = nameKey(row.cells['role.kind'] ?? '')
    if (column === 'role.turnCount' && role !== 'stage') return nothing('only a stage has a turn')
    if (column === 'role.releasedBelow' && role !== 'reserve') return nothing('only a reserve is released')
  }
  const noShip = table === 'order' && !filled(row, 'shipId')
  if (noShip && ['turn', 'visitId', 'notBeforeAtMs', 'internalsOnly'].includes(column))
    return nothing('no ship is named')
  return undefined
}
const nothing = (why: string): Wrong => wrong('blank', why, 'Leave this blank.').wrong

/** What a cell says, with ids for the names in it. */
function valueOf(place: Place, column: Column, text: string, leansOn: Set<string>): Reading<unknown> {
  const read = readCell(text, column, sightIn(place.row.cells, column, place.sight))
  if ('wrong' in read) return read
  if (column.kind === 'place') return typeof read.value === 'string' ? placeValue(place, read.value, leansOn) : read
  if (column.refersTo === undefined) return read
  if (column.kind === 'reference') return idOf(place, column, String(read.value), leansOn)
  const names =
    column.kind === 'references' ? (read.value as string[]) : (read.value as OwnOnLoad[]).map((one) => one.visit)
  const ids = names.map((name) => idOf(place, column, name, leansOn))
  const fault = ids.find((one) => 'wrong' in one)
  if (fault) return fault
  const found = ids.flatMap((one) => ('value' in one ? [one.value] : []))
  if (column.kind === 'references') return { value: found }
  return { value: (read.value as OwnOnLoad[]).map(({ onLoad }, at) => ({ visitId: found[at], onLoad })) }
}

function idOf(place: Place, column: Column, name: string, leansOn: Set<string>): Reading<string> {
  const { index, table, row } = place
  if (column.refersTo === undefined) return wrong('a name', `${column.heading} names nothing`, 'Leave this blank.')
  const found = resolve(index, table, row, column.refersTo, name)
  if ('wrong' in found) return found
  leansOn.add(rowKey(column.refersTo.table, found.value.id))
  return { value: planId(column.refersTo.table, found.value.id) }
}

/** The id in the plan of a row; groups and stations have theirs behind that of their type. */
export const planId = (table: TableName, rowId: string): string =>
  table === 'tankGroups' || table === 'stations' ? rowId.slice(rowId.indexOf('/') + 1) : rowId

function placeValue(place: Place, name: string, leansOn: Set<string>): Reading<Position> {
  const found = resolvePlace(place.index, name)
  if ('wrong' in found) return found
  const { table, row } = found.value
  leansOn.add(rowKey(table, row.id))
  const position = readPosition(row.cells[table === 'bases' ? 'position' : 'controlPoint'] ?? '')
  return 'value' in position
    ? position
    : lacking('a place with a position', `${name} has no position that can be read`, `Mend the position of ${name}.`)
}

/** The id of what a row is part of; undefined where it is part of nothing. */
export const parentOf = ({ table, values }: ReadRow): string | undefined => {
  const column = table === 'ships' ? 'flight' : PARENTS[table]
  const id = column === undefined ? undefined : values.get(column)
  return typeof id === 'string' ? id : undefined
}

/** A row of a message: `Flights, row 3`. */
export const rowText = (table: TableName, rowNumber: number): string =>
  `${TABLE_HEADINGS[table]}, row ${String(rowNumber)}`
