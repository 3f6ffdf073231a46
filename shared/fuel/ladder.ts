import type { Position } from '../contracts/quantities.ts'
import { legOf } from '../geodesy.ts'
import { burnedDownToKg, burnedFromKg, flowWithKgPerS, type Stretch, type Weighing } from './burn.ts'
import { recoveryFuelKg, type Recovery } from './limits.ts'

export interface LadderPhase {
  readonly durationS: number
  readonly flowKgPerS: number
}

/**
 * Fuel at every boundary of the phases, kg, first and last included, at a constant flow in each; below zero where the
 * phases ask for more than there is. Checked: tests/truth/burn.json, exact to print.
 */
export function ladderKg(startKg: number, phases: readonly LadderPhase[]): readonly number[] {
  const fuelKg = [startKg]
  let kg = startKg
  for (const phase of phases) {
    kg -= phase.durationS * phase.flowKgPerS
    fuelKg.push(kg)
  }
  return fuelKg
}

/** A phase at a flow, or a climb or descent whose fuel is given whole and falls evenly. */
export type LadderStep =
  ({ readonly kind: 'flow' } & Stretch) | { readonly kind: 'lump'; readonly durationS: number; readonly fuelKg: number }

export interface Ladder {
  /** Fuel at every boundary, first and last included. */
  readonly fuelKg: readonly number[]
  /** By step: what it burns over its duration, the one rate that feed, fill and order work with. */
  readonly burnsKgPerS: readonly number[]
}

/**
 * The fuel ladder from a start, kg and kg/s. With a weighing a flow is that at the reference weight and falls with the
 * ship's own; lumps are charted whole and do not. Below zero where the steps ask for more than there is. Inside a step
 * the true line sags below the even one, by up to an eighth of weight x (flow x duration / reference)^2.
 * @throws RangeError when a lump has fuel and no duration, or the reference weight is not above 0.
 * Source: Breguet, W = W0 e^(-kt). Checked: tests/truth/breguet.json; tests/shared/fuel/ladder.test.ts by short steps.
 */
export function ladder(startKg: number, steps: readonly LadderStep[], weighing?: Weighing): Ladder {
  const fuelKg = [startKg]
  const burnsKgPerS: number[] = []
  let kg = startKg
  for (const step of steps) {
    const burnedKg = step.kind === 'lump' ? step.fuelKg : burnedFromKg(kg, step, weighing)
    burnsKgPerS.push(rateKgPerS(step, burnedKg, kg, weighing))
    kg -= burnedKg
    fuelKg.push(kg)
  }
  return { fuelKg, burnsKgPerS }
}

/**
 * The ladder that ends with so much left, kg and kg/s: what each boundary must have for it.
 * @throws RangeError as ladder.
 * Source: as ladder. Checked: tests/shared/fuel/ladder.test.ts, there and back.
 */
export function ladderDownTo(leftKg: number, steps: readonly LadderStep[], weighing?: Weighing): Ladder {
  const fuelKg = [leftKg]
  const burnsKgPerS: number[] = []
  let kg = leftKg
  for (const step of steps.toReversed()) {
    const burnedKg = step.kind === 'lump' ? step.fuelKg : burnedDownToKg(kg, step, weighing)
    kg += burnedKg
    burnsKgPerS.push(rateKgPerS(step, burnedKg, kg, weighing))
    fuelKg.push(kg)
  }
  return { fuelKg: fuelKg.reverse(), burnsKgPerS: burnsKgPerS.reverse() }
}

/** The one rate of a step; of one without length the flow it would have at that weight. */
function rateKgPerS(step: LadderStep, burnedKg: number, fuelKg: number, weighing?: Weighing): number {
  if (step.durationS > 0) return burnedKg / step.durationS
  if (step.kind === 'flow') return flowWithKgPerS(fuelKg, step.flowKgPerS, weighing)
  if (burnedKg === 0) return 0
  throw new RangeError(`a lump of ${burnedKg} kg needs a duration above 0 s, has ${step.durationS}`)
}

/** A part of the route over which fuel falls evenly and the ship flies one leg, or stays where it is. */
export interface ProofPiece {
  readonly fromS: number
  readonly toS: number
  readonly fuelFromKg: number
  readonly fuelToKg: number
  readonly from: Position
  readonly to: Position
}

export interface WeakestPoint {
  readonly atS: number
  readonly marginKg: number
  readonly fuelKg: number
  readonly recoveryKg: number
  /** The open base it would go to from there. */
  readonly baseId: string
  readonly position: Position
}

interface OpenBase {
  readonly id: string
  readonly position: Position
  /** How a ship comes home to this one, where that differs: a reserve that depends on the base. */
  readonly recovery?: Recovery | undefined
}

/** Pieces are searched until they are this short, s. */
const FINEST_S = 1
/** Margins closer than this are one, kg: along a way home the margin is one figure and its rounding. */
export const SAME_KG = 1e-6

/**
 * The point of a route at which planned counted fuel, with no further transfer, stands least above the recovery fuel to
 * the open base that asks for least, and by how much; times in s on the pieces' own scale. Undefined with no piece, or
 * when at some point no open base can be reached at all.
 *
 * For one base the margin is concave along a piece, so it is least at an end: fuel is linear, recovery fuel convex. That
 * holds where burn grows with weight too: it is then an increasing exponential of the time home, which is convex. The
 * margin to the best base can be least in between, where two bases change places. A piece cannot be worse than the best
 * base's worse end, which lets most of it be left out; the rest is parted down to 1 s, always
 * at the roundest instant: wherever the pieces begin, the same point is found.
 * Checked: tests/shared/fuel/ladder.test.ts, against sampling every 2 s.
 */
export function weakestPoint(
  pieces: readonly ProofPiece[],
  bases: readonly OpenBase[],
  recovery: Recovery
): WeakestPoint | undefined {
  const seen: { weakest: WeakestPoint | undefined; cutOff: boolean } = { weakest: undefined, cutOff: false }
  const note = (point: WeakestPoint | undefined): void => {
    if (point === undefined) seen.cutOff = true
    else if (isWeaker(point, seen.weakest)) seen.weakest = point
  }
  // Ends first: the weakest of them lets most of what lies between be left out.
  const between: { piece: ProofPiece; low: Look; high: Look }[] = []
  for (const piece of pieces) {
    const stays = piece.from === piece.to || piece.toS <= piece.fromS
    const low = lookFromEnd(piece, piece.from, 0, bases, recovery)
    const high = stays ? { ...low, ...fuelAt(piece, 1) } : lookFromEnd(piece, piece.to, 1, bases, recovery)
    note(best(low, bases))
    note(best(high, bases))
    if (!stays && bases.length > 1) between.push({ piece, low, high })
  }
  const worthParting = ({ low, high }: { low: Look; high: Look }): boolean =>
    high.atS - low.atS > FINEST_S && isWeaker({ atS: low.atS, marginKg: leastPossibleKg(low, high) }, seen.weakest)
  for (const { piece, ...whole } of between) {
    if (!worthParting(whole)) continue
    const leg = legOf(piece.from, piece.to)
    const open = [whole]
    for (let part = open.pop(); part !== undefined; part = open.pop()) {
      const { low, high } = part
      if (!worthParting(part)) continue
      const share = (roundestBetween(low.atS, high.atS) - piece.fromS) / (piece.toS - piece.fromS)
      const middle = lookAround(piece, leg.pointAt(share), share, bases, recovery)
      note(best(middle, bases))
      open.push({ low: middle, high }, { low, high: middle })
    }
  }
  return seen.cutOff ? undefined : seen.weakest
}

type Found = Pick<WeakestPoint, 'atS' | 'marginKg'>

/** Of two points as weak as each other the earlier one is the weakest, in whatever order they are looked at. */
function isWeaker({ atS, marginKg }: Found, than: Found | undefined): boolean {
  if (than === undefined || marginKg < than.marginKg - SAME_KG) return true
  return atS < than.atS && marginKg <= than.marginKg + SAME_KG
}

interface Look {
  readonly share: number
  readonly atS: number
  readonly fuelKg: number
  readonly position: Position
  /** By base; undefined where the wind keeps the ship from it. */
  readonly recoveryKg: readonly (number | undefined)[]
}

/**
 * The instant strictly between two, at least 2 ms apart, that is a multiple of the greatest power of two in ms. Both are
 * taken to the ms: an instant found before comes back by a share of its piece, with that much rounding.
 */
function roundestBetween(lowS: number, highS: number): number {
  const [low, high] = [Math.round(lowS * 1000), Math.round(highS * 1000)]
  for (let stepMs = 2 ** Math.ceil(Math.log2(high - low)); stepMs >= 1; stepMs /= 2) {
    const atMs = (Math.floor(low / stepMs) + 1) * stepMs
    if (atMs < high) return atMs / 1000
  }
  return (lowS + highS) / 2
}

const fuelAt = (piece: ProofPiece, share: number): Pick<Look, 'share' | 'atS' | 'fuelKg'> => ({
  share,
  atS: piece.fromS + share * (piece.toS - piece.fromS),
  fuelKg: piece.fuelFromKg + share * (piece.fuelToKg - piece.fuelFromKg)
})

const lookAround = (
  piece: ProofPiece,
  position: Position,
  share: number,
  bases: readonly OpenBase[],
  recovery: Recovery
): Look => ({
  ...fuelAt(piece, share),
  position,
  recoveryKg: bases.map((base) => recoveryFuelKg(position, base.position, base.recovery ?? recovery))
})

const fromEnds = new WeakMap<Recovery, WeakMap<Position, WeakMap<Position, { kg: number | undefined }>>>()

/** The same from an end of a piece. Ends are mostly the fixed points of a route, so what they ask for is kept by point. */
function lookFromEnd(
  piece: ProofPiece,
  position: Position,
  share: number,
  bases: readonly OpenBase[],
  recovery: Recovery
): Look {
  const recoveryKg: (number | undefined)[] = []
  let of: Recovery | undefined
  let byBase: WeakMap<Position, { kg: number | undefined }> | undefined
  for (const base of bases) {
    const its = base.recovery ?? recovery
    if (byBase === undefined || its !== of) byBase = keptFor((of = its), position)
    let known = byBase.get(base.position)
    if (!known) {
      known = { kg: recoveryFuelKg(position, base.position, its) }
      byBase.set(base.position, known)
    }
    recoveryKg.push(known.kg)
  }
  return { ...fuelAt(piece, share), position, recoveryKg }
}

function keptFor(recovery: Recovery, position: Position): WeakMap<Position, { kg: number | undefined }> {
  let byPosition = fromEnds.get(recovery)
  if (!byPosition) fromEnds.set(recovery, (byPosition = new WeakMap()))
  let byBase = byPosition.get(position)
  if (!byBase) byPosition.set(position, (byBase = new WeakMap()))
  return byBase
}

function best(look: Look, bases: readonly OpenBase[]): WeakestPoint | undefined {
  let point: WeakestPoint | undefined
  look.recoveryKg.forEach((recoveryKg, index) => {
    const baseId = bases[index]?.id
    if (recoveryKg === undefined || baseId === undefined || recoveryKg >= (point?.recoveryKg ?? Infinity)) return
    const { atS, fuelKg, position } = look
    point = { atS, fuelKg, position, recoveryKg, baseId, marginKg: fuelKg - recoveryKg }
  })
  return point
}

function leastPossibleKg(low: Look, high: Look): number {
  let kg = -Infinity
  low.recoveryKg.forEach((lowKg, index) => {
    const highKg = high.recoveryKg[index]
    if (lowKg !== undefined && highKg !== undefined)
      kg = Math.max(kg, Math.min(low.fuelKg - lowKg, high.fuelKg - highKg))
  })
  return kg
}
