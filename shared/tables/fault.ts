/** A fault of the document led back to the cell it comes from, in the words and units of the tables. */
import { VOLUME_UNITS, type MassUnit, type VolumeUnit } from '../contracts/kinds.ts'
import type { Plan } from '../contracts/plan.ts'
import type { Fault } from '../contracts/problem.ts'
import { densityKgPerM3, M_PER_NMI, quantityIn, type Reported } from '../units.ts'
import { readCell, sightIn } from './cell.ts'
import { columnOf, COLUMNS, TABLE_HEADINGS } from './columns.ts'
import type { Made, Origin } from './document.ts'
import { unitText, type Sight } from './figure.ts'
import { fullText, instantText } from './instant.ts'
import { quotedName } from './refer.ts'
import { rowText } from './rows.ts'
import type { CellFault, Column, Row, TableName } from './table.ts'

type FuelUnit = MassUnit | VolumeUnit

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
  const limit = inWords(fault.limit, known, { unit: typed.unit, isDated })
  const message = inWords(fault.message, known, { unit: typed.unit })
  const dated = isDated && typed.atMs !== undefined ? `${message}: ${fullText(typed.atMs)}` : message
  const isLacking = fault.value === 'nothing' && text === ''
  const mend = clearanceMend(fault, known) ?? mendOf(limit, isLacking)
  return { table, rowId: row.id, rowNumber, column, value: text, limit, message: dated, mend, lacking: isLacking }
}

/** The unit of fuel that a cell says, or its instant. */
function typedIn(
  text: string,
  column: Column | undefined,
  { cells }: Row,
  { sight }: Known
): { unit?: FuelUnit; atMs?: number } {
  const isFuel = column?.kind === 'quantity' || column?.kind === 'mass'
  if (column === undefined || text === '' || !(isFuel || column.kind === 'instant')) return {}
  const read = readCell(text, column, sightIn(cells, column, sight))
  if ('wrong' in read) return {}
  return isFuel ? { unit: (read.value as Reported<FuelUnit>).unit } : { atMs: read.value as number }
}

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

/** What would be right, as a sentence. */
function mendOf(limit: string, isLacking: boolean): string {
  if (limit === 'nothing') return 'Leave this blank.'
  return isLacking ? `Fill in ${limit}.` : `Make it ${limit}.`
}

const POINTER = /\/[a-zA-Z]+(?:\/[a-zA-Z0-9]+)+/g
const INSTANT = /(?:\b[a-zA-Z]+AtMs )?\b(\d{12,13})(?: ms)?\b/g
const MASS = /(\d+(?:\.\d+)?) kg\b(?!\/)/g
const SPEEDS = /(\d+) to (\d+) m\/s/g
const ID = /(?<=\b(?:for|on|type|phase|tanker|base|track|no clearance for) )[a-z0-9][a-z0-9.-]*/g

/** Pointers become rows, ids names, instants times, and masses the unit that was typed or else that of the event. */
function inWords(
  text: string,
  known: Known,
  { unit, isDated = false }: { unit?: FuelUnit | undefined; isDated?: boolean } = {}
) {
  const { made, sight, names } = known
  const atLeast = /at least|not below|not before|^after/.test(text)
  return text
    .replace(POINTER, (pointer) => {
      const found = cellAt(made, pointer)
      return found ? rowText(found.origin.read.table, found.origin.read.rowNumber) : pointer
    })
    .replace(INSTANT, (_, ms: string) => {
      const atMs = wholeSecond(Number(ms), atLeast)
      return isDated ? fullText(atMs) : instantText(atMs, sight.opensAtMs)
    })
    .replace(MASS, (_, kg: string) => fuelText(Number(kg), unit ?? sight.massUnit ?? 'kg', made, atLeast))
    .replace(SPEEDS, (_, low: string, high: string) => `${knots(low)} to ${knots(high)} kt`)
    .replace(ID, (id) => names.get(id) ?? id)
    .replace(/\brefuellingHigh\b/g, 'the fastest')
}

const wholeSecond = (ms: number, isLeast: boolean): number => (isLeast ? Math.ceil : Math.floor)(ms / 1000) * 1000

/** The checks write kilograms to a tenth: what comes this near to a whole lb or kg is one. */
const TENTH_KG = 0.054

/** A limit in a unit of fuel, rounded so that what is written keeps to it. */
function fuelText(kg: number, unit: FuelUnit, { document }: Made, isLeast: boolean): string {
  const density = document['fuelDensity'] as Plan['fuelDensity'] | undefined
  const isVolume = VOLUME_UNITS.some((one) => one === unit)
  if (isVolume && density === undefined) return `${String(kg)} kg`
  const inUnit = (mass: number): number => quantityIn(unit, mass, density ? densityKgPerM3(density) : 1)
  const nearest = Math.round(inUnit(kg))
  const isWhole = !isVolume && Math.abs(inUnit(kg) - nearest) < inUnit(TENTH_KG)
  const safe = isVolume ? inUnit(kg + (isLeast ? TENTH_KG : -TENTH_KG)) : inUnit(kg)
  return `${grouped(String(isWhole ? nearest : isLeast ? Math.ceil(safe) : Math.floor(safe)))} ${unitText(unit)}`
}
const grouped = (digits: string): string => digits.replace(/\B(?=(\d{3})+(?!\d))/g, ',')
const knots = (mPerS: string): string => String(Math.round((Number(mPerS) * 3600) / M_PER_NMI))
