/** The two rules that a cell holds as words: fuel on landing, and what a visit gives. */
import type { LandingReserve, OnLoadRule } from '../contracts/plan.ts'
import { ON_LOAD_RULES } from '../contracts/kinds.ts'
import { figureText, readFigure, readPlain, taken, type Sight } from './figure.ts'
import { listOf, listText } from './list.ts'
import { numberText, ONE_MEANING } from './number.ts'
import { wrong, type Reading, type Wrong } from './wrong.ts'

type OneReserve = Exclude<LandingReserve, { kind: 'greatest' }>

const GREATEST = 'greatest of: '
const MINUTES = /^(.*?\d)\s*(?:min|mins|minutes?)(?: holding)?$/i
const SHARE = /^([^%]*?\d)\s*%\s*(?:(at control points?)|,?\s*(?:not below|at least|floor)\s+(.+))$/i

const RESERVE_LIMIT = 'minutes, an amount, a share with its floor, or a share at control points'
const RESERVE_MEND = 'Write 12 min, 1100 lb, 14 % not below 1100 lb or 18 % at control points; several with semicolons.'

/** Reads the rule for fuel on landing; of several the greatest holds. */
export function readReserve(text: string, sight: Sight): Reading<LandingReserve> {
  const isGreatest = text.toLowerCase().startsWith(GREATEST.trim())
  const items = listOf(isGreatest ? text.slice(GREATEST.trim().length) : text)
  const read = items.map((item) => oneReserve(item, sight))
  const fault = read.find((one) => 'wrong' in one)
  if (fault) return fault
  const of = read.flatMap((one) => ('value' in one ? [one.value] : []))
  const [only] = of
  if (only === undefined) return wrong(RESERVE_LIMIT, `"${text}" is no rule`, RESERVE_MEND)
  return { value: of.length === 1 && !isGreatest ? only : { kind: 'greatest', of } }
}

function oneReserve(text: string, sight: Sight): Reading<OneReserve> {
  const minutes = MINUTES.exec(text)
  if (minutes)
    return made(readPlain(minutes[1] ?? '', 'minutes', sight), (holdingMin) => ({ kind: 'minutes', holdingMin }))
  if (taken(text)?.unit === '') {
    if (sight.unit === 'min')
      return made(readPlain(text, 'minutes', sight), (holdingMin) => ({ kind: 'minutes', holdingMin }))
    if (sight.unit === undefined) return bare(text, sight)
  }
  const share = SHARE.exec(text)
  if (share) {
    // The unit of a heading is not that of a share; in minutes it says nothing of the floor either.
    const percent = readPlain(share[1] ?? '', 'percent', { ...sight, unit: undefined })
    if (share[3] === undefined) return made(percent, (sharePercent) => ({ kind: 'rendezvous', sharePercent }))
    if ('wrong' in percent) return percent
    const its = sight.unit === 'min' ? { ...sight, unit: undefined } : sight
    return made(fuel(share[3], its), (floor) => ({ kind: 'share', sharePercent: percent.value, floor }))
  }
  const fixed = made<Fuel, OneReserve>(fuel(text, sight), (amount) => ({ kind: 'fixed', fuel: amount }))
  if ('value' in fixed || fixed.wrong.limit === ONE_MEANING) return fixed
  return wrong(RESERVE_LIMIT, `"${text}" is no rule for fuel on landing`, RESERVE_MEND)
}

/** Twenty of what? Of minutes taken for pounds nothing would be left. */
function bare(text: string, { massUnit = 'lb' }: Sight): { wrong: Wrong } {
  const number = text.trim()
  return wrong(
    'a figure with its unit',
    'minutes or fuel, the figure does not say',
    `Write ${number} min or ${number} ${massUnit}.`
  )
}

type Fuel = Extract<OnLoadRule, { kind: 'fixed' }>['fuel']
/** A landing reserve or an on-load: a whole load. */
const fuel = (text: string, sight: Sight) =>
  readFigure(text, { kind: 'quantity', leastBare: 100 }, sight) as Reading<Fuel>

const made = <T, Made>(reading: Reading<T>, make: (value: T) => Made): Reading<Made> =>
  'wrong' in reading ? reading : { value: make(reading.value) }

/** The rule as the draft keeps it. */
export function reserveText(rule: LandingReserve): string {
  if (rule.kind === 'greatest') return `${GREATEST}${listText(rule.of.map(reserveText))}`
  switch (rule.kind) {
    case 'minutes':
      return `${numberText(rule.holdingMin)} min`
    case 'fixed':
      return figureText(rule.fuel)
    case 'rendezvous':
      return `${numberText(rule.sharePercent)} % at control points`
    case 'share':
      return `${numberText(rule.sharePercent)} % not below ${figureText(rule.floor)}`
  }
}

const RULE_WORDS: Readonly<Record<string, string>> = { req: 'required', internal: 'internals', fixed: '' }
const ON_LOAD_LIMIT = 'required, internals, full, or an amount of fuel'

/** Reads what a visit gives: a word, or an amount. */
export function readOnLoad(text: string, sight: Sight): Reading<OnLoadRule> {
  const word = text.trim().toLowerCase()
  const kind = ON_LOAD_RULES.find((one) => one === (Object.hasOwn(RULE_WORDS, word) ? RULE_WORDS[word] : word))
  if (kind !== undefined && kind !== 'fixed') return { value: { kind } }
  const amount = fuel(text.replace(/^fixed[: ]\s*/i, ''), sight)
  if ('value' in amount) return { value: { kind: 'fixed', fuel: amount.value } }
  if (/^\s*[-+\d]/.test(text)) return amount
  return wrong(ON_LOAD_LIMIT, `"${text}" is no rule`, `Write ${ON_LOAD_LIMIT}.`)
}

export const onLoadText = (rule: OnLoadRule): string => (rule.kind === 'fixed' ? figureText(rule.fuel) : rule.kind)

/** An on-load of one ship alone, in the visit that is called so. */
export interface OwnOnLoad {
  readonly visit: string
  readonly onLoad: OnLoadRule
}
const OWN = /^(?:visit )?(\S{1,12})\s*:\s*(.+)$/is

/** Reads on-loads of one ship by visit. */
export function readOwnOnLoads(text: string, sight: Sight): Reading<readonly OwnOnLoad[]> {
  const read = listOf(text).map((item): Reading<OwnOnLoad> => {
    const [, visit, rule] = OWN.exec(item) ?? []
    if (visit === undefined || rule === undefined)
      return wrong('a visit and its rule', `"${item}" names no visit`, 'Write 1: full, or 2: 2700 lb.')
    return made(readOnLoad(rule, sight), (onLoad) => ({ visit, onLoad }))
  })
  const fault = read.find((one) => 'wrong' in one)
  return fault ?? { value: read.flatMap((one) => ('value' in one ? [one.value] : [])) }
}

export const ownOnLoadsText = (onLoads: readonly OwnOnLoad[]): string =>
  listText(onLoads.map(({ visit, onLoad }) => `${visit}: ${onLoadText(onLoad)}`))
