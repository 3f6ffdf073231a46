/** The lines of a paste read: every cell as the draft keeps it, what was understood, and what cannot be read. */
import { cellText, readCell, resolvedText, sightIn, sightOf } from './cell.ts'
import type { Sight } from './figure.ts'
import type { Headed, Source } from './heading.ts'
import { commasRead, commaStyle, type CommaRead } from './number.ts'
import { faultAt } from './rows.ts'
import type { PastedLine } from './split.ts'
import type { CellFault, Cells, Column, Draft, Row, TableName } from './table.ts'
import { wrong, type Wrong } from './wrong.ts'

const MOST_CELL_LETTERS = 2_000
/** Of a refused value. */
const SHOWN_LETTERS = 60

/** A line of a paste with its cells as the draft keeps them. */
export interface ReadLine {
  readonly rowNumber: number
  readonly cells: Cells
  readonly resolved: Cells
  /** As pasted. */
  readonly texts: Cells
  readonly faults: readonly CellFault[]
}
/**
 * Reads all lines; figures without a unit are in that of their heading, else in the unit of the event. What the rows say
 * that they are matched to counts where it is not in the paste: when a base closes.
 */
export function readLines(
  { lines, sources }: Headed,
  table: TableName,
  draft: Draft,
  rows: readonly (Row | undefined)[] = []
): ReadLine[] {
  const style = commaStyle(figuresOf({ lines, sources }))
  const sight = { ...openingIn(lines, sources, table, sightOf(draft)), style }
  return lines.map((line, at) => readLine(line, sources, { table, sight, beside: rows[at]?.cells ?? {} }))
}
/** How the commas in the figures of a paste were read. */
export function commasOf(paste: Pick<Headed, 'lines' | 'sources'>): readonly CommaRead[] {
  const texts = figuresOf(paste)
  return commasRead(texts, commaStyle(texts))
}

function figuresOf({ lines, sources }: Pick<Headed, 'lines' | 'sources'>): readonly string[] {
  const figures = sources.filter(({ its }) => FIGURES.has(its.kind))
  return lines.flatMap(({ cells }) => figures.map(({ index }) => cells[index] ?? ''))
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

function readLine(
  line: PastedLine,
  sources: readonly Source[],
  { table, sight, beside }: { table: TableName; sight: Sight; beside: Cells }
): ReadLine {
  const cells: Record<string, string> = {}
  const resolved: Record<string, string> = {}
  const texts: Record<string, string> = {}
  const faults: CellFault[] = []
  const pasted = textsOf(line, sources)
  const row = { ...beside, ...Object.fromEntries(pasted.map(({ its, text }) => [its.name, text])) }
  for (const { its, unit, text } of pasted) {
    const seen = { ...sightIn(row, its, sight), unit }
    texts[its.name] = text.slice(0, SHOWN_LETTERS)
    const refuse = ({ wrong: why }: { wrong: Wrong }): void => {
      faults.push(
        faultAt(
          { table, rowId: undefined, rowNumber: line.rowNumber, column: its.name, value: text.slice(0, SHOWN_LETTERS) },
          why
        )
      )
    }
    if (text.length > MOST_CELL_LETTERS)
      refuse(wrong(`at most ${String(MOST_CELL_LETTERS)} letters`, 'far too long', 'Shorten it.'))
    const read = text === '' || text.length > MOST_CELL_LETTERS ? undefined : readCell(text, its, seen)
    if (read && 'wrong' in read) refuse(read)
    cells[its.name] = read && 'value' in read ? cellText(read.value, its, seen) : text.slice(0, MOST_CELL_LETTERS)
    const more = read && 'value' in read ? resolvedText(text, its, seen) : undefined
    if (more !== undefined) resolved[its.name] = more
  }
  return { rowNumber: line.rowNumber, cells, resolved, texts, faults }
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
