import type { DensityUnit, MassUnit } from '../../shared/contracts/kinds.ts'
import type { Fault } from '../../shared/contracts/problem.ts'
import { COLUMNS, TABLE_HEADINGS } from '../../shared/tables/columns.ts'
import { inUnits } from '../../shared/tables/in-units.ts'
import { fullText } from '../../shared/tables/instant.ts'
import type { TableName } from '../../shared/tables/table.ts'
import { densityKgPerM3, type Reported } from '../../shared/units.ts'

/** A fault of a file, and where it is in the words of the page: `Flights, Alder, Ships, Alder 1, Start fuel`. */
export interface ToldFault extends Fault {
  where: string
}

/** Lists of the document, and the table whose words their things have. */
const TABLES: Readonly<Record<string, TableName>> = {
  receiverTypes: 'receiverTypes',
  groups: 'tankGroups',
  tankerTypes: 'tankerTypes',
  stations: 'stations',
  clearances: 'clearances',
  bases: 'bases',
  tracks: 'tracks',
  tankers: 'tankers',
  windows: 'windows',
  pushGroups: 'pushGroups',
  flights: 'flights',
  ships: 'ships',
  route: 'route',
  orders: 'order'
}

/** The faults of a document with where they are, and their limits in the units that stand beside the figures. */
export const toldFaults = (faults: readonly Fault[], document: unknown): ToldFault[] =>
  faults.map((fault) => toldFault(fault, document))

function toldFault(fault: Fault, document: unknown): ToldFault {
  const keys = fault.path.split('/').slice(1)
  const density = partOf(document, 'fuelDensity') as Reported<DensityUnit> | undefined
  const isDensity = typeof density?.value === 'number' && typeof density.unit === 'string'
  const unit = keys.at(-1) === 'value' ? partOf(at(document, keys.slice(0, -1)), 'unit') : undefined
  const massUnit = partOf(document, 'massUnit') as MassUnit | undefined
  const inWords = (text: string): string =>
    inUnits(text, {
      unit: typeof unit === 'string' ? unit : undefined,
      massUnit: massUnit === 'kg' || massUnit === 'lb' ? massUnit : undefined,
      fuelKgPerM3: isDensity ? knownDensity(density) : undefined
    }).replace(INSTANT, (_, ms: string) => fullText(Number(ms)))
  return {
    ...fault,
    value: typeof unit === 'string' ? `${fault.value} ${unit.replace('USgal', 'US gal')}` : timed(fault.value, keys),
    limit: inWords(fault.limit),
    message: inWords(fault.message),
    where: placeOf(keys, document)
  }
}

const INSTANT = /(?:\b[a-zA-Z]+AtMs )?\b(\d{12,13})(?: ms)?\b/g
const timed = (value: string, keys: readonly string[]): string =>
  keys.at(-1)?.endsWith('AtMs') === true && /^\d{12,13}$/.test(value) ? fullText(Number(value)) : value

function knownDensity(density: Reported<DensityUnit>): number | undefined {
  const kgPerM3 = densityKgPerM3(density)
  return Number.isFinite(kgPerM3) && kgPerM3 > 0 ? kgPerM3 : undefined
}

function partOf(thing: unknown, key: string): unknown {
  return typeof thing === 'object' && thing !== null && Object.hasOwn(thing, key)
    ? (thing as Record<string, unknown>)[key]
    : undefined
}
const at = (document: unknown, keys: readonly string[]): unknown =>
  keys.reduce<unknown>((thing, key) => partOf(thing, key), document)

/** Lists by their table, things by their names or turns, fields by the heading of their column. */
function placeOf(keys: readonly string[], document: unknown): string {
  const words: string[] = []
  let table: TableName = 'event'
  for (let place = 0; place < keys.length; place++) {
    const [key = '', turn] = [keys[place], keys[place + 1]]
    if (turn !== undefined && /^\d+$/.test(turn)) {
      const next = Object.hasOwn(TABLES, key) ? TABLES[key] : undefined
      table = next ?? table
      const name = nameOf(at(document, keys.slice(0, place + 2)))
      words.push(next === undefined ? key : TABLE_HEADINGS[next], name ?? String(Number(turn) + 1))
      place += 1
    } else {
      const rest = keys.slice(place).filter((one) => one !== 'value')
      words.push(headingOf(table, rest) ?? rest.join(' '))
      break
    }
  }
  return words.filter((word) => word !== '').join(', ')
}

const nameOf = (thing: unknown): string | undefined =>
  ['callSign', 'name', 'kind'].map((key) => partOf(thing, key)).find((one) => typeof one === 'string')

/** The column whose name leads the furthest into a thing. */
function headingOf(table: TableName, path: readonly string[]): string | undefined {
  for (let length = path.length; length > 0; length--) {
    const name = path.slice(0, length).join('.')
    const column = COLUMNS[table].find((one) => one.name === name)
    if (column !== undefined) return column.heading
    if (Object.hasOwn(TABLES, name)) return TABLE_HEADINGS[TABLES[name] ?? table]
  }
  return undefined
}
