import type { CommaRead } from './number.ts'

/*
 * A plan as tables of rows of text. One form serves paste, edit, undo, merge and differences: cells hold what a person
 * reads and types, references are call signs and names, and only `planOf` makes the checked plan of it.
 *
 *   draft.ts        blankDraft(opensAtMs?), draftOf(plan)
 *   judge.ts        planOf(draft), faultsOf(draft)              needs the schemas: load it lazily
 *   paste.ts        readPaste(text, table, draft, replace?), applyPaste(draft, preview)            lazily too
 *   copy.ts         copyOut(draft, table, rowIds?)
 *   edit.ts         setCell, addRow, removeRow, moveRow, refersTo
 *   merge.ts        merge(base, theirs, mine), settle(merged, choices)
 *   differences.ts  differences(before, after)
 *   moved.ts        movedBy(before, after): times that another opening of the event moves to another day
 *   shift.ts        shiftTimes(draft, byMs), shiftPlanTimes(plan, byMs)
 *   cell.ts         understood(draft, table, rowId, column): what a cell says, the full date of a time with it
 *   columns.ts      COLUMNS; refer.ts: labelOf(draft, table, rowId)
 *
 * Every function gives a new draft, or the very same object where nothing changes; none changes what it is given.
 */

/** In the order in which they are best filled: a table refers to those before it. */
export const TABLE_NAMES = [
  'event',
  'receiverTypes',
  'tankGroups',
  'tankerTypes',
  'stations',
  'clearances',
  'bases',
  'tracks',
  'tankers',
  'windows',
  'pushGroups',
  'flights',
  'ships',
  'route',
  'order'
] as const
export type TableName = (typeof TABLE_NAMES)[number]

/** Cells by the name of their column; one that is left out is blank. Cells of no column are kept and mean nothing. */
export type Cells = Readonly<Record<string, string>>

/** The id is that of the thing in the plan, or composed where the plan has none; it never changes. */
export interface Row {
  readonly id: string
  readonly cells: Cells
}

export interface Draft {
  readonly tables: Readonly<Record<TableName, readonly Row[]>>
}

export const COLUMN_KINDS = [
  'name',
  'callSign',
  'words',
  /** Fuel by mass or by volume. */
  'quantity',
  'mass',
  'flow',
  'speed',
  'density',
  'minutes',
  'bearing',
  'percent',
  'factor',
  'count',
  /** The opening of the event, which every other time is told from: with its date. */
  'opening',
  'instant',
  'position',
  /** Several, with semicolons between them. */
  'positions',
  /** A position, or the name of a base or a track. */
  'place',
  'reference',
  /** Several, with semicolons between them; `none` says that there are none. */
  'references',
  'choice',
  'yesNo',
  /** The rule for fuel on landing: `12 min`, `14 % not below 1100 lb`, `18 % at control points`; several: the greatest. */
  'reserve',
  /** `required`, `internals`, `full`, or an amount of fuel. */
  'onLoad',
  /** On-loads of one ship by visit: `1: full; 2: 2700 lb`. */
  'ownOnLoads'
] as const
export type ColumnKind = (typeof COLUMN_KINDS)[number]

/**
 * What a cell names: a row of a table, by call sign or name. Where names are only unique inside something, `by` leads
 * there: from the row by these columns, each a reference. Visits of a flight are named 1, 2, … in the order flown.
 */
export interface Reference {
  readonly table: TableName
  readonly by?: readonly string[]
}

export interface Column {
  /** Where it stands in its thing of the plan, `flows.taxi`; or a word of its own where it leads to another. */
  readonly name: string
  /** The word on the screen and in a copy; its unit is put in brackets behind it. */
  readonly heading: string
  readonly kind: ColumnKind
  readonly required: boolean
  /** Other headings that are understood. */
  readonly aliases: readonly string[]
  /** What to type, with an example. */
  readonly hint: string
  readonly choices?: readonly string[]
  /** Other words for a choice. */
  readonly synonyms?: Readonly<Record<string, string>>
  readonly refersTo?: Reference
  /** Without a unit, a flow is by this. */
  readonly per?: 'h' | 'min'
  /** Whole loads: fuel below this that says no unit is asked back, as thousands may be meant. */
  readonly leastBare?: number
  /** It opens a window that may have been open before the event is; the column in which that closes. */
  readonly until?: string
  /** A yes is written, a no is left blank. */
  readonly yesOnly?: true
  /** A blank list is an empty one; elsewhere a blank says nothing, and `none` says that the list is empty. */
  readonly blankIsNone?: true
}

/** What is wrong with one cell, and what would be right. */
export interface CellFault {
  readonly table: TableName
  /** Undefined where the whole table is meant, or a row of a paste that is not in the draft yet. */
  readonly rowId: string | undefined
  /** Counted from 1 in its table, from the first line in a paste; 0 where no row is meant. */
  readonly rowNumber: number
  /** The name of the column; undefined where the row is meant, or the table. */
  readonly column: string | undefined
  /** As it stands in the cell. */
  readonly value: string
  /** What the value must keep to: `at most 10,450 lb, what its tanks hold`. */
  readonly limit: string
  readonly message: string
  /** What would be right, as a sentence. */
  readonly mend: string
  /** Something is not there yet; nothing that is there is wrong. */
  readonly lacking: boolean
}

export interface PastedColumn {
  /** Counted from 0 in the paste. */
  readonly index: number
  /** As pasted; undefined where the paste has no headings. */
  readonly heading: string | undefined
  readonly column: string
  /** Of figures that have none of their own. */
  readonly unit: string | undefined
}

export interface PastedRow {
  /** Line of the paste, counted from 1, the headings with it. */
  readonly rowNumber: number
  /** The row it is matched to by its key; undefined: a new one. */
  readonly rowId: string | undefined
  readonly label: string
  /** Of the pasted columns alone, written as the draft keeps them. */
  readonly cells: Cells
  readonly changed: readonly string[]
  /** What was understood where that is more than what was pasted: the date of a time, the unit of a figure. */
  readonly resolved: Cells
  /** Of a new slot whose ship has others in the visit: which contact of it that is, from 2. */
  readonly contact?: number
}

/** A heading that says no column by itself, and the one that was chosen for it. */
export interface UnknownHeading {
  /** Counted from 0 in the paste. */
  readonly index: number
  readonly heading: string
  /** Undefined: nothing is taken from under it. */
  readonly column: string | undefined
}

/** Columns chosen for headings of a paste, by their places in it. */
export type ChosenColumns = Readonly<Record<number, string>>

export interface PastePreview {
  readonly table: TableName
  /** The rows that are missing go. */
  readonly replace: boolean
  readonly columns: readonly PastedColumn[]
  /** Headings that are no column of the table by themselves. */
  readonly unknown: readonly UnknownHeading[]
  /** What commas in its figures were taken for. */
  readonly commas: readonly CommaRead[]
  readonly rows: readonly PastedRow[]
  /** With anything refused nothing can be applied. */
  readonly refused: readonly CellFault[]
  /** What the paste would leave to mend or to fill in elsewhere. */
  readonly left: readonly CellFault[]
  /** In the draft and not in the paste: kept, unless the caller asks to replace the table. */
  readonly missing: readonly { readonly rowId: string; readonly label: string }[]
}

/** A cell, or a whole row, that both changed; undefined is a row that is not there. */
export interface Conflict {
  readonly table: TableName
  readonly rowId: string
  readonly label: string
  /** Undefined where one took the row away and the other changed it. */
  readonly column: string | undefined
  readonly base: string | undefined
  readonly theirs: string | undefined
  readonly mine: string | undefined
}

export interface Merged {
  /** Where there is a conflict it holds mine. */
  readonly draft: Draft
  readonly conflicts: readonly Conflict[]
}
export type Side = 'theirs' | 'mine'

export interface Difference {
  readonly table: TableName
  readonly rowId: string
  /** What the row is called after the change, or was before it. */
  readonly label: string
  readonly kind: 'added' | 'removed' | 'changed' | 'moved'
  /** Of a change; a time that only the opening of the event has moved is told with its dates. */
  readonly column?: string
  readonly from?: string
  readonly to?: string
}

/** A time that means another instant since the event opens at another time. */
export interface Moved {
  readonly table: TableName
  readonly rowId: string
  readonly column: string
  readonly fromMs: number
  readonly toMs: number
}

/** A cell that names a row. */
export interface Referrer {
  readonly table: TableName
  readonly rowId: string
  readonly label: string
  readonly column: string
}
