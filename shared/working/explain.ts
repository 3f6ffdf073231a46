import type { TankerOrder } from '../contracts/plan.ts'
import type { LiveState } from '../live/state.ts'
import { ANSWER_MAKERS } from './answers.ts'
import type { FigureRef } from './figure.ts'
import { FLIGHT_MAKERS, legFigure, rungFigure } from './flight.ts'
import { Paper, type Expression, type Working } from './paper.ts'
import { SHIP_MAKERS } from './ship.ts'
import { PUSH_MAKERS, SLOT_MAKERS } from './slot.ts'
import { slotScene, stageOf, type Stage } from './stage.ts'
import { stopFigure } from './stops.ts'
import { TANKER_MAKERS } from './tanker.ts'
import { PLAN_MAKERS } from './totals.ts'

/**
 * How a figure comes about: what went in and where it came from, the rule, the arithmetic, the result; made of the same
 * functions as the view, for the one ship, when it is asked for. Undefined where the figure has no answer, or there is
 * no such thing. Orders given replace those in force, as in `estimate`.
 * Checked: tests/shared/working/working.test.ts, every line by its expression, the last against the view, 1e-6.
 */
export function workingOf(
  figure: FigureRef,
  state: LiveState,
  nowMs: number,
  orders?: readonly TankerOrder[]
): Working | undefined {
  return workingsOf(state, nowMs, orders)?.(figure)
}

/** The same of many figures of one instant: what they have in common is made once. Undefined where there is no plan. */
export function workingsOf(
  state: LiveState,
  nowMs: number,
  orders?: readonly TankerOrder[]
): ((figure: FigureRef) => Working | undefined) | undefined {
  const stage = stageOf(state, nowMs, orders)
  if (!stage) return undefined
  return (figure) => {
    const paper = new Paper()
    return write(paper, stage, figure) && paper.done(figure.figure)
  }
}

function write(paper: Paper, stage: Stage, ref: FigureRef): Expression | undefined {
  if ('shipId' in ref) {
    const scene = stage.scene(ref.shipId)
    if (!scene) return undefined
    return 'index' in ref ? legFigure(paper, stage, scene, ref) : SHIP_MAKERS[ref.figure](paper, stage, scene)
  }
  if ('slotId' in ref) {
    const slot = slotScene(stage, ref.slotId)
    if (!slot) return undefined
    return 'index' in ref ? stopFigure(paper, slot, ref.figure, ref.index) : SLOT_MAKERS[ref.figure](paper, slot)
  }
  if ('tankerId' in ref) {
    const tanker = stage.plan.tankers.get(ref.tankerId)
    return tanker && TANKER_MAKERS[ref.figure](paper, stage, tanker)
  }
  if ('pushGroupId' in ref) return PUSH_MAKERS[ref.figure](paper, stage, ref.pushGroupId)
  if ('flightId' in ref) {
    const flight = stage.plan.flights.get(ref.flightId)
    if (!flight) return undefined
    return 'index' in ref
      ? rungFigure(paper, stage, flight, ref.figure, ref.index)
      : FLIGHT_MAKERS[ref.figure](paper, stage, flight)
  }
  if ('about' in ref) return ANSWER_MAKERS[ref.figure](paper, stage, ref)
  const view = stage.view()
  return view && PLAN_MAKERS[ref.figure](paper, view)
}
