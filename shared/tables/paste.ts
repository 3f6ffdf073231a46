/**
 * What was pasted, understood: which column is which, which row is which, and every cell that is refused. Nothing is
 * taken over until nothing is refused. It judges with the schemas of the contract, so it is loaded when something is
 * pasted.
 */
import { SIZES } from '../contracts/bounds.ts'
import { headed } from './heading.ts'
import { withPasted } from './into.ts'
import { commasOf, readLines } from './lines.ts'
import { rowOf, withMatch } from './line-match.ts'
import { matched, withContacts } from './match.ts'
import { labelOf } from './refer.ts'
import { headingFaults, judged, unmatched } from './refuse.ts'
import { faultAt } from './rows.ts'
import type { CellFault, ChosenColumns, Draft, PastePreview, TableName } from './table.ts'
import { wrong, type Wrong } from './wrong.ts'

const MOST_LETTERS = 1_000_000

/** No table of a plan holds more rows; slots, far more than a plan has ships for. */
const MOST_ROWS: Readonly<Record<TableName, number>> = {
  event: 1,
  receiverTypes: SIZES.receiverTypes,
  tankGroups: SIZES.receiverTypes * SIZES.groups,
  tankerTypes: SIZES.tankerTypes,
  stations: SIZES.tankerTypes * SIZES.stationsPerTanker,
  clearances: SIZES.clearances,
  bases: SIZES.bases,
  tracks: SIZES.tracks,
  tankers: SIZES.tankers,
  windows: SIZES.tankers * SIZES.stationsPerTanker,
  pushGroups: SIZES.pushGroups,
  flights: SIZES.flights,
  ships: SIZES.ships,
  route: SIZES.flights * SIZES.phases,
  order: SIZES.ships * 10
}

/**
 * Reads a paste for a table of a draft; with `replace` rows that are not in it go, `chosen` says which columns are under
 * headings that are not understood. Never throws, changes nothing.
 */
export function readPaste(
  text: string,
  table: TableName,
  draft: Draft,
  replace = false,
  chosen: ChosenColumns = {}
): PastePreview {
  if (text.length > MOST_LETTERS) return tooMuch(table, replace, `at most ${String(MOST_LETTERS)} letters`)
  const paste = headed(text, table, { chosen, draft })
  const { lines: pasted, sources, unknown, faults } = paste
  if (pasted.length > MOST_ROWS[table]) return tooMuch(table, replace, `at most ${String(MOST_ROWS[table])} rows`)
  if (sources.length === 0 && unknown.length > 0) {
    const why = wrong('headings of the table', 'no heading is understood', 'Choose the columns for them.')
    return { ...nothing(table, replace, why), unknown }
  }
  if (sources.length === 0) {
    return nothing(table, replace, wrong('rows', 'nothing to paste', 'Copy the rows of the table first.'))
  }
  const first = readLines(paste, table, draft)
  const cells = first.map((line) => line.cells)
  const matches = matched(draft, table, cells, new Set(sources.map(({ column }) => column)))
  const leansOnRows = sources.some(({ its }) => its.until !== undefined)
  const read = leansOnRows
    ? readLines(
        paste,
        table,
        draft,
        matches.map(({ row }) => row)
      )
    : first
  const lines = read.map((line, at) => withMatch(line, matches[at], table, draft))
  const refused = [...headingFaults(paste, table), ...lines.flatMap((line) => line.faults), ...unmatched(lines, table)]
  // Under a heading that is refused every cell would be refused again.
  const more = faults.length > 0 ? { refused: [], left: [] } : judged(draft, { table, lines, replace, paste })
  const there = new Set(lines.flatMap(({ match }) => match?.row?.id ?? []))
  return {
    table,
    replace,
    columns: sources.map(({ index, heading, column, unit }) => ({ index, heading, column, unit })),
    unknown,
    commas: commasOf(paste),
    rows: withContacts(draft, table, lines.map(rowOf), replace),
    refused: eachCellOnce([...refused, ...more.refused]).toSorted((a, b) => a.rowNumber - b.rowNumber),
    left: more.left,
    missing: draft.tables[table]
      .filter(({ id }) => !there.has(id))
      .map(({ id }) => ({ rowId: id, label: labelOf(draft, table, id) }))
  }
}

/** The first fault of each cell: what cannot be read need not be judged as well. */
function eachCellOnce(faults: readonly CellFault[]): CellFault[] {
  const cells = new Map<string, CellFault>()
  for (const fault of faults) {
    const key = `${String(fault.rowNumber)} ${fault.column ?? fault.value}`
    if (!cells.has(key)) cells.set(key, fault)
  }
  return [...cells.values()]
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

const tooMuch = (table: TableName, replace: boolean, limit: string): PastePreview =>
  nothing(table, replace, wrong(limit, 'far too much for a table', 'Paste one table at a time.'))

function nothing(table: TableName, replace: boolean, { wrong: why }: { wrong: Wrong }): PastePreview {
  const fault = faultAt({ table, rowId: undefined, rowNumber: 0, column: undefined, value: '' }, why)
  return { table, replace, columns: [], unknown: [], commas: [], rows: [], refused: [fault], left: [], missing: [] }
}
