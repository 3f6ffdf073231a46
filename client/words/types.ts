import type { FlowKind } from '../../shared/contracts/kinds.ts'
import type { FeedEvent } from '../../shared/tanks/feed.ts'
import type { Basis } from '../../shared/library/basis.ts'
import type { DefaultFigure, DefaultOf } from '../../shared/library/defaults.ts'
import type { TankDoes } from '../pictures/tanks.ts'

export const TYPES = {
  title: 'Type sheets',
  home: 'Ullage',
  note: 'Every type is invented: no aircraft is meant. Copy one into a plan and put your own figures in its place.',
  receivers: 'Receivers',
  tankers: 'Tankers',
  rules: 'Rules and defaults',
  rulesNote: 'Rules that a new plan begins with, and figures that count where a plan says nothing of its own.',
  list: 'Types',
  figures: 'Figures',
  figure: 'figure',
  value: 'value',
  basis: 'what it rests on',
  whole: 'whole ship',
  wholeTanker: 'tanker',
  beginning: 'a new plan begins with',
  elsewhere: 'where a plan says nothing',
  tanks: 'Tanks as they are emptied',
  tanksNote:
    'Full at first, one flow all the way; those emptied first stand at the top, the engines drink from the last.',
  fitted: 'Fitted',
  externals: 'External transfer',
  flow: 'Flow',
  unit: 'Unit',
  time: 'Time from full tanks',
  aboard: 'aboard',
  usable: 'usable',
  counted: 'limits count on',
  gauge: 'own gauge',
  burn: 'burn',
  tank: 'tanks',
  holds: 'holds',
  of: 'of',
  does: 'does',
  inOrder: 'What happens when',
  lasts: 'nothing more reaches the engines',
  starves: 'the engines stop: nothing reaches the feed tanks while others hold fuel',
  internal: 'internal',
  external: 'external',
  unusable: 'unusable',
  room: 'room left'
} as const

export const FLOW_WORDS: Record<FlowKind, string> = {
  taxi: 'taxi',
  departure: 'departure',
  climb: 'climb',
  transit: 'transit',
  loiter: 'loiter',
  combat: 'combat',
  recovery: 'recovery',
  refuelling: 'refuelling',
  holding: 'holding'
}

export const DOES_WORDS: Record<TankDoes, string> = {
  gives: 'gives',
  waits: 'waits its turn',
  held: 'held',
  silent: 'silent while externals are selected',
  dry: 'dry',
  'to the engines': 'the engines drink from it'
}

export const EVENT_WORDS: Record<FeedEvent['kind'], (group: string) => string> = {
  'group dry': (group) => `${group} dry`,
  'externals dry': () => 'externals dry: put the switch off',
  starved: () => 'engines without fuel',
  'reserve released': (group) => `${group} released`,
  'feed low': () => 'low-level light'
}

export const BASIS_WORDS: Record<Basis['kind'], string> = {
  published: 'published',
  'common practice': 'common practice',
  assumed: 'assumed'
}
export const whyText = (basis: Basis): string => (basis.kind === 'published' ? basis.source : basis.why)

/** Fields of sheets and rules as a screen names them; one that is not listed is shown as the contract has it. */
const FIELDS: Readonly<Record<string, string>> = {
  maxRate: 'most it takes',
  'gaugeBand low': 'gauge while externals give, at least',
  'gaugeBand high': 'gauge while externals give, at most',
  notGivingBelow: 'externals do not give below',
  feedLowMark: 'low-level light at',
  'dump rate': 'dumps',
  'weighing zeroFuel': 'weight without fuel',
  'weighing reference': 'weight its flows are stated at',
  refuellingLow: 'refuels from',
  refuellingHigh: 'refuels up to',
  recoveryAirspeed: 'true airspeed home',
  approachFuel: 'approach',
  'groups tankCount': 'tanks',
  'groups capacity': 'holds, each',
  'groups unusable': 'unusable, each',
  'groups fillRate': 'takes from a tanker, each',
  'groups transferRate': 'gives to the feed tanks, each',
  'groups role turnCount': 'turn',
  'groups role releasedBelow': 'released when the feed tanks are below',
  'groups dragFactor': 'flow while fitted, times',
  'stations maxRate': 'gives, at most',
  hookUpBoomMin: 'hook-up, boom',
  hookUpDrogueMin: 'hook-up, drogue',
  changeoverWithinFlightMin: 'changeover within a flight',
  changeoverBoomMin: 'changeover between flights, boom',
  changeoverDrogueMin: 'changeover between flights, drogue',
  methodChangeMin: 'change between stations that exclude each other',
  reformMin: 'last disconnect to push',
  lateMarginMin: 'a margin below this is "soon"',
  staleAfterMin: 'a call is old after',
  jokerAllowance: 'joker above bingo',
  'landingReserve of holdingMin': 'landing reserve, holding; the greatest of these counts',
  'landingReserve of sharePercent': 'landing reserve, share of the fuel planned',
  'landingReserve of floor': 'landing reserve, not below',
  windFromDeg: 'wind from',
  windSpeed: 'wind'
}

export function fieldText(field: string): string {
  const [first = '', kind = ''] = field.split(' ')
  return first === 'flows' ? `flow, ${FLOW_WORDS[kind as FlowKind]}` : (FIELDS[field] ?? field)
}

const SAID: Readonly<Record<string, string>> = {
  stage: 'gives in its turn',
  feed: 'the engines drink from it',
  reserve: 'reserve, keeps the feed tanks at a mark',
  silenced: 'silent while externals are selected',
  'gauge total': 'gauge shows all fuel',
  'gauge internal': 'gauge shows the inside only'
}
export const saidText = (said: readonly string[]): string => said.map((one) => SAID[one] ?? one).join(', ')

const DEFAULTS: Record<DefaultOf, string> = {
  'planning density': 'planning density',
  'external share': 'external tanks take, of what all internal ones take',
  'worth a hold': 'least station time that is worth a hold',
  'release above abort': 'a hold is given up so much burn above abort fuel',
  'flow assumed after': 'fuel is taken to flow so long after contact',
  'off-load slack': 'off-load beyond the sheet that is still believed',
  gauge: 'gauge is off by, of its full scale',
  'burn factor': 'burn is off by, before the first call',
  'burn walk': 'burn strays in an hour by',
  bursts: 'bursts on task add in five minutes, as burn of so long',
  'steady share': 'of straying and bursts, on the way and beside a tanker',
  'phase entry': 'a phase begins off its time by, where no call says when',
  meter: 'off-load as called is off by',
  'computed off-load': 'off-load as computed is off by',
  'low side': 'low side of an estimate, in standard deviations',
  'beyond reason': 'a call is checked or waits when off by more, in standard deviations'
}
export const defaultText = ({ of, grade }: DefaultFigure): string =>
  grade === undefined ? DEFAULTS[of] : `${DEFAULTS[of]}, ${grade}`

/** A figure as it was typed, thousands apart; no more places than it has. */
export function typedText(value: number, unit: string): string {
  const [whole = '0', part] = String(Math.round(value * 10_000) / 10_000).split('.')
  const figure = `${whole.replace(/\B(?=(\d{3})+$)/g, ',')}${part === undefined ? '' : `.${part}`}`
  return unit === '' ? figure : `${figure}${unit === '°' ? '' : ' '}${unit}`
}
