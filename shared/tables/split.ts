/** A pasted text as lines of cells: tabs, commas or semicolons between them, quotes as in CSV. Source: RFC 4180. */

export const SEPARATORS = ['\t', ';', ','] as const
export type Separator = (typeof SEPARATORS)[number]

export interface PastedLine {
  /** Counted from 1, blank lines with the rest. */
  readonly rowNumber: number
  readonly cells: readonly string[]
}

/** The lines of a text that are not blank, without blank cells at their ends. */
export function linesOf(text: string, separator: Separator): PastedLine[] {
  const lines: PastedLine[] = []
  const { length } = text
  let at = text.charCodeAt(0) === 0xfeff ? 1 : 0
  for (let rowNumber = 1; at < length; rowNumber++) {
    const cells: string[] = []
    for (let more = true; more;) {
      const cell = text[at] === '"' ? quoted(text, at, separator) : undefined
      const end = cell?.end ?? plainEnd(text, at, separator)
      cells.push(restored((cell?.text ?? text.slice(at, end)).trim()))
      more = text[end] === separator
      at = end + (more ? 1 : lineEnd(text, end))
    }
    while (cells.length > 0 && cells.at(-1) === '') cells.pop()
    if (cells.length > 0) lines.push({ rowNumber, cells })
  }
  return lines
}

/** A cell in quotes that ends where its quotes do; undefined where the quotes are part of the text. */
function quoted(text: string, from: number, separator: Separator): { text: string; end: number } | undefined {
  for (let at = from + 1; at < text.length; at++) {
    if (text[at] !== '"') continue
    if (text[at + 1] === '"') {
      at += 1
      continue
    }
    const end = at + 1
    const isEnd = end === text.length || text[end] === separator || text[end] === '\n' || text[end] === '\r'
    return isEnd ? { text: text.slice(from + 1, at).replaceAll('""', '"'), end } : undefined
  }
  return undefined
}

function plainEnd(text: string, from: number, separator: Separator): number {
  let at = from
  while (at < text.length && text[at] !== separator && text[at] !== '\n' && text[at] !== '\r') at += 1
  return at
}

const lineEnd = (text: string, at: number): number => (text[at] === '\r' && text[at + 1] === '\n' ? 2 : 1)

/** A leading mark that a copy puts before what a sheet would take for a sum. */
export const GUARD = "'"
const restored = (cell: string): string => (/^'+[=+\-@]/.test(cell) ? cell.slice(1) : cell)
export const guarded = (cell: string): string => (/^'*[=+\-@]/.test(cell) ? GUARD + cell : cell)
