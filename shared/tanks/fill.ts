import { checkFlow, courseOf, type Flow } from './course.ts'
import { layoutOf, nestedQuantities } from './layout.ts'
import { type Sheet, type TankState } from './sheet.ts'

export interface FillPoint {
  /** From contact. */
  readonly atS: number
  readonly onLoadKg: number
  /** All fuel aboard. */
  readonly fuelKg: number
  readonly usableKg: number
  /** Indices of the groups that closed here. */
  readonly closes: readonly number[]
}

export interface FillCurve {
  readonly points: readonly FillPoint[]
  /** The point at which the last internal group closes while an external one is still open; there may be none. */
  readonly kneeIndex: number | undefined
  /** From contact until every internal group that takes fuel is full, s; undefined when that does not happen. */
  readonly internalsFullAtS: number | undefined
  /** The ship so many seconds after contact, held between contact and the end of the curve. */
  stateAt(atS: number): TankState
  /** Of the on-load up to then, what went into tanks that do not give, kg: aboard, and no use to the engines. */
  lostAt(atS: number): number
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
  const stateAt = (wantedS: number): TankState => {
    let after = 1
    while (after < points.length - 1 && (points[after]?.atS ?? Infinity) < wantedS) after++
    const from = points[after - 1]
    const to = points[after]
    const start = rows[after - 1] ?? new Float64Array()
    const end = rows[after] ?? start
    const share =
      from === undefined || to === undefined ? 0 : Math.min(1, Math.max(0, (wantedS - from.atS) / (to.atS - from.atS)))
    return {
      quantitiesKg: nestedQuantities(
        layoutOf(sheet),
        share === 1 ? end : start.map((kg, tank) => kg + share * ((end[tank] ?? kg) - kg))
      ),
      troubles: state.troubles,
      externals: state.externals,
      proven: sheet.groups.map((group) => group.place === 'internal')
    }
  }
  const internalsFullAtS = internalsFullIndex === undefined ? undefined : points[internalsFullIndex]?.atS
  const trapped = state.troubles.flatMap((tanks) => tanks.map((trouble) => trouble === 'not giving'))
  const lostAt = (wantedS: number): number => {
    if (!trapped.includes(true)) return 0
    const then = stateAt(wantedS).quantitiesKg.flat()
    const first = rows[0] ?? new Float64Array()
    return then.reduce((kg, quantityKg, tank) => kg + (trapped[tank] === true ? quantityKg - (first[tank] ?? 0) : 0), 0)
  }
  return { points, kneeIndex, internalsFullAtS, stateAt, lostAt }
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
      return Math.min(target.atS, curve.points.at(-1)?.atS ?? 0)
  }
}

/** On-load so many seconds after contact, kg. */
export function onLoadAt(curve: FillCurve, atS: number): number {
  let before = curve.points[0]
  for (const point of curve.points) {
    if (before !== undefined && point.atS >= atS) {
      const share = point.atS > before.atS ? (atS - before.atS) / (point.atS - before.atS) : 0
      return before.onLoadKg + share * (point.onLoadKg - before.onLoadKg)
    }
    before = point
  }
  return before?.onLoadKg ?? 0
}

/**
 * Where a contact ends and why: at its target, with all open groups full, at the end of the station's window, or when
 * the tanker has no more to give; seconds from contact, on-load kg. A target met on arrival ends it at 0.
 * @throws RangeError when a limit is negative.
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
    lostKg: curve.lostAt(durationS),
    state: curve.stateAt(durationS),
    endedBy
  }
}

/** What stopping at a breakpoint of the fill costs and gives, against going on to the end. */
export interface StopHere {
  readonly atS: number
  readonly onLoadKg: number
  readonly fuelKg: number
  readonly usableKg: number
  /** Indices of the groups that closed here. */
  readonly closes: readonly number[]
  readonly knee: boolean
  /** Station time saved, s. */
  readonly savesS: number
  /** Off-load not taken, kg. */
  readonly savesKg: number
  /** Usable fuel not taken, kg. */
  readonly forgoesKg: number
  /** What passes the station before and after, kg/s; 0 after the last. */
  readonly rateBeforeKgPerS: number
  readonly rateAfterKgPerS: number
}

/**
 * A row for each breakpoint up to the end of a contact, and one for the end itself; seconds from contact, kg.
 * Checked: tests/shared/tanks/fill.test.ts.
 */
export function stopTable(curve: FillCurve, endS: number): readonly StopHere[] {
  const { points } = curve
  const along = (atS: number, value: (point: FillPoint) => number): number => {
    const after = points.findIndex((point) => point.atS >= atS)
    const to = points[after < 0 ? points.length - 1 : after]
    const from = points[Math.max(0, (after < 0 ? points.length : after) - 1)]
    if (from === undefined || to === undefined) return 0
    const share = to.atS > from.atS ? Math.min(1, (atS - from.atS) / (to.atS - from.atS)) : 1
    return value(from) + share * (value(to) - value(from))
  }
  const lastS = Math.min(endS, points.at(-1)?.atS ?? 0)
  const inside = points.flatMap((point, index) => (index > 0 && point.atS <= lastS ? [{ point, index }] : []))
  const rateBetween = (fromS: number, toS: number): number =>
    toS > fromS ? (along(toS, (point) => point.onLoadKg) - along(fromS, (point) => point.onLoadKg)) / (toS - fromS) : 0
  const rows = inside.map(({ point, index }) => ({
    atS: point.atS,
    closes: point.closes,
    knee: curve.kneeIndex === index,
    beforeS: points[index - 1]?.atS ?? 0,
    afterS: points[index + 1]?.atS ?? point.atS
  }))
  const last = rows.at(-1)
  if (lastS > 0 && (last === undefined || last.atS < lastS)) {
    const before = points.findLast((point) => point.atS < lastS)?.atS ?? 0
    const after = points.find((point) => point.atS > lastS)?.atS ?? lastS
    rows.push({ atS: lastS, closes: [], knee: false, beforeS: before, afterS: after })
  }
  const whole = { onLoadKg: along(lastS, (point) => point.onLoadKg), usableKg: along(lastS, (point) => point.usableKg) }
  return rows.map(({ atS, closes, knee, beforeS, afterS }) => {
    const onLoadKg = along(atS, (point) => point.onLoadKg)
    const usableKg = along(atS, (point) => point.usableKg)
    return {
      atS,
      onLoadKg,
      fuelKg: along(atS, (point) => point.fuelKg),
      usableKg,
      closes,
      knee,
      savesS: lastS - atS,
      savesKg: whole.onLoadKg - onLoadKg,
      forgoesKg: whole.usableKg - usableKg,
      rateBeforeKgPerS: rateBetween(beforeS, atS),
      rateAfterKgPerS: rateBetween(atS, afterS)
    }
  })
}
