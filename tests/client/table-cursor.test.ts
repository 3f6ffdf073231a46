import { describe, expect, it } from 'vitest'
import { cursorAt, moved, neighbour, rangeOf, START, within, type Size } from '../../client/plan/cursor.ts'
import { begun, MOST_STEPS, redone, stepped, undone } from '../../client/plan/history.ts'

const SIZE: Size = { rows: 40, columns: 5, page: 15 }
const stroke = (key: string, { ctrl = false, shift = false } = {}) => ({ key, ctrl, shift })
const from = (row: number, column: number) => cursorAt({ row, column })
const to = (key: string, row: number, column: number, held = {}) =>
  moved(from(row, column), stroke(key, held), SIZE)?.at

describe('the cursor of a table', () => {
  it.each([
    ['ArrowDown', 3, 2, { row: 4, column: 2 }],
    ['ArrowUp', 0, 2, { row: 0, column: 2 }],
    ['ArrowLeft', 3, 0, { row: 3, column: 0 }],
    ['ArrowRight', 3, 4, { row: 3, column: 4 }],
    ['Home', 3, 4, { row: 3, column: 0 }],
    ['End', 3, 1, { row: 3, column: 4 }],
    ['PageDown', 3, 1, { row: 18, column: 1 }],
    ['PageDown', 30, 1, { row: 39, column: 1 }],
    ['PageUp', 3, 1, { row: 0, column: 1 }]
  ])('goes by %s from row %i, column %i, and never outside', (key, row, column, wanted) => {
    expect(to(key, row, column)).toEqual(wanted)
  })

  it('goes to the edges with Ctrl', () => {
    expect(to('ArrowDown', 3, 2, { ctrl: true })).toEqual({ row: 39, column: 2 })
    expect(to('ArrowLeft', 3, 2, { ctrl: true })).toEqual({ row: 3, column: 0 })
    expect(to('Home', 3, 2, { ctrl: true })).toEqual({ row: 0, column: 0 })
    expect(to('End', 3, 2, { ctrl: true })).toEqual({ row: 39, column: 4 })
  })

  it('draws a selection out with Shift, in any direction, and everything with Ctrl A', () => {
    const once = moved(from(3, 2), stroke('ArrowUp', { shift: true }), SIZE) ?? START
    const twice = moved(once, stroke('ArrowLeft', { shift: true }), SIZE) ?? START
    expect(rangeOf(twice)).toEqual({ top: 2, bottom: 3, left: 1, right: 2 })
    expect(rangeOf(moved(twice, stroke('ArrowDown'), SIZE) ?? START)).toEqual({ top: 3, bottom: 3, left: 1, right: 1 })
    const all = moved(twice, stroke('a', { ctrl: true }), SIZE) ?? START
    expect(rangeOf(all)).toEqual({ top: 0, bottom: 39, left: 0, right: 4 })
  })

  it('leaves other keys to whoever wants them', () => {
    expect(moved(START, stroke('a'), SIZE)).toBeUndefined()
    expect(moved(START, stroke('Enter'), SIZE)).toBeUndefined()
  })

  it('goes on with Tab row by row, to the end', () => {
    expect(neighbour({ row: 0, column: 4 }, 1, SIZE)).toEqual({ row: 1, column: 0 })
    expect(neighbour({ row: 1, column: 0 }, -1, SIZE)).toEqual({ row: 0, column: 4 })
    expect(neighbour({ row: 39, column: 4 }, 1, SIZE)).toBeUndefined()
    expect(neighbour({ row: 0, column: 0 }, -1, SIZE)).toBeUndefined()
  })

  it('comes inside when the table shrinks, and is the very same where it was inside', () => {
    const here = from(3, 2)
    expect(within(here, SIZE)).toBe(here)
    expect(within(here, { ...SIZE, rows: 2 })).toEqual(from(1, 2))
  })
})

describe('the steps of a draft', () => {
  const value = (name: string) => ({ name })
  it('are undone and redone one by one; a new step ends what was undone', () => {
    const [a, b, c] = [value('a'), value('b'), value('c')]
    const three = stepped(stepped(begun(a), b), c)
    expect(undone(undone(three)).now).toBe(a)
    expect(undone(undone(undone(three))).now).toBe(a)
    expect(redone(undone(three)).now).toBe(c)
    expect(redone(stepped(undone(three), value('d'))).now.name).toBe('d')
  })

  it('are none where nothing changed, and so many at most', () => {
    const a = value('a')
    const one = begun(a)
    expect(stepped(one, a)).toBe(one)
    const many = Array.from({ length: MOST_STEPS + 20 }, (_, at) => value(String(at))).reduce(stepped<object>, one)
    expect(many.past).toHaveLength(MOST_STEPS)
  })
})
