import { describe, expect, it } from 'vitest'
import { demoPlan } from '../../server/demo/plan.ts'
import { isThere, itemOf, itemsOf, libraryIn, libraryText, withItem } from '../../client/plan/library.ts'
import { useLibrary } from '../../client/state/useLibrary.ts'
import { choicesFor, inherited } from '../../client/plan/choices.ts'
import { rangeText } from '../../client/plan/block.ts'
import { sharing } from '../../client/plan/edit.ts'
import { faultsByCell } from '../../client/plan/faults.ts'
import { columnOf } from '../../shared/tables/columns.ts'
import { blankDraft, draftOf } from '../../shared/tables/draft.ts'
import type { CellFault, TableName } from '../../shared/tables/table.ts'

const draft = draftOf(demoPlan(Date.UTC(2031, 4, 17, 13)))
const rowOf = (table: TableName, place = 0) => {
  const row = draft.tables[table][place]
  if (row === undefined) throw new Error(`the demonstration has no row ${String(place)} of ${table}`)
  return row
}

describe('a library', () => {
  it('keeps a type with its tank groups, a tanker type with its stations, a track or base alone', () => {
    const type = rowOf('receiverTypes')
    const item = itemOf(draft, 'receiverTypes', type)
    const groups = draft.tables.tankGroups.filter(({ cells }) => cells['receiverType'] === type.cells['name'])
    expect(item.label).toBe(type.cells['name'])
    expect(item.rows.map(({ table }) => table)).toEqual(['receiverTypes', ...groups.map(() => 'tankGroups')])
    expect(itemOf(draft, 'bases', rowOf('bases')).rows).toHaveLength(1)
    expect(itemsOf(draft)).toHaveLength(
      draft.tables.receiverTypes.length +
        draft.tables.tankerTypes.length +
        draft.tables.tracks.length +
        draft.tables.bases.length
    )
  })

  it('goes out as a file and comes back the same; anything else is refused', () => {
    const items = itemsOf(draft)
    expect(libraryIn(libraryText(items))).toEqual({ items, leftOut: [] })
    for (const text of ['', '{}', '[]', 'null', '{"kind":"ullage library","items":[{"table":"flights"}]}', 'no JSON'])
      expect(libraryIn(text)).toBeUndefined()
  })

  it('is taken without the columns that no table has, and they are told', () => {
    const item = itemOf(draft, 'bases', rowOf('bases'))
    const [row] = item.rows
    if (row === undefined) throw new Error('no row')
    const strange = { ...item, rows: [{ ...row, cells: { ...row.cells, wingspan: '12 m' } }] }
    const library = useLibrary()
    library.take(libraryText([strange]))
    expect(library.mine.value).toEqual([item])
    expect(library.told.value).toContain(`${item.label}: wingspan`)
    const [taken] = library.mine.value
    if (taken === undefined) throw new Error('nothing taken')
    expect(library.added(blankDraft(), taken)?.tables.bases).toMatchObject([{ cells: row.cells }])
    localStorage.clear()
  })

  it('has one of a kind and name, and knows what a draft has already', () => {
    const item = itemOf(draft, 'bases', rowOf('bases'))
    expect(withItem(withItem([], item), { ...item, label: item.label.toUpperCase() })).toHaveLength(1)
    expect(isThere(draft, item)).toBe(true)
    expect(isThere(blankDraft(), item)).toBe(false)
  })
})

describe('what may stand in a cell', () => {
  const offered = (table: TableName, place: number, name: string) =>
    choicesFor(draft, table, draft.tables[table][place], columnOf(table, name))

  it('is the words of a choice, yes and no, the names of what it refers to', () => {
    expect(offered('flights', 0, 'priority')).toEqual(['1', '2', '3', '4', '5'])
    expect(offered('flights', 0, 'maySpread')).toEqual(['yes', 'no'])
    expect(offered('flights', 0, 'recoveryBaseId')).toEqual(draft.tables.bases.map(({ cells }) => cells['name']))
  })

  it('is of what it is part of alone: groups of the type, stations of the tanker, visits of the flight', () => {
    const flight = draft.tables.flights.find(({ cells }) => cells['callSign'] === rowOf('ships').cells['flight'])
    const groups = draft.tables.tankGroups.filter(
      ({ cells }) => cells['receiverType'] === flight?.cells['receiverTypeId']
    )
    expect(offered('ships', 0, 'fitted')).toEqual(groups.map(({ cells }) => cells['name']))
    const tanker = draft.tables.tankers.find(({ cells }) => cells['callSign'] === rowOf('order').cells['tanker'])
    const stations = draft.tables.stations.filter(({ cells }) => cells['tankerType'] === tanker?.cells['tankerTypeId'])
    expect(offered('order', 0, 'station')).toEqual(stations.map(({ cells }) => cells['name']))
    expect(offered('order', 0, 'visitId')[0]).toBe('1')
    expect(choicesFor(draft, 'ships', undefined, columnOf('ships', 'fitted'))).toEqual([])
  })

  it('begins in a new row with what the row before is part of', () => {
    expect(inherited('ships', rowOf('ships'))).toEqual({ flight: rowOf('ships').cells['flight'] })
    expect(inherited('tankGroups', rowOf('tankGroups'))).toEqual({
      receiverType: rowOf('tankGroups').cells['receiverType']
    })
    expect(inherited('bases', rowOf('bases'))).toEqual({})
    expect(inherited('flights', rowOf('flights'))).toEqual({})
    expect(inherited('ships', undefined)).toEqual({})
  })
})

describe('a block of cells', () => {
  it('is copied as lines and tabs, quoted where it must be', () => {
    const text = rangeText(
      { top: 0, bottom: 1, left: 0, right: 1 },
      ({ row, column }) => `${String(row)}\t${String(column)}"`
    )
    expect(text).toBe('"0\t0"""\t"0\t1"""\n"1\t0"""\t"1\t1"""')
  })
})

describe('drafts and faults that come back', () => {
  it('keep the very rows and tables that say the same', () => {
    const back = structuredClone(draft)
    expect(sharing(draft, back).tables.ships).toBe(draft.tables.ships)
    const [first, ...others] = back.tables.ships
    if (first === undefined) throw new Error('no ships')
    const other = {
      tables: { ...back.tables, ships: [{ ...first, cells: { ...first.cells, callSign: 'New' } }, ...others] }
    }
    const shared = sharing(draft, other)
    expect(shared.tables.ships[0]).toBe(other.tables.ships[0])
    expect(shared.tables.ships[1]).toBe(draft.tables.ships[1])
    expect(shared.tables.bases).toBe(draft.tables.bases)
  })

  it('of a cell are found by row and column, and stay the same where nothing changed', () => {
    const fault = (column: string | undefined): CellFault => ({
      table: 'ships',
      rowId: 'a',
      rowNumber: 1,
      column,
      value: '',
      limit: '',
      message: 'missing',
      mend: '',
      lacking: true
    })
    const first = faultsByCell([fault('fuel'), { ...fault('x'), table: 'bases' }], 'ships', new Map())
    expect([...first.keys()]).toEqual(['a'])
    expect(first.get('a')?.get('fuel')?.message).toBe('missing')
    expect(faultsByCell([fault('fuel')], 'ships', first).get('a')).toBe(first.get('a'))
    expect(
      faultsByCell([fault('fuel'), fault(undefined)], 'ships', first)
        .get('a')
        ?.has('')
    ).toBe(true)
  })
})
