import { mount } from '@vue/test-utils'
import { afterEach, describe, expect, it, vi } from 'vitest'
import { defineComponent, h, nextTick, ref, shallowRef } from 'vue'
import { demoPlan } from '../../server/demo/plan.ts'
import { choicesFor, inherited } from '../../client/plan/choices.ts'
import { START, type Cursor, type Range } from '../../client/plan/cursor.ts'
import { changed, type CellChange } from '../../client/plan/edit.ts'
import TableGrid from '../../client/parts/TableGrid.vue'
import { COLUMNS } from '../../shared/tables/columns.ts'
import { blankDraft, draftOf } from '../../shared/tables/draft.ts'
import type { CellFault, Column, Draft, Row, TableName } from '../../shared/tables/table.ts'

/* The table by keys alone, over a draft that takes what it says. */

type Sent = [name: string, ...what: unknown[]]
const wrappers: { unmount: () => void }[] = []
afterEach(() => {
  for (const wrapper of wrappers.splice(0)) wrapper.unmount()
})

function open(draft: Draft, table: TableName, faults: ReadonlyMap<string, ReadonlyMap<string, CellFault>> = new Map()) {
  const now = shallowRef(draft)
  const cursor = ref<Cursor>(START)
  const sent: Sent[] = []
  const hear =
    (name: string) =>
    (...what: unknown[]) =>
      sent.push([name, ...what])
  const Harness = defineComponent(
    () => () =>
      h(TableGrid, {
        table,
        label: table,
        columns: COLUMNS[table],
        rows: now.value.tables[table],
        faults,
        cursor: cursor.value,
        upright: table === 'event',
        choicesOf: (row: Row | undefined, column: Column) => choicesFor(now.value, table, row, column),
        onMove: (to: Cursor) => {
          cursor.value = to
        },
        onSet: (changes: readonly CellChange[]) => {
          sent.push(['set', changes])
          now.value = changed(now.value, table, changes, inherited(table, now.value.tables[table].at(-1)))
        },
        onAdd: hear('add'),
        onRemove: hear('remove'),
        onShift: hear('shift'),
        onPaste: hear('paste'),
        onUndo: hear('undo'),
        onRedo: hear('redo'),
        onTurn: hear('turn'),
        onCopy: (range: Range, put: (text: string) => void) => {
          put(JSON.stringify(range))
        }
      })
  )
  const wrapper = mount(Harness, { attachTo: document.body })
  wrappers.push(wrapper)
  const cell = (row: number, column: number) =>
    wrapper.get(`td[data-row="${String(row)}"][data-column="${String(column)}"]`)
  return {
    wrapper,
    sent,
    cursor,
    cell,
    textAt: (row: number, column: number) => cell(row, column).text(),
    /** Keys where the focus is: in the cell, or in the field that was opened in it. */
    press: async (...keys: string[]) => {
      for (const one of keys) {
        const held = one.split('+')
        const key = held.at(-1) ?? one
        const field = wrapper.find('input')
        const target = field.exists() ? field : cell(cursor.value.at.row, cursor.value.at.column)
        await target.trigger('keydown', {
          key,
          ctrlKey: held.includes('Ctrl'),
          shiftKey: held.includes('Shift'),
          altKey: held.includes('Alt')
        })
        await nextTick()
        await nextTick()
      }
    },
    type: async (text: string) => {
      await wrapper.get('input').setValue(text)
    },
    draft: now
  }
}

const demo = draftOf(demoPlan(Date.UTC(2031, 4, 17, 13)))

describe('a table', () => {
  it('is a grid with one cell in the way of Tab, which goes with the cursor', async () => {
    const { wrapper, press, cell } = open(demo, 'ships')
    expect(wrapper.get('table').attributes()).toMatchObject({
      role: 'grid',
      'aria-rowcount': String(demo.tables.ships.length + 2),
      'aria-colcount': String(COLUMNS.ships.length)
    })
    expect(wrapper.findAll('td[tabindex="0"]')).toHaveLength(1)
    await press('ArrowDown', 'ArrowRight')
    expect(wrapper.findAll('td[tabindex="0"]')).toHaveLength(1)
    expect(cell(1, 1).attributes('tabindex')).toBe('0')
    expect(document.activeElement).toBe(cell(1, 1).element)
  })

  it('is edited with Enter, left as it was with Escape, and taken with Enter, one row down', async () => {
    const { wrapper, press, type, textAt, cursor } = open(demo, 'ships')
    const before = textAt(0, 3)
    await press('ArrowRight', 'ArrowRight', 'ArrowRight', 'Enter')
    expect(wrapper.get<HTMLInputElement>('input').element.value).toBe(before)
    await type('9000')
    await press('Escape')
    expect(textAt(0, 3)).toBe(before)
    await press('Enter')
    await type('9000')
    await press('Enter')
    expect(textAt(0, 3)).toBe('9000 lb')
    expect(cursor.value.at).toEqual({ row: 1, column: 3 })
    expect(wrapper.find('input').exists()).toBe(false)
  })

  it('is replaced by typing, and Tab goes on to type in the next cell', async () => {
    const { wrapper, press, type, textAt, draft } = open(blankDraft(), 'bases')
    await press('A')
    expect(wrapper.get<HTMLInputElement>('input').element.value).toBe('A')
    await type('Auger Field')
    await press('Tab')
    expect(wrapper.find('input').exists()).toBe(true)
    await type('44 09.0N 155 24.0W')
    await press('Enter')
    expect([textAt(0, 0), textAt(0, 1)]).toEqual(['Auger Field', '44.15N 155.4W'])
    expect(draft.value.tables.bases).toHaveLength(1)
  })

  it('chooses what stands in the cell that Tab leads to, so that typing replaces it', async () => {
    const { wrapper, press, textAt } = open(demo, 'ships')
    await press('ArrowRight', 'ArrowRight', 'Enter', 'Tab')
    const input = wrapper.get<HTMLInputElement>('input').element
    expect(input.value).toBe(textAt(0, 3))
    expect([input.selectionStart, input.selectionEnd]).toEqual([0, input.value.length])
    await press('Escape', 'Enter')
    const again = wrapper.get<HTMLInputElement>('input').element
    expect([again.selectionStart, again.selectionEnd]).toEqual([again.value.length, again.value.length])
  })

  it('keeps what is typed while nobody goes on, and Escape takes that back', async () => {
    vi.useFakeTimers()
    try {
      const { press, type, textAt, sent, wrapper } = open(demo, 'ships')
      await press('ArrowRight', 'ArrowRight', 'ArrowRight', 'Enter')
      await type('90')
      await vi.advanceTimersByTimeAsync(3_000)
      await type('9000')
      await vi.advanceTimersByTimeAsync(3_900)
      expect(sent).toEqual([])
      await vi.advanceTimersByTimeAsync(200)
      expect(textAt(0, 3)).toBe('9000 lb')
      expect(wrapper.find('input').exists()).toBe(true)
      await press('Escape')
      expect(sent.map(([name]) => name)).toEqual(['set', 'undo'])
    } finally {
      vi.useRealTimers()
    }
  })

  it('offers what may stand there, and takes the only one that begins like what is typed', async () => {
    const { wrapper, press, type, textAt } = open(demo, 'flights')
    await press('ArrowRight', 'ArrowRight', 'ArrowRight', 'ArrowRight', 'e')
    await type('eld')
    expect(wrapper.findAll('[role="option"]').map((one) => one.text())).toEqual(['Elder Strip'])
    expect(wrapper.get('input').attributes('aria-activedescendant')).toBe('cell-choice-0')
    await press('Enter')
    expect(textAt(0, 4)).toBe('Elder Strip')
    await press('ArrowUp', 'Enter', 'ArrowDown', 'ArrowDown', 'Enter')
    expect(textAt(0, 4)).not.toBe('Elder Strip')
  })

  it('says each act by its key', async () => {
    const { press, sent } = open(demo, 'ships')
    await press(
      'Insert',
      'Ctrl+Enter',
      'Ctrl+Delete',
      'Alt+ArrowDown',
      'Ctrl+z',
      'Ctrl+y',
      'Ctrl+Shift+Z',
      'Alt+PageDown'
    )
    expect(sent.map(([name]) => name)).toEqual(['add', 'add', 'remove', 'shift', 'undo', 'redo', 'redo', 'turn'])
  })

  it('empties and fills what is chosen in one step', async () => {
    const { press, sent, textAt } = open(demo, 'ships')
    await press('ArrowRight', 'ArrowRight', 'ArrowRight')
    const first = textAt(0, 3)
    await press('Shift+ArrowDown', 'Shift+ArrowDown', 'Ctrl+d')
    expect([textAt(1, 3), textAt(2, 3)]).toEqual([first, first])
    await press('Delete')
    expect([textAt(0, 3), textAt(1, 3), textAt(2, 3)]).toEqual(['', '', ''])
    expect(sent.every(([name]) => name === 'set')).toBe(true)
    expect(sent.length).toBeLessThanOrEqual(2)
  })

  it('copies what is chosen and hands on what is pasted', async () => {
    const { press, cell, sent } = open(demo, 'ships')
    await press('Shift+ArrowRight')
    const clipboardData = new DataTransfer()
    await cell(0, 1).trigger('copy', { clipboardData })
    expect(JSON.parse(clipboardData.getData('text/plain'))).toEqual({ top: 0, bottom: 0, left: 0, right: 1 })
    await cell(0, 1).trigger('paste', { clipboardData })
    expect(sent.at(-1)).toEqual([
      'paste',
      clipboardData.getData('text/plain'),
      { top: 0, bottom: 0, left: 0, right: 1 }
    ])
  })

  it('marks a faulty cell with a sign and a word, one that lacks something with others', () => {
    const row = demo.tables.ships[0]?.id ?? ''
    const fault = (column: string, lacking: boolean): [string, CellFault] => [
      column,
      { table: 'ships', rowId: row, rowNumber: 1, column, value: '', limit: '', message: '', mend: '', lacking }
    ]
    const { cell } = open(demo, 'ships', new Map([[row, new Map([fault('startFuel', false), fault('fitted', true)])]]))
    expect(cell(0, 3).attributes('aria-invalid')).toBe('true')
    expect(cell(0, 3).find('svg').exists()).toBe(true)
    expect(cell(0, 3).text()).toContain('faulty:')
    expect(cell(0, 2).attributes('aria-invalid')).toBeUndefined()
    expect(cell(0, 2).text()).toContain('missing:')
  })

  it('shows the event upright, a line for each of its columns', async () => {
    const { wrapper, press, type, draft } = open(blankDraft(), 'event')
    expect(wrapper.findAll('tbody tr')).toHaveLength(COLUMNS.event.length)
    await press('Enter')
    await type('Spring')
    await press('Enter')
    expect(draft.value.tables.event[0]?.cells['name']).toBe('Spring')
  })
})
