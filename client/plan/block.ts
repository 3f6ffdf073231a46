import { COLUMNS } from '../../shared/tables/columns.ts'
import { KEYS } from '../../shared/tables/refer.ts'
import type { Row, TableName } from '../../shared/tables/table.ts'
import type { Place, Range } from './cursor.ts'

/*
 * A block of cells, as spreadsheets have it on the clipboard: rows by lines, cells by tabs. One that is pasted beside the
 * names of its rows gets those names and its headings put to it, so that it is read like any table.
 */

export function rangeText({ top, bottom, left, right }: Range, textAt: (place: Place) => string): string {
  const lines = Array.from({ length: bottom - top + 1 }, (_, row) =>
    Array.from({ length: right - left + 1 }, (__, column) => quoted(textAt({ row: top + row, column: left + column })))
  )
  return lines.map((cells) => cells.join('\t')).join('\n')
}

const quoted = (text: string): string => (/[\t\n\r"]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text)

/** What is pasted at a cell, as a table of its own; itself where it begins at the first column or has headings. */
export function blockText(text: string, table: TableName, rows: readonly Row[], at: Place): string {
  if (table === 'event') return upright(text)
  const keys = KEYS[table].map((name) => COLUMNS[table].findIndex((column) => column.name === name))
  const lines = text.replace(/\r\n?/g, '\n').replace(/\n+$/, '').split('\n')
  const cells = lines.map((line) => line.split('\t'))
  const width = Math.max(...cells.map(({ length }) => length))
  const columns = COLUMNS[table].slice(at.column, at.column + width)
  const hasKeys = keys.some((key) => key >= at.column && key < at.column + width)
  const isPlain = at.column > 0 && !text.includes('"') && !hasKeys && !isHeaded(cells[0] ?? [], table)
  if (!isPlain || at.row + lines.length > rows.length || columns.length < width) return text
  const names = KEYS[table].map((name) => COLUMNS[table].find((column) => column.name === name)?.heading ?? name)
  const head = [...names, ...columns.map(({ heading }) => heading)]
  const body = cells.map((line, place) => [
    ...KEYS[table].map((name) => rows[at.row + place]?.cells[name] ?? ''),
    ...columns.map((_, column) => line[column] ?? '')
  ])
  return [head, ...body].map((line) => line.join('\t')).join('\n')
}

const plain = (text: string): string =>
  text
    .replace(/[([].*$/, '')
    .trim()
    .toLowerCase()

function isHeaded(cells: readonly string[], table: TableName): boolean {
  const known = new Set(COLUMNS[table].flatMap(({ heading, aliases }) => [heading, ...aliases].map(plain)))
  return cells.some((cell) => known.has(plain(cell)))
}

/** The event is shown upright and may be pasted so: a line of heading and value for each of its columns. */
function upright(text: string): string {
  const lines = text
    .replace(/\r\n?/g, '\n')
    .split('\n')
    .filter((line) => line.trim() !== '')
    .map((line) => line.split('\t'))
  const isUpright = lines.length > 2 && lines.every((line) => line.length === 2 && isHeaded(line.slice(0, 1), 'event'))
  if (!isUpright) return text
  return [0, 1].map((side) => lines.map((line) => line[side] ?? '').join('\t')).join('\n')
}
