/** A table as a spreadsheet takes it: tabs between the cells, headings with their units; pasted back it changes nothing. */
import type { Reported } from '../units.ts'
import { readCell, sightOf } from './cell.ts'
import { COLUMNS } from './columns.ts'
import { figureNumber, UNITS, unitFor, unitText, type Sight } from './figure.ts'
import { guarded } from './split.ts'
import type { Column, ColumnKind, Draft, Row, TableName } from './table.ts'

/** The table, or some of its rows, as text. */
export function copyOut(draft: Draft, table: TableName, rowIds?: readonly string[]): string {
  const sight = sightOf(draft)
  const wanted = rowIds && new Set(rowIds)
  const rows = draft.tables[table].filter((row) => wanted?.has(row.id) ?? true)
  const columns = COLUMNS[table].map((column) => columnText(column, rows, sight))
  const lines = [columns.map((one) => one.heading), ...rows.map((_, at) => columns.map((one) => one.cells[at] ?? ''))]
  return lines.map((cells) => cells.map(cellOut).join('\t') + '\n').join('')
}

/** In quotes where it would end early, or begins with one. */
const cellOut = (text: string): string => {
  const safe = guarded(text)
  return /[\t\n\r]|^"/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe
}

const FIGURES: readonly ColumnKind[] = ['quantity', 'mass', 'flow', 'speed', 'density']

function columnText(column: Column, rows: readonly Row[], sight: Sight): { heading: string; cells: string[] } {
  const texts = rows.map((row) => row.cells[column.name] ?? '')
  if (!FIGURES.includes(column.kind)) {
    const unit = ['minutes', 'bearing', 'percent'].includes(column.kind) ? UNITS[column.kind]?.[0] : undefined
    return { heading: withUnit(column.heading, unit), cells: texts }
  }
  const figures = texts.map((text) => figureIn(text, column, sight))
  const unit = commonest(figures.flatMap((figure) => figure?.unit ?? [])) ?? unitFor(column, sight)
  return {
    heading: withUnit(column.heading, unit),
    cells: texts.map((text, at) => {
      const figure = figures[at]
      return figure?.unit === unit && figure ? figureNumber(figure) : text
    })
  }
}

function figureIn(text: string, column: Column, sight: Sight): Reported<string> | undefined {
  const read = text.trim() === '' ? undefined : readCell(text, column, sight)
  return read && 'value' in read ? (read.value as Reported<string>) : undefined
}

const withUnit = (heading: string, unit: string | undefined): string =>
  unit === undefined ? heading : `${heading} (${unitText(unit)})`

function commonest(units: readonly string[]): string | undefined {
  const counts = new Map<string, number>()
  for (const unit of units) counts.set(unit, (counts.get(unit) ?? 0) + 1)
  return [...counts].toSorted((a, b) => b[1] - a[1])[0]?.[0]
}
