import { demoPlan } from '../../../server/demo/plan.ts'
import type { Plan } from '../../../shared/contracts/plan.ts'
import { draftOf } from '../../../shared/tables/draft.ts'
import type { Cells, Draft, Row, TableName } from '../../../shared/tables/table.ts'

export const OPENS_AT_MS = Date.UTC(2030, 2, 4, 12, 0)
export const demo = (opensAtMs = OPENS_AT_MS): Plan => demoPlan(opensAtMs)
const draft = frozen(draftOf(demo()))
/** The demo's tables: one draft for all tests, which no test can change. */
export const demoDraft = (): Draft => draft

function frozen<Value>(value: Value): Value {
  if (typeof value === 'object' && value !== null) Object.values(Object.freeze(value)).forEach(frozen)
  return value
}

/** A row that is there. */
export function rowOf(draft: Draft, table: TableName, id: string): Row {
  const row = draft.tables[table].find((one) => one.id === id)
  if (row === undefined) throw new Error(`no row ${id} in ${table}`)
  return row
}
export const cellsOf = (draft: Draft, table: TableName, id: string): Cells => rowOf(draft, table, id).cells

/** Chance that can be repeated: numbers from 0 to 1, by the generator mulberry32. */
export function chance(seed: number): () => number {
  let state = seed >>> 0
  return () => {
    state = (state + 0x6d2b79f5) >>> 0
    let mixed = Math.imul(state ^ (state >>> 15), state | 1)
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61)
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296
  }
}
export const pick = <T>(random: () => number, list: readonly T[]): T => {
  const one = list[Math.floor(random() * list.length)]
  if (one === undefined) throw new Error('nothing to pick from')
  return one
}
