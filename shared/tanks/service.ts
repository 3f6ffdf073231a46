import { checkFlow, fillCourse, receiverOf, type Course, type Flow } from './course.ts'
import { feed, feedPieces, feedUntil, type FeedPiece } from './feed.ts'
import { fillCurve, stopAt, type FillStop, type FillTarget } from './fill.ts'
import { flatQuantities, layoutOf } from './layout.ts'
import { countedKg, type Sheet, type TankState } from './sheet.ts'

/*
 * What one ship gets from one kind of station, over the instant of contact. While it waits it burns evenly; the tanks it
 * brings to the contact, the time it takes and what it leaves with are all piecewise linear in that instant. The table
 * holds the corners. A course computed at one instant says over which shift of the contact its own corners keep their
 * order; there everything is linear, so every course settles a whole stretch, and what is left on both sides is asked
 * again.
 */

export type ServiceTarget =
  | { readonly kind: 'full' }
  | { readonly kind: 'internals' }
  | { readonly kind: 'onLoad'; readonly onLoadKg: number }
  /** Enough usable fuel to hold the requirement after burning until the push. */
  | { readonly kind: 'required'; readonly requiredKg: number; readonly pushAtMs: number }

export interface Service {
  readonly readyAtMs: number
  readonly untilAtMs: number
  readonly burnKgPerS: number
  readonly stationRateKgPerS: number
  readonly abortKg: number
  readonly target: ServiceTarget
}

/** Corners by instant of contact; arrays of one length, linear in between; fuel is usable fuel. */
export interface ServiceTable {
  readonly contactAtMs: readonly number[]
  readonly disconnectAtMs: readonly number[]
  readonly onLoadKg: readonly number[]
  readonly fuelAtContactKg: readonly number[]
  readonly fuelAtDisconnectKg: readonly number[]
  /** When counted fuel falls to abort fuel, before ready where it has; undefined when it does not within the horizon. */
  readonly latestContactAtMs: number | undefined
}

/** What is linear over a stretch of contacts: values at one contact and their change by each second of shift. */
interface Stretch {
  readonly atS: number
  readonly fromS: number
  readonly toS: number
  readonly durationS: Line
  readonly onLoadKg: Line
  readonly contactKg: Line
  readonly disconnectKg: Line
}

interface Line {
  readonly value: number
  readonly perS: number
}

/** A corner of the course, with how it moves when contact comes later; `surplusKg` is fuel above what the target asks. */
interface Corner {
  readonly atS: Line
  readonly onLoadKg: Line
  readonly usableKg: Line
}

/** Stretches shorter than this are not told apart, s. */
const SHORTEST_S = 1e-8
/** Closer than this to the end of its own stretch a look fell on a corner, where slopes hold on neither side, s. */
const CORNER_S = 1e-7
/** Where in an unsettled stretch to look; the next place when one falls on a corner. */
const PLACES = [0.5, 0.381966, 0.7236068, 0.2236068, 0.854102]

/** A corner at which service jumps is two, this far apart, s. */
const JUMP_S = 1e-5
/** Values closer than this do not jump: s or kg. */
const SAME_VALUE = 1e-7

const lineAt = (line: Line, shiftS: number): number => line.value + line.perS * shiftS
const sumOf = (a: Line, b: Line, times = 1): Line => ({
  value: a.value + times * b.value,
  perS: a.perS + times * b.perS
})
const constant = (value: number): Line => ({ value, perS: 0 })

/** The shift of contact over which all that was noted stays at or above zero. */
class Shift {
  fromS = -Infinity
  toS = Infinity

  within(fromS: number, toS: number): void {
    this.fromS = Math.max(this.fromS, fromS)
    this.toS = Math.min(this.toS, toS)
  }

  staysPositive({ value, perS }: Line): void {
    if (Math.abs(perS) < 1e-12) return
    const atS = -value / perS
    if (perS < 0) this.toS = Math.min(this.toS, Math.max(0, atS))
    else this.fromS = Math.max(this.fromS, Math.min(0, atS))
  }
}

/**
 * Service jumps where the feed group, hardly below full, gets no more than the engines drink while others fill: only a
 * station about as slow as the engines does that.
 */
function jumps(before: Stretch, after: Stretch): boolean {
  const gap = (of: (stretch: Stretch) => Line): number =>
    Math.abs(lineAt(of(before), before.toS - before.atS) - lineAt(of(after), after.fromS - after.atS))
  return (
    gap((stretch) => stretch.durationS) > SAME_VALUE ||
    gap((stretch) => stretch.onLoadKg) > SAME_VALUE ||
    gap((stretch) => stretch.disconnectKg) > SAME_VALUE
  )
}

function between(before: Corner, after: Corner, atS: Line): Corner {
  const spanS = after.atS.value - before.atS.value
  const along = (from: Line, to: Line): Line => {
    const rate = spanS > 0 ? (to.value - from.value) / spanS : 0
    return sumOf(from, sumOf(atS, before.atS, -1), rate)
  }
  return { atS, onLoadKg: along(before.onLoadKg, after.onLoadKg), usableKg: along(before.usableKg, after.usableKg) }
}

function cornersOf({ points, slopes }: Course): Corner[] {
  return points.map((point, index) => {
    const slope = slopes[index]
    return {
      atS: { value: point.atS, perS: slope?.atSPerS ?? 0 },
      onLoadKg: { value: point.onLoadKg, perS: slope?.onLoadKgPerS ?? 0 },
      usableKg: { value: point.usableKg, perS: slope?.usableKgPerS ?? 0 }
    }
  })
}

/** Where the course ends for the target, and the shift over which it ends between the same corners. */
function endOf(course: Course, service: Service, contactAtS: number): { end: Corner; shift: Shift } {
  const corners = cornersOf(course)
  const shift = new Shift()
  const settledAt = (index: number): void => {
    const slope = course.slopes[index]
    if (slope !== undefined) shift.within(slope.shiftFromS, slope.shiftToS)
  }
  const cornerAt = (index: number): Corner => {
    const corner = corners[index]
    if (corner === undefined) throw new RangeError(`a course has ${corners.length} corners, asked for ${index}`)
    return corner
  }
  const lastIndex = corners.length - 1
  const { target } = service
  if (target.kind === 'full' || target.kind === 'internals') {
    const index = target.kind === 'full' ? lastIndex : (course.internalsFullIndex ?? lastIndex)
    settledAt(index)
    return { end: cornerAt(index), shift }
  }

  let surplus: (corner: Corner) => Line
  let bendIndex = -1
  if (target.kind === 'onLoad') surplus = (corner) => sumOf(corner.onLoadKg, constant(target.onLoadKg), -1)
  else {
    // The need falls with the time left to the push, and stops falling there.
    const pushS: Line = { value: (target.pushAtMs - service.readyAtMs) / 1000 - contactAtS, perS: -1 }
    surplus = (corner) => {
      const left = sumOf(pushS, corner.atS, -1)
      const above = sumOf(corner.usableKg, constant(target.requiredKg), -1)
      return left.value > 0 ? sumOf(above, left, -service.burnKgPerS) : above
    }
    if (pushS.value <= 0) shift.staysPositive({ value: -pushS.value, perS: -pushS.perS })
    else {
      const after = corners.findIndex((corner) => corner.atS.value > pushS.value)
      if (after > 0) {
        const low = cornerAt(after - 1)
        const high = cornerAt(after)
        bendIndex = after
        corners.splice(after, 0, between(low, high, pushS))
        shift.staysPositive(sumOf(pushS, low.atS, -1))
        shift.staysPositive(sumOf(high.atS, pushS, -1))
      } else shift.staysPositive(sumOf(pushS, cornerAt(lastIndex).atS, -1))
    }
  }
  const courseIndex = (index: number): number => (bendIndex >= 0 && index >= bendIndex ? index - 1 : index)

  const arrival = surplus(cornerAt(0))
  if (arrival.value >= 0) {
    shift.staysPositive(arrival)
    return { end: cornerAt(0), shift }
  }
  for (let index = 1; index < corners.length; index++) {
    const low = cornerAt(index - 1)
    const high = cornerAt(index)
    const lowKg = surplus(low)
    const highKg = surplus(high)
    if (highKg.value < 0) continue
    const rate = (highKg.value - lowKg.value) / (high.atS.value - low.atS.value)
    settledAt(index === bendIndex ? index : courseIndex(index))
    shift.staysPositive({ value: -lowKg.value, perS: -lowKg.perS })
    shift.staysPositive(highKg)
    return { end: between(low, high, sumOf(low.atS, lowKg, -1 / rate)), shift }
  }
  settledAt(lastIndex)
  const short = surplus(cornerAt(corners.length - 1))
  shift.staysPositive({ value: -short.value, perS: -short.perS })
  return { end: cornerAt(corners.length - 1), shift }
}

/**
 * The exact service of a ship waiting from `readyAtMs`, by instant of contact up to `untilAtMs`; times ms, masses kg.
 * Values between two corners are linear to 1e-6 kg and 1 ms.
 * @throws RangeError when the horizon ends before the ship is ready, or a rate is out of bounds.
 * Checked: tests/shared/tanks/service.test.ts, against serveAt() at random instants.
 */
export function serviceTable(sheet: Sheet, start: TankState, service: Service): ServiceTable {
  const { readyAtMs, untilAtMs, burnKgPerS } = service
  if (!(untilAtMs >= readyAtMs)) throw new RangeError(`untilAtMs must be at least ${readyAtMs}, is ${untilAtMs}`)
  const horizonS = (untilAtMs - readyAtMs) / 1000
  const flow: Flow = service
  checkFlow(flow)
  const receiver = receiverOf(sheet, start)
  const tankCount = receiver.layout.tankCount
  const still: FeedPiece = {
    fromS: 0,
    toS: 0,
    quantitiesKg: flatQuantities(layoutOf(sheet), start),
    rateKgPerS: new Float64Array(tankCount)
  }

  const look = (piece: FeedPiece, atS: number): Stretch => {
    const q = piece.quantitiesKg.map((kg, tank) => kg + (piece.rateKgPerS[tank] ?? 0) * (atS - piece.fromS))
    const course = fillCourse(receiver, q, flow, piece.rateKgPerS)
    const { end, shift } = endOf(course, service, atS)
    return {
      atS,
      fromS: Math.max(piece.fromS, atS + shift.fromS),
      toS: Math.min(piece.toS, atS + shift.toS),
      durationS: end.atS,
      onLoadKg: end.onLoadKg,
      contactKg: { value: course.points[0]?.usableKg ?? 0, perS: course.slopes[0]?.usableKgPerS ?? 0 },
      disconnectKg: end.usableKg
    }
  }

  const stretches: Stretch[] = []
  const settle = (piece: FeedPiece, fromS: number, toS: number): void => {
    if (toS - fromS <= SHORTEST_S) return
    for (const place of PLACES) {
      const atS = fromS + place * (toS - fromS)
      const found = look(piece, atS)
      const onCorner = atS - found.fromS < CORNER_S || found.toS - atS < CORNER_S
      if (onCorner && toS - fromS > 10 * CORNER_S) continue
      const stretch = { ...found, fromS: Math.max(fromS, found.fromS), toS: Math.min(toS, found.toS) }
      if (stretch.toS - stretch.fromS <= SHORTEST_S) continue
      settle(piece, fromS, stretch.fromS)
      stretches.push(stretch)
      settle(piece, stretch.toS, toS)
      return
    }
    throw new RangeError(`no linear service between ${fromS} and ${toS} s after ready`)
  }
  for (const piece of feedPieces(sheet, start, burnKgPerS, horizonS)) settle(piece, piece.fromS, piece.toS)
  if (stretches.length === 0) stretches.push(look(still, 0))

  const contactAtMs: number[] = []
  const disconnectAtMs: number[] = []
  const onLoadKg: number[] = []
  const fuelAtContactKg: number[] = []
  const fuelAtDisconnectKg: number[] = []
  const corner = (stretch: Stretch, contactS: number, atMs: number): void => {
    const shiftS = contactS - stretch.atS
    contactAtMs.push(atMs)
    disconnectAtMs.push(atMs + 1000 * Math.max(0, lineAt(stretch.durationS, shiftS)))
    onLoadKg.push(Math.max(0, lineAt(stretch.onLoadKg, shiftS)))
    fuelAtContactKg.push(lineAt(stretch.contactKg, shiftS))
    fuelAtDisconnectKg.push(lineAt(stretch.disconnectKg, shiftS))
  }
  stretches.forEach((stretch, index) => {
    const before = stretches[index - 1]
    if (before === undefined) corner(stretch, 0, readyAtMs)
    else if (jumps(before, stretch)) {
      const afterS = Math.min(stretch.toS, stretch.fromS + JUMP_S)
      if (afterS < stretch.toS) corner(stretch, afterS, readyAtMs + 1000 * afterS)
    }
    if (horizonS === 0) return
    const last = index === stretches.length - 1
    corner(stretch, last ? horizonS : stretch.toS, last ? untilAtMs : readyAtMs + 1000 * stretch.toS)
  })
  return {
    contactAtMs,
    disconnectAtMs,
    onLoadKg,
    fuelAtContactKg,
    fuelAtDisconnectKg,
    latestContactAtMs: latestContactMs(sheet, start, service)
  }
}

/**
 * The latest contact of a ship waiting from `readyAtMs`, as in its table, ms; undefined within the horizon.
 * Checked: tests/shared/tanks/service.test.ts.
 */
export function latestContactMs(sheet: Sheet, start: TankState, service: Service): number | undefined {
  const { readyAtMs, untilAtMs } = service
  const latestS = fallsToS(sheet, start, service, (untilAtMs - readyAtMs) / 1000)
  return latestS === undefined ? undefined : readyAtMs + 1000 * latestS
}

/**
 * When counted fuel is down to abort fuel, s from ready. Below it already, that was before ready: by what it lacks, at
 * the burn of the wait, with no regard to what tanks held that have given since. A dry feed group lacks all of it.
 */
function fallsToS(
  sheet: Sheet,
  start: TankState,
  { burnKgPerS, abortKg }: Service,
  horizonS: number
): number | undefined {
  const fallsS = feedUntil(sheet, start, burnKgPerS, 'counted', abortKg, horizonS)
  if (fallsS !== 0 || burnKgPerS === 0) return fallsS
  const heldKg = isDry(sheet, start, burnKgPerS) ? 0 : countedKg(sheet, start)
  return (heldKg - abortKg) / burnKgPerS
}

/** Whether the feed group is dry already and gets less than the engines drink, while other tanks hold fuel. */
export const isDry = (sheet: Sheet, state: TankState, burnKgPerS: number): boolean =>
  feed(sheet, state, burnKgPerS, 1).starvedAtS === 0

function fillTarget({ target, burnKgPerS }: Service, contactAtMs: number): FillTarget {
  if (target.kind === 'onLoad') return target
  if (target.kind !== 'required') return { kind: target.kind }
  return { kind: 'until', requiredKg: target.requiredKg, untilS: (target.pushAtMs - contactAtMs) / 1000, burnKgPerS }
}

/**
 * The service at one instant of contact, with the ship before and after; the limits end it early.
 * @throws RangeError when contact is before the ship is ready, or a rate is out of bounds.
 * Checked: tests/shared/tanks/service.test.ts.
 */
export function serveAt(
  sheet: Sheet,
  start: TankState,
  service: Omit<Service, 'untilAtMs' | 'abortKg'> & Partial<Service>,
  contactAtMs: number,
  limits: { readonly windowS?: number | undefined; readonly giveKg?: number | undefined } = {}
): FillStop & { readonly atContact: TankState } {
  const { readyAtMs, burnKgPerS } = service
  if (!(contactAtMs >= readyAtMs)) throw new RangeError(`contactAtMs must be at least ${readyAtMs}, is ${contactAtMs}`)
  const atContact = feed(sheet, start, burnKgPerS, (contactAtMs - readyAtMs) / 1000).state
  const curve = fillCurve(sheet, atContact, service)
  const target = fillTarget({ untilAtMs: contactAtMs, abortKg: 0, ...service }, contactAtMs)
  return { ...stopAt(curve, target, limits), atContact }
}
