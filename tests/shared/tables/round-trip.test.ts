import { describe, expect, it } from 'vitest'
import type { Plan } from '../../../shared/contracts/plan.ts'
import { copyOut } from '../../../shared/tables/copy.ts'
import { documentOf } from '../../../shared/tables/document.ts'
import { blankDraft, draftOf } from '../../../shared/tables/draft.ts'
import { faultsOf, planOf } from '../../../shared/tables/judge.ts'
import { applyPaste, readPaste } from '../../../shared/tables/paste.ts'
import { readRows } from '../../../shared/tables/rows.ts'
import { TABLE_NAMES, type Draft } from '../../../shared/tables/table.ts'
import { paperPlan } from '../../make/plan.ts'
import { demo, demoDraft, OPENS_AT_MS } from './made.ts'
import { strangePlan } from './strange-plan.ts'

function planned(draft: Draft): Plan {
  const made = planOf(draft)
  if ('faults' in made) throw new Error(JSON.stringify(made.faults.slice(0, 3)))
  return made.plan
}

describe('a plan as tables', () => {
  it('comes back the same: the demo, at any opening, and the plan worked out on paper', () => {
    for (const opensAtMs of [OPENS_AT_MS, Date.UTC(2030, 11, 31, 23, 30), Date.UTC(2032, 1, 28, 22, 59, 59, 999)]) {
      expect(planned(draftOf(demo(opensAtMs)))).toEqual(demo(opensAtMs))
    }
    expect(planned(draftOf(paperPlan()))).toEqual(paperPlan())
  })

  it('comes back the same for 150 strange plans, to the last digit and the last field', () => {
    for (let seed = 1; seed <= 150; seed++) {
      const plan = strangePlan(seed)
      const tables = readRows(draftOf(plan))
      const faults = TABLE_NAMES.flatMap((table) => tables[table].flatMap((read) => read.faults))
      expect(faults, `seed ${String(seed)}`).toEqual([])
      expect(documentOf(tables).document, `seed ${String(seed)}`).toEqual(plan)
    }
  })

  it('gives a draft whose ids are those of the plan', () => {
    const { tables } = demoDraft()
    expect(tables.flights.map((row) => row.id)).toEqual(demo().flights.map((flight) => flight.id))
    expect(tables.stations.map((row) => row.id)).toContain('trivet/left')
    expect(tables.order).toHaveLength(32)
  })
})

describe('a blank page', () => {
  it('says what is not there yet, and nothing else', () => {
    const faults = faultsOf(blankDraft())
    expect(faults.every((fault) => fault.lacking)).toBe(true)
    expect(faults.filter((fault) => fault.table === 'event').map((fault) => fault.column)).toEqual([
      'name',
      'opensAtMs'
    ])
    expect(faults.filter((fault) => fault.rowId === undefined).map((fault) => fault.table)).toEqual([
      'receiverTypes',
      'tankerTypes',
      'bases',
      'tracks',
      'tankers',
      'pushGroups',
      'flights'
    ])
  })

  it('becomes the demo by pasting its tables in turn', () => {
    const source = demoDraft()
    let draft = blankDraft(OPENS_AT_MS)
    for (const table of TABLE_NAMES) {
      const preview = readPaste(copyOut(source, table), table, draft)
      expect(preview.refused, table).toEqual([])
      draft = applyPaste(draft, preview)
    }
    const plan = planned(draft)
    const byName = (one: Plan) =>
      one.orders.map((order) =>
        order.sequences.map((sequence) =>
          sequence.slots.map(
            ({ shipId }) => one.flights.flatMap(({ ships }) => ships).find(({ id }) => id === shipId)?.callSign
          )
        )
      )
    expect(byName(plan)).toEqual(byName(demo()))
    expect(plan.flights.map(({ route }) => route.length)).toEqual(demo().flights.map(({ route }) => route.length))
    expect(plan.rules).toEqual(demo().rules)
  })
})
