/** What fills the tables from a plan: its names, and rows made of its things. */
import type { Plan } from '../contracts/plan.ts'
import type { Position } from '../contracts/quantities.ts'
import { cellText } from './cell.ts'
import { COLUMNS, columnOf } from './columns.ts'
import { numberText } from './number.ts'
import { readPosition } from './position.ts'
import { looksLikeTurn, nameKey, toldApart } from './refer.ts'
import type { Cells, Column, Row, TableName } from './table.ts'

/** The tables of one plan while they are filled. */
export interface Page {
  readonly plan: Plan
  readonly names: Names
  /** Adds a row of a thing: every column whose name leads somewhere in it, and what is said beside. */
  readonly add: (table: TableName, id: string, thing: object, beside?: Cells) => void
  /** The cell of a list of names; blank where there is no list. */
  readonly list: (table: TableName, column: string, ids: readonly string[] | undefined, name: Namer) => Cells
}
export type Namer = (id: string) => string
export type Names = ReturnType<typeof namesOf>

/** The cell of one name; blank where nothing is named. */
export const one = (column: string, id: string | undefined, name: Namer): Cells => ({
  [column]: id === undefined ? '' : name(id)
})

export function pageOf(plan: Plan, tables: Record<TableName, Row[]>): Page {
  return {
    plan,
    names: namesOf(plan),
    add: (table, id, thing, beside = {}) => {
      tables[table].push(rowOf(COLUMNS[table], id, thing, plan.opensAtMs, beside))
    },
    list: (table, column, ids, name) => ({
      [column]: ids === undefined ? '' : cellText(ids.map(name), columnOf(table, column), plan)
    })
  }
}

/** The value at a dotted path of a document; undefined where there is none. */
function at(document: unknown, path: string): unknown {
  let here: unknown = document
  for (const key of path.split('.')) {
    if (typeof here !== 'object' || here === null || !Object.hasOwn(here, key)) return undefined
    here = (here as Record<string, unknown>)[key]
  }
  return here
}

/** Names of things by their ids, told apart where two share one. */
function namer(things: readonly { id: string; name: string }[]): Namer {
  const labels = toldApart(things.map(({ name }) => name))
  const names = new Map(things.map(({ id }, at) => [id, labels[at] ?? id]))
  return (id) => names.get(id) ?? id
}
const called = (things: readonly { id: string; callSign: string }[]) =>
  namer(things.map(({ id, callSign }) => ({ id, name: callSign })))

/** The names of everything that is referred to. */
function namesOf(plan: Plan) {
  const groups = new Map(plan.receiverTypes.map((type) => [type.id as string, namer(type.groups)]))
  const stations = new Map(plan.tankerTypes.map((type) => [type.id as string, namer(type.stations)]))
  const typeOf = new Map(plan.tankers.map((tanker) => [tanker.id as string, tanker.tankerTypeId as string]))
  return {
    receiverType: namer(plan.receiverTypes),
    tankerType: namer(plan.tankerTypes),
    base: namer(plan.bases),
    track: namer(plan.tracks),
    tanker: called(plan.tankers),
    push: namer(plan.pushGroups),
    flight: called(plan.flights),
    ship: called(plan.flights.flatMap((flight) => flight.ships)),
    group: (typeId: string) => groups.get(typeId) ?? ((id: string) => id),
    station: (typeId: string) => stations.get(typeId) ?? ((id: string) => id),
    stationOf: (tankerId: string) => stations.get(typeOf.get(tankerId) ?? '') ?? ((id: string) => id)
  }
}

/** A row of a thing of the plan: every column whose name leads somewhere in it, then what is said beside. */
function rowOf(columns: readonly Column[], id: string, thing: object, opensAtMs: number, beside: Cells): Row {
  const cells: Record<string, string> = {}
  for (const column of columns) {
    const said = beside[column.name]
    const value = said === undefined ? at(thing, column.name) : undefined
    const closesAtMs = column.until === undefined ? undefined : (at(thing, column.until) as number | undefined)
    const text = said ?? (value === undefined ? '' : cellText(value, column, { opensAtMs, closesAtMs }))
    if (text !== '') cells[column.name] = text
  }
  return { id, cells }
}

/** The base or track that lies at a position, where its name means nothing else. */
export function placeNamer(plan: Plan): (position: Position) => string | undefined {
  const places = [
    ...plan.bases.map((base) => ({ name: base.name, position: base.position })),
    ...plan.tracks.map((track) => ({ name: track.name, position: track.controlPoint }))
  ]
  const key = (position: Position): string => `${numberText(position.latitudeDeg)} ${numberText(position.longitudeDeg)}`
  const counts = new Map<string, number>()
  for (const { name } of places) counts.set(nameKey(name), (counts.get(nameKey(name)) ?? 0) + 1)
  const names = new Map<string, string>()
  for (const { name, position } of places) {
    const isClear =
      counts.get(nameKey(name)) === 1 && !looksLikeTurn(name) && 'wrong' in readPosition(name) && !looksLikeTurn(name)
    if (isClear && !names.has(key(position))) names.set(key(position), name)
  }
  return (position) => names.get(key(position))
}
