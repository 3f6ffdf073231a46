/** Figures with units, as they are typed and pasted: `12,500`, `12 500 lb`, `340 US gal`, `5,100 lb/h`, `420 kt`. */
import { DENSITY_UNITS, FLOW_UNITS, MASS_UNITS, SPEED_UNITS, VOLUME_UNITS, type MassUnit } from '../contracts/kinds.ts'
import type { Reported } from '../units.ts'
import { clearText, numberText, readNumber, type CommaStyle } from './number.ts'
import type { Column, ColumnKind } from './table.ts'
import { lacking, wrong, type Reading, type Wrong } from './wrong.ts'

/** Kinds of column whose cells hold a number and a unit. */
export const UNITS: Readonly<Partial<Record<ColumnKind, readonly string[]>>> = {
  quantity: [...MASS_UNITS, ...VOLUME_UNITS],
  mass: MASS_UNITS,
  flow: FLOW_UNITS,
  speed: SPEED_UNITS,
  density: DENSITY_UNITS,
  onLoad: [...MASS_UNITS, ...VOLUME_UNITS],
  ownOnLoads: [...MASS_UNITS, ...VOLUME_UNITS],
  reserve: ['min', ...MASS_UNITS, ...VOLUME_UNITS],
  minutes: ['min'],
  bearing: ['°'],
  percent: ['%']
}

/** What stands before a stroke, and after it. */
const PARTS: Readonly<Record<string, string>> = {
  ...{ lb: 'lb', lbs: 'lb', pound: 'lb', pounds: 'lb', kg: 'kg', kgs: 'kg', kilo: 'kg', kilos: 'kg' },
  ...{ kilogram: 'kg', kilograms: 'kg', usgal: 'USgal', usg: 'USgal', usgallon: 'USgal', usgallons: 'USgal' },
  ...{ usgals: 'USgal', l: 'L', litre: 'L', litres: 'L', liter: 'L', liters: 'L', ltr: 'L' },
  ...{ h: 'h', hr: 'h', hour: 'h', hours: 'h', min: 'min', mins: 'min', minute: 'min', minutes: 'min' },
  ...{ m: 'm', s: 's', sec: 's', secs: 's', seconds: 's', km: 'km', m3: 'm3' }
}
const WHOLE: Readonly<Record<string, string>> = {
  ...{ pph: 'lb/h', kph: 'km/h', kmh: 'km/h', mps: 'm/s', kt: 'kt', kts: 'kt', kn: 'kt', knot: 'kt', knots: 'kt' },
  ...{ '°': '°', deg: '°', degree: '°', degrees: '°', '°t': '°', t: '°', '%': '%', percent: '%', pct: '%' }
}

/** The unit a word stands for, as the plan writes it; undefined for words that are none. */
export function unitOf(text: string): string | undefined {
  const word = text
    .toLowerCase()
    .replace(/[\s.]+/g, '')
    .replace('³', '3')
  if (Object.hasOwn(WHOLE, word)) return WHOLE[word]
  const parts = word.split(/\/|(?<=[a-z])per(?=[a-z])/)
  const units = parts.map((part) => (Object.hasOwn(PARTS, part) ? PARTS[part] : undefined))
  return parts.length > 2 || units.includes(undefined) ? undefined : units.join('/')
}

/** A unit as it is written on a screen. */
export const unitText = (unit: string): string => unit.replace('USgal', 'US gal').replace('m3', 'm³')

/** How a figure without a unit is meant, and what its commas mean. */
export interface Sight {
  readonly massUnit: MassUnit | undefined
  /** Of the event; times of day are told from it. */
  readonly opensAtMs: number | undefined
  /** Of the window that a time of the row opens. */
  readonly closesAtMs?: number | undefined
  readonly style?: CommaStyle
  /** From the heading of a pasted column. */
  readonly unit?: string | undefined
}

/** The unit a figure of a column has that says none: of its heading in the paste, or of the event. */
export function unitFor(column: Pick<Column, 'kind' | 'per'>, sight: Sight): string | undefined {
  if (sight.unit !== undefined) return sight.unit
  switch (column.kind) {
    case 'quantity':
    case 'mass':
    case 'onLoad':
    case 'ownOnLoads':
      return sight.massUnit
    case 'flow':
      return sight.massUnit && `${sight.massUnit}/${column.per ?? 'h'}`
    case 'speed':
      return 'kt'
    case 'density':
      return 'kg/L'
    default:
      return UNITS[column.kind]?.[0]
  }
}

const FIGURE = /^([-+−–]?[\d.,][\d.,'’\s]*(?:e[-+]?\d{1,3}(?![a-z\d]))?)(.*)$/is

/** A number and the unit that is written behind it, if any. */
export function taken(text: string): { number: string; unit: string } | undefined {
  const [, number, unit = ''] = FIGURE.exec(text.trim()) ?? []
  return number === undefined ? undefined : { number, unit: unit.trim() }
}

const listed = (units: readonly string[]): string => units.map(unitText).join(', ')

type FigureColumn = Pick<Column, 'kind' | 'per' | 'leastBare'>

/** Below this a bare figure of fuel with decimals may be meant in thousands, whatever it is of. */
const LEAST_WITH_DECIMALS = 100

/** True of a figure that says no unit and is so little that thousands may be meant by it: `10.2` for 10,200. */
function mayBeThousands(value: number, { leastBare = 0 }: FigureColumn): boolean {
  const size = Math.abs(value)
  return size > 0 && (size < leastBare || (size < LEAST_WITH_DECIMALS && !Number.isInteger(value)))
}

function asThousands(value: number, unit: string, style: CommaStyle | undefined): { wrong: Wrong } {
  const [whole = '', decimals] = numberText(Number((value * 1000).toPrecision(15))).split('.')
  // Beside decimal commas a comma before three digits has two meanings.
  const grouped = style === 'comma' ? whole : whole.replace(/\B(?=(\d{3})+$)/g, ',')
  const plain = figureText({ value, unit })
  const mend = `Write ${grouped}${decimals === undefined ? '' : `.${decimals}`}, or ${plain} with its unit.`
  return wrong('fuel with one meaning', `${plain} is so little that thousands may be meant`, mend)
}

/**
 * Reads a figure with one of the units of its column; one without a unit gets the one it is meant in, and is asked back
 * where it is so little that thousands may be meant.
 */
export function readFigure(text: string, column: FigureColumn, sight: Sight): Reading<Reported<string>> {
  const units = UNITS[column.kind] ?? []
  const said = taken(text)
  if (said === undefined)
    return wrong(`a figure in ${listed(units)}`, `"${text}" is no figure`, `Write a figure in ${listed(units)}.`)
  const number = readNumber(said.number, sight.style, column.kind !== 'speed' && column.kind !== 'density')
  if ('wrong' in number) return number
  const unit = said.unit === '' ? unitFor(column, sight) : unitOf(said.unit)
  if (said.unit === '' && unit === undefined)
    return lacking(
      'a figure with its unit',
      'no unit, and the event has none yet',
      `Write the unit, or set that of the event.`
    )
  if (unit !== undefined && units.includes(unit)) {
    const isBare = said.unit === '' && sight.unit === undefined && !SMALL.has(unit)
    if (isBare && mayBeThousands(number.value, column)) return asThousands(number.value, unit, sight.style)
    return { value: { value: number.value, unit } }
  }
  const isVague = /^(?:imp|uk)?gal/i.test(said.unit) && units.includes('USgal')
  const message = isVague
    ? 'a gallon may be two sizes'
    : `${said.unit === '' ? 'this unit' : `"${said.unit}"`} does not fit here`
  return wrong(`a figure in ${listed(units)}`, message, `Write it in ${listed(units)}.`)
}

const SMALL: ReadonlySet<string> = new Set([...SPEED_UNITS, ...DENSITY_UNITS])

/** The number of a figure with one meaning: only fuel and its flow come in thousands, `4.1250` of `4.125 lb`. */
export const figureNumber = ({ value, unit }: Reported<string>): string =>
  SMALL.has(unit) ? numberText(value) : clearText(value)

/** A figure as the draft keeps it: `10200 lb`. */
export const figureText = (figure: Reported<string>): string => `${figureNumber(figure)} ${unitText(figure.unit)}`

const MINUTES_PER: Readonly<Record<string, number>> = { min: 1, m: 1, s: 1 / 60, h: 60 }
const NUMBER_UNITS: Readonly<Partial<Record<ColumnKind, Readonly<Record<string, number>>>>> = {
  minutes: MINUTES_PER,
  bearing: { '°': 1 },
  percent: { '%': 1 },
  factor: {},
  count: {}
}

/** Reads a bare number of minutes, degrees, per cent, or a count: `1.5`, `90 s`, `285°`, `14 %`. */
export function readPlain(text: string, kind: ColumnKind, sight: Sight): Reading<number> {
  const factors = NUMBER_UNITS[kind] ?? {}
  const unit = UNITS[kind]?.[0] ?? ''
  const limit = kind === 'count' ? 'a whole number' : unit === '' ? 'a number' : `a number of ${unit}`
  const said = taken(text)
  if (said === undefined) return wrong(limit, `"${text}" is no number`, `Write ${limit}.`)
  const number = readNumber(said.number, sight.style)
  if ('wrong' in number) return number
  const its = said.unit === '' ? (sight.unit ?? unit) : (unitOf(said.unit) ?? said.unit)
  if (kind === 'count' && !Number.isInteger(number.value))
    return wrong(limit, `${numberText(number.value)} is not whole`, `Write ${limit}.`)
  if (its === '') return number
  const factor = Object.hasOwn(factors, its) ? factors[its] : undefined
  if (factor === undefined)
    return wrong(limit, `"${said.unit === '' ? its : said.unit}" does not fit here`, `Write ${limit}.`)
  return { value: factor === 1 ? number.value : number.value * factor }
}
