import type { MassUnit } from '../contracts/kinds.ts'
import { massKg, type Reported } from '../units.ts'
import { ask, unknown, type Understanding } from './understanding.ts'

/** A fuel figure as it was spoken: clear, open to two readings, or none at all. */
export type Spoken = { clear: Reported<MassUnit> } | { readings: Reported<MassUnit>[] } | undefined

/** A number before its unit: itself, in thousands as it is called, bare digits, or one of several. */
type Said = { exact: number } | { thousands: number } | { bare: number } | { either: number[] } | undefined

const UNIT_WORDS: Readonly<Record<string, MassUnit | 't' | 'k'>> = {
  ...{ lb: 'lb', lbs: 'lb', pound: 'lb', pounds: 'lb' },
  ...{ kg: 'kg', kgs: 'kg', kilo: 'kg', kilos: 'kg', kilogram: 'kg', kilograms: 'kg' },
  ...{ t: 't', tonne: 't', tonnes: 't' },
  k: 'k'
}
const WITH_UNIT = /^(.*?\d)\s*([a-z]+)$/
const TYPED = /^(\d{1,3}(?:,\d{3})+|\d+)?(?:\.(\d+)|,(\d{1,2}))?$/

/**
 * Reads fuel as it is called: `6.4`, `6 point 4` are six thousand four hundred, `6400`, `6,400` and `6 thousand 4 hundred`
 * what they say, a unit may follow. Bare digits below 1,000 are hundreds, `64`, or thousands, `6`: clear where only one
 * of the two is no more than `mostKg`, or only one is near to `nearKg`, open to readings else. No figure is guessed to be
 * smaller than it is called.
 * Digit by digit and in thousands and hundreds: ICAO Annex 10 volume II, 5.2.1.4.1; thousands with a point, and
 * hundreds without one, are common practice, no source. Checked: tests/shared/entry/spoken.test.ts.
 */
export function spokenFuel(
  text: string,
  unit: MassUnit,
  { mostKg, nearKg }: { mostKg?: number | undefined; nearKg?: number | undefined } = {}
): Spoken {
  const [, before = text, suffix = ''] = WITH_UNIT.exec(text) ?? []
  const named = Object.hasOwn(UNIT_WORDS, suffix) ? UNIT_WORDS[suffix] : undefined
  const said = numberOf((named === undefined ? text : before).trim().split(/\s+/))
  if (said === undefined) return undefined
  const inUnit = (value: number, its: MassUnit = unit): Reported<MassUnit> => ({ value, unit: its })
  if ('either' in said) return { readings: said.either.map((value) => inUnit(value, named === 'kg' ? 'kg' : unit)) }
  if ('exact' in said) return { clear: inUnit(said.exact, named === 'lb' || named === 'kg' ? named : unit) }
  const value = 'bare' in said ? said.bare : said.thousands
  if (named === 't') return { clear: inUnit(thousands(value), 'kg') }
  if (named === 'k') return { clear: inUnit(thousands(value)) }
  if ('thousands' in said) {
    if (value >= 1000) return { clear: inUnit(value, named) }
    // "6.4 lb" is hardly what was meant.
    return named === undefined ? { clear: inUnit(thousands(value)) } : { readings: [inUnit(thousands(value), named)] }
  }
  if (named !== undefined) return { clear: inUnit(value, named) }
  return weighed(bare(value, unit, mostKg), nearKg)
}

/** This near to what is expected a reading is meant; the others are ten times off. Assumed, no source. */
const NEAR_SHARE = 0.25

/** Of several readings the one that is near to what is expected, where no other is. */
function weighed(spoken: Spoken, nearKg: number | undefined): Spoken {
  if (nearKg === undefined || spoken === undefined || 'clear' in spoken) return spoken
  const [near, ...others] = spoken.readings.filter((fuel) => Math.abs(massKg(fuel) - nearKg) <= NEAR_SHARE * nearKg)
  return near === undefined || others.length > 0 ? spoken : { clear: near }
}

/**
 * Bare digits: 64 is sixty-four hundred, or thousand where as much can be aboard; 6 may be six hundred or six thousand;
 * 6400 is itself.
 */
function bare(value: number, unit: MassUnit, mostKg: number | undefined): Spoken {
  const readings = (factors: readonly number[]) => factors.map((factor) => ({ value: value * factor, unit }))
  if (value === 0) return { clear: { value, unit } }
  const fits = (fuel: Reported<MassUnit>) => mostKg === undefined || massKg(fuel) <= mostKg
  if (value >= 1000) {
    // A tanker's 1042 may be a thousand and some, or a hundred and four thousand.
    const hundreds = mostKg === undefined ? [] : readings([100]).filter(fits)
    return hundreds.length === 0 ? { clear: { value, unit } } : { readings: [{ value, unit }, ...hundreds] }
  }
  if (mostKg === undefined) return { readings: readings(value < 100 ? [100, 1000] : [1, 100]) }
  const spoken = readings([100, 1000]).filter(fits)
  const [only] = spoken
  if (only !== undefined && spoken.length === 1) return { clear: only }
  return { readings: spoken.length === 0 ? readings([1]).filter(fits) : spoken }
}

/** `7 point 2`, `7 thousand 2 hundred`, `7 2`, `7 200`, `7.2`, `.9`, `6,400`: what is said before a unit. */
function numberOf(words: readonly string[]): Said {
  const point = words.at(-1) === 'thousand' ? -1 : words.findIndex((word) => word === 'point' || word === 'decimal')
  if (point !== -1) {
    const [whole, fraction] = [point === 0 ? '0' : joined(words.slice(0, point)), joined(words.slice(point + 1))]
    return whole === undefined || fraction === undefined ? undefined : { thousands: Number(`${whole}.${fraction}`) }
  }
  const thousand = words.indexOf('thousand')
  if (thousand > 0 && thousand === words.length - 1) {
    // "6.2 thousand" says twice that it counts thousands.
    const before = numberOf(words.slice(0, -1))
    if (before !== undefined && 'thousands' in before) return { exact: thousands(before.thousands) }
  }
  if (thousand !== -1) return ofThousands(words.slice(0, thousand), words.slice(thousand + 1))
  if (words.at(-1) === 'hundred') {
    const hundreds = joined(words.slice(0, -1))
    return hundreds === undefined ? undefined : { exact: Number(hundreds) * 100 }
  }
  const digits = joined(words)
  if (digits !== undefined) return { bare: Number(digits) }
  const [only] = words
  const [all, whole = '0', afterPoint, afterComma] = words.length === 1 ? (TYPED.exec(only ?? '') ?? []) : []
  if (all === undefined || all === '') return undefined
  const fraction = afterPoint ?? afterComma
  const value = whole.replaceAll(',', '')
  return fraction === undefined ? { exact: Number(value) } : { thousands: Number(`${value}.${fraction}`) }
}

/** What is said around the word thousand: `7` and `2 hundred`, `1 2` and `500`. */
function ofThousands(before: readonly string[], after: readonly string[]): Said {
  const whole = joined(before)
  if (whole === undefined || whole.length > 3) return undefined
  const base = Number(whole) * 1000
  if (after.length === 0) return { exact: base }
  const hundred = after.indexOf('hundred')
  if (hundred !== -1) {
    const hundreds = joined(after.slice(0, hundred))
    const rest = hundred === after.length - 1 ? '0' : joined(after.slice(hundred + 1))
    if (hundreds?.length !== 1 || rest === undefined || rest.length > 2) return undefined
    return { exact: base + Number(hundreds) * 100 + Number(rest) }
  }
  const rest = joined(after)
  if (rest === undefined || rest.length > 3) return undefined
  // "Six thousand four" leaves a word out: four hundred, or four.
  return rest.length === 1
    ? { either: [base + Number(rest) * 100, base + Number(rest)] }
    : { exact: base + Number(rest) }
}

/** Digits of one number: one word of them, single ones spoken in turn, or thousands apart from the rest. */
function joined(words: readonly string[]): string | undefined {
  const [first = '', ...others] = words
  const one = others.length === 0 && /^\d+$/.test(first)
  const inTurn = words.every((word) => /^\d$/.test(word))
  const apart = others.length === 1 && /^\d{1,3}$/.test(first) && /^\d{3}$/.test(others[0] ?? '')
  return words.length > 0 && (one || inTurn || apart) ? words.join('') : undefined
}

/** Thousands of a spoken figure, without the dust of decimal fractions: 6.4 becomes 6400, not 6400.000000000001. */
const thousands = (value: number): number => Math.round(value * 1_000_000) / 1000

/** A spoken figure written out: `6,400 lb`. */
export function written(fuel: Reported<MassUnit>): string {
  return `${String(fuel.value).replace(/\B(?=(\d{3})+(?!\d))/g, ',')} ${fuel.unit}`
}

const NUMBER_WORDS = new Set(['point', 'decimal', 'thousand', 'hundred'])

/** Words that no figure is made of. */
const strangeIn = (text: string): string[] =>
  text.split(' ').filter((one) => /^[a-z]/.test(one) && !NUMBER_WORDS.has(one) && !Object.hasOwn(UNIT_WORDS, one))

/** Goes on with a figure that is clear; asks where it is none, or open to several readings. */
export function withFigure(
  text: string,
  about: {
    massUnit: MassUnit
    mostKg: number
    /** What is expected: of two readings the one near to it is meant. */
    nearKg?: number | undefined
    /** What the question begins with. */
    begin: string
    /** Asked where it is no figure. */
    none: string
    /** The whole line with a clear figure in it. */
    line: (figure: string) => string
  },
  then: (fuel: Reported<MassUnit>) => Understanding
): Understanding {
  const fuel = spokenFuel(text, about.massUnit, about)
  if (fuel === undefined) return unknown(about.none, strangeIn(text))
  if ('clear' in fuel) return then(fuel.clear)
  return ask(
    `${about.begin}: ${text} is open to more than one reading.`,
    fuel.readings.map((reading) => ({
      text: about.line(`${String(reading.value)} ${reading.unit}`),
      sentence: written(reading)
    }))
  )
}
