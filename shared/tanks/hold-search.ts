import { fillCourse, type Course, type Flow } from './course.ts'
import { type FeedPiece } from './feed.ts'
import { drainHeld, type Approach, type HeldShip } from './hold-drain.ts'

/*
 * Over the instant at which the hold begins, the contact's length is piecewise linear, but neither convex nor always
 * continuous (order of feeding, common cap, groups that wait for others). While externals give evenly, the tanks at the
 * hold are linear in its instant; with the same events in the same order on the way and at the tanker, so are the tanks
 * at contact, the corners of the fill and the instant the wanted fuel is reached. Each run says how far its own order
 * reaches and so settles a whole stretch; what is left on both sides is asked again. A linear piece is least at an end,
 * so the ends of all stretches, cut where the floor cuts them, are all that must be compared.
 */

/** Holds whose contacts differ by less are equal, s. */
export const SAME_S = 1e-6
/** Where the contact's length jumps, a hold begins this far inside the better side, s. */
const JUMP_S = 1e-5
/** Kept above the floor against rounding, kg. */
const FLOOR_ROUNDING_KG = 1e-7
/** What rounding may take from the fuel of a full ship, kg. */
const FULL_ROUNDING_KG = 1e-6
/** Stretches shorter than this are not told apart, s. */
const SHORTEST_S = 1e-6
/** Closer than this to the end of its stretch an instant is a corner, s. */
const CORNER_S = 1e-7
/** Slopes below this are none: over a day they move less than rounding. */
const LEVEL = 1e-10
/** Where in an unsettled stretch to look; the next place when one falls on a corner. */
const PLACES = [0.5, 0.381966, 0.7236068, 0.2236068, 0.854102]

interface Line {
  readonly value: number
  readonly perS: number
}

/** Holds that begin between two instants: everything is linear in the instant, told at one of them. */
export interface Stretch {
  readonly piece: FeedPiece
  readonly atS: number
  readonly fromS: number
  readonly toS: number
  /** Undefined where the ship does not get to contact, or never to the wanted fuel. */
  readonly contactS: Line | undefined
  readonly countedKg: Line
}

const lineAt = (line: Line, shiftS: number): number => line.value + line.perS * shiftS

/** The range of shifts over which all that was noted holds. */
class Shift {
  fromS = -Infinity
  toS = Infinity

  within({ shiftFromS, shiftToS }: { readonly shiftFromS: number; readonly shiftToS: number }): void {
    this.fromS = Math.max(this.fromS, shiftFromS)
    this.toS = Math.min(this.toS, shiftToS)
  }

  staysPositive(value: number, perS: number): void {
    if (Math.abs(perS) < LEVEL) return
    const atS = -value / perS
    if (perS < 0) this.toS = Math.min(this.toS, Math.max(0, atS))
    else this.fromS = Math.max(this.fromS, Math.min(0, atS))
  }
}

/** The first instant at which a contact has so much usable fuel, and how it moves; undefined when it never has. */
export function reachOf(
  { points, slopes }: Pick<Course, 'points' | 'slopes'>,
  wantedKg: number,
  shift = new Shift()
): Line | undefined {
  let before = points[0]
  let beforeSlope = slopes[0]
  for (let k = 0; k < points.length; k++) {
    const point = points[k]
    const slope = slopes[k]
    if (before === undefined || point === undefined) return undefined
    if (slope !== undefined) shift.within(slope)
    if (point.usableKg >= wantedKg) {
      shift.staysPositive(point.usableKg - wantedKg, slope?.usableKgPerS ?? 0)
      if (k === 0) return { value: 0, perS: 0 }
      const kgPerS = (point.usableKg - before.usableKg) / (point.atS - before.atS)
      return {
        value: before.atS + (wantedKg - before.usableKg) / kgPerS,
        perS: (beforeSlope?.atSPerS ?? 0) - (beforeSlope?.usableKgPerS ?? 0) / kgPerS
      }
    }
    shift.staysPositive(wantedKg - point.usableKg, -(slope?.usableKgPerS ?? 0))
    before = point
    beforeSlope = slope
  }
  if (before === undefined) return undefined
  // Full to rounding is full.
  const lackKg = wantedKg - FULL_ROUNDING_KG - before.usableKg
  shift.staysPositive(Math.abs(lackKg), (lackKg > 0 ? -1 : 1) * (beforeSlope?.usableKgPerS ?? 0))
  return lackKg > 0 ? undefined : { value: before.atS, perS: beforeSlope?.atSPerS ?? 0 }
}

/** The tanks at an instant of a piece, kg. */
export function rowAt(piece: FeedPiece, atS: number): Float64Array {
  const q = piece.quantitiesKg.slice()
  for (let tank = 0; tank < q.length; tank++) {
    q[tank] = (q[tank] ?? 0) + (piece.rateKgPerS[tank] ?? 0) * (atS - piece.fromS)
  }
  return q
}

/** What every hold of one question shares. */
export interface Ground {
  readonly ship: HeldShip
  readonly approach: Approach
  readonly flow: Flow
  readonly wantedKg: number
}

/** Internal fuel the engines can have: what counts while externals are held. */
function countedLine({ inUse, receiver }: HeldShip, q: Float64Array, slope: Float64Array): Line {
  const { floorKg } = receiver.layout
  let value = 0
  let perS = 0
  for (let tank = 0; tank < q.length; tank++) {
    const kg = (q[tank] ?? 0) - (floorKg[tank] ?? 0)
    if (inUse[tank] !== true || kg <= 0) continue
    value += kg
    perS += slope[tank] ?? 0
  }
  return { value, perS }
}

/**
 * The stretch around an instant, between two others; undefined at a corner: there events coincide, the run takes them
 * for one and its slopes hold on neither side.
 */
function look(ground: Ground, piece: FeedPiece, atS: number, fromS: number, toS: number): Stretch | undefined {
  const { ship, approach, flow, wantedKg } = ground
  const q = rowAt(piece, atS)
  const slope = piece.rateKgPerS.slice()
  const shift = new Shift()
  const drained = drainHeld(ship, q, approach, atS, slope)
  shift.within(drained)
  const contactS = drained.reachesContact
    ? reachOf(fillCourse(ship.receiver, q, flow, slope), wantedKg, shift)
    : undefined
  if (shift.fromS > -CORNER_S || shift.toS < CORNER_S) return undefined
  return {
    piece,
    atS,
    fromS: Math.max(fromS, atS + shift.fromS),
    toS: Math.min(toS, atS + shift.toS),
    contactS,
    countedKg: countedLine(ship, q, slope)
  }
}

/** All stretches of a piece, appended. */
export function settle(ground: Ground, piece: FeedPiece, fromS: number, toS: number, stretches: Stretch[]): void {
  if (toS - fromS <= SHORTEST_S) return
  for (const place of PLACES) {
    const stretch = look(ground, piece, fromS + place * (toS - fromS), fromS, toS)
    if (stretch === undefined) continue
    settle(ground, piece, fromS, stretch.fromS, stretches)
    stretches.push(stretch)
    settle(ground, piece, stretch.toS, toS, stretches)
    return
  }
  throw new RangeError(`no linear hold between ${fromS} and ${toS} s`)
}

interface Choice {
  readonly piece: FeedPiece
  readonly fromS: number
  readonly contactS: number
  /** Towards the inside of its stretch. */
  readonly inwardS: number
}

/** The hold with the shortest contact, the latest of equals; undefined when none keeps the floor. */
export function shortest(stretches: readonly Stretch[], floorKg: number): Choice | undefined {
  const ends: Choice[] = []
  for (const { piece, atS, fromS, toS, contactS, countedKg: counted } of stretches) {
    if (contactS === undefined) continue
    const above = counted.value - floorKg - FLOOR_ROUNDING_KG
    let low = fromS
    let high = toS
    if (Math.abs(counted.perS) < LEVEL) {
      if (above < 0) continue
    } else if (counted.perS > 0) low = Math.max(low, atS - above / counted.perS)
    else high = Math.min(high, atS - above / counted.perS)
    if (low > high) continue
    const inwardS = Math.min(JUMP_S, (high - low) / 2)
    ends.push({ piece, fromS: low, contactS: lineAt(contactS, low - atS), inwardS })
    ends.push({ piece, fromS: high, contactS: lineAt(contactS, high - atS), inwardS: -inwardS })
  }
  let leastS = Infinity
  for (const { contactS } of ends) leastS = Math.min(leastS, contactS)
  let best: Choice | undefined
  for (const end of ends) {
    if (end.contactS <= leastS + SAME_S && (best === undefined || end.fromS > best.fromS)) best = end
  }
  return best
}

interface Measured {
  readonly piece: FeedPiece
  readonly fromS: number
  readonly contactS: number
  readonly atContactKg: Float64Array
}

/** A hold that begins at one instant, run through; undefined when it does not come to the wanted fuel. */
export function measure(
  { ship, approach, flow, wantedKg }: Ground,
  piece: FeedPiece,
  fromS: number
): Measured | undefined {
  const atContactKg = rowAt(piece, fromS)
  if (!drainHeld(ship, atContactKg, approach, fromS).reachesContact) return undefined
  const reached = reachOf(fillCourse(ship.receiver, atContactKg, flow), wantedKg)
  return reached && { piece, fromS, contactS: reached.value, atContactKg }
}

/** The choice run through: at its instant, or just inside its stretch where the contact's length jumps there. */
export function measureChoice(ground: Ground, { piece, fromS, contactS, inwardS }: Choice): Measured | undefined {
  const there = measure(ground, piece, fromS)
  if (there !== undefined && there.contactS <= contactS + SAME_S) return there
  return measure(ground, piece, fromS + inwardS) ?? there
}
