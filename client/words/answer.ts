import type { Plan } from '../../shared/contracts/plan.ts'
import type { SlotView, View } from '../../shared/contracts/view.ts'
import { demandOf, type MethodDemand } from '../../shared/live/demand.ts'
import type { Loss, Losses } from '../../shared/live/lost.ts'
import { pushesMet, type PushMet } from '../../shared/live/met.ts'
import { isShortAtPush } from '../../shared/live/served.ts'
import { STEP_KG } from '../../shared/order/judgement.ts'
import { fuelText, holdOf, holdSavesText, spanText } from '../figures.ts'
import type { Labels } from '../labels.ts'
import { bindsFirst } from '../pictures/demand.ts'
import { BINDS_SHORT } from './demand.ts'
import { thingOf } from './lost.ts'
import type { Words } from './parts.ts'
import { bindingWords } from './pictures.ts'

/*
 * Whether a package works, line by line, each with where on the page it comes from: tankers, pushes, ships, holds, routes,
 * and what is lost with one thing.
 */

export const ANSWER = {
  tankers: 'Tankers',
  binds: 'Binds first',
  pushes: 'Pushes',
  ships: 'Ships short',
  holds: 'Holds that save most',
  weakest: 'Weakest points',
  lost: 'Worst to lose'
} as const

/** A part of a line: its words, and the id of what they come from. */
export interface AnswerPart {
  to: string
  words: Words
}
export interface AnswerLine {
  name: string
  /** Undefined where a line only tells. */
  bad: boolean | undefined
  parts: AnswerPart[]
}

/** So many of each are told; the tables have all of them. */
const MOST = 3

/** Losses come from beside the page: until then nothing is told of them. */
export function answerLines(plan: Plan, view: View, labels: Labels, losses: Losses | undefined): AnswerLine[] {
  const methods = demandOf(plan).methods
  return [
    { name: ANSWER.tankers, bad: methods.some((one) => one.binds !== 'neither'), parts: methods.map(tankersPart) },
    {
      name: ANSWER.binds,
      bad: bindsFirst(view) !== undefined,
      parts: [{ to: 'give-demand-title', words: bindingWords(view, plan.rules.reformMin, labels).words }]
    },
    pushesLine(view, labels),
    shipsLine(view, labels),
    holdsLine(view, labels),
    weakestLine(view, labels),
    lostLine(losses?.losses ?? [], labels)
  ].filter(({ parts }) => parts.length > 0)
}

const tankersPart = (one: MethodDemand): AnswerPart => ({
  to: `demand-${one.method}`,
  words: tankersWords(one)
})

/** How many it takes, and how many there are; where those have nothing to give, no number of them is enough. */
function tankersWords({ method, tankers, tankerCount, binds }: MethodDemand): Words {
  const there = { figure: 'tankers there', of: method, text: String(tankerCount) } as const
  if (tankers === undefined)
    return [
      `${method}: nothing to give aboard its `,
      there,
      ` ${tankerCount === 1 ? 'tanker' : 'tankers'}, ${BINDS_SHORT[binds]}`
    ]
  const needed = { figure: 'tankers needed', of: method, text: String(tankers) } as const
  return [`${method} needs`, ' ', needed, ', has ', there, `, ${BINDS_SHORT[binds]}`]
}

function pushesLine(view: View, labels: Labels): AnswerLine {
  const pushes = pushesMet(view)
  const met = pushes.filter(({ isMet }) => isMet).length
  const late = pushes.filter(({ isLate }) => isLate).toSorted((a, b) => b.push.lateS - a.push.lateS)
  const lastOf = (pushGroupId: string) =>
    view.slots
      .filter((slot) => slot.pushGroupId === pushGroupId)
      .toSorted((a, b) => b.disconnectAtMs - a.disconnectAtMs)[0]
  return {
    name: ANSWER.pushes,
    bad: met < pushes.length,
    parts: [
      {
        to: 'timeline-title',
        words: ['met in time: ', { figure: 'met count', text: String(met) }, ` of ${pushes.length}`]
      },
      ...pushes.filter(({ short }) => short.length > 0).map((one) => shortPush(one, labels)),
      ...pushes.filter(({ unplacedShipIds }) => unplacedShipIds.length > 0).map((one) => unplacedPush(one, labels)),
      ...pushes
        .filter(({ isDeserted }) => isDeserted)
        .map(({ push: { pushGroupId } }) => ({
          to: slotAnchor(lastOf(pushGroupId)),
          words: [`${labels.pushGroup(pushGroupId)}: nobody is left to push`]
        })),
      ...late.slice(0, MOST).map(({ push: { pushGroupId, lateS } }) => ({
        to: slotAnchor(lastOf(pushGroupId)),
        words: [
          `${labels.pushGroup(pushGroupId)} late`,
          ' by ',
          { figure: 'push late', of: pushGroupId, text: spanText(lateS, 'up') }
        ]
      }))
    ]
  }
}

/** A push with its worst ship that comes to it short, or not at all. */
function shortPush({ push, short }: PushMet, labels: Labels): AnswerPart {
  const [worst] = short
  const ship = worst === undefined ? '' : labels.ship(worst.shipId)
  const more = short.length > 1 ? `, and ${short.length - 1} more` : ''
  const name = `${labels.pushGroup(push.pushGroupId)} short:`
  if (worst === undefined || worst.shortageKg < STEP_KG)
    return { to: slotAnchor(worst), words: [`${name} ${ship} runs out before it${more}`] }
  const by = { figure: 'shortage', of: worst.slotId, text: fuelText(worst.shortageKg, labels.massUnit, 'up') }
  return { to: slotAnchor(worst), words: [`${name} ${ship} by `, by, more] }
}

/** A push with who stands in no order before it. */
function unplacedPush({ push, unplacedShipIds }: PushMet, labels: Labels): AnswerPart {
  const more = unplacedShipIds.length - MOST
  const ships = unplacedShipIds.slice(0, MOST).map((shipId) => labels.ship(shipId))
  const named = more > 0 ? `${ships.join(', ')} and ${more} more` : ships.join(', ')
  return { to: 'slots', words: [`${labels.pushGroup(push.pushGroupId)}, in no order: ${named}`] }
}

const slotAnchor = (slot: SlotView | undefined): string => (slot === undefined ? 'slots' : `slot-${slot.slotId}`)

function shipsLine(view: View, labels: Labels): AnswerLine {
  const short = view.slots.filter(isShortAtPush).toSorted((a, b) => b.shortageKg - a.shortageKg)
  return {
    name: ANSWER.ships,
    bad: short.length > 0,
    parts:
      short.length === 0
        ? [{ to: 'slots', words: ['nobody'] }]
        : short.slice(0, MOST).map((slot) => ({
            to: slotAnchor(slot),
            words: [
              labels.ship(slot.shipId),
              ' by ',
              { figure: 'shortage', of: slot.slotId, text: fuelText(slot.shortageKg, labels.massUnit, 'up') }
            ]
          }))
  }
}

function holdsLine(view: View, labels: Labels): AnswerLine {
  const held = view.slots
    .flatMap((slot) => {
      const hold = holdOf(slot)
      return hold === undefined ? [] : [{ slot, hold }]
    })
    .toSorted((a, b) => b.hold.savedS - a.hold.savedS)
  return {
    name: ANSWER.holds,
    bad: undefined,
    parts: held.slice(0, MOST).map(({ slot, hold }) => ({
      to: slotAnchor(slot),
      words: [labels.ship(slot.shipId), ' ', { figure: 'hold saves', of: slot.slotId, text: holdSavesText(hold) }]
    }))
  }
}

function weakestLine(view: View, labels: Labels): AnswerLine {
  const weakest = view.flights
    .map(({ flightId, weakest }) => ({ flightId, marginKg: weakest?.marginKg ?? -Infinity, shipId: weakest?.shipId }))
    .toSorted((a, b) => a.marginKg - b.marginKg)
  return {
    name: ANSWER.weakest,
    bad: weakest.some(({ marginKg }) => marginKg <= -2.5),
    parts: weakest.map(({ flightId, marginKg, shipId }) => ({
      to: `flight-${flightId}`,
      words: [
        shipId === undefined ? labels.flight(flightId) : labels.ship(shipId),
        ' ',
        ...(shipId === undefined
          ? ['no open base']
          : [{ figure: 'weakest margin', of: flightId, text: fuelText(marginKg, labels.massUnit, 'down') }])
      ]
    }))
  }
}

/** The worst tanker, station and base to lose: what becomes of the ships. */
function lostLine(losses: readonly Loss[], labels: Labels): AnswerLine {
  const worst = (['tanker', 'station', 'base'] as const).flatMap((kind) => {
    const place = losses.findIndex((loss) => loss.kind === kind)
    const loss = losses[place]
    return loss === undefined ? [] : [{ loss, index: place + 1 }]
  })
  return {
    name: ANSWER.lost,
    bad: undefined,
    parts: worst.map(({ loss, index }) => ({ to: `loss-${index}`, words: lossWords(loss, labels) }))
  }
}

function lossWords(loss: Loss, labels: Labels): Words {
  const { lost, lateOrShort, unsafe } = loss
  const told = [
    ...(lost.length > 0 ? [`${lost.length} without contact`] : []),
    ...(lateOrShort.length > 0 ? [`${lateOrShort.length} late or short`] : []),
    ...(unsafe.length > 0 ? [`${unsafe.length} without a base`] : [])
  ]
  return [`${thingOf(loss, labels)}: ${told.length === 0 ? 'nobody is worse off' : told.join(', ')}`]
}
