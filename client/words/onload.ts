import type { OnLoadAnswer } from '../../shared/contracts/answers.ts'
import type { Externals, HoldRefusal, MassUnit } from '../../shared/contracts/kinds.ts'
import { fuelText, spanText } from '../figures.ts'
import type { Answered } from '../onload.ts'
import { massIn } from '../../shared/units.ts'
import type { ON_LOAD_KINDS, Question, QuestionField, RESERVES } from '../question.ts'

export const ON_LOAD = {
  title: 'One on-load',
  question: 'Question',
  answer: 'Answer',
  home: 'Ullage',
  ship: 'Ship',
  way: 'Until contact, hook-up included',
  station: 'Station and on-load',
  abort: 'Abort',
  abortHint: 'Without a distance no limit is worked out.',
  wayHint: 'Flows without the drag of externals; what is fitted multiplies them.',
  fittedNone: 'has no externals',
  refused: (count: number) => `${count} ${count === 1 ? 'figure' : 'figures'} in the way; nothing is worked out.`,
  failed: 'The part of the page that works answers out did not come. Load the page again.',
  field: 'Field',
  stands: 'What stands there',
  limit: 'What it may be',
  why: 'Why',
  fuel: 'Fuel',
  atContact: 'At contact',
  atDisconnect: 'At disconnect',
  usable: 'usable',
  counted: 'counted',
  gauge: 'gauge',
  limits: 'Limits',
  noLimits: 'No limit is worked out: no way to an abort base is given.',
  abortFuel: 'Abort fuel',
  latest: 'Latest contact',
  slack: 'Slack',
  past: 'Past by',
  notInSight: 'not within eight hours',
  notOnGauge: 'not to be read on it',
  fromNow: 'from now',
  hold: 'Hold',
  holdFrom: 'Hold externals',
  release: 'If not in contact, select again at',
  neverReleased: 'not within twelve hours of contact',
  heldContact: 'Contact with the hold',
  used: 'External fuel used first',
  floor: 'Above abort fuel and late margin, at contact',
  dump: 'To dump all that can be dumped',
  noDump: 'it cannot dump',
  lost: 'Of it into tanks that do not give',
  curve: 'Fill curve',
  axisTime: 'minutes from contact',
  axisFuel: (unit: MassUnit) => `on-load, ${unit}`,
  knee: 'knee',
  ends: 'disconnect',
  plain: 'as asked',
  held: 'with the hold',
  beyond: 'after disconnect, to full',
  stops: 'Stop here',
  at: 'at',
  closes: 'full here',
  onLoad: 'on-load',
  saves: 'saves',
  savesOffLoad: 'saves off-load',
  forgoes: 'forgoes',
  rateBefore: 'rate before',
  rateAfter: 'rate after',
  end: 'the end',
  nothing: 'Nothing is taken: no time passes in contact.',
  working: 'Working',
  print: 'Print',
  from: 'from',
  to: 'to',
  taken: 'taken',
  ofItBurn: 'of it burned',
  rate: 'rate',
  pieces: 'The contact piece by piece',
  sum: 'together, in'
} as const

/** Every field's label with its unit. */
export function labelOf(field: QuestionField | 'fitted', { unit, reserve, rule }: Question): string {
  const mass = unit === 'kg' ? 'kg' : 'lb'
  const labels: Record<QuestionField | 'fitted', string> = {
    type: 'Type',
    fitted: 'Fitted',
    unit: 'Masses in',
    grade: 'Fuel',
    fuel: `Fuel now, ${mass}`,
    externals: 'Externals',
    minutes1: 'First, min',
    flow1: `At, ${mass}/h`,
    minutes2: 'Then, min',
    flow2: `At, ${mass}/h`,
    rate: `Station, ${mass}/min`,
    rule: 'Take',
    asked: rule === 'fixed' ? `On-load, ${mass}` : `At disconnect, ${mass}`,
    window: 'Window, min',
    give: `Give left, ${mass}`,
    distance: 'Distance, NM',
    speed: 'Ground speed, kt',
    reserve: 'Landing reserve',
    reserveFigure: reserve === 'fixed' ? `Reserve, ${mass}` : 'Reserve, min',
    byHand: `By hand, ${mass}`,
    late: 'Late margin, min',
    jettisons: 'Externals jettisoned afterwards'
  }
  return labels[field]
}

export const RULE_WORDS: Record<(typeof ON_LOAD_KINDS)[number], string> = {
  full: 'full',
  internals: 'internals',
  fixed: 'so much',
  fuelAtDisconnect: 'fuel at disconnect'
}
export const RESERVE_WORDS: Record<(typeof RESERVES)[number], string> = { minutes: 'holding', fixed: 'a figure' }
export const EXTERNALS_WORDS: Record<Externals, string> = { selected: 'selected', held: 'held', off: 'off' }

const NO_HOLD: Record<HoldRefusal, string> = {
  'no externals': 'no hold: the externals hold nothing to use',
  'not selected': 'no hold: the externals are not selected',
  jettison: 'no hold: the externals are to be jettisoned',
  floor: 'no hold: it would come to contact below abort fuel and the late margin',
  'under half a minute': 'no hold: it would save less than half a minute'
}

const ENDED: Record<OnLoadAnswer['endedBy'], string> = {
  target: '',
  full: '',
  window: ', ended by the window',
  give: ', ended by the give',
  called: ', ended by a call'
}

/** The whole answer in a sentence: on-load and minutes, the knee, the hold. */
export function answerSentence(answer: OnLoadAnswer, unit: MassUnit): string {
  const { hold, contactAtS } = answer
  const took = `${fuelText(answer.onLoadKg, unit, 'up')} in ${spanText(answer.minutesMin * 60, 'up')}${ENDED[answer.endedBy]}`
  const kneeS = answer.kneeIndex === null ? undefined : answer.points[answer.kneeIndex]?.atS
  const knee =
    kneeS === undefined
      ? 'there is no knee'
      : kneeS > answer.minutesMin * 60
        ? `it ends before the knee at ${spanText(kneeS, 'up')}`
        : `the knee is at ${spanText(kneeS, 'up')}`
  if (hold.kind === 'none') return `${took}; ${knee}; ${NO_HOLD[hold.why]}.`
  const when =
    hold.fromS < 1
      ? 'now'
      : `${spanText(hold.fromS)} from now, ${spanText(contactAtS - hold.fromS, 'up')} before contact`
  return `${took}; ${knee}; hold externals ${when}, at ${fuelText(hold.gaugeFromKg, unit, 'down')} on the gauge: saves ${spanText(hold.savedS)}.`
}

/** What stands against the answer: dangers now, then what was asked and is not had. */
export function troublesOf({ answer, unit, starved, shortKg, endsEarly }: Answered): {
  severity: 'now' | 'soon'
  words: string
}[] {
  const slackS = answer.limits?.slackS ?? 0
  return [
    ...(starved
      ? [
          {
            severity: 'now' as const,
            words: 'The engines find no fuel on the way: its feed group is dry before contact.'
          }
        ]
      : []),
    ...(slackS < 0
      ? [
          {
            severity: 'now' as const,
            words: `It comes to contact past its latest contact by ${spanText(-slackS, 'up')}.`
          }
        ]
      : []),
    ...(shortKg >= 1
      ? [{ severity: 'soon' as const, words: `It gets ${fuelText(shortKg, unit, 'up')} less than is asked.` }]
      : []),
    ...(endsEarly ? [{ severity: 'soon' as const, words: 'It ends before its internals are full.' }] : []),
    ...answer.warnings.map(({ byKgPerS }) => ({
      severity: 'soon' as const,
      words: `Its externals together take more than the whole ship does, by ${fuelText(byKgPerS * 60, unit, 'up')} a minute: check the sheet.`
    }))
  ]
}

/** The question in a sentence, for paper. */
export function questionSentence(question: Question, name: string, fitted: readonly string[]): string {
  const unit = question.unit === 'kg' ? 'kg' : 'lb'
  const said = [
    `${name}${fitted.length > 0 ? ` with ${fitted.join(', ')}` : ', clean'}`,
    `${question.fuel} ${unit} aboard now, externals ${question.externals}, ${question.grade}`,
    ...(['1', '2'] as const).flatMap((leg) =>
      question[`minutes${leg}`] === ''
        ? []
        : [`${question[`minutes${leg}`]} min at ${question[`flow${leg}`]} ${unit}/h`]
    ),
    `station ${question.rate} ${unit}/min`,
    `take ${RULE_WORDS[question.rule as keyof typeof RULE_WORDS]}${question.rule === 'fixed' || question.rule === 'fuelAtDisconnect' ? ` ${question.asked} ${unit}` : ''}`,
    ...(question.window === '' ? [] : [`window ${question.window} min`]),
    ...(question.give === '' ? [] : [`give left ${question.give} ${unit}`]),
    ...(question.distance === ''
      ? []
      : [
          `abort base ${question.distance} NM at ${question.speed} kt, landing reserve ${question.reserveFigure} ${question.reserve === 'fixed' ? unit : 'min'}`
        ]),
    ...(question.byHand === '' ? [] : [`abort fuel by hand ${question.byHand} ${unit}`]),
    ...(question.late === '' ? [] : [`late margin ${question.late} min`]),
    ...(question.jettisons === 'yes' ? ['externals jettisoned afterwards'] : [])
  ]
  return `${said.join('; ')}.`
}

/** Said only where flows grow with weight. */
const weightText = (factor: number): string => (Math.abs(factor - 1) < 1e-9 ? '' : ` × weight ${factor.toFixed(3)}`)

/** From the fuel now to the fuel at contact, a line per step. */
export function workingOf({ answer, unit, legs, fuelNowKg, starved }: Answered): string[] {
  const fine = (kg: number) => fuelText(kg, unit, 'down', 1)
  const atContactKg = answer.points[0]?.fuelKg ?? 0
  return [
    `Fuel now ${fine(fuelNowKg)}.`,
    ...legs.map(
      ({ durationS, flowKgPerS, dragFactor, weightFactor, burnedKg }) =>
        `${spanText(durationS)} at ${fine(flowKgPerS * 3600)}/h × drag ${dragFactor.toFixed(3)}${weightText(weightFactor)} burns ${fine(burnedKg)}.`
    ),
    `At contact ${fine(atContactKg)}, of it ${fine(atContactKg - answer.fuelAtContactKg)} that the engines cannot have: ${fine(answer.fuelAtContactKg)} usable.`,
    ...(starved
      ? []
      : [
          `On-load is what passes the station: what the tanks gain and what the engines burn meanwhile, ${massIn(unit, answer.onLoadKg).toFixed(1)} ${unit}.`
        ])
  ]
}
