import { computed, ref, shallowRef, watch } from 'vue'
import { COLUMNS } from '../../shared/tables/columns.ts'
import { sightOf, understood } from '../../shared/tables/cell.ts'
import { copyOut } from '../../shared/tables/copy.ts'
import { addRow, moveRow, removeRow } from '../../shared/tables/edit.ts'
import { movedBy, openingMovedByMs } from '../../shared/tables/moved.ts'
import { labelOf } from '../../shared/tables/refer.ts'
import { shiftTimes } from '../../shared/tables/shift.ts'
import {
  TABLE_NAMES,
  type CellFault,
  type ChosenColumns,
  type Column,
  type Draft,
  type PastePreview,
  type Row,
  type TableName
} from '../../shared/tables/table.ts'
import { rangeText } from '../plan/block.ts'
import { choicesFor, inherited } from '../plan/choices.ts'
import { cursorAt, rangeOf, START, type Cursor, type Place, type Range } from '../plan/cursor.ts'
import { changed, sharing, type CellChange } from '../plan/edit.ts'
import { fillOf } from '../plan/placed.ts'
import { faultCount, faultCounts, faultsByCell, type TableFaults } from '../plan/faults.ts'
import {
  cellName,
  faultText,
  hintText,
  movedText,
  PASTE,
  referrersText,
  SHIFT,
  shiftText,
  TABLES
} from '../words/tables.ts'
import { NoDesk, type Consequences } from './useConsequences.ts'
import type { Tables } from './useTables.ts'

/** What one does to the tables of a draft, whichever of them is open. */
export function useEditor({ tables, consequences }: { tables: Tables; consequences: Consequences }) {
  const { draft } = tables
  const open = ref<TableName>('event')
  const cursors = shallowRef<Partial<Record<TableName, Cursor>>>({})
  const told = ref('')
  const preview = shallowRef<PastePreview>()
  /** What is previewed goes where it was put, whatever its rows are called. */
  const isPlaced = ref(false)
  let pasted: { text: string; range: Range; chosen: ChosenColumns } = { text: '', range: rangeOf(START), chosen: {} }

  const columns = computed(() => COLUMNS[open.value])
  const rows = computed(() => draft.value.tables[open.value])
  const cursor = computed(() => cursors.value[open.value] ?? START)
  /** The event is one row, and stands upright. */
  const upright = computed(() => open.value === 'event')
  const rowAt = ({ row }: Place): Row | undefined => (upright.value ? rows.value[0] : rows.value[row])
  const columnAt = ({ row, column }: Place): Column | undefined => columns.value[upright.value ? row : column]

  const faults = computed((): readonly CellFault[] => {
    const judged = consequences.judged.value
    return judged !== undefined && 'faults' in judged ? judged.faults : []
  })
  const inTable = shallowRef<TableFaults>(new Map())
  watch(
    [faults, open],
    () => {
      inTable.value = faultsByCell(faults.value, open.value, inTable.value)
    },
    { immediate: true }
  )

  function step(next: Tables['draft']['value'], said = '') {
    told.value = said
    tables.step(next)
  }
  /** Times that another opening puts on another day, while nobody touched them: that is said at once. */
  function otherDays(next: Draft): string {
    if (open.value !== 'event') return ''
    const alongMs = openingMovedByMs(draft.value, next)
    const moved = movedBy(draft.value, next).filter(({ fromMs, toMs }) => toMs - fromMs !== alongMs)
    return moved.length === 0
      ? ''
      : movedText(moved.map((one) => ({ ...one, label: labelOf(next, one.table, one.rowId) })))
  }
  function move(to: Cursor) {
    cursors.value = { ...cursors.value, [open.value]: to }
  }
  function set(changes: readonly CellChange[]) {
    const next = changed(draft.value, open.value, changes, inherited(open.value, rows.value.at(-1)))
    step(next, otherDays(next))
  }
  function add(after: Row | undefined) {
    step(addRow(draft.value, open.value, inherited(open.value, after ?? rows.value.at(-1)), after?.id).draft)
  }
  function remove(rowIds: readonly string[]) {
    let next = draft.value
    const referrers = rowIds.flatMap((rowId) => {
      const removed = removeRow(next, open.value, rowId)
      next = removed.draft
      return removed.referrers
    })
    step(next, referrers.length > 0 ? referrersText(referrers) : '')
  }
  function shift(rowId: string, by: -1 | 1) {
    const at = rows.value.findIndex(({ id }) => id === rowId)
    step(moveRow(draft.value, open.value, rowId, at + by))
  }
  function shiftAll(byMs: number) {
    const opensAtMs = sightOf(draft.value).opensAtMs
    step(shiftTimes(draft.value, byMs), opensAtMs === undefined ? '' : SHIFT.done(shiftText(byMs, opensAtMs + byMs)))
  }

  function copied({ top, bottom, left, right }: Range): string {
    const isWhole = upright.value || (top === 0 && bottom >= rows.value.length && left === 0 && rows.value.length > 0)
    const reaches = right === columns.value.length - 1
    if (isWhole && (upright.value ? bottom - top === columns.value.length - 1 : reaches)) return wholeTable()
    return rangeText({ top, bottom, left, right }, (place) => {
      return rowAt(place)?.cells[columnAt(place)?.name ?? ''] ?? ''
    })
  }
  const wholeTable = () => copyOut(draft.value, open.value)

  /** One text fills whatever is chosen; several lie from the first cell chosen on. */
  async function paste(text: string, range: Range) {
    // A blank first cell has its place too.
    const single = text.replace(/[\n\r]+$/, '')
    if (single.trim() === '') told.value = PASTE.empty
    else if (!/[\t\n\r]/.test(single)) fill(single.trim(), range)
    else {
      told.value = ''
      pasted = { text, range, chosen: {} }
      await readPaste(false)
    }
  }
  function fill(value: string, range: Range) {
    const names = columns.value.map(({ name }) => name)
    const across = { top: 0, bottom: 0, left: range.top, right: range.bottom }
    set(fillOf(upright.value ? across : range, rows.value, names, value))
  }
  /** Reads what was pasted; with `replace`, rows that are not in it go. */
  const readPaste = (replace: boolean) =>
    asked(async () => {
      const read = await consequences.read({ table: open.value, replace, ...pasted })
      isPlaced.value = read.isPlaced
      preview.value = read.preview
    })
  /** Reads it again with a column for a heading that is not understood; a blank one takes nothing from under it. */
  function chooseColumn(index: number, column: string) {
    pasted = { ...pasted, chosen: { ...pasted.chosen, [index]: column } }
    return readPaste(preview.value?.replace ?? false)
  }
  async function takePaste() {
    const taken = preview.value
    preview.value = undefined
    if (taken === undefined) return
    await asked(async () => {
      const next = sharing(draft.value, { tables: await consequences.apply(taken) })
      step(next, otherDays(next))
    })
  }
  /** What cannot be worked out is said, and nothing is taken. */
  async function asked(act: () => Promise<void>) {
    try {
      await act()
    } catch (problem) {
      if (!(problem instanceof NoDesk)) throw problem
      told.value = TABLES.noWorker
    }
  }

  /** What stands in the cell of the cursor: its fault, what was understood, or what it takes. */
  const line = computed(() => {
    const [row, column] = [rowAt(cursor.value.at), columnAt(cursor.value.at)]
    if (column === undefined) return { fault: undefined, text: '' }
    const fault =
      row === undefined
        ? undefined
        : (inTable.value.get(row.id)?.get(column.name) ?? inTable.value.get(row.id)?.get(''))
    if (fault !== undefined) return { fault, text: `${column.heading}: ${faultText(fault)}` }
    const said = row === undefined ? undefined : understood(draft.value, open.value, row.id, column.name)
    return { fault, text: said === undefined ? hintText(column) : `${column.heading}: ${said}. ${hintText(column)}` }
  })

  return {
    open,
    columns,
    rows,
    cursor,
    upright,
    faults,
    inTable,
    count: computed(() => faultCount(faults.value)),
    counts: computed(() => faultCounts(faults.value)),
    rowCounts: computed(
      () =>
        Object.fromEntries(TABLE_NAMES.map((name) => [name, draft.value.tables[name].length])) as Record<
          TableName,
          number
        >
    ),
    /** What a faulty cell is called, by the name of its row where that has one. */
    nameOf: ({ table, rowId, rowNumber, column }: CellFault) => {
      const label = rowId === undefined ? '' : labelOf(draft.value, table, rowId)
      return cellName({ table, rowNumber, column, label: label === rowId ? '' : label })
    },
    opensAtMs: computed(() => sightOf(draft.value).opensAtMs),
    chosenRow: computed(() => rowAt(cursor.value.at)),
    told,
    preview,
    isPlaced,
    line,
    move,
    set,
    add,
    remove,
    shift,
    shiftAll,
    copied,
    wholeTable,
    paste,
    readPaste,
    chooseColumn,
    takePaste,
    replace: (whole: Draft, said: string) => {
      step(sharing(draft.value, whole), said)
    },
    removeChosen: () => {
      const row = rowAt(cursor.value.at)
      if (row !== undefined && !upright.value) remove([row.id])
    },
    turn: (by: -1 | 1) => {
      const count = TABLE_NAMES.length
      open.value = TABLE_NAMES[(TABLE_NAMES.indexOf(open.value) + by + count) % count] ?? 'event'
    },
    /** To the cell of a fault. */
    jump: ({ table, rowId, column }: Pick<CellFault, 'table' | 'rowId' | 'column'>) => {
      open.value = table
      const row = Math.max(
        0,
        draft.value.tables[table].findIndex(({ id }) => id === rowId)
      )
      const at = Math.max(
        0,
        COLUMNS[table].findIndex(({ name }) => name === column)
      )
      move(cursorAt(table === 'event' ? { row: at, column: 0 } : { row, column: at }))
    },
    choicesOf: (row: Row | undefined, column: Column) => choicesFor(draft.value, open.value, row, column)
  }
}
