/** A fault of the document led back to the cell it comes from, in the words and units of the tables. */
import type { Plan } from '../contracts/plan.ts'
import type { Fault } from '../contracts/problem.ts'
import { BOUNDS } from '../contracts/bounds.ts'
import { DENSITY_UNITS, type DensityUnit } from '../contracts/kinds.ts'
import { densityKgPerM3, type Reported } from '../units.ts'
import { readCell, sightIn } from './cell.ts'
import { columnOf, COLUMNS, TABLE_HEADINGS } from './columns.ts'
import type { Made, Origin } from './document.ts'
import { figureText, type Sight } from './figure.ts'
import { inUnits } from './in-units.ts'
import { fullText, instantText } from './instant.ts'
import { quotedName } from './refer.ts'
import { rowText } from './rows.ts'
import type { CellFault, Column, Row, TableName } from './table.ts'

interface Known {
  readonly made: Made
  readonly sight: Sight
  /** What things are called, by their ids. */
  readonly names: ReadonlyMap<string, string>
}

/** The column a fault of a whole row belongs to. */
const OF_THE_ROW: Readonly<Partial<Record<TableName, string>>> = { route: 'pushGroupId' }
/** The column of a field that has none of its own name. */
const OTHER_FIELDS: Readonly<Record<string, string>> = {
  'receiverTypes dump.groupIds': 'dump.rate',
  'receiverTypes gaugeBand': 'gaugeBand.low',
  'receiverTypes weighing': 'weighing.zeroFuel',
  'tankGroups role': 'role.kind',
  'route span': 'span.durationMin',
  'order stationId': 'station',
  'order tankerId': 'tanker'
}

/** The cell of a part of the document. */
export function cellAt(made: Made, pointer: string): { origin: Origin; column: string | undefined } | undefined {
  const rest: string[] = []
  for (let path = pointer; ; path = path.slice(0, path.lastIndexOf('/'))) {
    const origin = made.origins.get(path)
    if (origin) return { origin, column: origin.column ?? columnFor(origin.read.table, rest) }
    if (path === '') return undefined
    rest.unshift(path.slice(path.lastIndexOf('/') + 1))
  }
}

function columnFor(table: TableName, path: readonly string[]): string | undefined {
  if (path.length === 0) return OF_THE_ROW[table]
  for (let length = path.length; length > 0; length--) {
    const name = path.slice(0, length).join('.')
    const other = OTHER_FIELDS[`${table} ${name}`]
    if (other !== undefined) return other
    if (COLUMNS[table].some((column) => column.name === name)) return name
  }
  return undefined
}

/** The fault of a cell that a fault of the document is. */
export function cellFaultOf(fault: Fault, known: Known): CellFault {
  const found = cellAt(known.made, fault.path)
  const whole = /^\/([a-zA-Z]+)$/.exec(fault.path)?.[1]
  if (found === undefined || (found.column === undefined && found.origin.read.table === 'event')) {
    const said = { limit: inWords(fault.limit, known), message: inWords(fault.message, known) }
    // A fault of a whole list is one of its table.
    const table = whole !== undefined && Object.hasOwn(COLUMNS, whole) ? (whole as TableName) : 'event'
    const nowhere = { rowId: undefined, rowNumber: 0, column: undefined, value: fault.value }
    return { table, ...nowhere, ...said, mend: mendOf(said.limit, false), lacking: false }
  }
  const { table, row, rowNumber } = found.origin.read
  const { column } = found
  const text = column === undefined ? fault.value : (row.cells[column] ?? '').trim()
  const typed = typedIn(text, column === undefined ? undefined : columnOf(table, column), row, known)
  const isDated = typed.atMs !== undefined && needsDates(fault, typed.atMs)
  const said = inWords(fault.limit, known, { unit: typed.unit, isDated })
  const limit = column === undefined ? said : ofList(said, columnOf(table, column))
  const message = inWords(fault.message, known, { unit: typed.unit })
  const dated = isDated && typed.atMs !== undefined ? `${message}: ${fullText(typed.atMs)}` : message
  const isLacking = fault.value === 'nothing' && text === ''
  const mend = clearanceMend(fault, known) ?? `${mendOf(limit, isLacking)}${otherDensity(text, column)}`
  return { table, rowId: row.id, rowNumber, column, value: text, limit, message: dated, mend, lacking: isLacking }
}

/** The unit of fuel, of a flow or of a density that a cell says, or its instant. */
function typedIn(
  text: string,
  column: Column | undefined,
  { cells }: Row,
  { sight }: Known
): { unit?: string; atMs?: number } {
  const isFigure = column !== undefined && FIGURES.has(column.kind)
  if (column === undefined || text === '' || !(isFigure || column.kind === 'instant')) return {}
  const read = readCell(text, column, sightIn(cells, column, sight))
  if ('wrong' in read) return {}
  return isFigure ? { unit: (read.value as Reported<string>).unit } : { atMs: read.value as number }
}
const FIGURES: ReadonlySet<string> = new Set(['quantity', 'mass', 'flow', 'density'])

const dayOf = (atMs: number): string => new Date(atMs).toISOString().slice(0, 10)

/** True where times of day alone would say the opposite: one of the two is on another day. */
const needsDates = ({ limit, message }: Fault, atMs: number): boolean =>
  message === 'it closes before it opens' ||
  [...limit.matchAll(INSTANT)].some(([, ms]) => dayOf(Number(ms)) !== dayOf(atMs))

/** The line that the clearances lack, as it is written there; undefined where something else is wrong. */
function clearanceMend({ message, path }: Fault, { made, names }: Known): string | undefined {
  const [, receiverId = '', tankerTypeId = ''] = /no clearance for (\S+) on ([^\s;]+)/.exec(message) ?? []
  if (receiverId === '') return undefined
  const { receiverTypes, tankerTypes, orders } = made.document as unknown as Plan
  const method = receiverTypes.find(({ id }) => id === receiverId)?.method
  const [, order, sequence] = /^\/orders\/(\d+)\/sequences\/(\d+)/.exec(path) ?? []
  const stationId = orders[Number(order)]?.sequences[Number(sequence)]?.stationId
  const stations = tankerTypes.find(({ id }) => id === tankerTypeId)?.stations ?? []
  const station = stations.find((one) => (stationId === undefined ? one.method === method : one.id === stationId))
  const line = [names.get(receiverId) ?? receiverId, names.get(tankerTypeId) ?? tankerTypeId, station?.name ?? '']
  return `Add a line to the ${TABLE_HEADINGS.clearances} table: ${line.map(quotedName).join(', ')}.`
}

/** The things of a list by what they are. */
const ofList = (limit: string, { kind }: Column): string =>
  kind === 'positions' ? limit.replace(/ of them$/, ' positions, with semicolons between them') : limit

/** What would be right, as a sentence. */
function mendOf(limit: string, isLacking: boolean): string {
  if (limit === 'nothing') return 'Leave this blank.'
  return isLacking ? `Fill in ${limit}.` : `Make it ${limit}.`
}

/** Where the number of a density that does not fit is one of another unit: pounds by the gallon typed as kilograms by the litre. */
function otherDensity(text: string, column: string | undefined): string {
  const value = column === 'fuelDensity' ? Number.parseFloat(text) : Number.NaN
  const { min, max } = BOUNDS.densityKgPerM3
  const fits = (unit: DensityUnit): boolean => {
    const kgPerM3 = densityKgPerM3({ value, unit })
    return kgPerM3 >= min && kgPerM3 <= max
  }
  const unit = DENSITY_UNITS.find(fits)
  const isIt = unit === undefined || text === figureText({ value, unit })
  return isIt ? '' : ` Or write ${figureText({ value, unit })}.`
}

const POINTER = /\/[a-zA-Z]+(?:\/[a-zA-Z0-9]+)+/g
const INSTANT = /(?:\b[a-zA-Z]+AtMs )?\b(\d{12,13})(?: ms)?\b/g
const ID = /(?<=\b(?:for|on|type|phase|tanker|base|track|no clearance for) )[a-z0-9][a-z0-9.-]*/g

/** Pointers become rows, ids names, instants times, and masses the unit that was typed or else that of the event. */
function inWords(
  text: string,
  known: Known,
  { unit, isDated = false }: { unit?: string | undefined; isDated?: boolean } = {}
) {
  const { made, sight, names } = known
  const atLeast = /at least|not below|not before|^after/.test(text)
  const density = made.document['fuelDensity'] as Plan['fuelDensity'] | undefined
  const fuelKgPerM3 = density && densityKgPerM3(density)
  return inUnits(text, { unit, massUnit: sight.massUnit, fuelKgPerM3 })
    .replace(POINTER, (pointer) => {
      const found = cellAt(made, pointer)
      return found ? rowText(found.origin.read.table, found.origin.read.rowNumber) : pointer
    })
    .replace(INSTANT, (_, ms: string) => {
      const atMs = wholeSecond(Number(ms), atLeast)
      return isDated ? fullText(atMs) : instantText(atMs, sight.opensAtMs)
    })
    .replace(ID, (id) => names.get(id) ?? id)
    .replace(/\brefuellingHigh\b/g, 'the fastest')
}

const wholeSecond = (ms: number, isLeast: boolean): number => (isLeast ? Math.ceil : Math.floor)(ms / 1000) * 1000
