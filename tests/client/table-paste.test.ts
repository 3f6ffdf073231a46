import { mount } from '@vue/test-utils'
import { afterEach, describe, expect, it } from 'vitest'
import { demoPlan } from '../../server/demo/plan.ts'
import { cursorAt, rangeOf, type Range } from '../../client/plan/cursor.ts'
import { changed } from '../../client/plan/edit.ts'
import { fillOf, readPlaced } from '../../client/plan/placed.ts'
import MergeChoices from '../../client/parts/MergeChoices.vue'
import PastePreview from '../../client/parts/PastePreview.vue'
import { COLUMNS } from '../../shared/tables/columns.ts'
import { draftOf } from '../../shared/tables/draft.ts'
import { applyPaste, readPaste } from '../../shared/tables/paste.ts'
import type { Conflict, TableName } from '../../shared/tables/table.ts'

const draft = draftOf(demoPlan(Date.UTC(2031, 4, 17, 13)))
const columnAt = (table: TableName, name: string) => COLUMNS[table].findIndex((column) => column.name === name)
const START_FUEL = columnAt('ships', 'startFuel')
const lone = (row: number, column: number): Range => rangeOf(cursorAt({ row, column }))
const down = (top: number, bottom: number, column: number): Range => ({ top, bottom, left: column, right: column })

function placed(text: string, table: TableName, range: Range) {
  const preview = readPlaced(text, table, draft, range)
  if (preview === undefined) throw new Error('not read where it is put')
  return preview
}
const texts = (table: TableName, name: string, of = draft) => of.tables[table].map(({ cells }) => cells[name] ?? '')

describe('a paste that goes where it is put', () => {
  it('lies in the rows that were chosen, from the first one down, and makes no row', () => {
    const preview = placed('4200 kg\n6800\n6600', 'ships', down(1, 3, START_FUEL))
    expect(preview.refused).toEqual([])
    const after = applyPaste(draft, preview)
    expect(after.tables.ships).toHaveLength(draft.tables.ships.length)
    expect(texts('ships', 'startFuel', after).slice(0, 5)).toEqual([
      texts('ships', 'startFuel')[0],
      '4200 kg',
      '6800 lb',
      '6600 lb',
      texts('ships', 'startFuel')[4]
    ])
  })

  it('lies there in the route too, where several rows are called alike', () => {
    const airspeed = columnAt('route', 'span.trueAirspeed')
    const before = texts('route', 'span.trueAirspeed')
    const kinds = draft.tables.route.map(({ cells }) => `${cells['flight'] ?? ''} ${cells['kind'] ?? ''}`)
    const second = kinds.findIndex((kind, at) => kinds.indexOf(kind) < at && (before[at] ?? '') !== '')
    expect(second).toBeGreaterThan(0)
    const after = applyPaste(draft, placed('401 kt\r\n', 'route', lone(second, airspeed)))
    expect(texts('route', 'span.trueAirspeed', after)).toEqual(before.with(second, '401 kt'))
  })

  it('may hold names, quotes and blank lines, each in its place', () => {
    const ship = columnAt('order', 'shipId')
    const [first = '', second = '', third = ''] = texts('order', 'shipId')
    const swapped = applyPaste(draft, placed(`${second}\n${first}`, 'order', lone(0, ship)))
    expect(texts('order', 'shipId', swapped).slice(0, 3)).toEqual([second, first, third])
    const gaps = placed('"9000"\n\n9100', 'ships', lone(0, START_FUEL))
    expect(gaps.rows.map(({ cells }) => cells['startFuel'])).toEqual(['9000 lb', '', '9100 lb'])
  })

  it('is refused past the last column, and past the last row where nothing names a new one', () => {
    const last = COLUMNS.ships.length - 1
    const wide = placed('a\tb\na\tb', 'ships', lone(0, last))
    expect(wide.refused.map(({ message }) => message)).toEqual(['2 columns wide, and the table has 1 from there on'])
    const end = draft.tables.ships.length
    const long = placed('9000\n9100', 'ships', lone(end - 1, START_FUEL))
    expect(long.refused).toMatchObject([{ rowNumber: 2, value: '9100' }])
    expect(long.refused[0]?.mend).toContain('Paste Ship with it')
    expect(() => applyPaste(draft, long)).toThrow(RangeError)
    const headings = COLUMNS.ships.map(({ heading }) => heading)
    expect(headings[0]).toBe('Ship')
    const named = placed('Rook 9\tAlder\t\t9000', 'ships', { top: end, bottom: end, left: 0, right: START_FUEL })
    expect(named.rows).toMatchObject([{ rowId: undefined, label: 'Rook 9' }])
  })

  it('says a cell that cannot be read by its line, and leaves headings and named rows to say where they belong', () => {
    const { refused } = placed('9000\nmuch', 'ships', lone(0, START_FUEL))
    expect(refused).toMatchObject([{ rowNumber: 2, column: 'startFuel', value: 'much' }])
    expect(readPlaced('Ship\tStart fuel\nAlder 1\t9000', 'ships', draft, lone(0, 0))).toBeUndefined()
    expect(readPlaced('Alder 2\tAlder\t\t9000', 'ships', draft, lone(0, 0))).toBeUndefined()
  })

  it('goes down the event, which stands upright', () => {
    const hookUp = columnAt('event', 'rules.hookUpBoomMin')
    const { cells } = placed('1.25\n2.25', 'event', lone(hookUp, 0)).rows[0] ?? { cells: {} }
    expect(cells).toEqual({ 'rules.hookUpBoomMin': '1.25', 'rules.hookUpDrogueMin': '2.25' })
  })

  it('of one text fills all cells that are chosen, and no blank row beside them', () => {
    const names = COLUMNS.ships.map(({ name }) => name)
    const past = { ...down(1, draft.tables.ships.length, START_FUEL) }
    const changes = fillOf(past, draft.tables.ships, names, '6800')
    const after = changed(draft, 'ships', changes, {})
    expect(new Set(texts('ships', 'startFuel', after).slice(1))).toEqual(new Set(['6800 lb']))
    expect(texts('ships', 'startFuel', after)[0]).toBe(texts('ships', 'startFuel')[0])
    expect(after.tables.ships).toHaveLength(draft.tables.ships.length)
    const blank = fillOf(lone(draft.tables.ships.length, 0), draft.tables.ships, names, 'Rook 9')
    expect(blank).toEqual([{ rowId: undefined, column: 'callSign', value: 'Rook 9' }])
  })
})

describe('what is asked before something is lost', () => {
  const wrappers: { unmount: () => void }[] = []
  afterEach(() => {
    for (const wrapper of wrappers.splice(0)) wrapper.unmount()
  })

  it('shows beside each changed cell of a paste what it was, and a cell that is emptied', () => {
    const [first, second] = draft.tables.ships
    const line = (row: typeof first, fitted: string, fuel: string) =>
      [row?.cells['callSign'] ?? '', fitted, fuel].join('\t')
    const text = [
      'Ship\tFitted\tStart fuel',
      line(first, first?.cells['fitted'] ?? '', '9000 lb'),
      line(second, '', '5000 lb')
    ].join('\n')
    const preview = readPaste(text, 'ships', draft)
    const wrapper = mount(PastePreview, { props: { preview, isPlaced: false, before: draft.tables.ships } })
    wrappers.push(wrapper)
    const rows = wrapper.findAll('[data-understood] tbody tr').map((row) => row.text())
    expect(rows[0]).toContain('9000 lb was 10200 lb')
    expect(rows[1]).toContain(`blank was ${second?.cells['fitted'] ?? ''}`)
  })

  it('says of a slot that is one more contact of its ship which one it is', () => {
    const [slot] = draft.tables.order
    const row = (turn: string) =>
      ['tanker', 'station', '', 'shipId', 'visitId'].map((name) => (name === '' ? turn : slot?.cells[name]))
    const text = [['Tanker', 'Station', 'Turn', 'Ship', 'Visit'], row('1'), row('19')].map((cells) => cells.join('\t'))
    const preview = readPaste(text.join('\n'), 'order', draft)
    const wrapper = mount(PastePreview, { props: { preview, isPlaced: false, before: draft.tables.order } })
    wrappers.push(wrapper)
    const told = wrapper.findAll('[data-understood] tbody tr').map((one) => one.get('td').text())
    expect(told).toEqual(['as it is', 'new: second contact of visit 1'])
  })

  it('asks for the column of a heading that is not understood, and offers those that no other has', async () => {
    const text = 'Ship\tJuice\tNotes\nAlder 1\t9000 lb\tx'
    const props = { preview: readPaste(text, 'ships', draft), isPlaced: false, before: draft.tables.ships }
    const wrapper = mount(PastePreview, { props, attachTo: document.body })
    wrappers.push(wrapper)
    const labels = wrapper.findAll('[data-unknown] label')
    expect(labels.map((label) => label.text().split(/\s/)[0])).toEqual(['Juice', 'Notes'])
    const select = wrapper.get('[data-unknown] select')
    const offered = select.findAll('option').map((option) => option.text())
    expect(offered[0]).toBe('not taken')
    expect(offered).toContain('Start fuel')
    expect(offered).not.toContain('Ship')
    await select.setValue('startFuel')
    expect(wrapper.emitted('choose')).toEqual([[1, 'startFuel']])
    // Enter on the list is for the list.
    await select.trigger('keydown', { key: 'Enter' })
    expect(wrapper.emitted('take')).toBeUndefined()
    await wrapper.setProps({ ...props, preview: readPaste(text, 'ships', draft, false, { 1: 'startFuel' }) })
    expect(wrapper.findAll<HTMLSelectElement>('select').map(({ element }) => element.value)).toEqual(['startFuel', ''])
    expect(wrapper.get('[data-understood] tbody').text()).toContain('9000 lb')
  })

  it('chooses nothing beforehand where both changed a cell', async () => {
    const conflict: Conflict = {
      ...{ table: 'ships', rowId: 'a', label: 'Alder 1', column: 'startFuel' },
      ...{ base: '1 lb', theirs: '2 lb', mine: '3 lb' }
    }
    const wrapper = mount(MergeChoices, { props: { conflicts: [conflict, conflict], revision: 4 } })
    wrappers.push(wrapper)
    expect(wrapper.findAll<HTMLInputElement>('input').some(({ element }) => element.checked)).toBe(false)
    await wrapper.get('input[value="theirs"]').setValue(true)
    await wrapper.get('form').trigger('submit')
    expect(wrapper.emitted('take')).toBeUndefined()
    expect(wrapper.get('[data-open-choices]').text()).toBe('1 cell still to choose.')
    await wrapper.findAll('input[value="mine"]')[1]?.setValue(true)
    await wrapper.get('form').trigger('submit')
    expect(wrapper.emitted('take')).toEqual([[['theirs', 'mine']]])
  })
})
