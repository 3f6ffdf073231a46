/**
 * What of a draft can be judged while other parts of it are faulty or not there yet: rows without a fault, that lean on
 * such rows alone, and whose things are whole.
 */
import { TABLE_HEADINGS } from './columns.ts'
import { faultAt, parentOf, rowKey, type ReadRow, type ReadTables } from './rows.ts'
import { canJudge, withStandIns } from './stand-in.ts'
import { TABLE_NAMES, type CellFault, type TableName } from './table.ts'

/** What a thing has at least one of. */
const PARTS: readonly (readonly [whole: TableName, part: TableName])[] = [
  ['receiverTypes', 'tankGroups'],
  ['tankerTypes', 'stations'],
  ['flights', 'ships'],
  ['flights', 'route']
]

/** Tables a plan is nothing without. */
const NEEDED: readonly TableName[] = [
  'receiverTypes',
  'tankerTypes',
  'bases',
  'tracks',
  'tankers',
  'pushGroups',
  'flights'
]

/** Things that mean something else with one of their parts left out; a flight is as sound with fewer ships. */
const WHOLE: ReadonlySet<TableName> = new Set(['tankGroups', 'stations', 'route'])

/** The sound rows of each table, without those that are known to be faulty and all that leans on them. */
export function soundRows(tables: ReadTables, faulty: ReadonlySet<string> = new Set()): ReadTables {
  const sound = new Map<string, ReadRow>()
  for (const table of TABLE_NAMES)
    for (const read of tables[table]) {
      const key = rowKey(table, read.row.id)
      const isSound = read.faults.length === 0 || (table === 'event' && canJudge(read))
      if (isSound && !faulty.has(key)) sound.set(key, read)
    }
  for (let before = -1; before !== sound.size;) {
    before = sound.size
    for (const [key, read] of sound) if (![...read.leansOn].every((one) => sound.has(one))) sound.delete(key)
    for (const [whole, part] of PARTS) dropUnwhole(sound, tables, whole, part)
  }
  const kept = {} as Record<TableName, readonly ReadRow[]>
  for (const table of TABLE_NAMES)
    kept[table] = tables[table].flatMap((read) => sound.get(rowKey(table, read.row.id)) ?? []).map(withStandIns)
  return kept
}

function dropUnwhole(sound: Map<string, ReadRow>, tables: ReadTables, whole: TableName, part: TableName): void {
  const [has, lacks] = [new Set<string | undefined>(), new Set<string | undefined>()]
  for (const read of tables[part]) (sound.has(rowKey(part, read.row.id)) ? has : lacks).add(parentOf(read))
  for (const { row } of tables[whole])
    if (!has.has(row.id) || (WHOLE.has(part) && lacks.has(row.id))) sound.delete(rowKey(whole, row.id))
}

/** What is not there yet: tables without a row, things without a part. */
export function lackingParts(tables: ReadTables): CellFault[] {
  const empty = NEEDED.filter((table) => tables[table].length === 0).map((table) =>
    faultAt(
      { table, rowId: undefined, rowNumber: 0, column: undefined, value: '' },
      notYet(
        `the plan has no ${TABLE_HEADINGS[table].toLowerCase()} yet`,
        `Fill in the ${TABLE_HEADINGS[table].toLowerCase()}.`
      )
    )
  )
  const parts = PARTS.flatMap(([whole, part]) => {
    const owners = new Set(tables[part].map(parentOf))
    const rows = tables[whole].filter((read) => !owners.has(read.row.id))
    const what = TABLE_HEADINGS[part].toLowerCase()
    return rows.map(({ table, row, rowNumber }) =>
      faultAt(
        { table, rowId: row.id, rowNumber, column: undefined, value: '' },
        notYet(`it has no row among the ${what} yet`, `Add it to the ${what}.`)
      )
    )
  })
  return [...empty, ...parts]
}

const notYet = (message: string, mend: string) => ({ limit: 'at least 1 row', message, mend, lacking: true as const })
