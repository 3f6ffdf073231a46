import type { CellFault, TableName } from '../../shared/tables/table.ts'

/** Faults of a table by row and column; one of a whole row by the empty name of a column. */
export type TableFaults = ReadonlyMap<string, ReadonlyMap<string, CellFault>>

/** The faults of one table by cell. A row whose faults are what they were keeps its very map, and is not drawn anew. */
export function faultsByCell(faults: readonly CellFault[], table: TableName, before: TableFaults): TableFaults {
  const byRow = new Map<string, Map<string, CellFault>>()
  for (const fault of faults) {
    if (fault.table !== table || fault.rowId === undefined) continue
    const row = byRow.get(fault.rowId) ?? new Map<string, CellFault>()
    // The first one said of a cell is the one to mend first.
    if (!row.has(fault.column ?? '')) row.set(fault.column ?? '', fault)
    byRow.set(fault.rowId, row)
  }
  return new Map(
    [...byRow].map(([rowId, now]) => {
      const then = before.get(rowId)
      return [rowId, then !== undefined && isSame(then, now) ? then : now]
    })
  )
}

function isSame(a: ReadonlyMap<string, CellFault>, b: ReadonlyMap<string, CellFault>): boolean {
  if (a.size !== b.size) return false
  return [...a].every(([name, fault]) => {
    const other = b.get(name)
    return other?.message === fault.message && other.lacking === fault.lacking && other.value === fault.value
  })
}

/** How a draft stands that cannot be judged: how many cells are faulty, and the way to the first of them. */
export interface DraftFaults extends FaultCount {
  /** The first, as it is called: `Bases, Adze Field, Closes`. */
  first: string
  go: () => void
}

/** How many cells are faulty, and whether any of them is wrong: not only missing. */
export interface FaultCount {
  count: number
  isWrong: boolean
}

export function faultCount(faults: readonly CellFault[]): FaultCount {
  return { count: faults.length, isWrong: faults.some(({ lacking }) => !lacking) }
}

export function faultCounts(faults: readonly CellFault[]): ReadonlyMap<TableName, FaultCount> {
  const counts = new Map<TableName, FaultCount>()
  for (const { table, lacking } of faults) {
    const { count, isWrong } = counts.get(table) ?? { count: 0, isWrong: false }
    counts.set(table, { count: count + 1, isWrong: isWrong || !lacking })
  }
  return counts
}
