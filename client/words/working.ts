import type { MassUnit } from '../../shared/contracts/kinds.ts'
import { massIn, M_PER_NMI } from '../../shared/units.ts'
import type { Figure } from '../../shared/working/figure.ts'
import type { Expression, Input, Quantity, Source, Working } from '../../shared/working/paper.ts'
import { ageText, clockText, distanceText, FINE_STEP, fuelText, minuteText, spanText, type Side } from '../figures.ts'
import type { Labels } from '../labels.ts'

export const WORKING = {
  asOf: (at: string) => `as of ${at}`,
  lastKnown: 'last known',
  inputs: 'What went in',
  arithmetic: 'Arithmetic',
  name: 'figure',
  value: 'value',
  from: 'from',
  print: 'Print',
  close: 'Close',
  none: 'This figure has no answer now.'
} as const

/** How each figure comes about, in one sentence. */
export const RULES: Record<Figure, string> = {
  rank: 'Ships stand in the order in which they reach a limit, the soonest first; those in contact, gone or down after them.',
  fuel: 'What was expected of it and the last figure called, each by how sure it is, or the start fuel; less what each phase has burned since, and with what contacts gave.',
  'least fuel':
    'Fuel as estimated, less what limits do not count on: they take the lower of its one-sided 95 % low side and of the last call carried on to now.',
  'age of the call': 'Time since its fuel was called last, in whole minutes, rather older than younger.',
  margin: 'Time from now until the first of the limits that apply to it is reached, by the fuel that limits count on.',
  abort:
    'The most fuel any turn point of the orbit asks for to reach the abort base, approach, and land with the reserve; a higher figure set by hand rules.',
  bingo: 'The most fuel any task point still ahead asks for to recover; a higher figure set by hand rules.',
  joker: 'Bingo and the allowance above it; a higher figure set by hand rules.',
  'stale for': 'Age of the call, less the time after which a call is old.',
  'no flow for': 'Now less the contact; nobody has called fuel flowing since.',
  'below by': 'How long ago the limit was reached: the margin, taken the other way.',
  'below recovery by':
    'Recovery fuel from where it is and what limits do not count on, less counted fuel: no transfer to come counts.',
  'too little by': 'What counted fuel lacks of recovery fuel at the weakest point of the route.',
  'too little at': 'Where on the route counted fuel stands least above recovery fuel.',
  'runs out at': 'When no tank holds anything that reaches the engines any more, on the planned way.',
  'starves at': 'When the feed group is at its unusable rest while other tanks hold fuel.',
  ready: 'When it joined, or when its route brings it to the track.',
  contact: 'The latest of ship ready, station open, and the one before it off and changed over; then the hook-up.',
  'until contact': 'Contact less now.',
  disconnect: 'Contact, and the time the on-load takes through the station.',
  'until disconnect': 'Disconnect less now.',
  'latest contact': 'When counted fuel falls to abort fuel while it waits.',
  'latest push': 'When usable fuel falls to what its push requires while it waits.',
  slack: 'Latest contact less contact.',
  past: 'Contact less latest contact, where that is later.',
  'on-load':
    'What passes the station: each piece lasts until a tank group is full, the last one until the rule is met.',
  'fuel at contact':
    'Usable fuel when it comes to contact, along its route from the last call or from the contact before.',
  'gauge at contact': 'What its own gauge shows when it comes to contact.',
  'fuel at push': 'Usable fuel at disconnect, less the wait until its group pushes.',
  required: 'The most that anything ahead of its push asks for, no transfer counted on.',
  shortage: 'What its push requires, less what it holds then.',
  push: 'The planned push, or the last disconnect of its group and the time to re-form, whichever is later.',
  'hold from':
    'From here on external fuel is kept: the contact is shortest for the same fuel at disconnect, and counted fuel at contact stays above abort fuel and the late margin.',
  'hold gauge': 'What its own gauge shows when the hold begins.',
  'hold saves': 'The contact without a hold less the contact with it, for the same usable fuel at disconnect.',
  'release at': 'When counted fuel, held externals left out, falls to abort fuel and two minutes of burn.',
  'release gauge': 'What its own gauge shows when the hold is given up.',
  'abort gauge': 'What its own gauge shows when counted fuel falls to abort fuel.',
  'required gauge': 'What its own gauge shows when usable fuel falls to what its push requires.',
  'least on-load': 'The least on-load with which it may go on at its push.',
  'gauge at disconnect': 'What its own gauge shows when it disconnects.',
  lost: 'Of the on-load, what goes into tanks that do not give.',
  'stop after': 'Time from the first flow until the tanks named are full: piece by piece.',
  'stop on-load': 'What has passed the station by then: piece by piece.',
  'stop usable': 'Fuel at contact and the on-load until then, less what is burned meanwhile.',
  'stop saves': 'The contact to its end, less the time until then.',
  'stop leaves': 'The on-load to its end, less the on-load until then.',
  'stop forgoes': 'Usable fuel at its end, less usable fuel then.',
  'bingo gauge': 'What its own gauge shows when counted fuel falls to bingo.',
  'joker gauge': 'What its own gauge shows when counted fuel falls to joker.',
  'overruled by': 'The computed limit, which rules, less the one set by hand; of several the most.',
  'feed low at': 'When its feed group is down to the low mark of its sheet.',
  'band low': 'The least its own gauge shows while externals give.',
  'band high': 'The most its own gauge shows while externals give.',
  'holds save': 'Station time that all advised holds save.',
  'hold count': 'Contacts that a hold makes shorter.',
  give: 'The lesser of what is left of the most it can transfer, and what it holds above what it keeps and burns until it leaves.',
  promised: 'The on-loads of contacts under way and to come.',
  short: 'What contacts lack that its give ends early.',
  'last disconnect': 'The latest disconnect of those it serves.',
  leaves: 'As planned, or with the last disconnect it gives fuel until.',
  'held late': 'When it leaves, less when it was planned to.',
  'push late': 'The push less the planned push.',
  'weakest margin':
    'Least of counted fuel less recovery fuel to an open base, along the whole route, with no further transfer.',
  'weakest at': 'Where on the route counted fuel stands least above recovery fuel.',
  'ladder at': 'The start of the route and the time of each phase before this one.',
  'ladder fuel': 'All fuel aboard, phase by phase, contacts as the order has them.',
  'ladder counted': 'All fuel aboard, less what the engines cannot have and externals that do not count.',
  'ladder recovery': 'Burn to the recovery base, approach, and the landing reserve.',
  'ship count': 'Ships of all flights.',
  'flight count': 'Flights of the plan.',
  'contact count': 'Contacts in the orders of all tankers.',
  'tanker count': 'Tankers of the plan.',
  'total on-load': 'What the rules of all contacts ask for.',
  'lost count': 'Contacts that would come past the latest contact, or never.',
  'short count': 'Ships that hold less at their push than it requires.',
  'late count': 'Pushes later than planned.',
  'worst late': 'The latest of the late pushes.',
  'dry count': 'Tankers whose give ends a contact early.',
  'met count':
    'Pushes that are not late, to which every ship that is not lost comes with what its push requires, and does not run out before.',
  'unplaced count': 'Planned refuellings that stand in no order, of ships that are short at the push without them.',
  'empty count': 'Ships that run out of fuel on their planned way.',
  'contacts asked': 'Planned contacts of ships of this method.',
  'station time asked':
    'Hook-up, fill at the ready time, and changeover of every contact, each at the station where it is over first.',
  'station time there':
    'From the first ready to the last push less reform, each station while its tanker is on station.',
  'stations needed':
    'In the span where contacts are most crowded, each with its shortest fill: as many as their time fills, and as many as the shortest of them ask for one after the other.',
  'on-load asked': 'What every contact takes at its ready time.',
  'give there': 'What its tankers can give when they leave as planned.',
  'tankers by time': 'The fewest tankers that have the stations needed, those with most first.',
  'tankers by give': 'The fewest tankers whose give reaches the on-load asked, the greatest first.',
  'tankers needed': 'The larger of the two.',
  'tankers there': 'Tankers of the plan with a station of this method.',
  'cycle contacts': 'Planned contacts of this push group.',
  'cycle time':
    'From the first ready to the last disconnect: in order of ready, each at the station where it is done first.',
  'cycle window': 'The planned push less reform and the first ready.',
  share: 'Higher priorities whole; inside one that cannot be, the same part for all.',
  'give lacking': 'What all contacts to come need, less the give there is for them.',
  'on time': 'Ships that still push on time with all they need.',
  'late without': 'The push less the planned push, with it lost.',
  'short without': 'What it lacks at its push, with it lost.',
  'past without': 'Its contact less its latest contact, with it lost.',
  'give left':
    'What its tanker can give, less the on-loads of this contact and of those that are off before it or with it.',
  'push spare': 'The planned push, less the last disconnect of its group and the time to re-form.',
  'leg at': 'The start of the route and the time of each phase before this one.',
  'leg fuel': 'All fuel aboard, phase by phase, contacts as the order has them.',
  'leg counted': 'All fuel aboard, less what the engines cannot have and externals that do not count.',
  'leg recovery': 'Burn to the recovery base, approach, and the landing reserve.',
  'asked by push': 'What the rules ask for of every contact whose push is planned by then.',
  'abort distance': 'From the turn point of the orbit that asks for most to the abort base, the shortest way.',
  'abort on track':
    'The most fuel any turn point of the orbit asks for to reach the abort base, approach, and land with the reserve; a higher figure set by hand rules.'
}

type Shown = readonly ['fuel' | 'clock' | 'minute' | 'span' | 'age' | 'count' | 'distance', Side, number?]

/** Each figure by the maker and the side the screens show it with. */
const SHOWN: Record<Figure, Shown> = {
  rank: ['count', 'down'],
  fuel: ['fuel', 'down'],
  'least fuel': ['fuel', 'down'],
  'age of the call': ['age', 'up'],
  margin: ['span', 'down'],
  abort: ['fuel', 'up'],
  bingo: ['fuel', 'up'],
  joker: ['fuel', 'up'],
  'stale for': ['span', 'up'],
  'no flow for': ['span', 'up'],
  'below by': ['span', 'up'],
  'below recovery by': ['fuel', 'up'],
  'too little by': ['fuel', 'up'],
  'too little at': ['clock', 'down'],
  'starves at': ['clock', 'down'],
  'runs out at': ['clock', 'down'],
  ready: ['clock', 'up'],
  contact: ['clock', 'up'],
  'until contact': ['span', 'down'],
  disconnect: ['clock', 'up'],
  'until disconnect': ['span', 'up'],
  'latest contact': ['clock', 'down'],
  'latest push': ['clock', 'down'],
  slack: ['span', 'down'],
  past: ['span', 'up'],
  'on-load': ['fuel', 'up'],
  'fuel at contact': ['fuel', 'down'],
  'gauge at contact': ['fuel', 'down'],
  'fuel at push': ['fuel', 'down'],
  required: ['fuel', 'up'],
  shortage: ['fuel', 'up'],
  push: ['clock', 'up'],
  'hold from': ['clock', 'down'],
  'hold gauge': ['fuel', 'up'],
  'hold saves': ['span', 'down'],
  'release at': ['clock', 'down'],
  'release gauge': ['fuel', 'up'],
  'abort gauge': ['fuel', 'up'],
  'required gauge': ['fuel', 'up'],
  'least on-load': ['fuel', 'up'],
  'gauge at disconnect': ['fuel', 'down'],
  lost: ['fuel', 'up'],
  'stop after': ['span', 'up'],
  'stop on-load': ['fuel', 'up'],
  'stop usable': ['fuel', 'down'],
  'stop saves': ['span', 'down'],
  'stop leaves': ['fuel', 'down'],
  'stop forgoes': ['fuel', 'up'],
  'bingo gauge': ['fuel', 'up'],
  'joker gauge': ['fuel', 'up'],
  'overruled by': ['fuel', 'up'],
  'feed low at': ['clock', 'down'],
  'band low': ['fuel', 'up'],
  'band high': ['fuel', 'down'],
  'holds save': ['span', 'down'],
  'hold count': ['count', 'down'],
  give: ['fuel', 'down', 100],
  promised: ['fuel', 'up', 100],
  short: ['fuel', 'up', 100],
  'last disconnect': ['clock', 'up'],
  leaves: ['minute', 'down'],
  'held late': ['span', 'up'],
  'push late': ['span', 'up'],
  'weakest margin': ['fuel', 'down'],
  'weakest at': ['clock', 'down'],
  'ladder at': ['clock', 'down'],
  'ladder fuel': ['fuel', 'down'],
  'ladder counted': ['fuel', 'down'],
  'ladder recovery': ['fuel', 'up'],
  'ship count': ['count', 'up'],
  'flight count': ['count', 'up'],
  'contact count': ['count', 'up'],
  'tanker count': ['count', 'up'],
  'total on-load': ['fuel', 'up', 100],
  'lost count': ['count', 'up'],
  'short count': ['count', 'up'],
  'late count': ['count', 'up'],
  'worst late': ['span', 'up'],
  'dry count': ['count', 'up'],
  'met count': ['count', 'down'],
  'unplaced count': ['count', 'up'],
  'empty count': ['count', 'up'],
  'contacts asked': ['count', 'up'],
  'station time asked': ['span', 'up'],
  'station time there': ['span', 'down'],
  'stations needed': ['count', 'up'],
  'on-load asked': ['fuel', 'up', 100],
  'give there': ['fuel', 'down', 100],
  'tankers by time': ['count', 'up'],
  'tankers by give': ['count', 'up'],
  'tankers needed': ['count', 'up'],
  'tankers there': ['count', 'down'],
  'cycle contacts': ['count', 'up'],
  'cycle time': ['span', 'up'],
  'cycle window': ['span', 'down'],
  share: ['fuel', 'down'],
  'give lacking': ['fuel', 'up', 100],
  'on time': ['count', 'down'],
  'late without': ['span', 'up'],
  'short without': ['fuel', 'up'],
  'past without': ['span', 'up'],
  'give left': ['fuel', 'down', 100],
  'push spare': ['span', 'down'],
  'leg at': ['clock', 'down'],
  'leg fuel': ['fuel', 'down'],
  'leg counted': ['fuel', 'down'],
  'leg recovery': ['fuel', 'up'],
  'asked by push': ['fuel', 'up', 100],
  'abort distance': ['distance', 'up'],
  'abort on track': ['fuel', 'up']
}

/** A figure as the screen it was opened from shows it. */
export function shownText(figure: Figure, { value }: Quantity, unit: MassUnit, step?: number): string {
  const [as, side, usual = FINE_STEP] = SHOWN[figure]
  switch (as) {
    case 'fuel':
      return fuelText(value, unit, side, step ?? usual)
    case 'clock':
      return clockText(value, side)
    case 'minute':
      return minuteText(value, side)
    case 'span':
      return spanText(value, side)
    case 'age':
      return ageText(value)
    case 'distance':
      return distanceText(value, side)
    case 'count':
      return String(value)
  }
}

const M_PER_S_PER_KT = M_PER_NMI / 3600

/** To so many places, thousands apart, with a true minus. */
function decimal(value: number, places: number): string {
  const [whole = '0', part] = Math.abs(value).toFixed(places).split('.')
  const sign = value < 0 && Number(value.toFixed(places)) !== 0 ? '\u2212' : ''
  return `${sign}${whole.replace(/\B(?=(\d{3})+$)/g, ',')}${part === undefined ? '' : `.${part}`}`
}

/** A quantity on the way to a result: nearer than a screen shows it, rounded to no side. */
export function quantityText({ kind, value }: Quantity, unit: MassUnit): string {
  switch (kind) {
    case 'mass':
      return `${decimal(massIn(unit, value), 1)} ${unit}`
    case 'flow':
      return `${decimal(massIn(unit, value) * 60, 1)} ${unit}/min`
    case 'span': {
      const tenths = Math.round(Math.abs(value) * 10)
      const minutes = Math.floor(tenths / 600)
      const seconds = ((tenths % 600) / 10).toFixed(1).padStart(4, '0')
      return `${value < 0 && tenths > 0 ? '\u2212' : ''}${String(minutes).padStart(2, '0')}:${seconds}`
    }
    case 'instant':
      return clockText(Math.round(value / 1000) * 1000)
    case 'speed':
      return `${decimal(value / M_PER_S_PER_KT, 1)} kt`
    case 'distance':
      return `${decimal(value / M_PER_NMI, 1)} nmi`
    case 'factor':
      return decimal(value, 4)
    case 'count':
      return decimal(value, 0)
  }
}

/** Where an input came from, as typed where somebody typed it. */
export function sourceText(source: Source): string {
  const typed =
    'typed' in source && source.typed
      ? `${decimal(source.typed.value, places(source.typed.value))} ${source.typed.unit}`
      : ''
  const as = typed === '' ? '' : `, ${typed}`
  switch (source.from) {
    case 'called':
      return `called ${clockText(source.atMs)}${as}`
    case 'by hand':
      return `by hand ${clockText(source.atMs)}${as}`
    case 'sheet':
    case 'plan':
    case 'assumed':
    case 'computed':
    case 'clock':
      return `${source.from}${as}`
  }
}
const places = (value: number): number => Math.min(4, (String(value).split('.')[1] ?? '').length)

/** The name an id goes by, whatever it is an id of. */
function nameOf(id: string, labels: Labels): string {
  for (const of of [
    labels.ship,
    labels.phase,
    labels.base,
    labels.tanker,
    labels.flight,
    labels.pushGroup,
    labels.track
  ]) {
    const name = of(id)
    if (name !== id) return name
  }
  return id
}

export const lineName = ({ name, about }: Pick<Input, 'name' | 'about'>, labels: Labels): string =>
  about === undefined || about === '' ? name : `${name}, ${nameOf(about, labels)}`

const SIGNS = { add: ' + ', subtract: ' \u2212 ', multiply: ' \u00d7 ', divide: ' \u00f7 ' } as const

/** An expression with its values put in. */
export function expressionText(expression: Expression, working: Working, unit: MassUnit): string {
  const text = (part: Expression, inside: boolean): string => {
    if ('number' in part) return String(part.number)
    if ('input' in part || 'line' in part) {
      const quantity = 'input' in part ? working.inputs[part.input]?.quantity : working.lines[part.line]?.result
      return quantity ? quantityText(quantity, unit) : ''
    }
    const { operation, of } = part
    if (operation === 'greatest' || operation === 'least' || operation === 'growth')
      return `${operation === 'growth' ? 'growth' : operation} of (${of.map((one) => text(one, false)).join('; ')})`
    const joined = of.map((one) => text(one, true)).join(SIGNS[operation])
    return inside && of.length > 1 && (operation === 'add' || operation === 'subtract') ? `(${joined})` : joined
  }
  return text(expression, false)
}
