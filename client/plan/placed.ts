import { COLUMNS } from '../../shared/tables/columns.ts'
import { headed, type Source } from '../../shared/tables/heading.ts'
import { rowOf, withMatch, type MatchedLine } from '../../shared/tables/line-match.ts'
import { commasOf, readLines, type ReadLine } from '../../shared/tables/lines.ts'
import { withContacts } from '../../shared/tables/match.ts'
import { KEYS, nameKey } from '../../shared/tables/refer.ts'
import { judged, unmatched } from '../../shared/tables/refuse.ts'
import { linesOf, type PastedLine } from '../../shared/tables/split.ts'
import type { CellFault, Draft, PastePreview, Row, TableName } from '../../shared/tables/table.ts'
import { PASTE } from '../words/tables.ts'
import type { Range } from './cursor.ts'

/*
 * A paste that goes where it is put, as in a spreadsheet: its first cell on the first one chosen, whatever rows and columns
 * are called. One that has headings, or begins with the names of its rows at a lone cell, says itself where it belongs, and
 * is not read here.
 */

interface Block {
  lines: readonly PastedLine[]
  /** Where its first cell comes to stand. */
  top: number
  left: number
  width: number
}

/** What it comes to in the cells it is put on; undefined where the paste itself says which rows it means. */
export function readPlaced(text: string, table: TableName, draft: Draft, range: Range): PastePreview | undefined {
  const { sources } = headed(text, table, { draft })
  if (sources.length === 0 || sources.some(({ heading }) => heading !== undefined)) return undefined
  const isLone = range.top === range.bottom && range.left === range.right
  const named = KEYS[table].every((key) => sources.some(({ column }) => column === key))
  if (table !== 'event' && isLone && range.left === 0 && named) return undefined
  const block = table === 'event' ? uprightBlock(text, range) : blockOf(text, range)
  if (block === undefined) return undefined
  const misfit = misfitOf(block, table, draft)
  return misfit === undefined ? readBlock(block, table, draft) : refusal(table, misfit)
}

/** Blank lines count: below them everything would be one row too high. */
function blockOf(text: string, { top, left }: Range): Block {
  const found = new Map(linesOf(text, '\t').map((line) => [line.rowNumber, line.cells]))
  const height = Math.max(...found.keys())
  const lines = Array.from({ length: height }, (_, at) => ({ rowNumber: at + 1, cells: found.get(at + 1) ?? [] }))
  return { lines, top, left, width: Math.max(...lines.map(({ cells }) => cells.length)) }
}

/** The event stands upright: its columns are lines on the screen. */
function uprightBlock(text: string, range: Range): Block | undefined {
  const { lines, width } = blockOf(text, range)
  if (lines.length > 1 && width > 1) return undefined
  const cells = lines.length > 1 ? lines.map((line) => line.cells[0] ?? '') : (lines[0]?.cells ?? [])
  return { lines: [{ rowNumber: 1, cells }], top: 0, left: range.top, width: cells.length }
}

interface Misfit {
  rowNumber: number
  value: string
  message: string
  mend: string
}

/** Why a block cannot lie where it is put. */
function misfitOf({ lines, top, left, width }: Block, table: TableName, draft: Draft): Misfit | undefined {
  const room = COLUMNS[table].length - left
  const wide = lines.find(({ cells }) => cells.length > room)
  if (wide !== undefined)
    return { rowNumber: wide.rowNumber, value: wide.cells[room] ?? '', ...PASTE.tooWide(width, room) }
  const keys = KEYS[table].map((name) => COLUMNS[table].findIndex((column) => column.name === name))
  if (keys.every((key) => key >= left && key < left + width)) return undefined
  const rowCount = draft.tables[table].length
  const past = lines.find(({ rowNumber }) => top + rowNumber > rowCount)
  const headings = keys.map((key) => COLUMNS[table][key]?.heading ?? '')
  return past && { rowNumber: past.rowNumber, value: past.cells[0] ?? '', ...PASTE.noName(headings) }
}

function readBlock({ lines, top, left, width }: Block, table: TableName, draft: Draft): PastePreview {
  const sources = COLUMNS[table]
    .slice(left, left + width)
    .map((its, index): Source => ({ index, heading: undefined, column: its.name, unit: undefined, its }))
  const paste = { lines, sources, unknown: [], faults: [] }
  const rows = lines.map((_, at) => draft.tables[table][top + at])
  const matched = readLines(paste, table, draft, rows).map((line, at): MatchedLine => {
    const row = rows[at]
    return withMatch(line, { row, key: row === undefined ? newKey(line, table) : row.id, isOpen: false }, table, draft)
  })
  const { refused, left: leftOver } = judged(draft, { table, lines: matched, replace: false, paste })
  const faults = [...matched.flatMap((line) => line.faults), ...unmatched(matched, table), ...refused]
  return {
    table,
    replace: false,
    columns: sources.map(({ index, heading, column, unit }) => ({ index, heading, column, unit })),
    unknown: [],
    commas: commasOf(paste),
    rows: withContacts(draft, table, matched.map(rowOf), false),
    refused: eachCellOnce(faults).toSorted((a, b) => a.rowNumber - b.rowNumber),
    left: leftOver,
    missing: []
  }
}

/** What a row that is not there yet is told apart by; undefined where it has no name. */
function newKey({ cells }: ReadLine, table: TableName): string | undefined {
  const names = KEYS[table].map((name) => nameKey(cells[name] ?? ''))
  return names.every((name) => name === '') ? undefined : `new ${names.join('\n')}`
}

function eachCellOnce(faults: readonly CellFault[]): CellFault[] {
  const cells = new Map<string, CellFault>()
  for (const fault of faults) {
    const key = `${String(fault.rowNumber)} ${fault.column ?? fault.value}`
    if (!cells.has(key)) cells.set(key, fault)
  }
  return [...cells.values()]
}

function refusal(table: TableName, { rowNumber, value, message, mend }: Misfit): PastePreview {
  const fault = { table, rowId: undefined, rowNumber, column: undefined, value, limit: '', message, mend }
  const refused = [{ ...fault, lacking: false }]
  return { table, replace: false, columns: [], unknown: [], commas: [], rows: [], refused, left: [], missing: [] }
}

/** One text for all cells chosen: what is to be written, in rows that are there, or else in the blank one. */
export function fillOf(
  { top, bottom, left, right }: Range,
  rows: readonly (Row | undefined)[],
  columns: readonly string[],
  value: string
) {
  const chosen = rows.slice(top, bottom + 1).filter((row) => row !== undefined)
  const ids = chosen.length === 0 ? [undefined] : chosen.map(({ id }) => id)
  return ids.flatMap((rowId) => columns.slice(left, right + 1).map((column) => ({ rowId, column, value })))
}
