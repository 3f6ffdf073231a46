import type { Place, Range } from './cursor.ts'

/** A block of cells, as spreadsheets have it on the clipboard: rows by lines, cells by tabs. */
export function rangeText({ top, bottom, left, right }: Range, textAt: (place: Place) => string): string {
  const lines = Array.from({ length: bottom - top + 1 }, (_, row) =>
    Array.from({ length: right - left + 1 }, (__, column) => quoted(textAt({ row: top + row, column: left + column })))
  )
  return lines.map((cells) => cells.join('\t')).join('\n')
}

const quoted = (text: string): string => (/[\t\n\r"]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text)
