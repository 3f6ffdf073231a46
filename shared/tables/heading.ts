/** Which separator a paste has, whether it begins with headings, and which column each of its columns is. */
import { ON_LOAD_RULES } from '../contracts/kinds.ts'
import { COLUMNS, LABELS } from './columns.ts'
import { UNITS, unitOf, unitText } from './figure.ts'
import { LABELLED, nameKey } from './refer.ts'
import { linesOf, SEPARATORS, type PastedLine } from './split.ts'
import type { ChosenColumns, Column, Draft, PastedColumn, TableName, UnknownHeading } from './table.ts'
import { wrong, type Wrong } from './wrong.ts'

/** A column of a paste; latitude and longitude may come apart. */
export interface Source extends PastedColumn {
  readonly its: Column
  readonly half?: 'latitude' | 'longitude'
}

export interface Headed {
  readonly lines: readonly PastedLine[]
  readonly sources: readonly Source[]
  readonly unknown: readonly UnknownHeading[]
  /** What is wrong with a heading itself. */
  readonly faults: readonly { readonly heading: string; readonly rowNumber: number; readonly why: Wrong }[]
}

/** What a heading is compared by; a stroke within a short one counts, since `T/O` is not `To`. */
function headingKey(text: string): string {
  const short = /^\s*([a-z])\s*\/\s*([a-z])\s*$/i.exec(text)
  if (short) return `${short[1] ?? ''}/${short[2] ?? ''}`.toLowerCase()
  return text.toLowerCase().replace(/[^\p{L}\p{N}]+/gu, '')
}

interface Known {
  readonly column: Column
  readonly half?: 'latitude' | 'longitude'
}
const known = new Map<TableName, ReadonlyMap<string, Known[]>>()

/** Every heading that is understood, by what it may mean; a heading of its own goes before another's alias. */
function headingsOf(table: TableName): ReadonlyMap<string, readonly Known[]> {
  const found = known.get(table)
  if (found) return found
  const made = new Map<string, Known[]>()
  const add = (heading: string, column: Column, half?: Known['half']): void => {
    const key = headingKey(heading)
    const its = made.get(key)
    const one = { column, ...(half && { half }) }
    if (its === undefined) made.set(key, [one])
    else if (its.every((other) => other.column !== column)) its.push(one)
  }
  for (const column of COLUMNS[table]) add(column.heading, column)
  for (const column of COLUMNS[table]) for (const alias of column.aliases) add(alias, column)
  for (const column of COLUMNS[table]) add(column.name, column)
  const positions = COLUMNS[table].filter(({ kind }) => kind === 'position' || kind === 'place')
  for (const column of positions) {
    for (const [half, short] of [
      ['latitude', 'lat'] as const,
      ['longitude', 'lon'] as const,
      ['longitude', 'long'] as const
    ]) {
      for (const name of [column.heading, ...column.aliases]) {
        add(`${name} ${half}`, column, half)
        add(`${name} ${short}`, column, half)
      }
      add(half, column, half)
      add(short, column, half)
    }
  }
  known.set(table, made)
  return made
}

const WITH_UNIT = /^(.*?)\s*[([]\s*([^()[\]]*?)\s*[)\]]$/s

interface Headings {
  /** What it means, and what it may mean where another heading is that already. */
  readonly found: readonly Known[]
  readonly unit: string | undefined
}

/** A heading with or without its unit: `Fuel (kg)`, `Fuel kg`, `Burn/lb/h`. */
function meant(heading: string, table: TableName): Headings | undefined {
  const headings = headingsOf(table)
  const whole = headings.get(headingKey(heading))
  if (whole) return { found: whole, unit: undefined }
  const [, name = '', unit] = WITH_UNIT.exec(heading) ?? []
  if (unit !== undefined) {
    const found = headings.get(headingKey(name))
    return found && { found, unit }
  }
  // The longest end that is a unit: that of `Burn lb/h` is not its last stroke.
  for (const gap of heading.slice(0, 200).matchAll(/[\s/,]+/g)) {
    const found = headings.get(headingKey(heading.slice(0, gap.index)))
    const end = heading.slice(gap.index + gap[0].length)
    if (found?.[0] && UNITS[found[0].column.kind] && unitOf(end) !== undefined) return { found, unit: end }
  }
  return undefined
}

function sourceOf(
  heading: string,
  index: number,
  table: TableName
): { source: Source; others: readonly Source[]; unit: string | undefined } | undefined {
  const said = meant(heading, table)
  if (said === undefined) return undefined
  const [source, ...others] = said.found.map(({ column, half }): Source => {
    return { index, heading, column: column.name, unit: undefined, its: column, ...(half && { half }) }
  })
  return source && { source, others, unit: said.unit }
}

/** How many of the cells of a line are headings. */
const headingsIn = ({ cells }: PastedLine, table: TableName): number =>
  cells.filter((cell, index) => cell !== '' && sourceOf(cell, index, table) !== undefined).length

/**
 * Reads a paste into lines and columns. `chosen` says what headings mean that are not understood; what a row of the draft
 * is called is no heading.
 */
export function headed(
  text: string,
  table: TableName,
  { chosen = {}, draft }: { chosen?: ChosenColumns; draft?: Draft } = {}
): Headed {
  const lines = laidDown(separated(text, table), table)
  const [first] = lines
  if (first === undefined) return { lines, sources: [], unknown: [], faults: [] }
  if (!isHeading(first, lines, table, draft)) return unheaded(lines, table)
  const paste = withHeadings(first, lines.slice(1), table, chosen)
  return { ...paste, faults: [...paste.faults, ...wideLines(first, lines.slice(1), text.includes('\t'))] }
}

/**
 * True of a line of which at least half is understood as headings, and of one of several words that are all no data, over
 * lines that have some.
 */
function isHeading(
  first: PastedLine,
  lines: readonly PastedLine[],
  table: TableName,
  draft: Draft | undefined
): boolean {
  const said = first.cells.filter((cell) => cell !== '')
  const count = headingsIn(first, table)
  if (count > 0 && count * 2 >= said.length) return true
  const isOneOf = wordsOf(table)
  const isData = (cell: string): boolean => /\d/.test(cell) || isOneOf.has(headingKey(cell))
  if (said.length < 2 || said.some(isData) || (draft && said.some(namedIn(draft)))) return false
  return lines.slice(1).some(({ cells }) => cells.some((cell, at) => /\d/.test(cell) && (first.cells[at] ?? '') !== ''))
}

/** Asks whether a row of the draft is called so. */
function namedIn(draft: Draft): (cell: string) => boolean {
  const names = new Set(
    LABELLED.flatMap((table) => draft.tables[table].map(({ cells }) => nameKey(cells[LABELS[table] ?? ''] ?? '')))
  )
  return (cell) => names.has(nameKey(cell))
}

const words = new Map<TableName, ReadonlySet<string>>()

/** Words that cells of a table may have for data. */
function wordsOf(table: TableName): ReadonlySet<string> {
  const found = words.get(table)
  if (found) return found
  const kinds = new Set(COLUMNS[table].map(({ kind }) => kind))
  const made = new Set([
    ...COLUMNS[table].flatMap(({ choices = [], synonyms = {} }) => [...choices, ...Object.keys(synonyms)]),
    ...(kinds.has('yesNo') ? ['yes', 'no', 'y', 'n', 'true', 'false'] : []),
    ...(kinds.has('onLoad') ? [...ON_LOAD_RULES, 'req', 'internal'] : []),
    'none'
  ])
  const keys = new Set([...made].map(headingKey))
  words.set(table, keys)
  return keys
}

/** Lines with cells under no heading at all: a comma in a name, or a block pasted past the last column. */
function wideLines(first: PastedLine, lines: readonly PastedLine[], isTabbed: boolean): Headed['faults'] {
  const most = first.cells.length
  return lines
    .filter(({ cells }) => cells.length > most)
    .map(({ cells, rowNumber }) => {
      const limit = `at most ${String(most)} columns`
      const message = `a line of ${String(cells.length)} cells under ${String(most)} headings`
      const mend = isTabbed
        ? 'Give each column its heading, or leave out what is past the last one.'
        : 'Quote the name that has the separator in it: "Larch, one engine".'
      return { heading: cells[most] ?? '', rowNumber, why: wrong(limit, message, mend).wrong }
    })
}

/** The event as a column of headings with its values beside them, laid down as two lines; other pastes as they are. */
function laidDown(lines: readonly PastedLine[], table: TableName): readonly PastedLine[] {
  const [first, second] = lines
  if (table !== 'event' || !first || !second) return lines
  const beside = { rowNumber: first.rowNumber, cells: lines.map(({ cells }) => cells[0] ?? '') }
  const isUpright = lines.every(({ cells }) => cells.length <= 2) && headingsIn(beside, table) * 2 > lines.length
  if (!isUpright || headingsIn(first, table) === first.cells.length) return lines
  return [beside, { rowNumber: second.rowNumber, cells: lines.map(({ cells }) => cells[1] ?? '') }]
}

/** The lines by the separator that the text itself has: tabs where there are any. */
function separated(text: string, table: TableName): PastedLine[] {
  if (text.includes('\t')) return linesOf(text, '\t')
  const [, semicolon, comma] = SEPARATORS.map((separator) => linesOf(text, separator))
  if (!semicolon || !comma) return semicolon ?? []
  const worth = (lines: readonly PastedLine[]): number => {
    const [first] = lines
    if (first === undefined || lines.every(({ cells }) => cells.length < 2)) return 0
    const even = lines.filter(({ cells }) => cells.length === first.cells.length).length / lines.length
    return headingsIn(first, table) * 100 + even * 10 + Math.min(first.cells.length, 40) / 10
  }
  return worth(semicolon) > worth(comma) ? semicolon : comma
}

/** Without headings the columns are those of the table, in its order. */
function unheaded(lines: readonly PastedLine[], table: TableName): Headed {
  const most = lines.reduce((count, { cells }) => Math.max(count, cells.length), 0)
  const columns = COLUMNS[table].slice(0, most)
  const sources = columns.map((its, index) => ({ index, heading: undefined, column: its.name, unit: undefined, its }))
  const wide = lines.find(({ cells }) => cells.length > COLUMNS[table].length)
  if (!wide) return { lines, sources, unknown: [], faults: [] }
  const limit = `at most ${String(COLUMNS[table].length)} columns`
  const why = wrong(limit, `a line of ${String(wide.cells.length)} cells`, 'Paste it with its headings.').wrong
  return { lines, sources, unknown: [], faults: [{ heading: wide.cells.at(-1) ?? '', rowNumber: wide.rowNumber, why }] }
}

const isSame = (one: Source, other: Source): boolean =>
  one.column === other.column && (one.half === other.half || !one.half || !other.half)

/** A heading that may mean something else as well means that where another has the column: `Push` beside `Time`. */
function gaveWay(before: Source, sources: Source[], table: TableName): boolean {
  const others = sourceOf(before.heading ?? '', before.index, table)?.others ?? []
  const other = others.find((one) => one.unit === before.unit && !sources.some((source) => isSame(source, one)))
  if (other === undefined) return false
  sources.splice(sources.indexOf(before), 1, other)
  return true
}

/** What a heading is taken for because it was chosen so. */
function chosenSource(heading: string, index: number, table: TableName, name: string): ReturnType<typeof sourceOf> {
  const its = COLUMNS[table].find((column) => column.name === name)
  if (its === undefined) return undefined
  const [, , unit] = WITH_UNIT.exec(heading) ?? []
  return { source: { index, heading, column: its.name, unit: undefined, its }, others: [], unit }
}

function withHeadings(
  first: PastedLine,
  lines: readonly PastedLine[],
  table: TableName,
  chosen: ChosenColumns
): Headed {
  const sources: Source[] = []
  const unknown: UnknownHeading[] = []
  const faults: Headed['faults'][number][] = []
  const refuse = (heading: string, { wrong: why }: { wrong: Wrong }): void => {
    faults.push({ heading, rowNumber: first.rowNumber, why })
  }
  first.cells.forEach((heading, index) => {
    if (heading === '') return
    const understood = sourceOf(heading, index, table)
    const found = understood ?? chosenSource(heading, index, table, chosen[index] ?? '')
    if (understood === undefined) unknown.push({ index, heading, column: found?.source.column })
    if (found === undefined) return
    const { unit } = found
    const before = sources.find((one) => isSame(one, found.source))
    const isFree = before === undefined || gaveWay(before, sources, table)
    const other = isFree ? undefined : found.others.find((one) => !sources.some((its) => isSame(its, one)))
    const source = other ?? found.source
    if (!isFree && other === undefined)
      refuse(
        heading,
        wrong('a column once', `"${before.heading ?? ''}" is the same column`, 'Take one of the two out.')
      )
    const units = UNITS[source.its.kind]
    const its = unit === undefined ? undefined : unitOf(unit)
    const fits = its !== undefined && (units?.includes(its) === true || source.its.kind === 'minutes')
    if (unit !== undefined && units && !fits) {
      const limit = `one of ${units.map(unitText).join(', ')}`
      const mend = `Write ${source.its.heading} (${unitText(units[0] ?? '')}).`
      refuse(heading, wrong(limit, `"${unit}" is no unit of this column`, mend))
    }
    sources.push({ ...source, unit: units && fits ? its : undefined })
  })
  for (const { half, column, heading, its } of sources) {
    if (half && !sources.some((one) => one.column === column && one.half && one.half !== half))
      refuse(
        heading ?? '',
        wrong('latitude and longitude', 'only half of a position', `Paste both, or ${its.heading} in one column.`)
      )
  }
  return { lines, sources, unknown, faults }
}
