/*
 * Where one stands in a table: a cell, and the cell from which a selection was drawn out. Pure: what a key does to it, and
 * nothing of how it is shown.
 */

export interface Place {
  row: number
  column: number
}

/** `at` moves, `from` stays behind while Shift is held; alike, where one cell alone is chosen. */
export interface Cursor {
  at: Place
  from: Place
}

export interface Size {
  rows: number
  columns: number
  /** Rows that a page holds. */
  page: number
}

export interface Range {
  top: number
  bottom: number
  left: number
  right: number
}

export const START: Cursor = cursorAt({ row: 0, column: 0 })

export function cursorAt(at: Place): Cursor {
  return { at, from: at }
}

/** The cells between the two ends, each bound inside. */
export function rangeOf({ at, from }: Cursor): Range {
  return {
    top: Math.min(at.row, from.row),
    bottom: Math.max(at.row, from.row),
    left: Math.min(at.column, from.column),
    right: Math.max(at.column, from.column)
  }
}

export interface Stroke {
  key: string
  ctrl: boolean
  shift: boolean
}

/** Where a key leads; undefined where it is none that moves. */
export function moved(cursor: Cursor, stroke: Stroke, size: Size): Cursor | undefined {
  if (stroke.ctrl && stroke.key.toLowerCase() === 'a') return everything(size)
  const to = target(cursor.at, stroke, size)
  if (to === undefined) return undefined
  const at = clamped(to, size)
  return { at, from: stroke.shift ? cursor.from : at }
}

/** The cell after this one or before it, row by row; undefined past either end. */
export function neighbour({ row, column }: Place, by: 1 | -1, size: Size): Place | undefined {
  const index = row * size.columns + column + by
  if (index < 0 || index >= size.rows * size.columns) return undefined
  return { row: Math.floor(index / size.columns), column: index % size.columns }
}

/** The same cursor in a table that has changed its size. */
export function within(cursor: Cursor, size: Size): Cursor {
  const at = clamped(cursor.at, size)
  const from = clamped(cursor.from, size)
  const stays = at.row === cursor.at.row && at.column === cursor.at.column && from.row === cursor.from.row
  return stays && from.column === cursor.from.column ? cursor : { at, from }
}

function everything({ rows, columns }: Size): Cursor {
  return {
    at: { row: Math.max(0, rows - 1), column: Math.max(0, columns - 1) },
    from: { row: 0, column: 0 }
  }
}

function target({ row, column }: Place, { key, ctrl }: Stroke, { rows, columns, page }: Size): Place | undefined {
  const [lastRow, lastColumn] = [rows - 1, columns - 1]
  switch (key) {
    case 'ArrowUp':
      return { row: ctrl ? 0 : row - 1, column }
    case 'ArrowDown':
      return { row: ctrl ? lastRow : row + 1, column }
    case 'ArrowLeft':
      return { row, column: ctrl ? 0 : column - 1 }
    case 'ArrowRight':
      return { row, column: ctrl ? lastColumn : column + 1 }
    case 'Home':
      return { row: ctrl ? 0 : row, column: 0 }
    case 'End':
      return { row: ctrl ? lastRow : row, column: lastColumn }
    case 'PageUp':
      return { row: row - page, column }
    case 'PageDown':
      return { row: row + page, column }
    default:
      return undefined
  }
}

function clamped({ row, column }: Place, { rows, columns }: Size): Place {
  return { row: between(row, rows - 1), column: between(column, columns - 1) }
}

const between = (value: number, most: number): number => Math.max(0, Math.min(value, most))
