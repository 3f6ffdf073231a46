import { describe, expect, it } from 'vitest'
import { COLUMNS, LABELS, PARENTS } from '../../../shared/tables/columns.ts'
import { setCell } from '../../../shared/tables/edit.ts'
import { faultsOf } from '../../../shared/tables/judge.ts'
import { TABLE_NAMES, type Draft, type TableName } from '../../../shared/tables/table.ts'
import { chance, demoDraft, pick } from './made.ts'

/** Cells that can be blank without making nonsense of what stands beside them: no names, no kinds, no parts of things. */
const speaks = (table: TableName, name: string): boolean =>
  name === LABELS[table] || name === PARENTS[table] || name === 'kind' || name === 'role.kind'
const CELLS = TABLE_NAMES.flatMap((table) =>
  COLUMNS[table]
    .filter(({ name, required }) => required && !speaks(table, name))
    .flatMap(({ name }) => demoDraft().tables[table].map(({ id }) => ({ table, id, column: name })))
)

function blanked(draft: Draft, seed: number, count: number): Draft {
  const random = chance(seed)
  let made = draft
  for (let at = 0; at < count; at++) {
    const { table, id, column } = pick(random, CELLS)
    made = setCell(made, table, id, column, '')
  }
  return made
}

describe('a sound plan with cells blank', () => {
  /* The demo has no fault, so whatever is told beside the blanks would be made up. */
  it('is told of nothing but what is not there, for 150 drafts', () => {
    const whole = demoDraft()
    let blank = 0
    for (let seed = 1; seed <= 150; seed++) {
      const faults = faultsOf(blanked(whole, seed, 1 + (seed % 6)))
      blank += faults.length
      expect(
        faults.filter(({ lacking }) => !lacking),
        `seed ${String(seed)}`
      ).toEqual([])
    }
    expect(blank).toBeGreaterThan(300)
  }, 60_000)
})
