import { BASES, PUSH_GROUPS, TANKERS, TRACKS, WINDOWS } from './columns/places.ts'
import { EVENT } from './columns/event.ts'
import { FLIGHTS, ORDER, ROUTE, SHIPS } from './columns/flights.ts'
import { CLEARANCES, RECEIVER_TYPES, STATIONS, TANK_GROUPS, TANKER_TYPES } from './columns/types.ts'
import type { Column, TableName } from './table.ts'

/** Every column of every table, in the order in which a paste without headings is read. */
export const COLUMNS: Readonly<Record<TableName, readonly Column[]>> = {
  event: EVENT,
  receiverTypes: RECEIVER_TYPES,
  tankGroups: TANK_GROUPS,
  tankerTypes: TANKER_TYPES,
  stations: STATIONS,
  clearances: CLEARANCES,
  bases: BASES,
  tracks: TRACKS,
  tankers: TANKERS,
  windows: WINDOWS,
  pushGroups: PUSH_GROUPS,
  flights: FLIGHTS,
  ships: SHIPS,
  route: ROUTE,
  order: ORDER
}

/** The name of each table as it is said in a message. */
export const TABLE_HEADINGS: Readonly<Record<TableName, string>> = {
  event: 'Event',
  receiverTypes: 'Receiver types',
  tankGroups: 'Tank groups',
  tankerTypes: 'Tanker types',
  stations: 'Stations',
  clearances: 'Clearances',
  bases: 'Bases',
  tracks: 'Tracks',
  tankers: 'Tankers',
  windows: 'Station windows',
  pushGroups: 'Push groups',
  flights: 'Flights',
  ships: 'Ships',
  route: 'Route',
  order: 'Order'
}

/** The column that says what a row belongs to, where names are unique only inside that. */
export const PARENTS: Readonly<Partial<Record<TableName, string>>> = {
  tankGroups: 'receiverType',
  stations: 'tankerType',
  route: 'flight'
}

/** The column a row is called by. */
export const LABELS: Readonly<Partial<Record<TableName, string>>> = {
  event: 'name',
  receiverTypes: 'name',
  tankGroups: 'name',
  tankerTypes: 'name',
  stations: 'name',
  bases: 'name',
  tracks: 'name',
  tankers: 'callSign',
  pushGroups: 'name',
  flights: 'callSign',
  ships: 'callSign'
}

const byName = new Map(
  Object.entries(COLUMNS).map(([table, columns]) => [table, new Map(columns.map((column) => [column.name, column]))])
)

/**
 * The column of a table by its name.
 * @throws RangeError where the table has none of that name
 */
export function columnOf(table: TableName, name: string): Column {
  const column = byName.get(table)?.get(name)
  if (column === undefined) throw new RangeError(`column ${name} is not one of table ${table}`)
  return column
}
