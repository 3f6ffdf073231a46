/**
 * What was pasted, understood: which column is which, which row is which, and every cell that is refused. Nothing is
 * taken over until nothing is refused. It judges with the schemas of the contract, so it is loaded when something is
 * pasted.
 */
import { cellText, readCell, resolvedText, sightOf, tidy } from './cell.ts'
import { COLUMNS, LABELS } from './columns.ts'
import { carried, newId, withCell, withRows } from './edit.ts'
import type { Sight } from './figure.ts'
import { headed, type Headed, type Source } from './heading.ts'
import { faultsOf } from './judge.ts'
import { matched, REPEATING, type Match } from './match.ts'
import { commaStyle } from './number.ts'
import { indexOf, KEYS, labelOf, nameKey, namesIn, rowNamed, type Index } from './refer.ts'
import { faultAt } from './rows.ts'
import type { PastedLine } from './split.ts'
import type { CellFault, Cells, Column, Draft, PastedRow, PastePreview, Row, TableName } from './table.ts'
import { wrong, type Wrong } from './wrong.ts'

/** No table holds more; a paste that does is something else. */
const MOST_LETTERS = 1_000_000
const MOST_LINES = 5_000
const MOST_CELL_LETTERS = 2_000

/** Reads a paste for a table of a draft; with `replace` rows that are not in it go. Never throws, changes nothing. */
export function readPaste(text: string, table: TableName, draft: Draft, replace = false): PastePreview {
  if (text.length > MOST_LETTERS)
    return nothing(
      table,
      replace,
      wrong(`at most ${String(MOST_LETTERS)} letters`, 'far too much for a table', 'Paste one table at a time.')
    )
  const paste = headed(text, table)
  if (paste.lines.length === 0)
    return nothing(table, replace, wrong('rows', 'nothing to paste', 'Copy the rows of the table first.'))
  if (paste.lines.length > MOST_LINES)
    return nothing(
      table,
      replace,
      wrong(`at most ${String(MOST_LINES)} rows`, 'far too many rows', 'Paste one table at a time.')
    )
  const read = readLines(paste, table, draft)
  const matches = matched(
    draft,
    table,
    read.map((line) => line.cells),
    new Set(paste.sources.map(({ column }) => column))
  )
  const lines = read.map((line, at) => withMatch(line, matches[at], table, draft))
  const refused = [...headingFaults(paste, table), ...lines.flatMap((line) => line.faults), ...unmatched(lines, table)]
  const judged =
    refused.length > 0 && paste.faults.length > 0
      ? { refused: [], left: [] }
      : judge(draft, { table, lines, replace, paste })
  const cellKey = ({ rowNumber, column = '' }: CellFault): string => `${String(rowNumber)} ${column}`
  const said = new Set(refused.map(cellKey))
  const isNew = (fault: CellFault): boolean => !said.has(cellKey(fault))
  const there = new Set(lines.flatMap(({ match }) => match?.row?.id ?? []))
  return {
    table,
    replace,
    columns: paste.sources.map(({ index, heading, column, unit }) => ({ index, heading, column, unit })),
    ignored: paste.ignored,
    rows: lines.map(rowOf),
    refused: [...refused, ...judged.refused.filter(isNew)].toSorted((a, b) => a.rowNumber - b.rowNumber),
    left: judged.left,
    missing: draft.tables[table]
      .filter(({ id }) => !there.has(id))
      .map(({ id }) => ({ rowId: id, label: labelOf(draft, table, id) }))
  }
}

/**
 * The draft with what a preview has understood; the very same draft where that changes nothing.
 * @throws RangeError when anything in it is refused, and when its rows are not those of the draft
 */
export function applyPaste(draft: Draft, preview: PastePreview): Draft {
  const [first] = preview.refused
  if (first)
    throw new RangeError(
      `${String(preview.refused.length)} cells are refused, the first in row ${String(first.rowNumber)}: ${first.message}`
    )
  const ids = new Set(draft.tables[preview.table].map((row) => row.id))
  const gone = preview.rows.find(({ rowId }) => rowId !== undefined && !ids.has(rowId))
  if (gone) throw new RangeError(`row ${gone.rowId ?? ''} of the preview is not in the draft`)
  return withPasted(draft, preview.table, preview.rows, preview.replace).draft
}

function nothing(table: TableName, replace: boolean, { wrong: why }: { wrong: Wrong }): PastePreview {
  const fault = faultAt({ table, rowId: undefined, rowNumber: 0, column: undefined, value: '' }, why)
  return { table, replace, columns: [], ignored: [], rows: [], refused: [fault], left: [], missing: [] }
}

/** A line of a paste with its cells as the draft keeps them. */
interface ReadLine {
  readonly rowNumber: number
  readonly cells: Cells
  readonly resolved: Cells
  readonly faults: readonly CellFault[]
}
interface MatchedLine extends ReadLine {
  readonly match: Match | undefined
  readonly changed: readonly string[]
  readonly label: string
}

function readLines({ lines, sources }: Headed, table: TableName, draft: Draft): ReadLine[] {
  const figures = sources.filter(({ its }) => FIGURES.has(its.kind))
  const style = commaStyle(lines.flatMap(({ cells }) => figures.map(({ index }) => cells[index] ?? '')))
  const sight = { ...openingIn(lines, sources, table, sightOf(draft)), style }
  return lines.map((line) => readLine(line, sources, table, sight))
}
const FIGURES: ReadonlySet<string> = new Set([
  'quantity',
  'mass',
  'flow',
  'speed',
  'density',
  'minutes',
  'factor',
  'bearing',
  'percent'
])

/** The event's own unit and opening may stand in the very paste. */
function openingIn(lines: readonly PastedLine[], sources: readonly Source[], table: TableName, sight: Sight): Sight {
  if (table !== 'event') return sight
  const cells = Object.fromEntries(sources.map(({ index, column }) => [column, lines[0]?.cells[index] ?? '']))
  const pasted = sightOf({ tables: { event: [{ id: '', cells }] } } as unknown as Draft)
  return { massUnit: pasted.massUnit ?? sight.massUnit, opensAtMs: pasted.opensAtMs ?? sight.opensAtMs }
}

function readLine(line: PastedLine, sources: readonly Source[], table: TableName, sight: Sight): ReadLine {
  const cells: Record<string, string> = {}
  const resolved: Record<string, string> = {}
  const faults: CellFault[] = []
  for (const { its, unit, text } of textsOf(line, sources)) {
    const seen = { ...sight, unit }
    const refuse = ({ wrong: why }: { wrong: Wrong }): void => {
      faults.push(
        faultAt({ table, rowId: undefined, rowNumber: line.rowNumber, column: its.name, value: text.slice(0, 60) }, why)
      )
    }
    if (text.length > MOST_CELL_LETTERS)
      refuse(wrong(`at most ${String(MOST_CELL_LETTERS)} letters`, 'far too long', 'Shorten it.'))
    const read = text === '' || text.length > MOST_CELL_LETTERS ? undefined : readCell(text, its, seen)
    if (read && 'wrong' in read) refuse(read)
    cells[its.name] = read && 'value' in read ? cellText(read.value, its, sight) : text.slice(0, MOST_CELL_LETTERS)
    const more = read && 'value' in read ? resolvedText(text, its, seen) : undefined
    if (more !== undefined) resolved[its.name] = more
  }
  return { rowNumber: line.rowNumber, cells, resolved, faults }
}

/** The text of each column of a line; latitude and longitude put together. */
function textsOf(
  { cells }: PastedLine,
  sources: readonly Source[]
): { its: Column; unit: string | undefined; text: string }[] {
  return sources.flatMap(({ its, unit, index, half, column }) => {
    const text = cells[index] ?? ''
    if (half === undefined) return { its, unit, text }
    if (half === 'longitude') return []
    const other = sources.find((one) => one.column === column && one.half === 'longitude')
    const longitude = other ? (cells[other.index] ?? '') : ''
    return { its, unit, text: `${text} ${longitude}`.trim() }
  })
}

/** The row a line is, what it changes there, and the text that stays where it means the same. */
function withMatch(line: ReadLine, match: Match | undefined, table: TableName, draft: Draft): MatchedLine {
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
  if (text === '' || before === '') return column.yesOnly === true && tidy(text || before, column, sight) === ''
  if (column.refersTo === undefined && column.kind !== 'place') return tidy(before, column, sight) === text
  const pasted = { id: row.id, cells: { ...row.cells, ...cells } }
  const ids = (said: string, of: Row): string =>
    namesIn(said, column)
      .map((name) => rowNamed(index, table, of, column, name)?.row.id ?? nameKey(name))
      .join('\n')
  if (column.kind === 'ownOnLoads' || column.kind === 'place')
    return tidy(before, column, sight) === tidy(text, column, sight)
  return ids(text, pasted) === ids(before, row)
}

const labelIn = (table: TableName, cells: Cells): string => {
  const columns = LABELS[table] === undefined ? KEYS[table] : [LABELS[table]]
  return columns.flatMap((name) => cells[name] ?? []).join(' / ')
}

const rowOf = ({ rowNumber, match, label, cells, changed, resolved }: MatchedLine): PastedRow => ({
  rowNumber,
  rowId: match?.row?.id,
  label,
  cells,
  changed,
  resolved
})

const headingFaults = ({ faults }: Headed, table: TableName): CellFault[] =>
  faults.map(({ heading, rowNumber, why }) =>
    faultAt({ table, rowId: undefined, rowNumber, column: undefined, value: heading }, why)
  )

/** Lines that name no row, several, or one that another line has named. */
function unmatched(lines: readonly MatchedLine[], table: TableName): CellFault[] {
  const seen = new Map<string, number>()
  const column = KEYS[table].at(-1)
  return lines.flatMap(({ match, rowNumber, label, cells }): CellFault[] => {
    const say = ({ wrong: why }: { wrong: Wrong }): CellFault[] => [
      faultAt({ table, rowId: match?.row?.id, rowNumber, column, value: column ? (cells[column] ?? '') : label }, why)
    ]
    if (match?.key === undefined)
      return say(wrong('a name', 'nothing says which row this is', `Paste ${keyHeadings(table)} with it.`))
    if (match.isOpen) return say(wrong('one row', 'several rows are called so', `Paste ${keyHeadings(table)} with it.`))
    const before = seen.get(match.key)
    if (before === undefined) seen.set(match.key, rowNumber)
    if (before === undefined || match.row !== undefined || REPEATING.has(table)) return []
    const message =
      table === 'event' ? 'there is one event' : `"${label}" stands in row ${String(before)} of the paste already`
    return say(
      wrong(
        'a row once',
        message,
        `Give it a name of its own, or take one of rows ${String(before)} and ${String(rowNumber)} out.`
      )
    )
  })
}

const keyHeadings = (table: TableName): string =>
  KEYS[table].map((name) => COLUMNS[table].find((column) => column.name === name)?.heading ?? name).join(' and ')

/** The draft with pasted rows in it, and the id of each of them. */
function withPasted(
  draft: Draft,
  table: TableName,
  pasted: readonly Pick<PastedRow, 'rowId' | 'cells'>[],
  replace: boolean
) {
  const before = new Map(draft.tables[table].map((row) => [row.id, row]))
  const taken = new Set(before.keys())
  const rows = pasted.map(({ rowId, cells }): Row => {
    const old = rowId === undefined ? undefined : before.get(rowId)
    const whole = Object.entries(cells).reduce<Cells>(
      (all, [name, text]) => withCell(all, name, text),
      old?.cells ?? {}
    )
    if (old) return whole === old.cells ? old : { id: old.id, cells: whole }
    const id = newId(draft, table, whole, taken)
    taken.add(id)
    return { id, cells: whole }
  })
  const placed = replace ? rows : inPlace(draft.tables[table], rows)
  const same = placed.length === before.size && placed.every((row, at) => row === draft.tables[table][at])
  const after = same ? draft : carried(draft, withRows(draft, table, placed), table)
  return { draft: after, rowIds: rows.map((row) => row.id) }
}

/** Pasted rows in the places of those they are matched to, in the order of the paste; new ones behind the one before. */
function inPlace(rows: readonly Row[], pasted: readonly Row[]): readonly Row[] {
  const there = new Set(rows.map((row) => row.id))
  const known = pasted.filter((row) => there.has(row.id))
  const isPasted = new Set(known.map((row) => row.id))
  let next = 0
  const placed = rows.map((row) => (isPasted.has(row.id) ? (known[next++] ?? row) : row))
  const behind = new Map<string | undefined, Row[]>()
  let last: string | undefined
  for (const row of pasted) {
    if (there.has(row.id)) last = row.id
    else if (behind.get(last)?.push(row) === undefined) behind.set(last, [row])
  }
  const end = behind.get(undefined) ?? []
  return [...placed.flatMap((row) => [row, ...(behind.get(row.id) ?? [])]), ...end]
}

/** What the checks say of the draft as it would be: of the pasted cells, and of everything else. */
function judge(
  draft: Draft,
  { table, lines, replace, paste }: { table: TableName; lines: readonly MatchedLine[]; replace: boolean; paste: Headed }
): { refused: CellFault[]; left: CellFault[] } {
  const after = withPasted(draft, table, lines.map(rowOf), replace)
  if (after.draft === draft) return { refused: [], left: [] }
  const known = new Set(faultsOf(draft).map(faultKey))
  const lineOf = new Map(after.rowIds.map((id, at) => [id, lines[at]]))
  const pasted = new Set(paste.sources.map(({ column }) => column))
  const refused: CellFault[] = []
  const left: CellFault[] = []
  for (const fault of [...faultsOf(after.draft), ...sharedCallSigns(after.draft, table)]) {
    if (known.has(faultKey(fault))) continue
    const line = fault.table === table && fault.rowId !== undefined ? lineOf.get(fault.rowId) : undefined
    const isBlank = fault.lacking && (fault.column === undefined || fault.value !== '' || !pasted.has(fault.column))
    if (line === undefined || line.changed.length === 0 || isBlank) left.push(fault)
    else refused.push({ ...fault, rowNumber: line.rowNumber, rowId: line.match?.row?.id })
  }
  return { refused, left }
}

const faultKey = ({ table, rowId, column, message, value }: CellFault): string =>
  [table, rowId, column, message, value].join('\n')

const CALLED = ['tankers', 'flights', 'ships'] as const

/** Call signs of a table that another table has: the checks name whichever comes later in the plan. */
function sharedCallSigns(draft: Draft, table: TableName): CellFault[] {
  if (!CALLED.some((one) => one === table)) return []
  const others = new Map(
    CALLED.filter((one) => one !== table).flatMap((one) =>
      draft.tables[one].map((row) => [nameKey(row.cells['callSign'] ?? ''), one] as const)
    )
  )
  return draft.tables[table].flatMap((row, at) => {
    const value = row.cells['callSign'] ?? ''
    const other = value === '' ? undefined : others.get(nameKey(value))
    if (other === undefined) return []
    const why = wrong(
      'a call sign used once',
      `it stands among the ${other} already`,
      'Give it a call sign of its own.'
    ).wrong
    return [faultAt({ table, rowId: row.id, rowNumber: at + 1, column: 'callSign', value }, why)]
  })
}
