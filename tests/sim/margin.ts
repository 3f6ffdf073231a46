/** How long a ship truly has: the limits of the model's ranking rule on what it truly holds and burns. */
import { HOOK_UP_S, visitIndexOf, type Flight, type Piece } from './fleet.ts'
import { burn, countedKg, isTask, usableKg, type Limits, type Tanks, type Truth } from './ship.ts'

const STEP_S = 2
const MOST_S = 3 * 3600

/** What is burned ahead, step by step: the rest of this piece, and the pieces after it up to one of them. */
function* ahead(
  truth: Truth,
  until: number
): Generator<{ piece: Piece; index: number; tanks: Tanks; km: number; atS: number }> {
  const { flight, meanFlow } = truth
  const tanks = { ...truth.tanks }
  let atS = 0
  let { index, km, leftS } = truth
  while (index < until && index < flight.pieces.length && atS < MOST_S) {
    const piece = flight.pieces[index]
    if (!piece) return
    const fromKm = km
    for (let doneS = 0; doneS < leftS; doneS += STEP_S) {
      km = fromKm + ((piece.toKm - fromKm) * doneS) / leftS
      yield { piece, index, tanks, km, atS: atS + doneS }
      const stepS = Math.min(STEP_S, leftS - doneS)
      burn(flight.type, tanks, meanFlow(piece.kind) * stepS, stepS)
    }
    atS += leftS
    km = piece.toKm
    yield { piece, index, tanks, km, atS }
    index++
    leftS = flight.pieces[index]?.durationS ?? 0
  }
}

/** When fuel falls to a level while the ship waits at its tanker, s from now. */
const waited = ({ meanFlow }: Truth, tanks: Tanks, fuel: (tanks: Tanks) => number, levelKg: number): number =>
  (fuel(tanks) - levelKg) / meanFlow('refuelling')

/** On its way home it is followed, and nothing is decided any more. */
const goesHome = ({ status, flight, index }: Truth): boolean =>
  status === 'left' ||
  status === 'landed' ||
  (status === 'flying' && index > lastTaskOf(flight) && index > visitIndexOf(flight))

const lastTaskOf = ({ pieces }: Flight): number => pieces.findLastIndex(isTask)

/** Whether a ship is among those of which one is truly the worst: in contact only where its margin is below 0. */
export const ranks = (truth: Truth, trueS: number | undefined): trueS is number =>
  !goesHome(truth) && trueS !== undefined && trueS < Infinity && (truth.status !== 'in contact' || trueS < 0)

/**
 * How much of a margin the ship that is shown worst truly has, s: to the limit that applies; where it meets none on its
 * way, what it holds above bingo or recovery fuel at the flow of now. Infinity on its way home.
 */
export function shownS(truth: Truth, trueS: number | undefined, limits: Limits): number {
  if (goesHome(truth) || trueS === undefined) return Infinity
  return trueS < Infinity ? trueS : spareKg(truth, limits) / flowNow(truth)
}

const flowNow = ({ flight, index, meanFlow }: Truth): number => meanFlow(flight.pieces[index]?.kind ?? 'recovery')

/** Above bingo while a task is, and recovery fuel. */
const spareKg = ({ tanks, km, flight, index }: Truth, limits: Limits): number =>
  countedKg(tanks) - Math.max(limits.recoveryKg(km), index <= lastTaskOf(flight) ? limits.bingoKg : 0)

/** How far below a level it is already, s of burn; Infinity where it is not. */
const belowS = (truth: Truth, aboveKg: number): number => (aboveKg < 0 ? aboveKg / flowNow(truth) : Infinity)

/** On the way to the tanker: latest contact; with a task before it, when to leave for the tanker, or recovery fuel. */
function outboundS(truth: Truth, limits: Limits): number {
  const { flight, meanFlow, index } = truth
  const visit = visitIndexOf(flight)
  const lastTask = flight.pieces.findLastIndex((piece, i) => isTask(piece) && i < visit)
  let recoveryS = belowS(truth, countedKg(truth.tanks) - limits.recoveryKg(truth.km))
  let arrived: { tanks: Tanks; atS: number } = { tanks: truth.tanks, atS: 0 }
  let taskEndS = 0
  for (const { tanks, index: at, km, atS } of ahead(truth, visit)) {
    if (countedKg(tanks) < limits.recoveryKg(km)) recoveryS = Math.min(recoveryS, atS)
    if (at <= lastTask) taskEndS = atS
    arrived = { tanks: { ...tanks }, atS }
  }
  if (index > lastTask) return arrived.atS + waited(truth, arrived.tanks, countedKg, limits.abortKg)
  const hookUpKg = HOOK_UP_S * meanFlow('refuelling')
  const leftKg = countedKg(arrived.tanks) - limits.abortKg - hookUpKg
  return Math.min(recoveryS, taskEndS + leftKg / meanFlow(flight.pieces[lastTask]?.kind ?? 'loiter'))
}

/** With no visit ahead: bingo while a task is, and recovery fuel. */
function afterVisitS(truth: Truth, limits: Limits): number {
  const { flight } = truth
  const lastTask = lastTaskOf(flight)
  let atLimitS = belowS(truth, spareKg(truth, limits))
  for (const { tanks, index: at, km, atS } of ahead(truth, flight.pieces.length)) {
    const levelKg = Math.max(limits.recoveryKg(km), at <= lastTask ? limits.bingoKg : 0)
    if (countedKg(tanks) < levelKg) atLimitS = Math.min(atLimitS, atS)
  }
  return atLimitS
}

/**
 * Seconds until the limit that applies to a ship, from what it truly holds and burns: below 0 past it, Infinity where it
 * meets none, undefined where none applies. The rule is that of the model: until contact, latest contact; done and
 * waiting, latest push; in contact, recovery fuel from where it is; on task with a visit ahead, when to leave for the tanker; on task with none, bingo; in flight
 * otherwise, recovery fuel from where it is.
 */
export function marginS(truth: Truth, limits: Limits): number | undefined {
  const { status, tanks, flight, index } = truth
  switch (status) {
    case 'in contact':
      return waited(truth, tanks, countedKg, limits.recoveryKg(truth.km))
    case 'left':
    case 'landed':
      return undefined
    case 'waiting':
      return waited(truth, tanks, countedKg, limits.abortKg)
    case 'done':
      return waited(truth, tanks, usableKg, limits.requiredKg)
    case 'planned':
    case 'flying':
      return index < visitIndexOf(flight) ? outboundS(truth, limits) : afterVisitS(truth, limits)
  }
}
