/** One cell: from its text to what it says, and back to the text the draft keeps. References are read in refer.ts. */
import type { MassUnit } from '../contracts/kinds.ts'
import { MASS_UNITS } from '../contracts/kinds.ts'
import type { LandingReserve, OnLoadRule } from '../contracts/plan.ts'
import type { Position } from '../contracts/quantities.ts'
import type { Reported } from '../units.ts'
import { columnOf } from './columns.ts'
import { figureText, readFigure, readPlain, UNITS, unitText, type Sight } from './figure.ts'
import { fullText, instantText, readInstant, readOpening, readWindowOpening, windowOpeningText } from './instant.ts'
import { listOf, listText, NONE } from './list.ts'
import { numberText } from './number.ts'
import { minutesText, positionText, readPosition } from './position.ts'
import {
  onLoadText,
  ownOnLoadsText,
  readOnLoad,
  readOwnOnLoads,
  readReserve,
  reserveText,
  type OwnOnLoad
} from './rule.ts'
import type { Cells, Column, Draft, TableName } from './table.ts'
import { wrong, type Reading } from './wrong.ts'

/** How figures and times of a draft are meant. */
export function sightOf(draft: Draft): Sight {
  const cells = draft.tables.event[0]?.cells ?? {}
  const unit = readChoice(cells['massUnit'] ?? '', columnOf('event', 'massUnit'))
  const opens = readOpening(cells['opensAtMs'] ?? '')
  return {
    massUnit: 'value' in unit ? MASS_UNITS.find((one): one is MassUnit => one === unit.value) : undefined,
    opensAtMs: 'value' in opens ? opens.value : undefined
  }
}

/** How a cell is meant beside the others of its row: an opening is told from its closing too. */
export function sightIn(cells: Cells, column: Column, sight: Sight): Sight {
  if (column.until === undefined) return sight
  const text = (cells[column.until] ?? '').trim()
  const closes = text === '' ? undefined : readInstant(text, sight.opensAtMs)
  return { ...sight, closesAtMs: closes && 'value' in closes ? closes.value : undefined }
}

const words = (text: string): string => text.trim().toLowerCase().replace(/\s+/g, ' ')

function readChoice(text: string, { choices = [], synonyms = {} }: Column): Reading<string> {
  const said = words(text)
  const meant = Object.hasOwn(synonyms, said) ? synonyms[said] : said
  const found = choices.find((one) => one.toLowerCase() === meant)
  if (found !== undefined) return { value: found }
  return wrong(`one of ${choices.join(', ')}`, `"${text}" is none of them`, `Write one of: ${choices.join(', ')}.`)
}

const YES = new Set(['yes', 'y', 'true', '1', 'x', '✓'])
const NO = new Set(['no', 'n', 'false', '0', '-'])

function readYesNo(text: string): Reading<boolean> {
  const said = words(text)
  if (YES.has(said)) return { value: true }
  if (NO.has(said)) return { value: false }
  return wrong('yes or no', `"${text}" is neither`, 'Write yes or no.')
}

function readPositions(text: string): Reading<readonly Position[]> {
  const read = listOf(text).map(readPosition)
  const fault = read.find((one) => 'wrong' in one)
  return fault ?? { value: read.flatMap((one) => ('value' in one ? [one.value] : [])) }
}

/** What a cell says, by the kind of its column; names are left as they are. */
export function readCell(text: string, column: Column, sight: Sight): Reading<unknown> {
  switch (column.kind) {
    case 'name':
    case 'callSign':
    case 'words':
    case 'reference':
      return { value: text.trim() }
    case 'references':
      return { value: words(text) === NONE ? [] : listOf(text) }
    case 'quantity':
    case 'mass':
    case 'flow':
    case 'speed':
    case 'density':
      return readFigure(text, column, sight)
    case 'minutes':
    case 'bearing':
    case 'percent':
    case 'factor':
    case 'count':
      return readPlain(text, column.kind, sight)
    case 'opening':
      return readOpening(text)
    case 'instant':
      return column.until === undefined ? readInstant(text, sight.opensAtMs) : readWindowOpening(text, sight)
    case 'position':
      return readPosition(text)
    case 'positions':
      return readPositions(text)
    case 'place':
      return placeOf(text)
    case 'choice':
      return readChoice(text, column)
    case 'yesNo':
      return readYesNo(text)
    case 'reserve':
      return readReserve(text, sight)
    case 'onLoad':
      return readOnLoad(text, sight)
    case 'ownOnLoads':
      return words(text) === NONE ? { value: [] } : readOwnOnLoads(text, sight)
  }
}

/** A position where it reads as one; else the name of a place. */
function placeOf(text: string): Reading<Position | string> {
  const position = readPosition(text)
  return 'value' in position ? position : { value: text.trim() }
}

/** The text that reads back to the very same value. */
export function cellText(value: unknown, column: Column, sight: Pick<Sight, 'opensAtMs' | 'closesAtMs'>): string {
  switch (column.kind) {
    case 'name':
    case 'callSign':
    case 'words':
    case 'reference':
    case 'choice':
      return String(value)
    case 'references':
      return (value as string[]).length > 0 ? listText(value as string[]) : column.blankIsNone === true ? '' : NONE
    case 'quantity':
    case 'mass':
    case 'flow':
    case 'speed':
    case 'density':
      return figureText(value as Reported<string>)
    case 'minutes':
    case 'bearing':
    case 'percent':
    case 'factor':
    case 'count':
      return numberText(value as number)
    case 'opening':
      return fullText(value as number)
    case 'instant':
      return column.until === undefined
        ? instantText(value as number, sight.opensAtMs)
        : windowOpeningText(value as number, sight)
    case 'position':
      return positionText(value as Position)
    case 'positions':
      return listText((value as Position[]).map(positionText))
    case 'place':
      return typeof value === 'string' ? value : positionText(value as Position)
    case 'yesNo':
      return value === true ? 'yes' : column.yesOnly === true ? '' : 'no'
    case 'reserve':
      return reserveText(value as LandingReserve)
    case 'onLoad':
      return onLoadText(value as OnLoadRule)
    case 'ownOnLoads':
      return (value as OwnOnLoad[]).length === 0 ? NONE : ownOnLoadsText(value as OwnOnLoad[])
  }
}

/** The text as the draft keeps it: with its unit, its Z, its words; itself where it cannot be read. */
export function tidy(text: string, column: Column, sight: Sight): string {
  const plain = text.trim()
  if (plain === '') return ''
  const read = readCell(plain, column, sight)
  return 'value' in read ? cellText(read.value, column, sight) : plain
}

/** What a cell says beyond its own text: the date of a time, degrees of a position; undefined where it says no more. */
export function understood(draft: Draft, table: TableName, rowId: string, name: string): string | undefined {
  const cells = draft.tables[table].find((row) => row.id === rowId)?.cells ?? {}
  const column = columnOf(table, name)
  return resolvedText(cells[name] ?? '', column, sightIn(cells, column, sightOf(draft)))
}

/** The same of a text that is not in the draft yet. */
export function resolvedText(text: string, column: Column, sight: Sight): string | undefined {
  if (text.trim() === '') return undefined
  const read = readCell(text, column, sight)
  if ('wrong' in read || isName(column)) return undefined
  const said = saidOf(read.value, column, sight)
  return said === text.trim() ? undefined : said
}

/** More than its own text: a time with its date, a position in degrees and minutes, a number with its unit. */
function saidOf(value: unknown, column: Column, sight: Sight): string {
  if (column.kind === 'instant') return fullText(value as number)
  const isPosition = column.kind === 'position' || (column.kind === 'place' && typeof value !== 'string')
  return isPosition ? minutesText(value as Position) : withUnit(cellText(value, column, sight), column)
}

const withUnit = (text: string, { kind }: Column): string =>
  ['minutes', 'bearing', 'percent'].includes(kind) ? `${text} ${unitText(UNITS[kind]?.[0] ?? '')}` : text

const isName = ({ kind }: Column): boolean => ['name', 'callSign', 'words', 'reference', 'references'].includes(kind)
