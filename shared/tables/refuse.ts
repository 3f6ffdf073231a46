/** What of a paste is refused: headings, lines that name no row, and cells that the checks do not accept. */
import { COLUMNS, LABELS } from './columns.ts'
import type { Headed } from './heading.ts'
import { withPasted } from './into.ts'
import { faultsOf, knownFaultsOf } from './judge.ts'
import { rowOf, type MatchedLine } from './line-match.ts'
import { REPEATING } from './match.ts'
import { KEYS, nameKey } from './refer.ts'
import { faultAt } from './rows.ts'
import type { CellFault, Draft, TableName } from './table.ts'
import { wrong, type Wrong } from './wrong.ts'

/** What is wrong with the headings. */
export const headingFaults = ({ faults }: Headed, table: TableName): CellFault[] =>
  faults.map(({ heading, rowNumber, why }) =>
    faultAt({ table, rowId: undefined, rowNumber, column: undefined, value: heading }, why)
  )

/** Tables whose rows may share a key, and in which the very same row twice means nothing. */
const NEVER_TWICE: ReadonlySet<TableName> = new Set(['order', 'clearances'])

/** Lines that name no row, several, or one that another line has named. */
export function unmatched(lines: readonly MatchedLine[], table: TableName): CellFault[] {
  const seen = new Map<string, number>()
  const whole = new Map<string, number>()
  const column = KEYS[table].at(-1)
  return lines.flatMap(({ match, rowNumber, label, cells }): CellFault[] => {
    const say = ({ wrong: why }: { wrong: Wrong }): CellFault[] => [
      faultAt({ table, rowId: match?.row?.id, rowNumber, column, value: column ? (cells[column] ?? '') : label }, why)
    ]
    if (match?.key === undefined)
      return say(wrong('a name', 'nothing says which row this is', `Paste the column ${keyHeadings(table)} with it.`))
    if (match.isOpen)
      return say(wrong('one row', 'several rows are called so', `Paste the column ${keyHeadings(table)} with it.`))
    const [alike, key] = NEVER_TWICE.has(table) ? [whole, JSON.stringify(cells)] : [seen, match.key]
    const before = alike.get(key)
    if (before === undefined) alike.set(key, rowNumber)
    if (before === undefined || match.row !== undefined || (REPEATING.has(table) && alike === seen)) return []
    const what = alike === whole ? 'the very same row' : `"${label}"`
    const message =
      table === 'event' ? 'there is one event' : `${what} stands in row ${String(before)} of the paste already`
    return say(
      wrong(
        'a row once',
        message,
        `${LABELS[table] ? 'Give it a name of its own, or take' : 'Take'} one of rows ${String(before)} and ${String(rowNumber)} out.`
      )
    )
  })
}

const keyHeadings = (table: TableName): string =>
  KEYS[table].map((name) => COLUMNS[table].find((column) => column.name === name)?.heading ?? name).join(' and ')

/** What the checks say of the draft as it would be: of the pasted cells, and of everything else. */
export function judged(
  draft: Draft,
  { table, lines, replace, paste }: { table: TableName; lines: readonly MatchedLine[]; replace: boolean; paste: Headed }
): { refused: CellFault[]; left: CellFault[] } {
  const after = withPasted(draft, table, lines.map(rowOf), replace)
  if (after.draft === draft) return { refused: [], left: [] }
  const { faults: before, memory } = knownFaultsOf(draft)
  const known = new Set(before.map(faultKey))
  const lineOf = new Map(after.rowIds.map((id, at) => [id, lines[at]]))
  const pasted = new Set(paste.sources.map(({ column }) => column))
  const refused: CellFault[] = []
  const left: CellFault[] = []
  for (const fault of [...sharedCallSigns(after.draft, table), ...faultsOf(after.draft, memory)]) {
    if (known.has(faultKey(fault))) continue
    const line = fault.table === table && fault.rowId !== undefined ? lineOf.get(fault.rowId) : undefined
    const isBlank = fault.lacking && (fault.column === undefined || fault.value !== '' || !pasted.has(fault.column))
    if (line === undefined || line.changed.length === 0 || isBlank) left.push(fault)
    else refused.push({ ...fault, ...asPasted(line, fault) })
  }
  return { refused, left }
}

const asPasted = ({ rowNumber, match, texts }: MatchedLine, { column = '', value }: CellFault) => ({
  rowNumber,
  rowId: match?.row?.id,
  value: texts[column] ?? value
})

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
