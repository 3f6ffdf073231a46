import type { MassUnit } from '../../shared/contracts/kinds.ts'
import type { View } from '../../shared/contracts/view.ts'
import type { PlanAnswer } from '../../shared/contracts/answers.ts'
import { isShortAtPush } from '../../shared/live/served.ts'
import { pushesMet, unplaced } from '../../shared/live/met.ts'
import type { Words } from './parts.ts'
import { dayText, minuteText, spanText } from '../figures.ts'

export const PLAN = {
  works: 'It works',
  worksNot: 'It does not work yet',
  nobodyLost: 'nobody past latest contact',
  lost: ' past latest contact',
  nobodyShort: 'nobody short at push',
  short: ' short at push',
  allMet: 'every push met in time',
  met: (count: number) => ` of ${count} pushes met in time`,
  runsOut: 'runs out before push',
  late: (count: number) => ` ${count === 1 ? 'push' : 'pushes'} late, the worst by `,
  empty: (count: number) => ` ${count === 1 ? 'ship runs' : 'ships run'} out of fuel on the way`,
  dry: (count: number) => ` ${count === 1 ? 'tanker' : 'tankers'} short of give`,
  unplaced: (count: number) => ` planned ${count === 1 ? 'refuelling stands' : 'refuellings stand'} in no order`,
  needs: 'Needs',
  problems: 'Problems, worst first',
  noProblems: 'No problems.',
  tankers: 'Tankers',
  slots: 'Slots by station',
  flights: 'Flights',
  pushes: 'Pushes',
  ladder: 'Fuel ladder of its least fuelled ship',
  limits: 'Limits of its ships',
  abort: 'abort fuel',
  bingo: 'bingo',
  joker: 'joker',
  weakest: 'Weakest point',
  noWeakest: 'no base is open to it somewhere on the route',
  file: 'Plan file',
  import: 'Import a file',
  export: 'Export',
  publish: (revision: number) => `Publish revision ${revision}`,
  published: (revision: number) => `Revision ${revision} is published.`,
  notPublished: 'Nothing is published yet.',
  newest: (revision: number) => `Revision ${revision} is the newest.`,
  unsaved: (revision: number) =>
    `What is shown is a draft that is not saved. Publishing, export and links are of revision ${revision}.`,
  imported: (revision: number) => `Imported as revision ${revision}. Publish it to put it in force.`,
  print: 'Print',
  refused: (count: number) => `${count} ${count === 1 ? 'fault' : 'faults'} in the file; nothing was taken.`,
  shownOf: (shown: number, count: number) => `The first ${shown} of ${count} are shown.`,
  where: 'Where',
  stood: 'What stands there',
  limit: 'What it may be',
  why: 'Why',
  links: 'Links',
  makeLink: 'Make a link',
  linkNote: 'A link is told once, here. Whoever holds it acts under it.',
  role: 'Role',
  ship: 'Ship',
  holdsFor: 'Holds',
  renew: 'Renew',
  revoke: 'End',
  revoked: 'ended',
  expired: 'expired',
  made: 'The new link, told this once',
  anyShip: 'all ships'
} as const

/** Does the plan work, in a line of findings. */
const figure = (name: string, text: string | number) => ({ figure: name, text: String(text) })

export function verdict(view: View): { works: boolean; findings: Words } {
  const lost = view.slots.filter((slot) => slot.state === 'missed').length
  const short = view.slots.filter(isShortAtPush).length
  const late = view.pushes.filter((push) => push.lateS >= 6)
  const dry = view.tankers.filter((tanker) => tanker.shortKg >= 5).length
  const worstS = Math.max(0, ...late.map((push) => push.lateS))
  const met = pushesMet(view).filter(({ isMet }) => isMet).length
  const missing = unplaced(view).length
  const empty = view.reasons.filter(({ kind }) => kind === 'out of fuel').length
  return {
    works:
      lost + short + late.length + dry === 0 &&
      met === view.pushes.length &&
      view.reasons.every((reason) => reason.severity !== 'now'),
    findings: [
      ...(missing === 0 ? [] : [figure('unplaced count', missing), PLAN.unplaced(missing), ', ']),
      ...(lost === 0 ? [PLAN.nobodyLost] : [figure('lost count', lost), PLAN.lost]),
      ', ',
      ...(short === 0 ? [PLAN.nobodyShort] : [figure('short count', short), PLAN.short]),
      ', ',
      ...(met === view.pushes.length ? [PLAN.allMet] : [figure('met count', met), PLAN.met(view.pushes.length)]),
      ...(late.length === 0
        ? []
        : [
            ', ',
            figure('late count', late.length),
            PLAN.late(late.length),
            figure('worst late', spanText(worstS, 'up'))
          ]),
      ...(empty === 0 ? [] : [', ', figure('empty count', empty), PLAN.empty(empty)]),
      ...(dry === 0 ? [] : [', ', figure('dry count', dry), PLAN.dry(dry)])
    ]
  }
}

/** What holding externals would save, in all. */
export const holdWords = (view: View): Words => [
  'Held externals would save ',
  figure('holds save', spanText(view.holds.savedS)),
  ' of station time, in ',
  figure('hold count', view.holds.shipCount),
  view.holds.shipCount === 1 ? ' contact.' : ' contacts.'
]

/** What is allowed in a type sheet and unlikely. */
export const warningText = (receiverTypeId: string): string =>
  `${receiverTypeId}: its external tanks together fill faster than the whole receiver takes. Check the sheet.`

/** What the package needs, in numbers. */
export const needs = (view: View, total: (kg: number, unit: MassUnit) => string, unit: MassUnit): Words => [
  figure('ship count', view.ships.length),
  ' ships in ',
  figure('flight count', view.flights.length),
  ' flights, ',
  figure('contact count', view.slots.length),
  ' contacts, ',
  figure(
    'total on-load',
    total(
      view.slots.reduce((sumKg, slot) => sumKg + slot.neededKg, 0),
      unit
    )
  ),
  ' on-load from ',
  figure('tanker count', view.tankers.length),
  ' tankers'
]

/** Which day, and how revision and publication stand. */
export function planState({ plan, revision, publishedRevision }: PlanAnswer): string {
  const published = publishedRevision === null ? PLAN.notPublished : PLAN.published(publishedRevision)
  return `${dayText(plan.opensAtMs)}, from ${minuteText(plan.opensAtMs)}. ${PLAN.newest(revision)} ${published}`
}
