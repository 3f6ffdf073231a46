import type { OnLoadAnswer } from '../shared/contracts/answers.ts'
import type { MassUnit } from '../shared/contracts/kinds.ts'
import type { ReceiverType } from '../shared/contracts/plan.ts'
import type { Fault } from '../shared/contracts/problem.ts'
import type { OnLoadBody } from '../shared/contracts/requests.ts'
import { dragFactorOf, dragFactorsOf } from '../shared/plan/brief.ts'
import { computeOnLoad } from '../shared/plan/onload.ts'
import { densityKgPerM3, flowKgPerS, quantityKg } from '../shared/units.ts'
import { bodyOf, massUnitOf, type Question } from './question.ts'

/** Part of the way to contact: what it burns, drag of what is fitted and weight included. */
export interface Leg {
  durationS: number
  flowKgPerS: number
  dragFactor: number
  /** 1 where flows do not grow with weight. */
  weightFactor: number
  burnedKg: number
}

/** Part of the contact at one rate; what passes the station is what the tanks gain and what the engines burn meanwhile. */
export interface Piece {
  fromS: number
  toS: number
  rateKgPerS: number
  takenKg: number
  burnedKg: number
}

export interface Answered {
  answer: OnLoadAnswer
  unit: MassUnit
  type: ReceiverType
  legs: readonly Leg[]
  /** All fuel before the way and at contact. */
  fuelNowKg: number
  pieces: readonly Piece[]
  /** The feed group is dry before contact. */
  starved: boolean
  /** Less than the rule asks, kg; 0 where it is met. */
  shortKg: number
  /** It was to fill the internals and ends before. */
  endsEarly: boolean
}

/** The rounding of sums, far below any figure. */
const NOISE_KG = 1e-6

/** Curve, knee, hold and limits of a question with the steps between; or what makes no sense in it. */
export function answerTo(question: Question): Answered | { faults: readonly Fault[] } {
  const asked = bodyOf(question)
  if ('faults' in asked) return asked
  const { body } = asked
  const answer = computeOnLoad(body)
  if ('faults' in answer) return answer
  const legs = legsOf(body, answer)
  const fuelNowKg = kgOf(body, body.fuelNow)
  const atContactKg = answer.points[0]?.fuelKg ?? 0
  const burnedKg = legs.reduce((sum, leg) => sum + leg.burnedKg, 0)
  return {
    answer,
    unit: massUnitOf(question),
    type: body.receiverType,
    legs,
    fuelNowKg,
    pieces: piecesOf(answer),
    // Engines that found no fuel burned less than they were to.
    starved: burnedKg > fuelNowKg - atContactKg + NOISE_KG,
    shortKg: shortKg(body, answer),
    endsEarly: body.onLoad.kind === 'internals' && answer.endedBy !== 'target'
  }
}

function legsOf(body: OnLoadBody, { burnsKgPerS }: OnLoadAnswer): Leg[] {
  const { receiverType, fuelDensity, fitted, ahead } = body
  const fuelKgPerM3 = fuelDensity ? densityKgPerM3(fuelDensity) : 0
  const dragFactor = dragFactorOf(dragFactorsOf(receiverType), fitted)
  return (ahead ?? []).map(({ durationMin, flow }, index) => {
    const kgPerS = flowKgPerS(flow, fuelKgPerM3)
    const durationS = durationMin * 60
    const burnKgPerS = burnsKgPerS[index] ?? kgPerS * dragFactor
    const weightFactor = burnKgPerS / (kgPerS * dragFactor)
    return { durationS, flowKgPerS: kgPerS, dragFactor, weightFactor, burnedKg: durationS * burnKgPerS }
  })
}

function piecesOf({ points, minutesMin }: OnLoadAnswer): Piece[] {
  const endS = minutesMin * 60
  return points.flatMap((to, index) => {
    const from = points[index - 1]
    if (from === undefined || from.atS >= endS) return []
    const toS = Math.min(to.atS, endS)
    const share = (toS - from.atS) / (to.atS - from.atS)
    const takenKg = share * (to.onLoadKg - from.onLoadKg)
    return [
      {
        fromS: from.atS,
        toS,
        rateKgPerS: takenKg / (toS - from.atS),
        takenKg,
        burnedKg: takenKg - share * (to.fuelKg - from.fuelKg)
      }
    ]
  })
}

/** A fuel of the question, by mass or by volume at its density. */
const kgOf = ({ fuelDensity }: OnLoadBody, fuel: OnLoadBody['fuelNow']): number =>
  quantityKg(fuel, fuelDensity ? densityKgPerM3(fuelDensity) : NaN)

function shortKg(body: OnLoadBody, answer: OnLoadAnswer): number {
  const { onLoad } = body
  if (onLoad.kind === 'fixed') return Math.max(0, kgOf(body, onLoad.fuel) - answer.onLoadKg)
  if (onLoad.kind === 'fuelAtDisconnect') return Math.max(0, kgOf(body, onLoad.fuel) - answer.fuelAtDisconnectKg)
  return 0
}
