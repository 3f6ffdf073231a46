import { BOUNDS } from '../shared/contracts/bounds.ts'
import { EXTERNALS, FUEL_GRADES, MASS_UNITS, type MassUnit } from '../shared/contracts/kinds.ts'
import type { ReceiverType } from '../shared/contracts/plan.ts'
import type { Fault } from '../shared/contracts/problem.ts'
import type { OnLoadBody } from '../shared/contracts/requests.ts'
import { PLANNING_DENSITIES } from '../shared/density.ts'
import { RECEIVERS } from '../shared/library/receivers.ts'
import { densityKgPerM3, distanceM, flowKgPerS, massIn, massKg, quantityKg, speedMPerS } from '../shared/units.ts'

/*
 * The question of the on-load page, as typed. The same words stand in its address, so that it can be sent to somebody;
 * what makes no sense in them is refused with field, value and limit as the service would.
 */

export const ON_LOAD_KINDS = ['full', 'internals', 'fixed', 'fuelAtDisconnect'] as const
export const RESERVES = ['minutes', 'fixed'] as const
/** Rules that ask for a figure. */
export const ASKS_FIGURE: ReadonlySet<string> = new Set(['fixed', 'fuelAtDisconnect'])

/** Everything but what is fitted is the text of its field; masses and flows are in the mass unit. */
export interface Question {
  type: string
  fitted: string[]
  unit: string
  grade: string
  fuel: string
  externals: string
  minutes1: string
  flow1: string
  minutes2: string
  flow2: string
  rate: string
  rule: string
  asked: string
  window: string
  give: string
  distance: string
  speed: string
  reserve: string
  reserveFigure: string
  byHand: string
  late: string
  jettisons: string
}
export type QuestionField = Exclude<keyof Question, 'fitted'>

/** Every field in the order of the form; what is left out of an address is empty, a choice its first. */
const EMPTY: Question = {
  type: RECEIVERS[0]?.id ?? '',
  fitted: [],
  unit: 'lb',
  grade: 'JP-8',
  fuel: '',
  externals: 'selected',
  minutes1: '',
  flow1: '',
  minutes2: '',
  flow2: '',
  rate: '',
  rule: 'full',
  asked: '',
  window: '',
  give: '',
  distance: '',
  speed: '',
  reserve: 'minutes',
  reserveFigure: '',
  byHand: '',
  late: '',
  jettisons: ''
}

/** What stands there when nothing is asked yet: a ship with externals, forty minutes out. */
export const EXAMPLE: Question = {
  ...EMPTY,
  fitted: ['larch-wing-tank'],
  fuel: '9800',
  minutes1: '40',
  flow1: '5100',
  minutes2: '3.5',
  flow2: '5000',
  rate: '3300',
  distance: '120',
  speed: '400',
  reserveFigure: '15',
  late: '5'
}

/** The question of an address; the example where it asks nothing. */
export function questionOf(search: string): Question {
  const given = new URLSearchParams(search)
  const question = { ...(given.has('type') || given.has('fuel') ? EMPTY : EXAMPLE) }
  question.fitted = given.has('fitted') ? (given.get('fitted') ?? '').split(' ').filter((id) => id !== '') : []
  if (!given.has('type') && !given.has('fuel')) question.fitted = [...EXAMPLE.fitted]
  for (const field of FIELDS) question[field] = given.get(field) ?? question[field]
  return question
}

/** The whole question as the end of an address; empty fields are left out. */
export function searchOf(question: Question): string {
  const told = new URLSearchParams()
  for (const field of FIELDS) {
    if (question[field] !== '') told.set(field, question[field])
    if (field === 'type') told.set('fitted', question.fitted.join(' '))
  }
  return `?${told.toString()}`
}

const FIELDS = Object.keys(EMPTY).filter((field): field is QuestionField => field !== 'fitted')

export const typeOf = (question: Question): ReceiverType | undefined => RECEIVERS.find(({ id }) => id === question.type)
export const massUnitOf = (question: Question): MassUnit => (question.unit === 'kg' ? 'kg' : 'lb')

/** Station rates to begin with, kg/s. Source: made up, as the sheets are. */
const STATION_KG_PER_S = { boom: 25, drogue: 11 } as const

/** Takes another type: what is fitted, what it burns and holds, and the station follow it. */
export function withType(question: Question, id: string): Question {
  const type = RECEIVERS.find((one) => one.id === id)
  if (type === undefined) return { ...question, type: id }
  const unit = massUnitOf(question)
  const density = densityKgPerM3(PLANNING_DENSITIES['JP-8'])
  const perHour = (flow: ReceiverType['maxRate'] | undefined) =>
    flow === undefined ? '' : String(Math.round(massIn(unit, flowKgPerS(flow, density) * 3600)))
  const fitted = type.groups.filter(({ place }) => place === 'external').map((group) => group.id)
  const holdsKg = type.groups.reduce((sum, group) => sum + group.tankCount * quantityKg(group.capacity, density), 0)
  return {
    ...question,
    type: id,
    fitted,
    // Four fifths of what it holds: on its way, with externals still giving.
    fuel: String(Math.round(massIn(unit, 0.8 * holdsKg) / 100) * 100),
    flow1: perHour(type.flows.transit),
    flow2: perHour(type.flows.refuelling),
    rate: String(Math.round(massIn(unit, STATION_KG_PER_S[type.method] * 60) / 50) * 50)
  }
}

/** Fields that hold a mass or a flow; what is asked at a reserve only where it is a mass. */
const WEIGHED = ['fuel', 'flow1', 'flow2', 'rate', 'asked', 'give', 'byHand'] as const

/** The same question in the other unit: kilograms to a tenth, pounds whole, so that whole pounds come back. */
export function inUnit(question: Question, unit: MassUnit): Question {
  const from = massUnitOf(question)
  const turned = { ...question, unit }
  if (from === unit) return turned
  const steps = unit === 'kg' ? 10 : 1
  for (const field of [...WEIGHED, ...(question.reserve === 'fixed' ? (['reserveFigure'] as const) : [])]) {
    const value = numberOf(question[field])
    if (value !== undefined)
      turned[field] = String(Math.round(massIn(unit, massKg({ value, unit: from })) * steps) / steps)
  }
  return turned
}

/** A figure as people write it, thousands apart or not; undefined when it is none. */
function numberOf(text: string): number | undefined {
  const plain = text.trim().replaceAll(/[\s,]/g, '')
  return /^[-+]?(\d+\.?\d*|\.\d+)$/.test(plain) ? Number(plain) : undefined
}

/** What the service is asked; or every field that makes no sense, by the paths of the contract. */
export function bodyOf(question: Question): { body: OnLoadBody } | { faults: Fault[] } {
  const faults: Fault[] = []
  const refuse = (path: string, value: string, limit: string, message: string) => {
    faults.push({ path, value, limit, message })
  }
  const oneOf = <Word extends string>(words: readonly Word[], word: string, path: string): Word => {
    const found = words.find((one) => one === word)
    if (found === undefined) refuse(path, JSON.stringify(word), `one of ${words.join(', ')}`, 'no such choice')
    return found ?? (words[0] as Word)
  }
  const unit = oneOf(MASS_UNITS, question.unit, '/fuelNow/unit')
  const number = (text: string, path: string): number | undefined => {
    const value = numberOf(text)
    if (value === undefined)
      refuse(path, text.trim() === '' ? 'nothing' : JSON.stringify(text), 'a number', 'a figure is wanted here')
    return value
  }
  /** A figure with its unit, judged in SI as the contract does. */
  const reported = <Unit extends string>(
    text: string,
    path: string,
    { unit, si, bound, siUnit }: { unit: Unit; si: (value: number) => number; bound: Bound; siUnit: string }
  ): { value: number; unit: Unit } => {
    const value = number(text, `${path}/value`)
    if (value === undefined) return { value: 0, unit }
    if (!(si(value) >= bound.min && si(value) <= bound.max)) {
      const limit = `${String(bound.min)} to ${String(bound.max)} ${siUnit}`
      refuse(`${path}/value`, String(value), limit, `outside ${limit}`)
    }
    return { value, unit }
  }
  const mass = (text: string, path: string) =>
    reported(text, path, { unit, si: (value) => massKg({ value, unit }), bound: BOUNDS.massKg, siUnit: 'kg' })
  const flow = <Per extends 'h' | 'min'>(text: string, path: string, per: Per) =>
    reported<`${MassUnit}/${Per}`>(text, path, {
      unit: `${unit}/${per}`,
      si: (value) => flowKgPerS({ value, unit: `${unit}/${per}` }, 1),
      bound: BOUNDS.flowKgPerS,
      siUnit: 'kg/s'
    })
  const minutes = (text: string, path: string, bound: Bound): number => {
    const value = number(text, path)
    if (value === undefined) return 0
    if (value < bound.min) refuse(path, String(value), `at least ${String(bound.min)}`, 'too little')
    if (value > bound.max) refuse(path, String(value), `at most ${String(bound.max)}`, 'too much')
    return value
  }
  const asked = (text: string) => text.trim() !== ''

  const receiverType = typeOf(question)
  if (receiverType === undefined) {
    const known = RECEIVERS.map(({ id }) => id).join(', ')
    refuse('/receiverType/id', JSON.stringify(question.type), `one of ${known}`, 'no such type in the library')
    return { faults }
  }
  const ruleKind = oneOf(ON_LOAD_KINDS, question.rule, '/onLoad/kind')
  const legs = [
    { minutes: question.minutes1, flow: question.flow1 },
    { minutes: question.minutes2, flow: question.flow2 }
  ].filter((leg) => asked(leg.minutes))
  const aborts = asked(question.distance) || asked(question.byHand)
  const body: OnLoadBody = {
    receiverType,
    fuelDensity: PLANNING_DENSITIES[oneOf(FUEL_GRADES, question.grade, '/fuelDensity')],
    fitted: question.fitted,
    fuelNow: mass(question.fuel, '/fuelNow'),
    externals: oneOf(EXTERNALS, question.externals, '/externals'),
    ahead: legs.map((leg, index) => ({
      durationMin: minutes(leg.minutes, `/ahead/${String(index)}/durationMin`, BOUNDS.durationMin),
      flow: flow(leg.flow, `/ahead/${String(index)}/flow`, 'h')
    })),
    stationRate: flow(question.rate, '/stationRate', 'min'),
    onLoad:
      ruleKind === 'fixed' || ruleKind === 'fuelAtDisconnect'
        ? { kind: ruleKind, fuel: mass(question.asked, '/onLoad/fuel') }
        : { kind: ruleKind },
    ...(aborts
      ? {
          abort: {
            distance: reported(question.distance, '/abort/distance', {
              unit: 'NM',
              si: (value) => distanceM({ value, unit: 'NM' }),
              bound: BOUNDS.distanceM,
              siUnit: 'm'
            }),
            groundSpeed: reported(question.speed, '/abort/groundSpeed', {
              unit: 'kt',
              si: (value) => speedMPerS({ value, unit: 'kt' }),
              bound: BOUNDS.speedMPerS,
              siUnit: 'm/s'
            }),
            landingReserve:
              oneOf(RESERVES, question.reserve, '/abort/landingReserve/kind') === 'minutes'
                ? {
                    kind: 'minutes',
                    holdingMin: minutes(question.reserveFigure, '/abort/landingReserve/holdingMin', BOUNDS.shortMin)
                  }
                : { kind: 'fixed', fuel: mass(question.reserveFigure, '/abort/landingReserve/fuel') },
            ...(asked(question.byHand) ? { byHand: mass(question.byHand, '/abort/byHand') } : {})
          }
        }
      : {}),
    ...(asked(question.late) ? { lateMarginMin: minutes(question.late, '/lateMarginMin', BOUNDS.shortMin) } : {}),
    ...(asked(question.window) ? { windowMin: minutes(question.window, '/windowMin', BOUNDS.shortMin) } : {}),
    ...(asked(question.give) ? { give: mass(question.give, '/give') } : {}),
    ...(question.jettisons === 'yes' ? { jettisonsAfter: true } : {})
  }
  return faults.length > 0 ? { faults } : { body }
}

interface Bound {
  readonly min: number
  readonly max: number
}

/** The field a path of the contract stands for; undefined where no field of the form holds it. */
export function fieldOf(path: string, question: Question): QuestionField | 'fitted' | undefined {
  const legs = (['1', '2'] as const).filter((leg) => question[`minutes${leg}`].trim() !== '')
  const [, row, part] = /^\/ahead\/(\d+)\/(durationMin|flow)/.exec(path) ?? []
  const leg = legs[Number(row)]
  if (leg !== undefined) return part === 'flow' ? `flow${leg}` : `minutes${leg}`
  return PATHS.find(([start]) => path.startsWith(start))?.[1]
}

const PATHS: readonly (readonly [start: string, field: QuestionField | 'fitted'])[] = [
  ['/receiverType', 'type'],
  ['/fitted', 'fitted'],
  ['/fuelDensity', 'grade'],
  ['/fuelNow/unit', 'unit'],
  ['/fuelNow', 'fuel'],
  ['/externals', 'externals'],
  ['/stationRate', 'rate'],
  ['/onLoad/kind', 'rule'],
  ['/onLoad', 'asked'],
  ['/windowMin', 'window'],
  ['/give', 'give'],
  ['/abort/distance', 'distance'],
  ['/abort/groundSpeed', 'speed'],
  ['/abort/landingReserve/kind', 'reserve'],
  ['/abort/landingReserve', 'reserveFigure'],
  ['/abort/byHand', 'byHand'],
  ['/lateMarginMin', 'late']
]
