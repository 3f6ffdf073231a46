import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { addRow, moveRow, removeRow, setCell } from '../../../shared/tables/edit.ts'
import { COLUMNS } from '../../../shared/tables/columns.ts'
import { planOf } from '../../../shared/tables/judge.ts'
import { merge, settle } from '../../../shared/tables/merge.ts'
import { TABLE_NAMES, type Conflict, type Draft, type TableName } from '../../../shared/tables/table.ts'
import { cellsOf, chance, demoDraft } from './made.ts'
import { edited } from './random.ts'

const seeds = fc.integer({ min: 1, max: 1_000_000 })
const setAt = (draft: Draft, edits: readonly (readonly [TableName, string, string, string])[]): Draft =>
  edits.reduce((all, [table, id, column, text]) => setCell(all, table, id, column, text), draft)

describe('a merge', () => {
  it('of one changed draft is that draft', () => {
    fc.assert(
      fc.property(seeds, (seed) => {
        const base = demoDraft()
        const changed = edited(base, seed, 12)
        expect(merge(base, base, changed)).toEqual({ draft: changed, conflicts: [] })
        expect(merge(base, changed, base)).toEqual({ draft: changed, conflicts: [] })
        expect(merge(base, changed, changed)).toEqual({ draft: changed, conflicts: [] })
      }),
      { numRuns: 60, seed: 1 }
    )
  })

  it('has the same conflicts from either side', () => {
    let found = 0
    fc.assert(
      fc.property(seeds, seeds, (one, other) => {
        const base = demoDraft()
        const [theirs, mine] = [edited(base, one, 25), edited(base, other, 25)]
        const told = (conflicts: readonly Conflict[], isTurned: boolean) =>
          conflicts
            .map(({ table, rowId, column, base: was, theirs: a, mine: b }) =>
              JSON.stringify([table, rowId, column, was, isTurned ? b : a, isTurned ? a : b])
            )
            .toSorted()
        const conflicts = told(merge(base, theirs, mine).conflicts, false)
        expect(conflicts).toEqual(told(merge(base, mine, theirs).conflicts, true))
        found += conflicts.length
      }),
      { numRuns: 60, seed: 2 }
    )
    expect(found).toBeGreaterThan(20)
  }, 60_000)

  it('keeps the changes of different cells, of one row and of many', () => {
    fc.assert(
      fc.property(seeds, (seed) => {
        const random = chance(seed)
        const base = demoDraft()
        const cells = TABLE_NAMES.flatMap((table) =>
          base.tables[table].flatMap(({ id, cells: its }) =>
            COLUMNS[table]
              .filter(({ kind, name }) => (kind === 'quantity' || kind === 'flow') && its[name])
              .map(({ name }) => [table, id, name] as const)
          )
        )
        const [theirEdits, myEdits]: [TableName, string, string, string][][] = [[], []]
        for (const [table, id, name] of cells) {
          const kind = COLUMNS[table].find((column) => column.name === name)?.kind
          const text = `${String(Math.floor(random() * 9000) + 1)}.5 ${kind === 'flow' ? 'kg/min' : 'kg'}`
          const side = random()
          if (side < 0.1) theirEdits?.push([table, id, name, text])
          else if (side < 0.2) myEdits?.push([table, id, name, text])
        }
        const merged = merge(base, setAt(base, theirEdits ?? []), setAt(base, myEdits ?? []))
        expect(merged.conflicts).toEqual([])
        expect(merged.draft).toEqual(setAt(base, [...(theirEdits ?? []), ...(myEdits ?? [])]))
      }),
      { numRuns: 30, seed: 3 }
    )
  })

  it('asks about a cell both changed, holds mine, and takes what is chosen', () => {
    const base = demoDraft()
    const theirs = setCell(base, 'tankers', 'mallet', 'keeps', '23000')
    const mine = setCell(base, 'tankers', 'mallet', 'keeps', '24000')
    const merged = merge(base, theirs, mine)
    expect(merged.conflicts).toEqual([
      {
        table: 'tankers',
        rowId: 'mallet',
        label: 'Mallet',
        column: 'keeps',
        base: '22500 lb',
        theirs: '23000 lb',
        mine: '24000 lb'
      }
    ])
    expect(merged.draft).toEqual(mine)
    expect(settle(merged, ['theirs'])).toEqual(theirs)
    expect(settle(merged, ['mine'])).toEqual(mine)
    expect(settle(merged, [])).toEqual(mine)
  })

  it('follows a name that one changed into the cells that the other wrote', () => {
    const base = demoDraft()
    const theirs = setCell(base, 'tankers', 'mallet', 'callSign', 'Hammer')
    const slot = { tanker: 'Mallet', station: 'Boom', turn: '20', shipId: 'Sleet 1', visitId: '1' }
    const mine = addRow(base, 'order', slot).draft
    for (const merged of [merge(base, theirs, mine), merge(base, mine, theirs)]) {
      expect(merged.conflicts).toEqual([])
      expect(cellsOf(merged.draft, 'order', 'sleet-visit.sleet-1-2')).toMatchObject({ ...slot, tanker: 'Hammer' })
      expect('plan' in planOf(merged.draft)).toBe(true)
    }
  })

  it('counts visits anew where one put a visit in front and the other a slot behind', () => {
    const base = demoDraft()
    const visit = { flight: 'Alder', kind: 'refuelling', tankerId: 'Mallet', pushGroupId: 'Sweep', onLoad: 'full' }
    const theirs = addRow(base, 'route', visit, 'alder-climb').draft
    const mine = setCell(base, 'ships', 'alder-2', 'onLoads', '2: full')
    const { draft, conflicts } = merge(base, theirs, mine)
    expect(conflicts).toEqual([])
    expect(cellsOf(draft, 'ships', 'alder-2')['onLoads']).toBe('3: full')
  })

  it('drops a row one removed and nobody changed, and asks where the other changed it', () => {
    const base = demoDraft()
    const removed = removeRow(base, 'pushGroups', 'late').draft
    const other = setCell(base, 'pushGroups', 'sweep', 'pushAtMs', '1310')
    expect(merge(base, removed, other).draft.tables.pushGroups.map(({ id }) => id)).not.toContain('late')
    const changed = setCell(base, 'pushGroups', 'late', 'pushAtMs', '1316')
    const merged = merge(base, removed, changed)
    expect(merged.conflicts).toEqual([
      {
        table: 'pushGroups',
        rowId: 'late',
        label: 'Late watch',
        column: undefined,
        base: 'Late watch',
        theirs: undefined,
        mine: 'Late watch'
      }
    ])
    expect(settle(merged, ['mine'])).toEqual(changed)
    expect(settle(merged, ['theirs'])).toEqual(removed)
    const turned = merge(base, changed, removed)
    expect(settle(turned, ['mine'])).toEqual(removed)
    expect(settle(turned, ['theirs'])).toEqual(changed)
  })

  it('keeps two rows apart that both added under one id', () => {
    const base = demoDraft()
    const theirs = setCell(addRow(base, 'bases').draft, 'bases', 'base', 'name', 'Rue')
    const mine = setCell(addRow(base, 'bases').draft, 'bases', 'base', 'name', 'Sage')
    const { draft, conflicts } = merge(base, theirs, mine)
    expect(conflicts).toEqual([])
    expect(
      draft.tables.bases
        .slice(-2)
        .map(({ cells }) => cells['name'])
        .toSorted()
    ).toEqual(['Rue', 'Sage'])
    const same = addRow(base, 'bases', { name: 'Rue', position: '1 2' }).draft
    const alike = addRow(base, 'bases', { name: 'Rue', position: '1 3' }).draft
    expect(merge(base, same, alike).conflicts.map(({ column }) => column)).toEqual(['position'])
  })

  it('takes the order of rows from whoever changed it', () => {
    const base = demoDraft()
    const moved = moveRow(base, 'flights', 'squall', 0)
    const other = addRow(base, 'flights', { callSign: 'Birch' }, 'kelp').draft
    for (const { draft } of [merge(base, moved, other), merge(base, other, moved)]) {
      expect(draft.tables.flights.map(({ id }) => id)).toEqual([
        'squall',
        'alder',
        'kelp',
        'birch',
        'chisel',
        'rasp',
        'thistle',
        'sleet'
      ])
    }
  })
})
