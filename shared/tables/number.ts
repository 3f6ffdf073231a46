/** Numbers as people write them: points and commas, thousands apart, and what a whole paste says about its commas. */
import { wrong, type Reading } from './wrong.ts'

/**
 * What a comma means: `open`, nothing is known; `point`, other figures of the paste have decimal points; `comma`,
 * others can only have decimal commas.
 */
export type CommaStyle = 'open' | 'point' | 'comma'

const PLAIN = /^[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d{1,3})?$/i
const GROUPED_BY_SPACE = /^[-+]?\d{1,3}(?:[ '’]\d{3})+(?:[.,]\d+)?$/
const GROUPED_BY_COMMA = /^[-+]?\d{1,3}(?:,\d{3})+(?:\.\d*)?$/
const GROUPED_BY_POINT = /^[-+]?\d{1,3}(?:\.\d{3})+,\d+$|^[-+]?\d{1,3}(?:\.\d{3}){2,}$/
const ONE_COMMA = /^[-+]?\d+,\d+$/
/** A comma or a point before three digits: thousands or decimals. */
const DOUBTFUL = /^[-+]?[1-9]\d{0,2}[.,]\d{3}$/

const DOUBTFUL_POINT = /^[-+]?[1-9]\d{0,2}\.\d{3}$/

const SPACES = /[\s\u00a0\u2009\u202f]+/g
const MINUS = /^[−–]/

/** The text of a number that reads back to the very same one. */
export const numberText = (value: number): string => (Object.is(value, -0) ? '-0' : String(value))

/** The same with a nought behind it where three digits behind the point might be taken for thousands: `4.1250`. */
export function clearText(value: number): string {
  const text = numberText(value)
  return DOUBTFUL.test(text) ? `${text}0` : text
}

/** What a number of two meanings must keep to. */
export const ONE_MEANING = 'a number with one meaning'

/**
 * Reads one number; a comma before three digits parts thousands, unless the style says otherwise. A point before three
 * digits is a decimal one, but where `mayBeThousands`: there other figures must have shown what points are.
 */
export function readNumber(text: string, style: CommaStyle = 'open', mayBeThousands = false): Reading<number> {
  let body = text.trim().replace(SPACES, ' ').replace(MINUS, '-')
  if (GROUPED_BY_SPACE.test(body)) body = body.replace(/[ '’]/g, '')
  if (style === 'comma' && DOUBTFUL.test(body)) return doubtful(body)
  if (style === 'open' && mayBeThousands && DOUBTFUL_POINT.test(body)) return doubtfulPoint(body)
  if (PLAIN.test(body)) return { value: Number(body) }
  if (GROUPED_BY_COMMA.test(body)) return { value: Number(body.replaceAll(',', '')) }
  if (GROUPED_BY_POINT.test(body)) return { value: Number(body.replaceAll('.', '').replace(',', '.')) }
  if (!ONE_COMMA.test(body))
    return wrong('a number', `"${text.trim()}" is no number`, 'Write a number, 12500 or 12,500.')
  if (style !== 'point') return { value: Number(body.replace(',', '.')) }
  const mend = `Write ${body.replace(',', '.')}, or ${body.replace(',', '')}.`
  return wrong('one decimal sign', 'a decimal comma where other figures have a decimal point', mend)
}

function doubtful(body: string): Reading<number> {
  const [whole = '', rest = ''] = body.split(/[.,]/)
  const short = rest.replace(/0+$/, '')
  // With three digits behind it a comma stays in doubt.
  const decimals = short.length === 3 ? `,${rest}0` : short === '' ? '' : `,${short}`
  const mend = `Write ${whole}${rest}, or ${whole}${decimals}.`
  return wrong(ONE_MEANING, 'thousands, or decimals, where other figures have decimal commas', mend)
}

/** Written as thousands and as decimals, so that the one that is meant can be seen: `22,500 or 22.5?`. */
function doubtfulPoint(body: string): Reading<number> {
  const [thousands, decimals] = [body.replace('.', ''), clearText(Number(body))]
  return wrong(
    ONE_MEANING,
    `${body.replace('.', ',')} or ${numberText(Number(body))}?`,
    `Write ${thousands} or ${decimals}.`
  )
}

/** A comma as it was read, with the first figure that has one so. */
export interface CommaRead {
  readonly as: 'thousands' | 'decimals'
  readonly text: string
  readonly value: string
}

/** How commas of figures were read, the first figure of each kind; what could not be read is refused and not here. */
export function commasRead(texts: Iterable<string>, style: CommaStyle): readonly CommaRead[] {
  const found = new Map<CommaRead['as'], CommaRead>()
  for (const text of texts) {
    const [, figure = ''] = /^([-+−–]?\d[\d.,'’\s]*)/.exec(text.trim()) ?? []
    const read = figure.includes(',') ? readNumber(figure, style) : undefined
    if (read === undefined || 'wrong' in read) continue
    const value = numberText(read.value)
    const as = GROUPED_BY_COMMA.test(figure.trim().replace(SPACES, ' ')) ? 'thousands' : 'decimals'
    if (!found.has(as)) found.set(as, { as, text: figure.trim(), value })
  }
  return [...found.values()]
}

const SHOWS_COMMA = /^[-+]?\d+,(?:\d{1,2}|\d{4,})(?!\d|,|\.)|^[-+]?0,\d|^[-+]?\d{1,3}(?:\.\d{3})+,\d/
const SHOWS_POINT =
  /^[-+]?\d+\.(?:\d{1,2}|\d{4,})(?!\d|,|\.)|^[-+]?0\.\d|^[-+]?\d{1,3}(?:,\d{3})+\.\d|^\d{1,3}(?:,\d{3}){2,}/

/** What the figures of one paste say together about commas; where they speak against each other, points rule. */
export function commaStyle(texts: Iterable<string>): CommaStyle {
  let style: CommaStyle = 'open'
  for (const text of texts) {
    const body = text.trim()
    if (SHOWS_POINT.test(body)) return 'point'
    if (SHOWS_COMMA.test(body)) style = 'comma'
  }
  return style
}
