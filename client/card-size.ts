import type { CardCell, CardPart, CardRow, FlightCard } from './card.ts'
import { baseWords } from './words/card.ts'
import { joinLines } from './words/join-fields.ts'

/*
 * How large the letters of a page may be. Sizes are guessed from the number of letters, on the safe side: the browser breaks
 * lines, and only paper tells.
 */
const PAGE_MM = { width: 132, height: 194, names: 23 } as const
/** Of a letter and a line at 7.2 pt, the largest size. */
const LETTER_MM = 1.4
const LINE_MM = 3.18
const CODES_MM = 26
const SIZES = [
  { density: 'plain', factor: 1 },
  { density: 'close', factor: 0.9 },
  { density: 'closer', factor: 0.85 },
  { density: 'closest', factor: 0.8 },
  { density: 'least', factor: 0.76 }
] as const
export type Density = (typeof SIZES)[number]['density']

/** The largest size with which a page of a card fits the paper; the smallest where none does. */
export function densityOf(card: FlightCard, part: CardPart): Density {
  return SIZES.find(({ factor }) => heightMm(card, part, factor) <= PAGE_MM.height)?.density ?? 'least'
}

function heightMm(
  { callSign, typeName, dayMs, recovery, diverts }: FlightCard,
  { ships, blocks }: CardPart,
  factor: number
): number {
  const lines = (text: string, widthMm: number): number =>
    Math.max(1, Math.ceil((text.length * LETTER_MM * factor) / widthMm))
  const whole = (text: string): number => lines(text, PAGE_MM.width)
  const columnMm = (PAGE_MM.width - PAGE_MM.names) / ships.length
  const cellLines = ({ text, more }: CardCell, wide: boolean): number => {
    const widthMm = wide ? PAGE_MM.width - PAGE_MM.names : columnMm
    return lines(text, widthMm) + (more === '' ? 0 : 0.9 * lines(more, widthMm))
  }
  const rowLines = ({ cells }: CardRow): number =>
    Math.max(...cells.map((one) => cellLines(one, cells.length === 1))) + 0.2
  const head = 2.5 + whole(`${callSign}${callSign}${typeName}`)
  const foot = 2 + whole([recovery, ...diverts].map((base) => (base ? baseWords(base, dayMs) : '')).join('; '))
  const shipLines = Math.max(...ships.map(({ callSign: sign, spare }) => lines(sign, columnMm) + (spare ? 1 : 0)))
  const inBlocks = blocks.map(({ title, joins, rows }) => {
    const joined = joins.map(({ tanker, track, join }) =>
      whole([tanker, track, ...joinLines(join, dayMs).map((one) => `${one.name} ${one.text}`)].join('   '))
    )
    return whole(title) + sumOf(joined) + shipLines + sumOf(rows.map(rowLines)) + 1
  })
  const codes = CODES_MM + Math.max(0, ...ships.map(({ callSign: sign }) => lines(sign, 18) - 1)) * LINE_MM * factor
  return (head + foot + sumOf(inBlocks)) * LINE_MM * factor + codes
}

const sumOf = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0)
