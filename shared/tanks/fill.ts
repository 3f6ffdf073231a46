import { checkFlow, courseOf, type Flow } from './course.ts'
import { feed } from './feed.ts'
import { layoutOf, nestedQuantities } from './layout.ts'
import { takes, type Sheet, type TankState } from './sheet.ts'
import { gives } from './trouble.ts'

export interface FillPoint {
  /** From contact. */
  readonly atS: number
  readonly onLoadKg: number
  /** All fuel aboard. */
  readonly fuelKg: number
  readonly usableKg: number
  /** Of the on-load so far, what went into tanks that do not give: aboard, and no use to the engines. */
  readonly lostKg: number
  /** Indices of the groups that closed here. */
  readonly closes: readonly number[]
}

export interface FillCurve {
  readonly points: readonly FillPoint[]
  /** The point at which the last internal group closes while an external one is still open; there may be none. */
  readonly kneeIndex: number | undefined
  /** From contact until every internal group that takes fuel is full, s; undefined when that does not happen. */
  readonly internalsFullAtS: number | undefined
  /** Past its end the feed group goes on taking what the engines drink: nothing else passes, and fuel stands still. */
  readonly drinks: boolean
  /**
   * The ship so many seconds after contact. Past the end of the curve it stays as it is there, or burns what it holds where
   * its feed group takes nothing.
   */
  stateAt(atS: number): TankState
}

/**
 * The whole course of a contact until all open groups are full: on-load, fuel and usable fuel, kg, over seconds from
 * contact. On-load is what passes the station: gain and burn. It ends early when the feed group runs dry on the way.
 * After it no external group is proven; the switch stands as before.
 * @throws RangeError when the station rate is not positive or the burn negative, or either is not finite.
 * Checked: tests/cases/numbers.test.ts (constructed cases), tests/shared/tanks/fill.test.ts.
 */
export function fillCurve(sheet: Sheet, state: TankState, flow: Flow): FillCurve {
  checkFlow(flow)
  const { points, rows, kneeIndex, internalsFullIndex } = courseOf(sheet, state, flow)
  const endS = points.at(-1)?.atS ?? 0
  const feedGroup = sheet.groups[sheet.feedIndex]
  const drinks =
    feedGroup !== undefined &&
    (state.troubles[sheet.feedIndex] ?? []).some((trouble) => gives(trouble) && takes(feedGroup, trouble))
  const stateAt = (wantedS: number): TankState => {
    let after = 1
    while (after < points.length - 1 && (points[after]?.atS ?? Infinity) < wantedS) after++
    const from = points[after - 1]
    const to = points[after]
    const start = rows[after - 1] ?? new Float64Array()
    const end = rows[after] ?? start
    const share =
      from === undefined || to === undefined ? 0 : Math.min(1, Math.max(0, (wantedS - from.atS) / (to.atS - from.atS)))
    const reached: TankState = {
      quantitiesKg: nestedQuantities(
        layoutOf(sheet),
        share === 1 ? end : start.map((kg, tank) => kg + share * ((end[tank] ?? kg) - kg))
      ),
      troubles: state.troubles,
      externals: state.externals,
      proven: sheet.groups.map((group) => group.place === 'internal')
    }
    if (drinks || wantedS <= endS) return reached
    const burned = feed(sheet, { ...reached, externals: 'off' }, flow.burnKgPerS, wantedS - endS).state
    return { ...reached, quantitiesKg: burned.quantitiesKg }
  }
  const internalsFullAtS = internalsFullIndex === undefined ? undefined : points[internalsFullIndex]?.atS
  return { points, kneeIndex, internalsFullAtS, drinks, stateAt }
}

export type FillTarget =
  | { readonly kind: 'full' }
  | { readonly kind: 'internals' }
  | { readonly kind: 'onLoad'; readonly onLoadKg: number }
  | { readonly kind: 'usable'; readonly usableKg: number }
  /** Usable fuel at t is at least required + burn x max(0, until - t). */
  | { readonly kind: 'until'; readonly requiredKg: number; readonly untilS: number; readonly burnKgPerS: number }
  /** Ended by a call, a pressure disconnect say, so long after contact. */
  | { readonly kind: 'called'; readonly atS: number }

export interface FillStop {
  readonly durationS: number
  readonly onLoadKg: number
  /** Of it, what went into tanks that do not give. */
  readonly lostKg: number
  readonly state: TankState
  readonly endedBy: 'target' | 'full' | 'window' | 'give' | 'called'
}

/** First time a piecewise linear value of the curve reaches a level, s; undefined when it never does. */
function firstReach(
  points: readonly FillPoint[],
  value: (point: FillPoint) => number,
  level: number
): number | undefined {
  let before = points[0]
  if (before === undefined) return undefined
  if (value(before) >= level) return before.atS
  for (const point of points) {
    const low = value(before)
    const high = value(point)
    if (high >= level) return before.atS + ((level - low) / (high - low)) * (point.atS - before.atS)
    before = point
  }
  return undefined
}

function untilReach(
  points: readonly FillPoint[],
  { requiredKg, untilS, burnKgPerS }: Extract<FillTarget, { kind: 'until' }>
): number | undefined {
  const surplusKg = (atS: number, usableKg: number): number =>
    usableKg - requiredKg - burnKgPerS * Math.max(0, untilS - atS)
  let before = points[0]
  if (before === undefined) return undefined
  if (surplusKg(before.atS, before.usableKg) >= 0) return before.atS
  for (const point of points) {
    // The need stops falling at `untilS`: inside a piece that is one more bend.
    const bendS = Math.min(point.atS, Math.max(before.atS, untilS))
    for (const toS of bendS > before.atS && bendS < point.atS ? [bendS, point.atS] : [point.atS]) {
      const share: number = point.atS > before.atS ? (toS - before.atS) / (point.atS - before.atS) : 1
      const to: FillPoint = {
        ...point,
        atS: toS,
        usableKg: before.usableKg + share * (point.usableKg - before.usableKg)
      }
      const low = surplusKg(before.atS, before.usableKg)
      const high = surplusKg(to.atS, to.usableKg)
      if (high >= 0) return before.atS + (low < 0 ? -low / (high - low) : 0) * (to.atS - before.atS)
      before = to
    }
  }
  return undefined
}

/** A call after all groups are full ends nothing: the contact is over by then. */
function calledReach({ points }: FillCurve, atS: number): number | undefined {
  if (!(atS >= 0)) throw new RangeError(`atS must be at least 0, is ${atS}`)
  return atS < (points.at(-1)?.atS ?? 0) ? atS : undefined
}

function targetReach(curve: FillCurve, target: FillTarget): number | undefined {
  switch (target.kind) {
    case 'full':
      return undefined
    case 'internals':
      return curve.internalsFullAtS
    case 'onLoad':
      return firstReach(curve.points, (point) => point.onLoadKg, target.onLoadKg)
    case 'usable':
      return firstReach(curve.points, (point) => point.usableKg, target.usableKg)
    case 'until':
      return untilReach(curve.points, target)
    case 'called':
      return calledReach(curve, target.atS)
  }
}

/** A value of the curve so many seconds after contact; past its end that of the end. */
function valueAt(points: readonly FillPoint[], atS: number, value: (point: FillPoint) => number): number {
  let before = points[0]
  for (const point of points) {
    if (before !== undefined && point.atS >= atS) {
      const share = point.atS > before.atS ? (atS - before.atS) / (point.atS - before.atS) : 0
      return value(before) + share * (value(point) - value(before))
    }
    before = point
  }
  return before === undefined ? 0 : value(before)
}

const onLoadOf = (point: FillPoint): number => point.onLoadKg
const lostOf = (point: FillPoint): number => point.lostKg

/** On-load so many seconds after contact, kg. */
export const onLoadAt = (curve: FillCurve, atS: number): number => valueAt(curve.points, atS, onLoadOf)

/**
 * Where a contact ends and why: at its target, when called, with all open groups full, at the end of the station's window,
 * or when the tanker has no more to give; seconds from contact, kg. A target met on arrival ends it at 0; a call after all
 * groups are full comes too late to end it.
 * @throws RangeError when a limit or the instant of a call is negative.
 * Checked: tests/shared/tanks/fill.test.ts.
 */
export function stopAt(
  curve: FillCurve,
  target: FillTarget,
  limits: { readonly windowS?: number | undefined; readonly giveKg?: number | undefined } = {}
): FillStop {
  const { windowS = Infinity, giveKg = Infinity } = limits
  if (!(windowS >= 0)) throw new RangeError(`windowS must be at least 0, is ${windowS}`)
  if (!(giveKg >= 0)) throw new RangeError(`giveKg must be at least 0, is ${giveKg}`)
  const reachedS = targetReach(curve, target)
  let durationS = reachedS ?? curve.points.at(-1)?.atS ?? 0
  let endedBy: FillStop['endedBy'] = reachedS === undefined ? 'full' : target.kind === 'called' ? 'called' : 'target'
  const giveS = giveKg === Infinity ? undefined : firstReach(curve.points, (point) => point.onLoadKg, giveKg)
  if (giveS !== undefined && giveS < durationS) {
    durationS = giveS
    endedBy = 'give'
  }
  if (windowS < durationS) {
    durationS = windowS
    endedBy = 'window'
  }
  return {
    durationS,
    onLoadKg: onLoadAt(curve, durationS),
    lostKg: valueAt(curve.points, durationS, lostOf),
    state: curve.stateAt(durationS),
    endedBy
  }
}

/** What stopping there gives, and what it saves and forgoes against going on to the end. */
export interface StopHere {
  readonly atS: number
  readonly onLoadKg: number
  readonly fuelKg: number
  readonly usableKg: number
  /** Indices of the groups that closed here; none at an end between two breakpoints. */
  readonly closes: readonly number[]
  /** Here the last internal group closes while an external one is still open: what follows comes slowly. */
  readonly knee: boolean
  /** Station time saved, s. */
  readonly savesS: number
  /** Off-load not taken, kg. */
  readonly savesKg: number
  /** Usable fuel not aboard, kg. */
  readonly forgoesKg: number
  /** What passes the station just before and just after; 0 with nothing left to fill. */
  readonly rateBeforeKgPerS: number
  readonly rateAfterKgPerS: number
}

/**
 * A row for each breakpoint at which a group closes up to the end of a contact, and one for the end itself; s from
 * contact, kg, kg/s. An end past the curve is the end of the curve; none at contact.
 * @throws RangeError when endS is negative or not a number.
 * Checked: tests/shared/tanks/fill.test.ts.
 */
export function stopTable(curve: FillCurve, endS: number): readonly StopHere[] {
  if (!(endS >= 0)) throw new RangeError(`endS must be at least 0, is ${endS}`)
  const { points, kneeIndex } = curve
  const lastS = Math.min(endS, points.at(-1)?.atS ?? 0)
  if (lastS === 0) return []
  const wholeKg = valueAt(points, lastS, onLoadOf)
  const wholeUsableKg = valueAt(points, lastS, (point) => point.usableKg)
  const row = (point: FillPoint, knee: boolean): StopHere => {
    const before = points.findLast((one) => one.atS < point.atS) ?? point
    const after = points.find((one) => one.atS > point.atS)
    return {
      atS: point.atS,
      onLoadKg: point.onLoadKg,
      fuelKg: point.fuelKg,
      usableKg: point.usableKg,
      closes: point.closes,
      knee,
      savesS: lastS - point.atS,
      savesKg: wholeKg - point.onLoadKg,
      forgoesKg: wholeUsableKg - point.usableKg,
      rateBeforeKgPerS: (point.onLoadKg - before.onLoadKg) / (point.atS - before.atS),
      rateAfterKgPerS: after === undefined ? 0 : (after.onLoadKg - point.onLoadKg) / (after.atS - point.atS)
    }
  }
  const rows = points.flatMap((point, index) =>
    index > 0 && point.atS <= lastS && point.closes.length > 0 ? [row(point, index === kneeIndex)] : []
  )
  if (rows.at(-1)?.atS === lastS) return rows
  const end: FillPoint = {
    atS: lastS,
    onLoadKg: wholeKg,
    fuelKg: valueAt(points, lastS, (point) => point.fuelKg),
    usableKg: wholeUsableKg,
    lostKg: valueAt(points, lastS, lostOf),
    closes: NOTHING
  }
  return [...rows, row(end, false)]
}

const NOTHING: readonly number[] = []
