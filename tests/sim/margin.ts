/** How long a ship truly has: the limits of the model's ranking rule on what it truly holds and burns. */
import { flowOf, HOOK_UP_S, visitIndexOf, type Piece } from './fleet.ts'
import { burn, countedKg, isTask, usableKg, type Limits, type Tanks, type Truth } from './ship.ts'

const STEP_S = 2
const MOST_S = 3 * 3600

/** What is burned ahead, step by step: the rest of this piece, and the pieces after it up to one of them. */
function* ahead(
  truth: Truth,
  until: number
): Generator<{ piece: Piece; index: number; tanks: Tanks; km: number; atS: number }> {
  const { flight, bias } = truth
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
      burn(flight.type, tanks, bias * flowOf(flight.type, piece.kind) * stepS, stepS)
    }
    atS += leftS
    km = piece.toKm
    yield { piece, index, tanks, km, atS }
    index++
    leftS = flight.pieces[index]?.durationS ?? 0
  }
}

/** When fuel falls to a level while the ship waits at its tanker, s from now. */
function waited({ flight, bias }: Truth, tanks: Tanks, fuel: (tanks: Tanks) => number, levelKg: number): number {
  const burnKgPerS = bias * flowOf(flight.type, 'refuelling')
  return (fuel(tanks) - levelKg) / burnKgPerS
}

/**
 * Whether a ship has its place in the ranking by a margin: in contact only where that is below 0, and not on its way home, where it is followed and nothing is decided any more.
 */
export const ranks = ({ status, flight, index }: Truth): boolean =>
  status === 'planned' ||
  status === 'waiting' ||
  status === 'in contact' ||
  status === 'done' ||
  (status === 'flying' && (index < visitIndexOf(flight) || index <= flight.pieces.findLastIndex(isTask)))

/** How far below a level it is already, s of burn; Infinity where it is not. */
function belowS({ flight, tanks, bias, index }: Truth, levelKg: number): number {
  const spareKg = countedKg(tanks) - levelKg
  return spareKg < 0 ? spareKg / (bias * flowOf(flight.type, flight.pieces[index]?.kind ?? 'recovery')) : Infinity
}

/** On the way to the tanker: latest contact; with a task before it, when to leave for the tanker, or recovery fuel. */
function outboundS(truth: Truth, limits: Limits): number {
  const { flight, bias, index } = truth
  const visit = visitIndexOf(flight)
  const lastTask = flight.pieces.findLastIndex((piece, i) => isTask(piece) && i < visit)
  let recoveryS = belowS(truth, limits.recoveryKg(truth.km))
  let arrived: { tanks: Tanks; atS: number } = { tanks: truth.tanks, atS: 0 }
  let taskEndS = 0
  for (const { tanks, index: at, km, atS } of ahead(truth, visit)) {
    if (countedKg(tanks) < limits.recoveryKg(km)) recoveryS = Math.min(recoveryS, atS)
    if (at <= lastTask) taskEndS = atS
    arrived = { tanks: { ...tanks }, atS }
  }
  if (index > lastTask) return arrived.atS + waited(truth, arrived.tanks, countedKg, limits.abortKg)
  const hookUpKg = HOOK_UP_S * bias * flowOf(flight.type, 'refuelling')
  const spareKg = countedKg(arrived.tanks) - limits.abortKg - hookUpKg
  const taskKgPerS = bias * flowOf(flight.type, flight.pieces[lastTask]?.kind ?? 'loiter')
  return Math.min(recoveryS, taskEndS + spareKg / taskKgPerS)
}

/** With no visit ahead: bingo while a task is, and recovery fuel. */
function afterVisitS(truth: Truth, limits: Limits): number {
  const { flight, index } = truth
  const lastTask = flight.pieces.findLastIndex(isTask)
  let atLimitS = belowS(truth, Math.max(limits.recoveryKg(truth.km), index <= lastTask ? limits.bingoKg : 0))
  for (const { tanks, index: at, km, atS } of ahead(truth, flight.pieces.length)) {
    const levelKg = Math.max(limits.recoveryKg(km), at <= lastTask ? limits.bingoKg : 0)
    if (countedKg(tanks) < levelKg) atLimitS = Math.min(atLimitS, atS)
  }
  return atLimitS
}

/**
 * Seconds until the limit that applies to a ship, from what it truly holds and burns: below 0 past it, Infinity where it
 * meets none, undefined where none applies. The rule is that of the model: until contact, latest contact; done and
 * waiting, latest push; in contact, recovery fuel where it is below; on task with a visit ahead, when to leave for the tanker; on task with none, bingo; in flight
 * otherwise, recovery fuel from where it is.
 */
export function marginS(truth: Truth, limits: Limits): number | undefined {
  const { status, tanks, flight, index } = truth
  switch (status) {
    case 'in contact': {
      const recoveryS = waited(truth, tanks, countedKg, limits.recoveryKg(truth.km))
      return recoveryS < 0 ? recoveryS : undefined
    }
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
