/**
 * From a draft to the checked plan, or to every faulty cell. The contract's schemas and the rules that span fields judge
 * it, the same that judge a plan that is sent; their faults are led back to the cells they come from.
 */
import { SIZES } from '../contracts/bounds.ts'
import { faultsOf as schemaFaultsOf } from '../contracts/faults.ts'
import { plan as planSchema, type Plan } from '../contracts/plan.ts'
import { planFaults } from '../plan/check.ts'
import { readPlan } from '../plan/read.ts'
import { sightOf } from './cell.ts'
import { documentOf, type Made } from './document.ts'
import { cellFaultOf } from './fault.ts'
import { faultAt, readRows, type ReadRow, type ReadTables } from './rows.ts'
import { lackingParts, soundRows } from './sound.ts'
import { TABLE_NAMES, type CellFault, type Draft } from './table.ts'
import { indexOf, LABELLED, nameOf } from './refer.ts'
import { wrong } from './wrong.ts'

export type Planned = { readonly plan: Plan } | { readonly faults: readonly CellFault[] }

/** The plan a draft is, whole and checked, or what is wrong with which cell. */
export function planOf(draft: Draft): Planned {
  const tables = readRows(draft)
  const before = [...cellFaults(tables), ...turnFaults(tables), ...lackingParts(tables)]
  if (before.length > 0) return { faults: [...before, ...partFaults(draft, tables)] }
  const made = documentOf(tables)
  const read = readPlan(made.document)
  return 'plan' in read ? read : { faults: cellsOf(draft, made, read.faults) }
}

/** What is wrong with a draft, or not there yet; none where it is a plan. */
export function faultsOf(draft: Draft): readonly CellFault[] {
  const planned = planOf(draft)
  return 'faults' in planned ? planned.faults : []
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
  for (const read of rows.filter(({ values }) => values.has(column))) {
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

/** What can be said of the sound rows while the rest is not a plan. */
function partFaults(draft: Draft, tables: ReadTables): CellFault[] {
  const sound = soundRows(tables)
  if (sound.event.length === 0) return []
  const made = documentOf(sound)
  const parsed = planSchema.safeParse(made.document)
  if (!parsed.success) {
    const faults = schemaFaultsOf(parsed.error, made.document).faults.filter((fault) => !isEmptyTable(fault))
    if (faults.length > 0) return cellsOf(draft, made, faults)
  }
  return cellsOf(draft, made, rulesBroken(made.document as unknown as Plan))
}

/** A table without sound rows is no fault of its own here. */
const isEmptyTable = ({ path, value }: { path: string; value: string }): boolean =>
  /^\/[a-zA-Z]+$/.test(path) && value === 'a list of 0'

/** The rules are written for whole plans: where a part is too little for one, nothing is said. */
function rulesBroken(plan: Plan) {
  try {
    return planFaults(plan).slice(0, SIZES.errors)
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
