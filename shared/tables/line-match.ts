/** Lines of a paste beside the rows they are: what each changes there. */
import { sightIn, sightOf, tidy } from './cell.ts'
import { COLUMNS, LABELS } from './columns.ts'
import type { Sight } from './figure.ts'
import type { ReadLine } from './lines.ts'
import type { Match } from './match.ts'
import { indexOf, KEYS, nameKey, namesIn, rowNamed, type Index } from './refer.ts'
import type { Cells, Column, Draft, PastedRow, Row, TableName } from './table.ts'

export interface MatchedLine extends ReadLine {
  readonly match: Match | undefined
  readonly changed: readonly string[]
  readonly label: string
}

/** The row a line is, what it changes there, and the text that stays where it means the same. */
export function withMatch(line: ReadLine, match: Match | undefined, table: TableName, draft: Draft): MatchedLine {
  const index = indexOf(draft)
  const sight = sightOf(draft)
  const row = match?.row
  const cells: Record<string, string> = {}
  const changed: string[] = []
  for (const column of COLUMNS[table]) {
    const text = line.cells[column.name]
    if (text === undefined) continue
    const before = row?.cells[column.name] ?? ''
    const isSame =
      row !== undefined && meansTheSame({ text, before, column, table, row, index, sight, cells: line.cells })
    cells[column.name] = isSame ? before : text
    if (!isSame && (row !== undefined || text !== '')) changed.push(column.name)
  }
  return { ...line, cells, match, changed, label: labelIn(table, { ...row?.cells, ...cells }) }
}

interface Same {
  text: string
  before: string
  column: Column
  table: TableName
  row: Row
  index: Index
  sight: Sight
  cells: Cells
}

/** True of two texts of a cell that say the same: other spelling of one figure, or of one name. */
function meansTheSame({ text, before, column, table, row, index, sight, cells }: Same): boolean {
  if (text === before) return true
  // Another spelling of the name it was found by is no new name.
  if (column.name === LABELS[table]) return nameKey(text) === nameKey(before)
  if (text === '' || before === '') return column.yesOnly === true && tidy(text || before, column, sight) === ''
  const pasted = { id: row.id, cells: { ...row.cells, ...cells } }
  if (column.refersTo === undefined && column.kind !== 'place')
    return tidy(before, column, sightIn(pasted.cells, column, sight)) === text
  const ids = (said: string, of: Row): string =>
    namesIn(said, column)
      .map((name) => {
        const named = rowNamed(index, table, of, column, name)
        // A name that is no row's may be the very id of one.
        return named ? `=${named.row.id}` : nameKey(name)
      })
      .join('\n')
  if (column.kind === 'ownOnLoads' || column.kind === 'place')
    return tidy(before, column, sight) === tidy(text, column, sight)
  return ids(text, pasted) === ids(before, row)
}

const labelIn = (table: TableName, cells: Cells): string => {
  const columns = LABELS[table] === undefined ? KEYS[table] : [LABELS[table]]
  return columns.flatMap((name) => cells[name] ?? []).join(' / ')
}

/** The line as a preview shows it. */
export const rowOf = ({ rowNumber, match, label, cells, changed, resolved }: MatchedLine): PastedRow => ({
  rowNumber,
  rowId: match?.row?.id,
  label,
  cells,
  changed,
  resolved
})
