import { describe, expect, it } from 'vitest'
import { understood } from '../../../shared/tables/cell.ts'
import { differences } from '../../../shared/tables/differences.ts'
import { blankDraft, draftOf } from '../../../shared/tables/draft.ts'
import { addRow, moveRow, refersTo, removeRow, setCell } from '../../../shared/tables/edit.ts'
import { faultsOf, planOf } from '../../../shared/tables/judge.ts'
import { labelOf } from '../../../shared/tables/refer.ts'
import { shiftPlanTimes, shiftTimes } from '../../../shared/tables/shift.ts'
import { TABLE_NAMES, type Draft } from '../../../shared/tables/table.ts'
import { cellsOf, demo, demoDraft, OPENS_AT_MS } from './made.ts'
import { strangePlan } from './strange-plan.ts'

const planned = (draft: Draft) => {
  const made = planOf(draft)
  if ('faults' in made) throw new Error(JSON.stringify(made.faults.slice(0, 3)))
  return made.plan
}

describe('a cell set', () => {
  it('is written as it is kept, and stays as it was typed where it cannot be read', () => {
    const draft = demoDraft()
    const set = (column: string, text: string) =>
      cellsOf(setCell(draft, 'tankers', 'mallet', column, text), 'tankers', 'mallet')[column]
    expect(set('keeps', '22,600')).toBe('22600 lb')
    expect(set('leavesAtMs', '1410')).toBe('14:10Z')
    expect(set('leavesAtMs', '051410')).toBe('051410Z')
    expect(set('leavesAtMs', 'at noon')).toBe('at noon')
    expect(set('join.block', '')).toBeUndefined()
  })

  it('gives the very same draft where it says the same, and leaves the one before alone', () => {
    const draft = demoDraft()
    expect(setCell(draft, 'tankers', 'mallet', 'keeps', '22,500')).toBe(draft)
    const text = JSON.stringify(draft)
    setCell(draft, 'flights', 'alder', 'callSign', 'Birch')
    expect(JSON.stringify(draft)).toBe(text)
  })

  it('names row and column where there are none such', () => {
    expect(() => setCell(demoDraft(), 'tankers', 'nobody', 'keeps', '1')).toThrow(/nobody/)
    expect(() => setCell(demoDraft(), 'tankers', 'mallet', 'nothing', '1')).toThrow(/nothing/)
  })

  it('that gives a row another name takes every cell along that names it', () => {
    const draft = demoDraft()
    const renamed = [
      ['receiverTypes', 'larch', 'name'],
      ['tankGroups', 'larch/larch-wing-tank', 'name'],
      ['tankerTypes', 'trivet', 'name'],
      ['stations', 'trivet/left', 'name'],
      ['bases', 'adze', 'name'],
      ['tracks', 'yarrow', 'name'],
      ['tankers', 'mallet', 'callSign'],
      ['pushGroups', 'return', 'name'],
      ['flights', 'alder', 'callSign'],
      ['ships', 'alder-1', 'callSign']
    ] as const
    const after = renamed.reduce<Draft>(
      (all, [table, id, column]) => setCell(all, table, id, column, `New ${id.replace('/', ' ')}`),
      draft
    )
    const plan = planned(after)
    // Nothing but the names themselves has changed.
    const nameless = (one: object): string =>
      JSON.stringify(one, (key, value: unknown) => (key === 'name' || key === 'callSign' ? '' : value))
    expect(JSON.parse(nameless(plan))).toEqual(JSON.parse(nameless(demo())))
    expect(differences(draft, after).map(({ table, rowId, column }) => [table, rowId, column])).toEqual(
      renamed.map((one) => [...one])
    )
  })

  it('to a name that another has keeps the two apart', () => {
    const two = setCell(demoDraft(), 'pushGroups', 'late', 'name', 'Sweep')
    expect(cellsOf(two, 'route', 'alder-visit-1')['pushGroupId']).toBe('Sweep #1')
    expect(cellsOf(two, 'route', 'squall-visit')['pushGroupId']).toBe('Sweep #2')
    const apart = setCell(two, 'pushGroups', 'sweep', 'name', 'First')
    expect(cellsOf(apart, 'route', 'alder-visit-1')['pushGroupId']).toBe('First')
    expect(cellsOf(apart, 'route', 'squall-visit')['pushGroupId']).toBe('Sweep')
    expect(planned(two).flights).toEqual(demo().flights)
  })
})

describe('a row', () => {
  it('added gets an id of its name that nobody has', () => {
    const draft = demoDraft()
    const one = addRow(draft, 'ships', { callSign: 'Alder 1', flight: 'Alder', startFuel: '10,100' })
    expect(one.rowId).toBe('alder-1-2')
    expect(cellsOf(one.draft, 'ships', one.rowId)['startFuel']).toBe('10100 lb')
    expect(addRow(draft, 'stations', { tankerType: 'Ladle, one boom', name: 'Hose' }).rowId).toBe('ladle/hose')
    expect(addRow(draft, 'stations', { name: 'Hose' }).rowId).toBe('new/hose')
    expect(addRow(draft, 'order', { shipId: 'Alder 1', visitId: '2' }).rowId).toBe('alder-visit-2.alder-1-2')
    expect(addRow(draft, 'flights').rowId).toBe('flight')
    const ids = [1, 2, 3].reduce<{ draft: Draft; ids: string[] }>(
      (all) => {
        const { draft: more, rowId } = addRow(all.draft, 'flights')
        return { draft: more, ids: [...all.ids, rowId] }
      },
      { draft, ids: [] }
    )
    expect(ids.ids).toEqual(['flight', 'flight-2', 'flight-3'])
  })

  it('of any letters gets an id the contract takes', () => {
    const { draft, rowId } = addRow(demoDraft(), 'bases', {
      name: `Ždár ${'long '.repeat(11)}`,
      position: '44 09.0N 155 24.0W'
    })
    expect(rowId).toMatch(/^[a-z0-9][a-z0-9.-]{0,59}$/)
    expect(planned(draft).bases).toHaveLength(7)
    expect(addRow(demoDraft(), 'bases', { name: '§' }).rowId).toBe('base')
  })

  it('added in front of a visit has the later visits counted anew wherever they are named', () => {
    const draft = demoDraft()
    const own = setCell(draft, 'ships', 'alder-1', 'onLoads', '2: full')
    const visit = { flight: 'Alder', kind: 'visit', tankerId: 'Mallet', pushGroupId: 'Sweep', onLoad: 'full' }
    const { draft: after } = addRow(own, 'route', visit, 'alder-climb')
    expect(cellsOf(after, 'order', 'alder-visit-1.alder-1')['visitId']).toBe('2')
    expect(cellsOf(after, 'order', 'alder-visit-2.alder-1')['visitId']).toBe('3')
    expect(cellsOf(after, 'ships', 'alder-1')['onLoads']).toBe('3: full')
  })

  it('removed says who names it; nothing is sent to another row in its place', () => {
    const draft = demoDraft()
    const { draft: after, referrers } = removeRow(draft, 'route', 'alder-visit-1')
    expect(referrers.map(({ table, rowId }) => [table, rowId])).toEqual(
      [3, 4, 1, 2].map((ship) => ['order', `alder-visit-1.alder-${String(ship)}`])
    )
    expect(cellsOf(after, 'order', 'alder-visit-1.alder-3')['visitId']).toBe('removed')
    expect(cellsOf(after, 'order', 'alder-visit-2.alder-3')['visitId']).toBe('1')
    const faults = faultsOf(after)
    expect(faults.map(({ table, column, value }) => [table, column, value])).toEqual(
      Array.from({ length: 4 }, () => ['order', 'visitId', 'removed'])
    )
    expect(refersTo(draft, 'bases', 'elder').map(({ label, column }) => [label, column])).toEqual(
      expect.arrayContaining([
        ['Alder', 'divertBaseIds'],
        ['Sleet', 'recoveryBaseId'],
        ['Sleet / recovery 1', 'span.to']
      ])
    )
  })

  it('moved in the order has the turns of its station counted anew', () => {
    const draft = demoDraft()
    const after = moveRow(draft, 'order', 'sleet-visit.sleet-3', 0)
    const turns = after.tables.order
      .filter(({ cells }) => cells['station'] === 'Boom')
      .map(({ id, cells }) => `${id} ${cells['turn'] ?? ''}`)
    expect(turns.slice(0, 3)).toEqual(['sleet-visit.sleet-3 1', 'sleet-visit.sleet-2 2', 'sleet-visit.sleet-1 3'])
    expect(planned(after).orders[0]?.sequences[0]?.slots[0]?.shipId).toBe('sleet-3')
    expect(moveRow(draft, 'order', 'sleet-visit.sleet-2', -5)).toBe(draft)
  })

  it('moved in the route takes the numbers of the visits along', () => {
    const draft = demoDraft()
    const at = draft.tables.route.findIndex(({ id }) => id === 'alder-visit-2')
    const after = moveRow(draft, 'route', 'alder-visit-1', at)
    expect(cellsOf(after, 'order', 'alder-visit-1.alder-3')['visitId']).toBe('2')
    expect(cellsOf(after, 'order', 'alder-visit-2.alder-3')['visitId']).toBe('1')
    const moves = differences(draft, after).filter(({ kind }) => kind === 'moved')
    expect(moves).toEqual([
      { table: 'route', rowId: 'alder-visit-1', label: 'Alder / refuelling 2', kind: 'moved', from: '5', to: '9' }
    ])
    expect(differences(draft, after)).toEqual(moves)
  })

  it('has a label of what it is', () => {
    const draft = demoDraft()
    expect(labelOf(draft, 'route', 'alder-visit-2')).toBe('Alder / refuelling 2')
    expect(labelOf(draft, 'order', 'alder-visit-2.alder-1')).toBe('Alder 1 / visit 2')
    expect(labelOf(draft, 'stations', 'gimlet/left')).toBe('Gimlet, two pods / Left pod')
  })
})

describe('what a cell says', () => {
  it('is its date where it is a time', () => {
    const draft = demoDraft()
    expect(understood(draft, 'tankers', 'mallet', 'leavesAtMs')).toBe('2030-03-04 14:05Z')
    expect(understood(draft, 'tankers', 'mallet', 'callSign')).toBeUndefined()
    expect(
      understood(setCell(draft, 'tankers', 'mallet', 'leavesAtMs', '1130'), 'tankers', 'mallet', 'leavesAtMs')
    ).toBe('2030-03-05 11:30Z')
  })
})

describe('all times moved', () => {
  const byMs = 3 * 86_400_000 + 5 * 60_000

  it('make the same plan at another time, from the tables as from the plan', () => {
    const moved = shiftPlanTimes(demo(), byMs)
    expect(moved).toEqual(demo(OPENS_AT_MS + byMs))
    expect(planned(shiftTimes(demoDraft(), byMs))).toEqual(moved)
    expect(shiftTimes(demoDraft(), byMs)).toEqual(draftOf(moved))
    expect(shiftTimes(shiftTimes(demoDraft(), byMs), -byMs)).toEqual(demoDraft())
  })

  it('hold for strange plans too, and leave what cannot be read', () => {
    for (let seed = 1; seed <= 20; seed++) {
      const plan = strangePlan(seed)
      expect(shiftTimes(draftOf(plan), byMs)).toEqual(draftOf(shiftPlanTimes(plan, byMs)))
    }
    const draft = setCell(demoDraft(), 'pushGroups', 'sweep', 'pushAtMs', 'later')
    expect(cellsOf(shiftTimes(draft, byMs), 'pushGroups', 'sweep')['pushAtMs']).toBe('later')
    expect(shiftTimes(draft, 0)).toBe(draft)
  })
})

describe('differences', () => {
  it('are none between a draft and itself, and are told by row and cell', () => {
    const draft = demoDraft()
    expect(differences(draft, demoDraft())).toEqual([])
    const { draft: fewer } = removeRow(draft, 'clearances', 'larch/ladle/boom')
    const { draft: after } = addRow(setCell(fewer, 'tankers', 'mallet', 'keeps', '23000'), 'bases', {
      name: 'Rue',
      position: '1 2'
    })
    expect(differences(draft, after)).toEqual([
      {
        table: 'clearances',
        rowId: 'larch/ladle/boom',
        label: 'Larch, one engine, receptacle / Ladle, one boom / Boom',
        kind: 'removed'
      },
      { table: 'bases', rowId: 'rue', label: 'Rue', kind: 'added' },
      {
        table: 'tankers',
        rowId: 'mallet',
        label: 'Mallet',
        kind: 'changed',
        column: 'keeps',
        from: '22500 lb',
        to: '23000 lb'
      }
    ])
  })

  it('from a blank page are every row', () => {
    const added = differences(blankDraft(), demoDraft()).filter(({ kind }) => kind === 'added')
    const rows = TABLE_NAMES.filter((table) => table !== 'event').reduce(
      (sum, table) => sum + demoDraft().tables[table].length,
      0
    )
    expect(added).toHaveLength(rows)
  })
})
