import { isDeepStrictEqual } from 'node:util'
import { describe, expect, it } from 'vitest'
import { demoPlan } from '../../server/demo/plan.ts'
import { choicesFor } from '../../client/plan/choices.ts'
import type { Plan } from '../../shared/contracts/plan.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { emptyState } from '../../shared/live/state.ts'
import { again } from '../../shared/plan/again.ts'
import { brief } from '../../shared/plan/brief.ts'
import { COLUMNS } from '../../shared/tables/columns.ts'
import { draftOf } from '../../shared/tables/draft.ts'
import { setCell } from '../../shared/tables/edit.ts'
import { planOf, type Memory } from '../../shared/tables/judge.ts'
import { TABLE_NAMES, type Column, type Draft } from '../../shared/tables/table.ts'

/*
 * Checked against the same computation begun from nothing; the plan is the demonstration's with two ships of two flights,
 * at two tankers on two tracks.
 */
const OPENS_AT_MS = Date.UTC(2030, 2, 4, 12, 0)
const SHIPS = new Set(['alder-1', 'alder-2', 'thistle-1', 'thistle-2'])
const TANKERS = new Set(['mallet', 'sorrel'])

function smallDraft(): Draft {
  const demo = demoPlan(OPENS_AT_MS)
  const flights = demo.flights.flatMap((flight) => {
    const ships = flight.ships.filter(({ id }) => SHIPS.has(id))
    return ships.length === 0 ? [] : [{ ...flight, ships, leastShipCount: 1 }]
  })
  const types = new Set(flights.map(({ receiverTypeId }) => receiverTypeId))
  const tankers = demo.tankers
    .filter(({ id }) => TANKERS.has(id))
    .map((tanker) => ({
      ...tanker,
      windows: demo.tankerTypes
        .filter(({ id }) => id === tanker.tankerTypeId)
        .flatMap(({ stations }) =>
          stations.map(({ id }) => ({ stationId: id, opensAtMs: tanker.onStationAtMs, closesAtMs: tanker.leavesAtMs }))
        )
    }))
  const orders = demo.orders.filter(({ tankerId }) => TANKERS.has(tankerId))
  return draftOf({
    ...demo,
    receiverTypes: demo.receiverTypes.filter(({ id }) => types.has(id)),
    bases: demo.bases.map(({ fitFor, ...base }) => (fitFor === undefined ? base : { ...base, fitFor: [...types] })),
    clearances: demo.clearances.filter(({ receiverTypeId }) => types.has(receiverTypeId)),
    flights,
    tankers,
    orders: orders.map((order) => ({
      ...order,
      sequences: order.sequences.map((sequence) => ({
        ...sequence,
        slots: sequence.slots.filter(({ shipId }) => SHIPS.has(shipId))
      }))
    })),
    fallOut: flights.flatMap(({ ships }) => ships.slice(1).map(({ id }) => id))
  })
}

const viewOf = (plan: Plan) => estimate({ ...emptyState('computed'), plan, revision: 0 }, plan.opensAtMs)

/** Another text for a cell: a name or word that may stand there, a figure a little greater, or what another row has. */
function otherText(draft: Draft, table: (typeof TABLE_NAMES)[number], at: number, column: Column): string | undefined {
  const rows = draft.tables[table]
  const text = rows[at]?.cells[column.name] ?? ''
  const choice = choicesFor(draft, table, rows[at], column).find((one) => one !== text)
  if (choice !== undefined) return choice
  if (text !== '' && (column.kind === 'instant' || column.kind === 'opening'))
    return text.replace(/\d(?=Z)/, (digit) => String((Number(digit) + 1) % 10))
  if (/^\d/.test(text)) return text.replace(/^\d+/, (digits) => String(Number(digits) + 1))
  return rows.find((row) => (row.cells[column.name] ?? text) !== text)?.cells[column.name]
}

describe('a plan that is read after one much like it', () => {
  const memory: Memory = {}

  it.each(TABLE_NAMES)('comes to what it comes to alone, whatever cell of %s was changed', (table) => {
    const draft = smallDraft()
    let sound = 0
    for (const column of COLUMNS[table]) {
      const { name } = column
      const at = draft.tables[table].findIndex((row) => (row.cells[name] ?? '') !== '')
      const row = draft.tables[table][Math.max(0, at)]
      const text = otherText(draft, table, Math.max(0, at), column)
      if (row === undefined || text === undefined) continue
      const edited = setCell(draft, table, row.id, name, text)
      const [after, alone] = [planOf(edited, memory), planOf(edited)]
      const where = `${name} ${text}`
      expect(isDeepStrictEqual(after, alone), where).toBe(true)
      if ('faults' in after || 'faults' in alone) continue
      sound += 1
      expect(isDeepStrictEqual(viewOf(after.plan), viewOf(structuredClone(alone.plan))), where).toBe(true)
    }
    // Whoever changes a name in a clearance has none for it: all that can be compared there is what is told.
    if (table !== 'clearances') expect(sound, 'cells whose plan could be worked out').toBeGreaterThan(0)
  })

  it('keeps the ships of a flight that was not touched, and none of those that lean on what was', () => {
    const draft = smallDraft()
    const memory: Memory = {}
    const shipOf = (now: Draft, id: string) => {
      const read = planOf(now, memory)
      if ('faults' in read) throw new Error(read.faults[0]?.message)
      return brief(read.plan).ships.get(id)
    }
    const [alder, thistle] = [shipOf(draft, 'alder-1'), shipOf(draft, 'thistle-1')]
    const lighter = setCell(draft, 'ships', 'thistle-1', 'startFuel', '9000 lb')
    expect(shipOf(lighter, 'alder-1')).toBe(alder)
    expect(shipOf(lighter, 'thistle-1')).not.toBe(thistle)
    const windy = setCell(draft, 'event', draft.tables.event[0]?.id ?? '', 'rules.windSpeed', '33 kt')
    expect(shipOf(windy, 'alder-1')).not.toBe(alder)
  })
})

describe('the later of two values', () => {
  it('has the very parts of the earlier one where they say the same, by id wherever they stand', () => {
    const before = {
      list: [
        { id: 'a', of: [1, 2] },
        { id: 'b', of: [3] }
      ],
      kept: { deep: { x: 1 } }
    }
    const now = again(before, {
      list: [
        { id: 'b', of: [3] },
        { id: 'a', of: [1, 4] }
      ],
      kept: { deep: { x: 1 } }
    })
    expect(now).toEqual({
      list: [
        { id: 'b', of: [3] },
        { id: 'a', of: [1, 4] }
      ],
      kept: { deep: { x: 1 } }
    })
    expect(now.kept).toBe(before.kept)
    expect(now.list[0]).toBe(before.list[1])
    expect(now.list[1]).not.toBe(before.list[0])
    expect(again(before, structuredClone(before))).toBe(before)
  })

  it('is no part of the earlier one where a field came or went, though it is undefined', () => {
    const before = { a: { b: undefined } }
    expect(again<object>(before, { a: {} })).toEqual({ a: {} })
    expect(again<object>(before, { a: {} })).not.toBe(before)
    expect(again<object>({ a: {} }, { a: { c: undefined } })).toStrictEqual({ a: { c: undefined } })
    expect(again<object>({ a: [1] }, { a: [1, 2] })).toEqual({ a: [1, 2] })
    expect(again<object>({ a: [] }, { a: {} })).toEqual({ a: {} })
  })
})
