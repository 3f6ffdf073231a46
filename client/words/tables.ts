import type { Role } from '../../shared/contracts/kinds.ts'
import { columnOf, TABLE_HEADINGS } from '../../shared/tables/columns.ts'
import type { CommaRead } from '../../shared/tables/number.ts'
import type {
  CellFault,
  Column,
  Conflict,
  Difference,
  Moved,
  PastedColumn,
  PastedRow,
  Referrer
} from '../../shared/tables/table.ts'
import { clockText, dayText, minuteText } from '../figures.ts'

export const TABLES = {
  title: 'Tables',
  tabs: 'Tables of the plan',
  row: 'Row',
  newRow: 'new',
  what: 'What',
  value: 'Value',
  faulty: 'faulty:',
  lacking: 'missing:',
  keys: 'Keys',
  save: 'Save',
  saving: 'Saving.',
  undo: 'Undo',
  redo: 'Redo',
  drop: 'Drop the draft',
  copyTable: 'Copy the table',
  copied: 'Copied with its headings.',
  addRow: 'Add a row',
  removeRow: 'Remove the row',
  nothingOpen: 'Working out the tables.',
  noWorker:
    'The part of the page that works plans out did not come, or broke: nothing can be pasted or saved. What is typed is kept in this browser. Load the page again.',
  notJudged: 'Not worked out yet.',
  neverJudged: 'What is wrong or missing is not known.',
  notKept: 'This browser keeps no draft: save before you leave.',
  leave: 'The draft is not saved. It stays in this browser until you come back. Leave the page?',
  faults: (count: number) => `${count} ${count === 1 ? 'cell is' : 'cells are'} wrong or missing`,
  noFaults: 'Nothing is wrong or missing.',
  moreFaults: (count: number) => `and ${count} more`,
  before: 'What is shown is from before these faults.',
  tooFaulty: 'The draft cannot be saved while cells are wrong or missing.',
  new: 'New event',
  newNote: 'Nothing is kept by the service until the first save.',
  atWork: 'Kept in this browser'
} as const

/** What the keys do, on one line under the table. */
export const TABLE_KEYS: readonly { say: string; means: string }[] = [
  { say: 'Arrows, Home, End, Page', means: 'move; with Shift choose' },
  { say: 'Enter, F2', means: 'edit; typing replaces' },
  { say: 'Tab', means: 'while editing: take and edit the next cell' },
  { say: 'Escape', means: 'leave the cell as it was' },
  { say: 'Ctrl C, Ctrl V', means: 'copy, paste; Ctrl A chooses the whole table' },
  { say: 'Insert, Ctrl Enter', means: 'add a row' },
  { say: 'Ctrl Delete', means: 'remove the row' },
  { say: 'Delete', means: 'empty the cell' },
  { say: 'Ctrl D', means: 'fill down' },
  { say: 'Alt Up, Alt Down', means: 'move the row' },
  { say: 'Alt Page Up, Alt Page Down', means: 'the table before, the next' },
  { say: 'Ctrl Z, Ctrl Y', means: 'undo, redo' },
  { say: 'Ctrl S', means: 'save' }
]

export const KEPT = {
  title: 'Other drafts kept in this browser',
  take: 'Take it up',
  drop: 'Drop it',
  /** One draft as it is offered; how much it changes is not always known. */
  text: (keptAtMs: number, revision: number, changes: number | undefined) => {
    const kept = `Kept ${dayText(keptAtMs)} at ${minuteText(keptAtMs)}`
    const count = changes === undefined ? '' : `, ${counted(changes, 'change')}`
    return `${kept}${count}${revision === 0 ? '' : ` since revision ${revision}`}`
  }
} as const

/** How the draft stands against what is saved. */
export function draftState(parts: { revision: number; changes: number; keptAtMs: number | undefined }): string {
  const { revision, changes, keptAtMs } = parts
  if (revision > 0 && changes === 0) return `Revision ${revision}, as saved.`
  const kept = keptAtMs === undefined ? '' : ` Kept in this browser at ${clockText(keptAtMs)}.`
  const since = revision === 0 ? 'Nothing is saved yet.' : `${counted(changes, 'change')} since revision ${revision}.`
  return `Draft, not saved. ${since}${kept}`
}

export const savedText = (revision: number): string => `Saved as revision ${revision}. Publish it to put it in force.`
export const mergedText = (revision: number, count: number): string =>
  `Revision ${revision} was saved by somebody else meanwhile: ${counted(count, 'change')} of it came into the draft.`
export const behindText = (revision: number, newest: number): string =>
  `The draft began from revision ${revision}; revision ${newest} is the newest. Saving brings both together.`

const counted = (count: number, noun: string): string => `${count} ${noun}${count === 1 ? '' : 's'}`

/** A cell as it is called: `Ships, Alder 1, Start fuel`; by the number of its row where that has no name yet. */
export function cellName({
  table,
  rowNumber,
  column,
  label
}: Pick<CellFault, 'table' | 'rowNumber' | 'column'> & { label: string }): string {
  const row = rowNumber > 0 && table !== 'event' ? [label === '' ? `row ${rowNumber}` : label] : []
  const name = column === undefined ? [] : [columnOf(table, column).heading]
  return [TABLE_HEADINGS[table], ...row, ...name].join(', ')
}

/** What stands in the cell, what is wrong with it and what would be right. */
export function faultText({ value, message, mend }: CellFault): string {
  const stood = value === '' ? '' : `“${value}”: `
  return `${stood}${message}. ${sentence(mend)}`
}
const sentence = (text: string): string => (text === '' || text.endsWith('.') ? text : `${text}.`)

/** What a cell takes, as its column says. */
export const hintText = (column: Column): string =>
  `${column.heading}${column.required ? '' : ', may stay blank'}. To type: ${column.hint}.`

export const PASTE = {
  title: (table: string) => `Paste into ${table}`,
  columns: 'Columns understood',
  unknown: 'Not understood: choose what stands under them, or nothing is taken from there',
  notTaken: 'not taken',
  noHeadings: 'No headings: columns in the order of the table.',
  placed: 'Row by row, from the first cell chosen on.',
  comma: ({ as, text, value }: CommaRead) =>
    as === 'thousands'
      ? `A comma before three digits parts thousands: ${text} is ${value}.`
      : `Other commas are decimal signs: ${text} is ${value}.`,
  tooWide: (width: number, room: number) => ({
    message: `${counted(width, 'column')} wide, and the table has ${room} from there on`,
    mend: `Begin further to the left, or paste at most ${counted(room, 'column')}.`
  }),
  noName: (headings: readonly string[]) => ({
    message: 'there is no row there, and nothing to call a new one by',
    mend: `Paste ${headings.join(' and ')} with it, or begin higher up.`
  }),
  refused: (count: number) => `${counted(count, 'cell')} refused; nothing is taken until they are mended.`,
  left: (count: number) => `${counted(count, 'cell')} elsewhere to fill in or to mend afterwards.`,
  rows: 'What it comes to',
  row: 'Row',
  what: 'What',
  where: 'Where',
  stood: 'What stands there',
  right: 'What would be right',
  isNew: 'new',
  same: 'as it is',
  changed: 'changed',
  missing: (count: number) => `${counted(count, 'row')} of the table not in the paste`,
  keep: 'Keep them',
  replace: 'Remove them',
  take: 'Take it',
  drop: 'Drop it',
  was: (text: string) => `was ${orBlank(text)}`,
  empty: 'There is no text to paste.',
  line: (number: number) => `line ${number}`,
  more: (count: number) => `and ${count} more`
} as const

/** How a column of a paste was understood: `Fuel (lb) as Start fuel in lb`. */
export function pastedColumn(table: CellFault['table'], { heading, column, unit }: PastedColumn): string {
  const name = columnOf(table, column).heading
  const inUnit = unit === undefined ? '' : ` in ${unit}`
  const said = heading?.replace(/\s*[([].*$/, '')
  return said === undefined || said === name ? `${name}${inUnit}` : `${heading ?? ''} as ${name}${inUnit}`
}

const ORDINALS = ['', 'first', 'second', 'third', 'fourth', 'fifth']

/** What a paste makes of a row, in a word; of a slot more of a ship that has one, which contact that is. */
export function rowChange({ rowId, changed, contact, cells }: PastedRow): string {
  if (rowId !== undefined) return changed.length === 0 ? PASTE.same : PASTE.changed
  if (contact === undefined) return PASTE.isNew
  const ordinal = ORDINALS[contact] ?? `${contact}th`
  // A visit that is not said is the first, as the only one.
  return `${PASTE.isNew}: ${ordinal} contact of visit ${cells['visitId'] || '1'}`
}

export const MERGE = {
  title: 'Both changed these cells',
  note: (revision: number) => `Somebody saved revision ${revision} since this draft began. Choose for each cell.`,
  where: 'Cell',
  base: 'It was',
  theirs: 'Theirs',
  mine: 'Mine',
  nothing: 'no such row',
  wholeRow: 'the row',
  blank: 'blank',
  take: 'Save with these',
  drop: 'Not now',
  allTheirs: 'All theirs',
  allMine: 'All mine',
  open: (count: number) => (count === 0 ? 'All are chosen.' : `${counted(count, 'cell')} still to choose.`)
} as const
export const conflictName = ({ table, label, column }: Conflict): string =>
  `${TABLE_HEADINGS[table]}, ${label}: ${column === undefined ? MERGE.wholeRow : columnOf(table, column).heading}`
export const conflictValue = (column: string | undefined, value: string | undefined): string =>
  value === undefined ? MERGE.nothing : value === '' ? (column === undefined ? MERGE.wholeRow : MERGE.blank) : value

export const REVISIONS = {
  title: 'Revisions',
  show: 'Revisions',
  by: 'Saved under',
  unknownLink: 'a link not known here',
  first: 'The first.',
  none: 'The same plan as the one before.',
  takeBack: (revision: number) => `Take revision ${revision} back into the draft`,
  tookBack: (revision: number) => `Revision ${revision} stands in the tables. Save makes it the newest.`,
  published: 'published',
  newest: 'newest',
  more: (count: number) => `and ${counted(count, 'more difference')}`
} as const
export const revisionText = (revision: { revision: number; savedAtMs: number; role: Role | null; savedBy: string }) =>
  `Revision ${revision.revision}, ${dayText(revision.savedAtMs)} ${minuteText(revision.savedAtMs)}, under ${
    revision.role === null ? REVISIONS.unknownLink : `the ${revision.role}’s link ${revision.savedBy}`
  }`

/** What somebody saved meanwhile; what it changes is told as far as it is given. */
export function newerText(saved: Parameters<typeof revisionText>[0], told: readonly string[], count: number): string {
  const more = count > told.length ? [REVISIONS.more(count - told.length)] : []
  const changes = count === 0 ? REVISIONS.none : `${[...told, ...more].join('; ')}.`
  return `${revisionText(saved)}, was saved meanwhile. ${changes}`
}

/** One difference of two drafts, in words. */
export function differenceText({ table, label, kind, column, from, to }: Difference): string {
  const where = `${TABLE_HEADINGS[table]}, ${label}`
  if (kind !== 'changed') return `${where}: ${kind}`
  const name = column === undefined ? '' : `${columnOf(table, column).heading} `
  return `${where}: ${name}${orBlank(to)}, was ${orBlank(from)}`
}
export const orBlank = (text: string | undefined): string => (text === undefined || text === '' ? MERGE.blank : text)

/** What loses what it names when rows go. */
export const referrersText = (referrers: readonly Referrer[]): string =>
  `${counted(referrers.length, 'cell')} still ${referrers.length === 1 ? 'names' : 'name'} what was removed: ${referrers
    .slice(0, 5)
    .map(({ table, label, column }) => `${TABLE_HEADINGS[table]} ${label}, ${columnOf(table, column).heading}`)
    .join('; ')}${referrers.length > 5 ? ' …' : ''}.`

/** Times of day that another opening of the event has put on another day. */
export const movedText = (moved: readonly (Moved & { label: string })[]): string =>
  `With this opening ${counted(moved.length, 'time')} ${moved.length === 1 ? 'is' : 'are'} on another day: ${moved
    .slice(0, 5)
    .map(
      ({ table, label, column, toMs }) =>
        `${TABLE_HEADINGS[table]} ${label}, ${columnOf(table, column).heading} ${dayText(toMs)} ${minuteText(toMs)}`
    )
    .join('; ')}${moved.length > 5 ? ' …' : ''}.`

export const SHIFT = {
  title: 'Shift all times',
  field: 'By so long, or so that it opens at',
  hint: '+24 h, -30 min, +1 d 02:00, or a date and time: 2031-05-18 1300Z',
  act: 'Shift',
  notUnderstood: 'Not understood: a span with its sign and unit, or a date and time.',
  none: 'Nothing to shift: the opening of the event is not understood.',
  done: (text: string) => `All times moved. ${text}`
} as const
/** What a shift comes to. */
export const shiftText = (byMs: number, opensAtMs: number): string =>
  `Everything ${spanWords(byMs)}: the event opens ${dayText(opensAtMs)} ${minuteText(opensAtMs)}.`
function spanWords(byMs: number): string {
  const minutes = Math.round(Math.abs(byMs) / 60_000)
  const [days, hours] = [Math.floor(minutes / 1440), Math.floor((minutes % 1440) / 60)]
  const parts = [
    days > 0 ? [`${days} d`] : [],
    hours > 0 ? [`${hours} h`] : [],
    minutes % 60 ? [`${minutes % 60} min`] : []
  ]
  return minutes === 0 ? 'stays' : `${parts.flat().join(' ')} ${byMs < 0 ? 'earlier' : 'later'}`
}

export const LIBRARY = {
  title: 'Library',
  shipped: 'Invented types to begin with',
  mine: 'My library, in this browser',
  where:
    'Kept in this browser alone, for every event that is planned in it. Export it as a file to have it elsewhere; rows can also be copied from the tables of one event and pasted into those of another.',
  none: 'Nothing is kept here yet.',
  add: 'Into the draft',
  keep: (label: string) => `Keep ${label}`,
  keepNote: 'Choose a row of types, tracks or bases in the tables to keep it here.',
  kept: (label: string) => `${label} is kept in this browser.`,
  added: (label: string) => `${label} stands in the tables.`,
  there: (label: string) => `${label} stands in the tables already; rename that one first.`,
  remove: 'Remove',
  export: 'Export my library',
  import: 'Import a library',
  imported: (count: number) => `${counted(count, 'thing')} imported.`,
  badFile: 'That file is no library of this page.',
  /** Blank where nothing was left out. */
  leftOut: (names: readonly string[]) =>
    names.length === 0 ? '' : `Left out, as no table here has such a column: ${names.join('; ')}.`,
  full: 'This browser has no room to keep it.'
} as const
