/** Times that mean another instant though nobody wrote them anew: a time of day is told from the opening of the event. */
import { readCell, sightIn, sightOf } from './cell.ts'
import { COLUMNS } from './columns.ts'
import { indexOf } from './refer.ts'
import { TABLE_NAMES, type Draft, type Moved } from './table.ts'

/**
 * Every time whose text is the same in both drafts and whose instant is not, in the order of the tables and rows; none
 * where the opening is the same. To be asked once the opening may have changed, and told before that is kept:
 * `const after = setCell(draft, 'event', 'event', 'opensAtMs', text)`, then `movedBy(draft, after)`; a paste of the event
 * likewise, with `applyPaste(draft, preview)`. From 22:00 to 22:06 it moves a flight of 22:05Z by a day; an opening moved
 * by whole days moves all times of day with it, which `openingMovedByMs` tells apart.
 */
export function movedBy(before: Draft, after: Draft): Moved[] {
  const [was, is] = [sightOf(before), sightOf(after)]
  if (was.opensAtMs === is.opensAtMs || was.opensAtMs === undefined || is.opensAtMs === undefined) return []
  return TABLE_NAMES.flatMap((table) => {
    const columns = COLUMNS[table].filter(({ kind }) => kind === 'instant')
    const rows = columns.length > 0 ? after.tables[table] : []
    return rows.flatMap((row) =>
      columns.flatMap((column): Moved[] => {
        const text = row.cells[column.name] ?? ''
        const old = indexOf(before)[table].byId.get(row.id)
        if (text === '' || text !== old?.cells[column.name]) return []
        const from = readCell(text, column, sightIn(old.cells, column, was))
        const to = readCell(text, column, sightIn(row.cells, column, is))
        if ('wrong' in from || 'wrong' in to || from.value === to.value) return []
        const [fromMs, toMs] = [from.value as number, to.value as number]
        return [{ table, rowId: row.id, column: column.name, fromMs, toMs }]
      })
    )
  })
}

/** By how much the event opens later; 0 where either draft has no opening. */
export function openingMovedByMs(before: Draft, after: Draft): number {
  const [was, is] = [sightOf(before).opensAtMs, sightOf(after).opensAtMs]
  return was === undefined || is === undefined ? 0 : is - was
}
