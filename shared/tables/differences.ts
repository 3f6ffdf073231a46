/** What changed from one draft to another, as data: rows that came, went, changed or are flown in another turn. */
import { readCell, sightIn, sightOf } from './cell.ts'
import { changedColumns } from './compare.ts'
import { fullText } from './instant.ts'
import { movedBy, openingMovedByMs } from './moved.ts'
import { indexOf, labelOf } from './refer.ts'
import { TABLE_NAMES, type Column, type Difference, type Draft, type Row, type TableName } from './table.ts'

/** All differences, in the order of the tables and of their rows; those that are gone come last in their table. */
export function differences(before: Draft, after: Draft): Difference[] {
  if (before === after) return []
  const moved = otherDays(before, after)
  return TABLE_NAMES.flatMap((table) => [
    ...rowDifferences(table, before, after),
    ...moved.filter((one) => one.table === table),
    ...moves(table, before, after)
  ])
}

/** Times that another opening has put on another day of the event; those that move along with it stay where they were. */
function otherDays(before: Draft, after: Draft): Difference[] {
  const alongMs = openingMovedByMs(before, after)
  return movedBy(before, after)
    .filter(({ fromMs, toMs }) => toMs - fromMs !== alongMs)
    .map(({ table, rowId, column, fromMs, toMs }) => ({
      table,
      rowId,
      label: labelOf(after, table, rowId),
      kind: 'changed',
      column,
      from: fullText(fromMs),
      to: fullText(toMs)
    }))
}

function rowDifferences(table: TableName, before: Draft, after: Draft): Difference[] {
  const [was, is] = [indexOf(before)[table].byId, indexOf(after)[table].byId]
  const kept = after.tables[table].flatMap((row): Difference[] => {
    const old = was.get(row.id)
    const its = () => ({ table, rowId: row.id, label: labelOf(after, table, row.id) })
    if (!old) return [{ ...its(), kind: 'added' }]
    const changed = changedColumns(table, { draft: before, row: old }, { draft: after, row })
    return changed.filter(isOther(before, old, after, row)).map(({ name }) => ({
      ...its(),
      kind: 'changed',
      column: name,
      from: old.cells[name] ?? '',
      to: row.cells[name] ?? ''
    }))
  })
  const gone = before.tables[table]
    .filter(({ id }) => !is.has(id))
    .map(({ id }): Difference => ({ table, rowId: id, label: labelOf(before, table, id), kind: 'removed' }))
  return [...kept, ...gone]
}

/** False of a time that is spelled otherwise and is the same instant. */
const isOther =
  (before: Draft, old: Row, after: Draft, row: Row) =>
  (column: Column): boolean => {
    if (column.kind !== 'instant' && column.kind !== 'opening') return true
    const [from, to] = [old.cells[column.name] ?? '', row.cells[column.name] ?? '']
    if (from === '' || to === '') return true
    const was = readCell(from, column, sightIn(old.cells, column, sightOf(before)))
    const is = readCell(to, column, sightIn(row.cells, column, sightOf(after)))
    return 'wrong' in was || 'wrong' in is || was.value !== is.value
  }

/** Phases that are flown in another turn: the fewest that must have moved. Other tables say their turns in cells. */
function moves(table: TableName, before: Draft, after: Draft): Difference[] {
  if (table !== 'route') return []
  const was = stepsOf(before.tables.route)
  return [...stepsOf(after.tables.route)].flatMap(([flight, rows]) => {
    const old = (was.get(flight) ?? []).map((row) => row.id)
    const common = rows.map((row) => row.id).filter((id) => old.includes(id))
    const stayed = longestRise(common.map((id) => old.indexOf(id)))
    return common.flatMap((rowId, at): Difference[] => {
      if (stayed.has(at)) return []
      const [from, to] = [old.indexOf(rowId) + 1, rows.findIndex((row) => row.id === rowId) + 1]
      return [{ table, rowId, label: labelOf(after, table, rowId), kind: 'moved', from: String(from), to: String(to) }]
    })
  })
}

function stepsOf(rows: readonly Row[]): Map<string, Row[]> {
  const steps = new Map<string, Row[]>()
  for (const row of rows) {
    const flight = row.cells['flight'] ?? ''
    const its = steps.get(flight)
    if (its) its.push(row)
    else steps.set(flight, [row])
  }
  return steps
}

/** Places of a longest rising run of numbers; a route is short, so the plain way is quick. */
function longestRise(numbers: readonly number[]): ReadonlySet<number> {
  const runs: number[][] = []
  numbers.forEach((number, at) => {
    const before = runs
      .filter((run) => (numbers[run.at(-1) ?? 0] ?? 0) < number)
      .reduce<number[]>((best, run) => (run.length > best.length ? run : best), [])
    runs.push([...before, at])
  })
  return new Set(runs.reduce<number[]>((best, run) => (run.length > best.length ? run : best), []))
}
