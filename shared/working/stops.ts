/** Stopping a contact early, place by place, and what of it goes into tanks that do not give. */
import type { SlotView } from '../contracts/view.ts'
import { burnAt } from '../live/slots.ts'
import { flowsAtMs } from '../live/view/slot.ts'
import { fillCurve, stopAt, type FillCurve } from '../tanks/fill.ts'
import { type TankState } from '../tanks/sheet.ts'
import { gives } from '../tanks/trouble.ts'
import type { StopFigure } from './figure.ts'
import { fill, type Filled } from './fill.ts'
import { waitFlow } from './held.ts'
import { add, COMPUTED, multiply, NONE, subtract, type Expression, type Paper } from './paper.ts'
import type { SlotScene } from './stage.ts'
import { stationRateOf } from './typed.ts'

type Stop = SlotView['stops'][number]

interface Stopped {
  readonly slot: SlotScene
  readonly stop: Stop
  /** The end of the contact: the last of the stops. */
  readonly whole: Stop
}

/** The ship at contact and what is put into it from there; undefined where the contact is over, or not to be. */
function ahead(slot: SlotScene): { atContact: TankState; curve: FillCurve } | undefined {
  const { stage, crew, placed } = slot
  const atContact = stage.scene(crew.ship.id)?.way.atContact.get(placed.id)
  return atContact && { atContact, curve: fillCurve(crew.ship.sheet, atContact, flowOf(slot)) }
}

const flowOf = ({ crew, placed }: SlotScene) => ({
  stationRateKgPerS: placed.station.rateKgPerS,
  burnKgPerS: burnAt(crew, placed.visit)
})

/** The pieces of the fill up to the stop. */
function filled(paper: Paper, { slot, stop }: Stopped): Filled | undefined {
  const { stage, crew, placed } = slot
  const curve = ahead(slot)?.curve
  const rate = stationRateOf(stage.plan.plan, placed.tanker.id, placed.station.stationId)
  return curve && fill(paper, { stage, ship: crew.ship, curve, flow: flowOf(slot), rate }, stop.minutesS)
}

function after(paper: Paper, stopped: Stopped): Expression | undefined {
  const pieces = filled(paper, stopped)
  return pieces && paper.line('stop after', 'span', add(pieces.time), undefined, stopped.stop.minutesS)
}

function onLoad(paper: Paper, stopped: Stopped): Expression | undefined {
  const pieces = filled(paper, stopped)
  return pieces && paper.line('on-load until then', 'mass', add(pieces.onLoad), undefined, stopped.stop.onLoadKg)
}

/** Usable fuel when it stops there. */
function usable(paper: Paper, stopped: Stopped): Expression | undefined {
  const { slot, stop } = stopped
  const pieces = filled(paper, stopped)
  const from = ahead(slot)
  if (!pieces || !from) return undefined
  const atContact = paper.input('fuel at contact', 'mass', from.curve.points[0]?.usableKg ?? 0, COMPUTED)
  const expected = subtract(add(atContact, pieces.onLoad), multiply(pieces.time, waitFlow(paper, slot)))
  const lost = paper.value(expected) - stop.usableKg
  const other = Math.abs(lost) > 1e-6 ? [paper.input('taken by tanks that do not give', 'mass', lost, COMPUTED)] : []
  const held = other.length > 0 ? subtract(expected, ...other) : expected
  return paper.line('usable fuel then', 'mass', held, undefined, stop.usableKg)
}

const STOP_MAKERS: Record<StopFigure, (paper: Paper, stopped: Stopped) => Expression | undefined> = {
  'stop after': after,
  'stop on-load': onLoad,
  'stop usable': usable,
  'stop saves': (paper, stopped) => {
    const time = after(paper, stopped)
    const whole = paper.input('contact to its end', 'span', stopped.whole.minutesS, COMPUTED)
    return time && paper.line('stop saves', 'span', subtract(whole, time), undefined, stopped.stop.savesS)
  },
  'stop leaves': (paper, stopped) => {
    const taken = onLoad(paper, stopped)
    const whole = paper.input('on-load to its end', 'mass', stopped.whole.onLoadKg, COMPUTED)
    return taken && paper.line('stop leaves', 'mass', subtract(whole, taken), undefined, stopped.stop.savesKg)
  },
  'stop forgoes': (paper, stopped) => {
    const held = usable(paper, stopped)
    const whole = paper.input('usable fuel at its end', 'mass', stopped.whole.usableKg, COMPUTED)
    return held && paper.line('stop forgoes', 'mass', subtract(whole, held), undefined, stopped.stop.forgoesKg)
  }
}

/** A figure of one of the places at which a contact may stop, counted from 0. */
export function stopFigure(paper: Paper, slot: SlotScene, figure: StopFigure, index: number): Expression | undefined {
  const stops = slot.stage.view()?.slots.find((one) => one.slotId === slot.placed.id)?.stops ?? []
  const [stop, whole] = [stops[index], stops.at(-1)]
  return stop && whole && STOP_MAKERS[figure](paper, { slot, stop, whole })
}

/** Of the on-load, what goes into tanks that do not give: each such group after the contact, less before it. */
export function lost(paper: Paper, slot: SlotScene): Expression | undefined {
  const { crew, out } = slot
  const from = ahead(slot)
  if (!from) return undefined
  const endS = Math.max(0, (out.disconnectAtMs - flowsAtMs(crew, out)) / 1000)
  const end = stopAt(from.curve, { kind: 'called', atS: endS })
  const gains = crew.ship.sheet.groups.flatMap(({ name }, group) => {
    const held = (state: TankState): number =>
      (state.quantitiesKg[group] ?? []).reduce(
        (kg, quantityKg, tank) => (gives(state.troubles[group]?.[tank]) ? kg : kg + quantityKg),
        0
      )
    const [beforeKg, afterKg] = [held(from.atContact), held(end.state)]
    if (beforeKg === 0 && afterKg === 0) return []
    const before = paper.input('in tanks that do not give, at contact', 'mass', beforeKg, COMPUTED, name)
    return [subtract(paper.input('in them at disconnect', 'mass', afterKg, COMPUTED, name), before)]
  })
  return paper.line('lost', 'mass', gains.length > 0 ? add(...gains) : NONE, undefined, end.lostKg)
}
