/** What passes the station in a contact: piece by piece, each until a tank group closes. */
import type { ShipBrief } from '../plan/brief.ts'
import { onLoadAt, type FillCurve } from '../tanks/fill.ts'
import { takes, type TankState } from '../tanks/sheet.ts'
import { add, COMPUTED, divide, least, multiply, subtract, type Expression, type Paper, type Source } from './paper.ts'
import type { Stage } from './stage.ts'
import { fillRateOf, onSheet, receiverTypeOf } from './typed.ts'

export interface Filling {
  readonly stage: Stage
  readonly ship: ShipBrief
  readonly curve: FillCurve
  readonly flow: { readonly stationRateKgPerS: number; readonly burnKgPerS: number }
  /** Where the station's rate came from. */
  readonly rate: Source
}

export interface Filled {
  readonly onLoad: Expression
  readonly time: Expression
}

/** The end of a contact inside a piece: how long that piece lasts, worked out from the target. */
export type EndOf = (piece: {
  before: Expression
  rate: Expression
  fromS: number
  toS: number
}) => Expression | undefined

const ROUND = 1e-9

/** On-load and time of a contact up to an instant, s from the beginning of flow. */
export function fill(paper: Paper, filling: Filling, endS: number, endOf?: EndOf): Filled {
  const { curve, ship, flow } = filling
  const { sheet } = ship
  const times: Expression[] = []
  let onLoad: Expression | undefined
  let fromS = 0
  for (let index = 1; index < curve.points.length && fromS < endS - ROUND; index++) {
    const from = curve.points[index - 1]
    const to = curve.points[index]
    if (!from || !to || to.atS <= from.atS) continue
    const stopS = Math.min(to.atS, endS)
    const rateKgPerS = (to.onLoadKg - from.onLoadKg) / (to.atS - from.atS)
    const whole = stopS === to.atS
    const closes = to.closes.map((group) => sheet.groups[group]?.name ?? '').join(', ')
    const about = whole && closes !== '' ? closes : undefined
    const rate = rateOf(
      paper,
      filling,
      curve.stateAt((from.atS + to.atS) / 2),
      rateKgPerS,
      about ?? `piece ${String(index)}`
    )
    const ended = whole ? undefined : endOf?.({ before: onLoad ?? { number: 0 }, rate, fromS, toS: stopS })
    const name = about === undefined ? 'time of the last piece' : 'time until it is full'
    const time = ended
      ? paper.line('time of the last piece', 'span', ended, undefined, stopS - fromS)
      : paper.input(name, 'span', stopS - fromS, COMPUTED, about)
    times.push(time)
    const taken = multiply(rate, time)
    onLoad = paper.line('on-load so far', 'mass', onLoad ? add(onLoad, taken) : taken, about, onLoadAt(curve, stopS))
    fromS = stopS
  }
  const overS = endS - fromS
  if (overS > ROUND) {
    // Nothing fills any more: what the engines drink is all that passes, if the feed group takes it.
    const name = curve.drinks ? 'time with all tanks full' : 'time with nothing taking'
    const time = paper.input(name, 'span', overS, COMPUTED)
    times.push(time)
    if (!curve.drinks)
      return { onLoad: onLoad ?? paper.line('on-load so far', 'mass', { number: 0 }), time: add(...times) }
    const taken = multiply(time, paper.input('flow in contact', 'flow', flow.burnKgPerS, COMPUTED))
    onLoad = paper.line('on-load so far', 'mass', onLoad ? add(onLoad, taken) : taken)
  }
  return {
    onLoad: onLoad ?? paper.line('on-load so far', 'mass', { number: 0 }),
    time: times.length > 0 ? add(...times) : { number: 0 }
  }
}

/** What passes while nothing closes: all that open groups take, at most what station and receiver let through. */
function rateOf(
  paper: Paper,
  { stage, ship, flow, rate }: Filling,
  tanks: TankState,
  rateKgPerS: number,
  about: string
): Expression {
  const { sheet } = ship
  const open: { name: string; id: string; count: number; kgPerS: number }[] = []
  const hasRoom = (g: number): number =>
    (tanks.quantitiesKg[g] ?? []).filter((kg, tank) => {
      const group = sheet.groups[g]
      return group !== undefined && takes(group, tanks.troubles[g]?.[tank]) && kg < group.capacityKg - 1e-6
    }).length
  sheet.groups.forEach((group, g) => {
    const waits = group.fillsAfter !== undefined && hasRoom(group.fillsAfter) > 0
    const count = hasRoom(g)
    if (count > 0 && !waits) open.push({ name: group.name, id: group.id, count, kgPerS: group.fillRateKgPerS })
  })
  const wanted = open.reduce((sum, group) => sum + group.count * group.kgPerS, 0)
  // A full feed group still takes what the engines drink.
  const drinks = Math.abs(wanted + flow.burnKgPerS - rateKgPerS) < 1e-9
  const passes = Math.min(wanted + (drinks ? flow.burnKgPerS : 0), flow.stationRateKgPerS, sheet.maxRateKgPerS)
  if (Math.abs(passes - rateKgPerS) > 1e-9)
    return paper.input('rate while these fill', 'flow', rateKgPerS, COMPUTED, about)
  const station = paper.input('station rate', 'flow', flow.stationRateKgPerS, rate)
  const type = receiverTypeOf(stage.plan.plan, ship)
  const receiver = paper.input('most the receiver takes', 'flow', sheet.maxRateKgPerS, onSheet(type?.maxRate))
  const groups = open.map((group) => {
    const one = paper.input(
      'fill rate of a tank',
      'flow',
      group.kgPerS,
      fillRateOf(stage.plan.plan, ship, group.id),
      group.name
    )
    return group.count === 1 ? one : multiply({ number: group.count }, one)
  })
  if (drinks) groups.push(paper.input('flow in contact', 'flow', flow.burnKgPerS, COMPUTED))
  return paper.line('rate while these fill', 'flow', least(station, receiver, add(...groups)), about, rateKgPerS)
}

/** The last piece ends when a mass has passed the station. */
export const untilPassed =
  (target: Expression): EndOf =>
  ({ before, rate }) =>
    divide(subtract(target, before), rate)
