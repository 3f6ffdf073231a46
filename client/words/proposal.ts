import type { SearchView } from '../../shared/contracts/search.ts'
import type { MassUnit } from '../../shared/contracts/kinds.ts'
import type { View } from '../../shared/contracts/view.ts'
import { LEVELS, STEP_KG, STEP_MS, type Level } from '../../shared/order/judgement.ts'
import { fuelText, spanText } from '../figures.ts'
import { outcomeOf, type Lapse } from '../proposal.ts'

export type ColumnName = 'in force' | 'repair' | 'anew' | 'proof' | 'by hand'

export const PROPOSAL = {
  title: 'A better order',
  compare: 'Orders side by side',
  changes: 'What changes for whom',
  lost: 'lost',
  short: 'short at push',
  nearLatest: 'close to latest contact',
  closeTo: 'comes within',
  ofLatest: 'of its latest contact',
  slack: 'slack',
  late: 'pushes late',
  worst: 'the worst by',
  last: 'last disconnect',
  moved: 'ships moved',
  verdict: 'against the order in force',
  nobody: 'nobody',
  none: 'none',
  looking: 'looking',
  nothing: 'nothing better found',
  unseen: 'found, not worked out',
  whyUnseen:
    'What a found order leads to could not be worked out: that part of the page does not load. It is tried again.',
  choose: (name: string) => `Choose ${name}`,
  chosen: 'chosen',
  close: 'Close',
  see: 'Compare',
  notNow: 'Not now',
  prove: 'Prove it',
  stop: 'Stop',
  failed: 'The part of this page that looks for orders did not load. Load the page again.',
  proofLapsed: 'The proof no longer holds on the present state: prove it again.',
  stale: 'The order was changed meanwhile and nothing was recorded: looked for again.',
  ship: 'ship',
  from: 'from',
  to: 'to',
  contact: 'contact',
  onLoad: 'on-load',
  push: 'push',
  what: 'what it means',
  turn: (turn: number) => `turn ${turn}`,
  noContact: 'no contact',
  saved: 'saved',
  becomesLost: 'lost',
  movedOnly: 'moved',
  pushes: 'pushes',
  later: 'later',
  earlier: 'earlier',
  shortBy: 'short'
} as const

export const COLUMNS: Record<ColumnName, string> = {
  'in force': 'In force',
  repair: 'Repair',
  anew: 'Anew',
  proof: 'Proof',
  'by hand': 'By hand'
}

/** Why a proposal is looked for again. */
export const LAPSES: Record<Lapse, string> = {
  'order changed': 'The order in force was changed: looked for again.',
  held: 'A ship it would move is in contact, flown or pinned now: looked for again.',
  'not better': 'It is no longer better than the order in force: looked for again.'
}

const ships = (count: number): string => (count === 1 ? '1 ship' : `${count} ships`)

/** A repair that nobody asked for, in one line. */
export function offerSentence(then: View, movedCount: number): string {
  const { lost, short, late } = outcomeOf(then)
  const parts = [
    `${ships(movedCount)} ${movedCount === 1 ? 'moves' : 'move'}`,
    lost.length === 0 ? 'nobody is lost' : `${lost.length} still lost`,
    ...(short.length === 0 ? [] : [`${short.length} still short`]),
    ...(late.length === 0 ? [] : [`${late.length} ${late.length === 1 ? 'push' : 'pushes'} still late`])
  ]
  return `A repair is ready: ${parts.join(', ')}.`
}

type Proof = NonNullable<SearchView['proof']>
const MET: Record<Level, string> = {
  lostWeight: 'none loses fewer',
  shortage: 'none leaves less short',
  lateness: 'none pushes earlier',
  lastDisconnect: 'none is over sooner',
  moved: 'none as good moves fewer'
}

/** What the gap of a level is, in units: each ship counts by its weight. */
function gapWords(level: Level, gap: number, unit: MassUnit): string {
  if (level === 'lostWeight') return `ships of weight ${gap} in all might still be saved`
  if (level === 'shortage')
    return `up to ${fuelText(gap * STEP_KG, unit, 'up')} of shortage, by weight, might still be saved`
  if (level === 'lateness')
    return `up to ${((gap * STEP_MS) / 60_000).toFixed(1)} min of lateness, by weight, might still be saved`
  if (level === 'lastDisconnect')
    return `the last disconnect might come up to ${spanText((gap * STEP_MS) / 1000, 'up')} sooner`
  return `as good an order might move up to ${gap} fewer`
}

/** What a proof speaks of: it knows nothing of coming later than one could, or of taking internal fuel only. */
const SEARCHED = 'in which each ship comes as soon as it can and takes what its rule asks'

/** What is proved where the wider proof is not. */
const BEST_OF_BLOCKS =
  `No order ${SEARCHED}, and flights come to each tanker one after another, worst first in each, ` +
  'is better, but for ships moved.'

/** What a proof says of the best order found: proved, or what is open in words, and of which narrower orders it is proved. */
export function proofSentence({ judgement, bound }: Proof, unit: MassUnit): string {
  const open = LEVELS.find((level) => judgement[level] !== bound.least[level])
  if (open !== undefined && judgement[open] < bound.least[open]) return `Better than any order ${SEARCHED}.`
  if (bound.proved || open === undefined)
    return `Proved best: no order ${SEARCHED} is better, and none as good moves fewer.`
  const met = LEVELS.slice(0, LEVELS.indexOf(open)).map((level) => MET[level])
  const gap = gapWords(open, judgement[open] - bound.least[open], unit)
  const told = met.length === 0 ? `Not proved: ${gap}.` : `Of the orders ${SEARCHED} ${met.join(', ')}; ${gap}.`
  return bound.bestOfBlocks && open !== 'moved' ? `${told} ${BEST_OF_BLOCKS}` : told
}

const STATUS: Record<SearchView['status'], string> = {
  queued: 'The proof waits its turn.',
  running: 'The proof is being looked for.',
  done: '',
  stopped: 'The proof was stopped: the best order found so far stands.',
  broken: 'The proof broke off: the best order found so far stands.'
}

/** How a search stands, in a line. */
export function searchSentence(search: SearchView, unit: MassUnit): string {
  const proved = search.proof === null ? '' : proofSentence(search.proof, unit)
  const since = search.proof !== null && search.proof.seq < search.judgedAtSeq ? 'Facts have come since.' : ''
  return [STATUS[search.status], proved, since].filter((part) => part !== '').join(' ')
}
