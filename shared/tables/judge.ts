/**
 * From a draft to the checked plan, or to every faulty cell. The contract's schemas and the rules that span fields judge
 * it, the same that judge a plan that is sent; their faults are led back to the cells they come from.
 */
import { SIZES } from '../contracts/bounds.ts'
import { faultsOf as schemaFaultsOf } from '../contracts/faults.ts'
import { plan as planSchema, type Plan } from '../contracts/plan.ts'
import type { Fault } from '../contracts/problem.ts'
import { looseRuleFaults, planFaults, stationMisfits } from '../plan/check.ts'
import { again } from '../plan/again.ts'
import { readPlan } from '../plan/read.ts'
import { sightOf } from './cell.ts'
import { documentOf, type Made } from './document.ts'
import { cellAt, cellFaultOf } from './fault.ts'
import { nearlyDry } from './plausible.ts'
import { faultAt, parentOf, readRows, rowKey, type ReadRow, type ReadTables } from './rows.ts'
import { lackingParts, soundRows } from './sound.ts'
import { looseRows, withStandIns } from './stand-in.ts'
import { TABLE_NAMES, type CellFault, type Draft } from './table.ts'
import { indexOf, LABELLED, nameOf } from './refer.ts'
import { wrong } from './wrong.ts'

export type Planned = { readonly plan: Plan } | { readonly faults: readonly CellFault[] }

/** What was judged last: of a draft that is judged after each step, most is what it was. */
export interface Memory {
  document?: Made['document']
}

/** The plan a draft is, whole and checked, or what is wrong with which cell. */
export function planOf(draft: Draft, memory: Memory = {}): Planned {
  const tables = readRows(draft)
  const before = [...cellFaults(tables), ...turnFaults(tables), ...nearlyDry(tables), ...lackingParts(tables)]
  if (before.length > 0) return { faults: [...before, ...partFaults(draft, tables, memory)] }
  const made = madeOf(tables, memory)
  const read = readPlan(made.document, made.document)
  if ('plan' in read) return read
  const faults = partFaults(draft, tables, memory)
  return { faults: faults.length > 0 ? faults : cellsOf(draft, made, read.faults) }
}

/** The document of rows, with the very parts of the one before. */
function madeOf(tables: ReadTables, memory: Memory): Made {
  const { document, origins } = documentOf(tables)
  memory.document = again(memory.document, document)
  return { document: memory.document, origins }
}

/** What is wrong with a draft, or not there yet; none where it is a plan. */
export function faultsOf(draft: Draft, memory: Memory = {}): readonly CellFault[] {
  const planned = planOf(draft, memory)
  return 'faults' in planned ? planned.faults : []
}

interface Known {
  readonly faults: readonly CellFault[]
  readonly memory: Memory
}

/** A draft never changes, and pastes are read for the same one again and again: while columns are chosen, and in turn. */
const known = new WeakMap<Draft, Known>()

/** The same, worked out once a draft, with the memory for drafts that are made of it. */
export function knownFaultsOf(draft: Draft): Known {
  const had = known.get(draft)
  if (had) return had
  const memory: Memory = {}
  const its = { faults: faultsOf(draft, memory), memory }
  known.set(draft, its)
  return its
}

const cellFaults = (tables: ReadTables): CellFault[] =>
  TABLE_NAMES.flatMap((table) => tables[table].flatMap((read) => read.faults))

/** Turns that two share, at a station, among the ships that fall out, or in a dump: each of the two is told. */
function turnFaults(tables: ReadTables): CellFault[] {
  return [
    ...sharedTurns(tables.order, 'turn', ['tanker', 'station']),
    ...sharedTurns(tables.ships, 'fallOutTurn', []),
    ...sharedTurns(tables.tankGroups, 'dumpTurn', ['receiverType'])
  ]
}

function sharedTurns(rows: readonly ReadRow[], column: string, among: readonly string[]): CellFault[] {
  const taken = new Map<string, ReadRow[]>()
  for (const read of rows.filter(({ values }) => [...among, column].every((one) => values.has(one)))) {
    const key = [...among, column].map((one) => String(read.values.get(one))).join('/')
    if (taken.get(key)?.push(read) === undefined) taken.set(key, [read])
  }
  const shared = [...taken.values()].filter((its) => its.length > 1).flat()
  return shared.map(({ table, row, rowNumber }) => {
    const value = row.cells[column] ?? ''
    const mend = 'Give each a turn of its own, or leave it blank.'
    const why = wrong('a turn taken once', `two have turn ${value}`, mend).wrong
    return faultAt({ table, rowId: row.id, rowNumber, column, value }, why)
  })
}

/** Each round leaves out what the rounds before have found faulty. */
const MOST_ROUNDS = 6

/** What can be said of the sound rows while the rest is not a plan. */
function partFaults(draft: Draft, tables: ReadTables, memory: Memory): CellFault[] {
  const told = new Map<string, CellFault>()
  const faulty = new Set<string>()
  const tell = (faults: readonly CellFault[]): boolean => {
    const found = faults.filter((fault) => !told.has(keyOf(fault)))
    for (const fault of found) {
      told.set(keyOf(fault), fault)
      if (fault.rowId !== undefined) faulty.add(rowKey(fault.table, fault.rowId))
    }
    return found.length > 0
  }
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const sound = soundRows(tables, faulty)
    if (sound.event.length === 0 || !tell(judgedRows(draft, { tables, sound, memory }))) break
  }
  if (soundRows(tables, faulty).event.length > 0) {
    tell(looseFaults(draft, tables, memory))
    tell(misfits(draft, { tables, faulty, memory }))
  }
  return [...told.values()]
}

const keyOf = ({ table, rowId, column, message }: CellFault): string => [table, rowId, column, message].join('\n')

/** What the schemas say of rows that are sound; where they say nothing, what the rules say. */
function judgedRows(
  draft: Draft,
  { tables, sound, memory }: { tables: ReadTables; sound: ReadTables; memory: Memory }
): CellFault[] {
  const made = madeOf(sound, memory)
  const known = schemaFaults(made)
  const faults = known.length > 0 ? known : rulesBroken(made, planFaults)
  return cellsOf(draft, made, faults.filter(isKnown(made, tables)))
}

function schemaFaults(made: Made): readonly Fault[] {
  const parsed = planSchema.safeParse(made.document)
  return parsed.success
    ? []
    : schemaFaultsOf(parsed.error, made.document).faults.filter((fault) => !isEmptyTable(fault))
}

/** What rows are told by themselves and by the types and tankers they name, though what these lean on is faulty. */
function looseFaults(draft: Draft, tables: ReadTables, memory: Memory): CellFault[] {
  const whole = madeOf(looseRows(tables, new Set()), memory)
  const bySchema = schemaFaults(whole).filter(({ path }) => readAt(whole, path)?.faults.length === 0)
  const unfit = new Set(bySchema.flatMap(({ path }) => readAt(whole, path) ?? []))
  const made = madeOf(looseRows(tables, unfit), memory)
  const byRule = made.origins.has('') ? rulesBroken(made, looseRuleFaults) : []
  const isSound = (fault: Fault): boolean => readAt(made, fault.path)?.faults.length === 0
  return [
    ...cellsOf(draft, whole, bySchema),
    ...cellsOf(draft, made, byRule.filter(isSound).filter(isKnown(made, tables)))
  ]
}

const readAt = (made: Made, path: string): ReadRow | undefined => cellAt(made, path)?.origin.read

const unfaulty = (read: ReadRow): ReadRow => ({ ...withStandIns(read), faults: [], leansOn: new Set() })

/** Who may use which station: that holds wherever the bases and tracks lie. */
function misfits(
  draft: Draft,
  { tables, faulty, memory }: { tables: ReadTables; faulty: ReadonlySet<string>; memory: Memory }
): CellFault[] {
  const somewhere = tables.bases[0]?.row.id
  const anywhere = (read: ReadRow): ReadRow => {
    const its = unfaulty(read)
    return { ...its, values: new Map([['abortBaseId', somewhere], ...its.values]) }
  }
  const placed = { ...tables, bases: tables.bases.map(unfaulty), tracks: tables.tracks.map(anywhere) }
  const made = madeOf(soundRows(placed, faulty), memory)
  // Where nobody has written a clearance yet, none is missing.
  const isToCome = ({ message }: Fault): boolean => tables.clearances.length === 0 && message.includes('no clearance')
  const faults = rulesBroken(made, stationMisfits).filter((fault) => !isToCome(fault))
  return cellsOf(draft, made, faults.filter(isKnown(made, tables)))
}

/** False of a fault that may come of rows that were left out: ships that are not counted, clearances not read. */
function isKnown(made: Made, tables: ReadTables): (fault: Fault) => boolean {
  const unread = tables.clearances.filter(({ faults }) => faults.length > 0)
  const types = new Set(unread.map(({ values }) => values.get('receiverTypeId')))
  return ({ path, value, message }) => {
    const [, type] = /no clearance for (\S+) on /.exec(message) ?? []
    if (type !== undefined && (types.has(undefined) || types.has(type))) return false
    if (!path.endsWith('/leastShipCount')) return true
    const flightId = readAt(made, path)?.row.id
    return tables.ships.filter((read) => parentOf(read) === flightId).length < Number(value)
  }
}

/** A list without sound rows is no fault of its own here: what is not there yet is told elsewhere. */
const isEmptyTable = ({ path, value }: { path: string; value: string }): boolean =>
  /^\/[a-zA-Z]+$|\/(?:groups|stations|ships|route)$/.test(path) && value === 'a list of 0'

/** The rules are written for whole plans: where a part is too little for one, nothing is said. */
function rulesBroken({ document }: Made, rules: (plan: Plan) => Fault[]): readonly Fault[] {
  try {
    return rules(document as unknown as Plan).slice(0, SIZES.errors)
  } catch (thrown) {
    if (thrown instanceof RangeError) return []
    throw thrown
  }
}

function cellsOf(draft: Draft, made: Made, faults: Parameters<typeof cellFaultOf>[0][]): CellFault[] {
  const sight = sightOf(draft)
  const index = indexOf(draft)
  const names = new Map<string, string>()
  for (const table of LABELLED)
    for (const row of draft.tables[table]) names.set(row.id, nameOf(index, table, row.id) ?? row.id)
  return faults.map((fault) => cellFaultOf(fault, { made, sight, names }))
}
