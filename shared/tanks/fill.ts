import { layoutOf, flatQuantities, nestedQuantities, SAME_KG } from './layout.ts'
import { gives, takes, type Sheet, type TankState } from './sheet.ts'

/*
 * What a contact puts into the tanks. All open groups fill together, each at its rate, by one factor where their sum is
 * more than the station or the receiver can pass. The feed group takes at least what the engines drink, before others;
 * only where even that is more than can pass does it fall. A group waits for another until that one takes no more.
 * Between the closing of two tanks everything is linear in time.
 */

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
}

export interface Flow {
  readonly stationRateKgPerS: number
  readonly burnKgPerS: number
}

/* eslint-disable @typescript-eslint/no-non-null-assertion -- tank and group indices run inside arrays of that very length */
/**
 * The whole course of a contact until all open groups are full: on-load, fuel and usable fuel, kg, over seconds from
 * contact. On-load is what passes the station: gain and burn. It ends early when the feed group runs dry on the way.
 * @throws RangeError when the station rate is not positive or the burn negative, or either is not finite.
 * Checked: tests/cases/numbers.test.ts (constructed cases), tests/shared/tanks/fill.test.ts.
 */
export function fillCurve(sheet: Sheet, state: TankState, { stationRateKgPerS, burnKgPerS }: Flow): FillCurve {
  if (!(stationRateKgPerS > 0) || stationRateKgPerS === Infinity) {
    throw new RangeError(`stationRateKgPerS must be above 0, is ${stationRateKgPerS}`)
  }
  if (!(burnKgPerS >= 0) || burnKgPerS === Infinity) {
    throw new RangeError(`burnKgPerS must be at least 0, is ${burnKgPerS}`)
  }
  const layout = layoutOf(sheet)
  const { tankCount, first, capacityKg, floorKg, fillKgPerS } = layout
  const groups = sheet.groups
  const groupCount = groups.length
  const feed = sheet.feedIndex
  const capKgPerS = Math.min(stationRateKgPerS, sheet.maxRateKgPerS)
  let q = flatQuantities(layout, state)
  const rate = new Float64Array(tankCount)
  const giving: boolean[] = []
  const taking: boolean[] = []
  for (let g = 0; g < groupCount; g++) {
    const group = groups[g]!
    for (let i = 0; i < group.tankCount; i++) {
      const trouble = state.troubles[g]?.[i]
      giving.push(gives(trouble))
      taking.push(takes(group, trouble))
    }
  }
  /** Tanks of a group that are not full and would take. */
  const roomIn = (g: number): number => {
    let count = 0
    for (let i = first[g]!; i < first[g + 1]!; i++) if (taking[i] && q[i]! < capacityKg[i]! - SAME_KG) count++
    return count
  }
  const usable = (): number => {
    let kg = 0
    for (let i = 0; i < tankCount; i++) if (giving[i]) kg += Math.max(0, q[i]! - floorKg[i]!)
    return kg
  }
  let atS = 0
  let onLoadKg = 0
  let fuelKg = 0
  for (let i = 0; i < tankCount; i++) fuelKg += q[i]!
  const points: FillPoint[] = [{ atS, onLoadKg, fuelKg, usableKg: usable(), closes: [] }]
  const rows: Float64Array[] = [q]
  const open = groups.map((_, g) => roomIn(g))
  let internalsOpen = 0
  let externalsOpen = 0
  let feedTakes = false
  for (let g = 0; g < groupCount; g++) {
    if (open[g]! > 0) {
      if (layout.external[g]) externalsOpen++
      else internalsOpen++
    }
  }
  for (let i = first[feed]!; i < first[feed + 1]!; i++) if (taking[i] && giving[i]) feedTakes = true
  let kneeIndex: number | undefined
  let internalsFullAtS = internalsOpen === 0 ? 0 : undefined

  while (internalsOpen + externalsOpen > 0) {
    rate.fill(0)
    let othersKgPerS = 0
    let feedWantsKgPerS = 0
    let feedShut = false
    for (let g = 0; g < groupCount; g++) {
      const after = groups[g]!.fillsAfter
      const shut = after !== undefined && open[after]! > 0
      if (g === feed) feedShut = shut
      if (shut) continue
      if (g === feed) feedWantsKgPerS = open[g]! * groups[g]!.fillRateKgPerS
      else othersKgPerS += open[g]! * groups[g]!.fillRateKgPerS
    }
    const sumKgPerS = othersKgPerS + feedWantsKgPerS
    let feedKgPerS = sumKgPerS > capKgPerS ? (feedWantsKgPerS * capKgPerS) / sumKgPerS : feedWantsKgPerS
    if (feedKgPerS < burnKgPerS) feedKgPerS = feedTakes && !feedShut ? Math.min(burnKgPerS, capKgPerS) : 0
    const leftKgPerS = capKgPerS - feedKgPerS
    const share = othersKgPerS > leftKgPerS ? leftKgPerS / othersKgPerS : 1
    const netKgPerS = feedKgPerS - burnKgPerS
    let moves = false
    for (let g = 0; g < groupCount; g++) {
      if (g === feed || open[g] === 0 || share === 0) continue
      const after = groups[g]!.fillsAfter
      if (after !== undefined && open[after]! > 0) continue
      for (let i = first[g]!; i < first[g + 1]!; i++) {
        if (taking[i] && q[i]! < capacityKg[i]! - SAME_KG) {
          rate[i] = share * fillKgPerS[i]!
          moves = true
        }
      }
    }
    if (netKgPerS !== 0) {
      let sharing = 0
      for (let i = first[feed]!; i < first[feed + 1]!; i++) if (feedMoves(i, netKgPerS)) sharing++
      // The feed group is dry and gets less than the engines drink: nothing after this is worth telling.
      if (sharing === 0 && netKgPerS < 0) break
      for (let i = first[feed]!; i < first[feed + 1]!; i++) {
        if (feedMoves(i, netKgPerS)) {
          rate[i] = netKgPerS / sharing
          moves = true
        }
      }
    }
    if (!moves) break

    let stepS = Infinity
    for (let i = 0; i < tankCount; i++) {
      if (rate[i]! > 0) {
        // Passing the unusable rest is a bend of the usable fuel.
        const nextKg = q[i]! < floorKg[i]! - SAME_KG ? floorKg[i]! : capacityKg[i]!
        stepS = Math.min(stepS, (nextKg - q[i]!) / rate[i]!)
      } else if (rate[i]! < 0) stepS = Math.min(stepS, (q[i]! - floorKg[i]!) / -rate[i]!)
    }
    q = q.slice()
    rows.push(q)
    atS += stepS
    onLoadKg += (feedKgPerS + share * othersKgPerS) * stepS
    fuelKg = 0
    for (let i = 0; i < tankCount; i++) {
      if (rate[i] !== 0) {
        q[i]! += rate[i]! * stepS
        if (rate[i]! > 0 && q[i]! >= capacityKg[i]! - SAME_KG) q[i] = capacityKg[i]!
        else if (Math.abs(q[i]! - floorKg[i]!) <= SAME_KG) q[i] = floorKg[i]!
      }
      fuelKg += q[i]!
    }
    const closes: number[] = []
    internalsOpen = 0
    externalsOpen = 0
    let internalCloses = false
    for (let g = 0; g < groupCount; g++) {
      const room = roomIn(g)
      if (room === 0 && open[g]! > 0) {
        closes.push(g)
        if (!layout.external[g]) internalCloses = true
      }
      open[g] = room
      if (room > 0) {
        if (layout.external[g]) externalsOpen++
        else internalsOpen++
      }
    }
    points.push({ atS, onLoadKg, fuelKg, usableKg: usable(), closes })
    if (internalCloses && internalsOpen === 0) {
      internalsFullAtS = atS
      if (externalsOpen > 0) kneeIndex = points.length - 1
    }
  }

  function feedMoves(i: number, netKgPerS: number): boolean {
    if (netKgPerS < 0) return giving[i]! && q[i]! > floorKg[i]! + SAME_KG
    return taking[i]! && q[i]! < capacityKg[i]! - SAME_KG
  }

  function stateAt(wantedS: number): TankState {
    let after = 1
    while (after < points.length - 1 && points[after]!.atS < wantedS) after++
    const to = points[after]
    let row = rows[0]!
    if (to !== undefined) {
      const from = points[after - 1]!
      const part = Math.min(1, Math.max(0, (wantedS - from.atS) / (to.atS - from.atS)))
      const end = rows[after]!
      const start = rows[after - 1]!
      row = part === 1 ? end : start.map((kg, i) => kg + part * (end[i]! - kg))
    }
    return {
      quantitiesKg: nestedQuantities(layout, row),
      troubles: state.troubles,
      externals: state.externals,
      proven: groups.map((group) => group.place === 'internal')
    }
  }

  return { points, kneeIndex, internalsFullAtS, stateAt }
}
/* eslint-enable @typescript-eslint/no-non-null-assertion */

export type FillTarget =
  | { readonly kind: 'full' }
  | { readonly kind: 'internals' }
  | { readonly kind: 'onLoad'; readonly onLoadKg: number }
  | { readonly kind: 'usable'; readonly usableKg: number }
  /** Usable fuel at t is at least required + burn x max(0, until - t). */
  | { readonly kind: 'until'; readonly requiredKg: number; readonly untilS: number; readonly burnKgPerS: number }

export interface FillStop {
  readonly durationS: number
  readonly onLoadKg: number
  readonly state: TankState
  readonly endedBy: 'target' | 'full' | 'window' | 'give'
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
  let endedBy: FillStop['endedBy'] = reachedS === undefined ? 'full' : 'target'
  const giveS = giveKg === Infinity ? undefined : firstReach(curve.points, (point) => point.onLoadKg, giveKg)
  if (giveS !== undefined && giveS < durationS) {
    durationS = giveS
    endedBy = 'give'
  }
  if (windowS < durationS) {
    durationS = windowS
    endedBy = 'window'
  }
  return { durationS, onLoadKg: onLoadAt(curve, durationS), state: curve.stateAt(durationS), endedBy }
}
