/** A fault of the document led back to the cell it comes from, in the words and units of the tables. */
import type { Fault } from '../contracts/problem.ts'
import { massIn, M_PER_NMI } from '../units.ts'
import { COLUMNS } from './columns.ts'
import type { Made, Origin } from './document.ts'
import type { Sight } from './figure.ts'
import { instantText } from './instant.ts'
import { rowText } from './rows.ts'
import type { CellFault, TableName } from './table.ts'

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
  const said = { limit: inWords(fault.limit, known), message: inWords(fault.message, known) }
  const found = cellAt(known.made, fault.path)
  const whole = /^\/([a-zA-Z]+)$/.exec(fault.path)?.[1]
  if (found === undefined || (found.column === undefined && found.origin.read.table === 'event')) {
    // A fault of a whole list is one of its table.
    const table = whole !== undefined && Object.hasOwn(COLUMNS, whole) ? (whole as TableName) : 'event'
    const nowhere = { rowId: undefined, rowNumber: 0, column: undefined, value: fault.value }
    return { table, ...nowhere, ...said, mend: mendOf(said.limit, false), lacking: false }
  }
  const { table, row, rowNumber } = found.origin.read
  const { column } = found
  const text = column === undefined ? fault.value : (row.cells[column] ?? '').trim()
  const isLacking = fault.value === 'nothing' && text === ''
  const mend = mendOf(said.limit, isLacking)
  return { table, rowId: row.id, rowNumber, column, value: text, ...said, mend, lacking: isLacking }
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

/** Pointers become rows, ids names, instants times, and masses and speeds the units of the event. */
function inWords(text: string, { made, sight, names }: Known): string {
  const atLeast = /at least|not below|not before|^after/.test(text)
  return text
    .replace(POINTER, (pointer) => {
      const found = cellAt(made, pointer)
      return found ? rowText(found.origin.read.table, found.origin.read.rowNumber) : pointer
    })
    .replace(INSTANT, (_, ms: string) => instantText(wholeSecond(Number(ms), atLeast), sight.opensAtMs))
    .replace(MASS, (whole, kg: string) => (sight.massUnit === 'lb' ? pounds(Number(kg), atLeast) : whole))
    .replace(SPEEDS, (_, low: string, high: string) => `${knots(low)} to ${knots(high)} kt`)
    .replace(ID, (id) => names.get(id) ?? id)
    .replace(/\brefuellingHigh\b/g, 'the fastest')
}

const wholeSecond = (ms: number, isLeast: boolean): number => (isLeast ? Math.ceil : Math.floor)(ms / 1000) * 1000

/** The checks write kilograms to a tenth: what comes this near to a whole pound is one. */
const TENTH_LB = 0.12

/** A limit in pounds, rounded so that what is written keeps to it. */
function pounds(kg: number, isLeast: boolean): string {
  const lb = massIn('lb', kg)
  const whole = Math.abs(lb - Math.round(lb)) < TENTH_LB ? Math.round(lb) : isLeast ? Math.ceil(lb) : Math.floor(lb)
  return `${grouped(String(whole))} lb`
}
const grouped = (digits: string): string => digits.replace(/\B(?=(\d{3})+(?!\d))/g, ',')
const knots = (mPerS: string): string => String(Math.round((Number(mPerS) * 3600) / M_PER_NMI))
