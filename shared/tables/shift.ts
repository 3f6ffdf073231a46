/** The same event at another time: every instant moves by the same. */
import type { Plan } from '../contracts/plan.ts'
import { cellText, readCell, sightIn, sightOf } from './cell.ts'
import { COLUMNS } from './columns.ts'
import { withCell } from './edit.ts'
import { TABLE_NAMES, type Column, type Draft, type Row } from './table.ts'

const isInstant = ({ kind }: Column): boolean => kind === 'opening' || kind === 'instant'

/** The draft with every time that can be read moved; one that cannot stays as it was typed. */
export function shiftTimes(draft: Draft, byMs: number): Draft {
  if (byMs === 0) return draft
  const sight = sightOf(draft)
  const opensAtMs = sight.opensAtMs === undefined ? undefined : sight.opensAtMs + byMs
  const moved = (row: Row, column: Column): Row => {
    const text = row.cells[column.name] ?? ''
    const its = sightIn(row.cells, column, sight)
    const read = text === '' ? undefined : readCell(text, column, its)
    if (read === undefined || 'wrong' in read) return row
    // Its closing stands behind it in the row, and is moved after it.
    const closesAtMs = its.closesAtMs === undefined ? undefined : its.closesAtMs + byMs
    const after = cellText((read.value as number) + byMs, column, { opensAtMs, closesAtMs })
    return { ...row, cells: withCell(row.cells, column.name, after) }
  }
  const tables = { ...draft.tables }
  for (const table of TABLE_NAMES) {
    const columns = COLUMNS[table].filter(isInstant)
    if (columns.length > 0) tables[table] = tables[table].map((row) => columns.reduce(moved, row))
  }
  return { tables }
}

/** The plan with every instant moved; the names of its instants end in AtMs. */
export const shiftPlanTimes = (plan: Plan, byMs: number): Plan => moved(plan, byMs) as Plan

function moved(value: unknown, byMs: number): unknown {
  if (Array.isArray(value)) return value.map((one) => moved(one, byMs))
  if (typeof value !== 'object' || value === null) return value
  return Object.fromEntries(
    Object.entries(value).map(([key, one]) => [
      key,
      key.endsWith('AtMs') && typeof one === 'number' ? one + byMs : moved(one, byMs)
    ])
  )
}
