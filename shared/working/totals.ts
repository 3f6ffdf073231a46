/** What a plan comes to: counts and sums over all ships, slots, pushes, tankers. */
import type { View } from '../contracts/view.ts'
import { pushesMet, unplaced } from '../live/met.ts'
import { isShortAtPush } from '../live/served.ts'
import type { PlanFigure } from './figure.ts'
import { STEP_KG, STEP_MS } from '../order/judgement.ts'
import { add, COMPUTED, greatest, NONE, PLAN, type Expression, type Paper } from './paper.ts'

/** One for each that counts, by name. */
function count(
  paper: Paper,
  name: string,
  of: readonly { about: string; count?: number }[],
  source = COMPUTED
): Expression {
  const each = of.map(({ about, count: many = 1 }) => paper.input('counts', 'count', many, source, about))
  return paper.line(name, 'count', each.length > 0 ? add(...each) : NONE)
}

const perFlight = (view: View) =>
  view.flights.map(({ flightId }) => ({
    about: flightId,
    count: view.ships.filter((ship) => ship.flightId === flightId).length
  }))

const lateOf = (view: View) => view.pushes.filter((push) => push.lateS >= STEP_MS / 1000)

const holdsOf = (view: View) =>
  view.slots.flatMap((slot) => (slot.hold?.kind === 'hold' ? [{ about: slot.shipId, savedS: slot.hold.savedS }] : []))

export const PLAN_MAKERS: Record<PlanFigure, (paper: Paper, view: View) => Expression | undefined> = {
  'holds save': (paper, view) => {
    const saves = holdsOf(view).map(({ about, savedS }) => paper.input('hold saves', 'span', savedS, COMPUTED, about))
    return paper.line('holds save', 'span', saves.length > 0 ? add(...saves) : NONE, undefined, view.holds.savedS)
  },
  'hold count': (paper, view) => count(paper, 'hold count', holdsOf(view)),
  'ship count': (paper, view) => count(paper, 'ship count', perFlight(view), PLAN),
  'flight count': (paper, view) =>
    count(
      paper,
      'flight count',
      view.flights.map((flight) => ({ about: flight.flightId })),
      PLAN
    ),
  'contact count': (paper, view) =>
    count(
      paper,
      'contact count',
      view.tankers.map(({ tankerId }) => ({
        about: tankerId,
        count: view.slots.filter((slot) => slot.tankerId === tankerId).length
      })),
      PLAN
    ),
  'tanker count': (paper, view) =>
    count(
      paper,
      'tanker count',
      view.tankers.map((tanker) => ({ about: tanker.tankerId })),
      PLAN
    ),
  'total on-load': (paper, view) => {
    const needs = view.slots.map((slot) =>
      paper.input('needs', 'mass', slot.neededKg, COMPUTED, `${slot.shipId} ${slot.slotId}`)
    )
    return paper.line('total on-load', 'mass', needs.length > 0 ? add(...needs) : NONE)
  },
  'lost count': (paper, view) =>
    count(
      paper,
      'lost count',
      view.slots.flatMap((slot) => (slot.state === 'missed' ? [{ about: slot.shipId }] : []))
    ),
  'short count': (paper, view) =>
    count(
      paper,
      'short count',
      view.slots.flatMap((slot) => (isShortAtPush(slot) ? [{ about: slot.shipId }] : []))
    ),
  'late count': (paper, view) =>
    count(
      paper,
      'late count',
      lateOf(view).map((push) => ({ about: push.pushGroupId }))
    ),
  'worst late': (paper, view) => {
    const late = lateOf(view).map((push) => paper.input('push late', 'span', push.lateS, COMPUTED, push.pushGroupId))
    return late.length === 0 ? undefined : paper.line('worst late', 'span', greatest(...late))
  },
  'dry count': (paper, view) =>
    count(
      paper,
      'dry count',
      view.tankers.flatMap((tanker) => (tanker.shortKg >= STEP_KG ? [{ about: tanker.tankerId }] : []))
    ),
  'met count': (paper, view) =>
    count(
      paper,
      'met count',
      pushesMet(view).flatMap(({ push, isMet }) => (isMet ? [{ about: push.pushGroupId }] : []))
    ),
  'unplaced count': (paper, view) =>
    count(
      paper,
      'unplaced count',
      unplaced(view).flatMap(({ shipId }) => (shipId === null ? [] : [{ about: shipId }]))
    ),
  'empty count': (paper, view) =>
    count(
      paper,
      'empty count',
      view.reasons.flatMap(({ kind, shipId }) => (kind === 'out of fuel' && shipId !== null ? [{ about: shipId }] : []))
    )
}
