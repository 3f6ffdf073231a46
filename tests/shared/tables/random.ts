import { COLUMNS } from '../../../shared/tables/columns.ts'
import { addRow, moveRow, removeRow, setCell } from '../../../shared/tables/edit.ts'
import { TABLE_NAMES, type Draft } from '../../../shared/tables/table.ts'
import { chance, pick } from './made.ts'

const TEXTS = [
  '',
  '1',
  '4,500',
  '1430',
  'Alder',
  'yes',
  'Rue',
  'full',
  '12 min',
  '44 09.0N 155 24.0W',
  '-3 lb',
  '#',
  'none'
]

/** A draft after some edits at random: cells set to other texts, rows added, removed and moved. */
export function edited(draft: Draft, seed: number, count: number): Draft {
  const random = chance(seed)
  let after = draft
  for (let edit = 0; edit < count; edit++) {
    const table = pick(random, TABLE_NAMES)
    const rows = after.tables[table]
    const row = rows.length > 0 ? pick(random, rows) : undefined
    const column = pick(random, COLUMNS[table])
    const kind = random()
    if (!row || kind < 0.1) {
      const name = `Row ${String(Math.floor(random() * 50))}`
      after = addRow(after, table, { [COLUMNS[table][0]?.name ?? '']: name }).draft
    } else if (kind < 0.2 && table !== 'event') after = removeRow(after, table, row.id).draft
    else if (kind < 0.3) after = moveRow(after, table, row.id, Math.floor(random() * rows.length))
    else {
      const text = pick(random, [...TEXTS, `New ${String(Math.floor(random() * 20))}`])
      after = setCell(after, table, row.id, column.name, text)
    }
  }
  return after
}
