import { type FillPoint } from './fill.ts'
import { flatQuantities, layoutOf, SAME_KG, type Layout } from './layout.ts'
import { takes, type Sheet, type TankState } from './sheet.ts'
import { gives } from './trouble.ts'

/*
 * What a contact puts into the tanks. All open groups fill together, each at its rate, by one factor where their sum is
 * more than the station or the receiver can pass. The feed group takes at least what the engines drink, before others;
 * only where even that is more than can pass does it fall. A group waits for another until that one takes no more.
 * Between the closing of two tanks everything is linear in time.
 *
 * Told how fast each quantity at contact changes with the instant of contact, the course also says how its own corners
 * change, and how far the contact may shift before their order is another: inside that range all is linear in it.
 */

/** Change of a point by each second that contact comes later, and the shift, s, over which that holds. */
export interface PointSlope {
  readonly atSPerS: number
  readonly onLoadKgPerS: number
  readonly usableKgPerS: number
  readonly shiftFromS: number
  readonly shiftToS: number
}

export interface Course {
  readonly points: readonly FillPoint[]
  /** Quantities by tank at each point. */
  readonly rows: readonly Float64Array[]
  readonly kneeIndex: number | undefined
  /** The point at which every internal group that takes fuel is full; 0 when they are on arrival. */
  readonly internalsFullIndex: number | undefined
  /** One to each point, when slopes were asked for. */
  readonly slopes: readonly PointSlope[]
}

export interface Flow {
  readonly stationRateKgPerS: number
  readonly burnKgPerS: number
}

/** What does not change from one contact of a ship to the next. */
export interface Receiver {
  readonly sheet: Sheet
  readonly layout: Layout
  readonly giving: readonly boolean[]
  readonly taking: readonly boolean[]
}

/** Two events whose times drift apart slower than this never change places. */
const PARALLEL = 1e-12

/* eslint-disable @typescript-eslint/no-non-null-assertion -- tank and group indices run inside arrays of that very length */
/** A ship as a tanker sees it. */
export function receiverOf(sheet: Sheet, state: TankState): Receiver {
  const giving: boolean[] = []
  const taking: boolean[] = []
  for (let g = 0; g < sheet.groups.length; g++) {
    const group = sheet.groups[g]!
    const troubles = state.troubles[g]
    for (let i = 0; i < group.tankCount; i++) {
      const trouble = troubles?.[i]
      giving.push(gives(trouble))
      taking.push(takes(group, trouble))
    }
  }
  return { sheet, layout: layoutOf(sheet), giving, taking }
}

export function checkFlow({ stationRateKgPerS, burnKgPerS }: Flow): void {
  if (!(stationRateKgPerS > 0) || stationRateKgPerS === Infinity) {
    throw new RangeError(`stationRateKgPerS must be above 0, is ${stationRateKgPerS}`)
  }
  if (!(burnKgPerS >= 0) || burnKgPerS === Infinity) {
    throw new RangeError(`burnKgPerS must be at least 0, is ${burnKgPerS}`)
  }
}

/**
 * The course of a contact from quantities by tank, kg, until all open groups are full or the feed group runs dry;
 * with `startKgPerS`, their change by each second that contact comes later, also its slopes.
 * Checked: tests/shared/tanks/fill.test.ts, tests/shared/tanks/service.test.ts.
 */
export function fillCourse(
  receiver: Receiver,
  startKg: Float64Array,
  { stationRateKgPerS, burnKgPerS }: Flow,
  startKgPerS?: Float64Array
): Course {
  const { sheet, layout, giving, taking } = receiver
  const { tankCount, first, capacityKg, floorKg, fillKgPerS, external } = layout
  const groups = sheet.groups
  const groupCount = groups.length
  const feed = sheet.feedIndex
  const feedFrom = first[feed]!
  const feedTo = first[feed + 1]!
  const capKgPerS = Math.min(stationRateKgPerS, sheet.maxRateKgPerS)
  let q = startKg
  const slope = startKgPerS?.slice()
  const rate = new Float64Array(tankCount)
  const open = new Uint8Array(groupCount)
  let internalsOpen = 0
  let externalsOpen = 0
  let feedTakes = false
  let usableKg = 0
  let fuelKg = 0
  let lostKg = 0
  for (let g = 0; g < groupCount; g++) {
    for (let i = first[g]!; i < first[g + 1]!; i++) {
      fuelKg += q[i]!
      if (giving[i] && q[i]! > floorKg[i]!) usableKg += q[i]! - floorKg[i]!
      if (taking[i]) {
        if (g === feed && giving[i]) feedTakes = true
        if (q[i]! < capacityKg[i]! - SAME_KG) open[g]!++
      }
    }
    if (open[g]! > 0) {
      if (external[g]) externalsOpen++
      else internalsOpen++
    }
  }
  let atS = 0
  let onLoadKg = 0
  let atSPerS = 0
  let onLoadSlope = 0
  let shiftFromS = -Infinity
  let shiftToS = Infinity
  const points: FillPoint[] = [{ atS, onLoadKg, fuelKg, usableKg, lostKg, closes: NONE }]
  const rows: Float64Array[] = [q]
  const slopes: PointSlope[] = []
  let kneeIndex: number | undefined
  let internalsFullIndex = internalsOpen === 0 ? 0 : undefined
  noteSlope()

  while (internalsOpen + externalsOpen > 0) {
    let othersKgPerS = 0
    let feedWantsKgPerS = 0
    let feedShut = false
    for (let g = 0; g < groupCount; g++) {
      const after = groups[g]!.fillsAfter
      const shut = after !== undefined && open[after]! > 0
      if (g === feed) {
        feedShut = shut
        if (!shut) feedWantsKgPerS = open[g]! * groups[g]!.fillRateKgPerS
      } else if (!shut) othersKgPerS += open[g]! * groups[g]!.fillRateKgPerS
    }
    const sumKgPerS = othersKgPerS + feedWantsKgPerS
    let feedKgPerS = sumKgPerS > capKgPerS ? (feedWantsKgPerS * capKgPerS) / sumKgPerS : feedWantsKgPerS
    if (feedKgPerS < burnKgPerS) feedKgPerS = feedTakes && !feedShut ? Math.min(burnKgPerS, capKgPerS) : 0
    const leftKgPerS = Math.max(0, capKgPerS - feedKgPerS)
    const share = othersKgPerS > leftKgPerS ? leftKgPerS / othersKgPerS : 1
    const netKgPerS = feedKgPerS - burnKgPerS
    rate.fill(0)
    let moves = false
    if (share > 0) {
      for (let g = 0; g < groupCount; g++) {
        if (g === feed || open[g] === 0) continue
        const after = groups[g]!.fillsAfter
        if (after !== undefined && open[after]! > 0) continue
        for (let i = first[g]!; i < first[g + 1]!; i++) {
          if (taking[i] && q[i]! < capacityKg[i]! - SAME_KG) {
            rate[i] = share * fillKgPerS[i]!
            moves = true
          }
        }
      }
    }
    if (netKgPerS !== 0) {
      let sharing = 0
      for (let i = feedFrom; i < feedTo; i++) if (feedMoves(i, netKgPerS)) sharing++
      // The feed group is dry and gets less than the engines drink: nothing after this is worth telling.
      if (sharing === 0 && netKgPerS < 0) break
      for (let i = feedFrom; i < feedTo; i++) {
        if (feedMoves(i, netKgPerS)) {
          rate[i] = netKgPerS / sharing
          moves = true
        }
      }
    }
    if (!moves) break

    let stepS = Infinity
    let stepTank = -1
    for (let i = 0; i < tankCount; i++) {
      if (rate[i] === 0) continue
      const neededS = (boundKg(i) - q[i]!) / rate[i]!
      if (neededS < stepS) {
        stepS = neededS
        stepTank = i
      }
    }
    let stepSlope = 0
    if (slope !== undefined) {
      stepSlope = -slope[stepTank]! / rate[stepTank]!
      for (let i = 0; i < tankCount; i++) {
        if (rate[i] === 0 || i === stepTank) continue
        limit((boundKg(i) - q[i]!) / rate[i]! - stepS, -slope[i]! / rate[i]! - stepSlope)
      }
    }
    q = q.slice()
    atS += stepS
    atSPerS += stepSlope
    onLoadKg += (feedKgPerS + share * othersKgPerS) * stepS
    onLoadSlope += (feedKgPerS + share * othersKgPerS) * stepSlope
    fuelKg = 0
    usableKg = 0
    let closes: number[] | undefined
    let internalCloses = false
    internalsOpen = 0
    externalsOpen = 0
    for (let g = 0; g < groupCount; g++) {
      let room = 0
      for (let i = first[g]!; i < first[g + 1]!; i++) {
        if (rate[i] !== 0) {
          q[i]! += rate[i]! * stepS
          if (!giving[i]) lostKg += rate[i]! * stepS
          if (slope !== undefined) slope[i]! += rate[i]! * stepSlope
          if (rate[i]! > 0 && q[i]! >= capacityKg[i]! - SAME_KG) {
            q[i] = capacityKg[i]!
            if (slope !== undefined) slope[i] = 0
          } else if (Math.abs(q[i]! - floorKg[i]!) <= SAME_KG) {
            q[i] = floorKg[i]!
            if (slope !== undefined) slope[i] = 0
          }
        }
        fuelKg += q[i]!
        if (giving[i] && q[i]! > floorKg[i]!) usableKg += q[i]! - floorKg[i]!
        if (taking[i] && q[i]! < capacityKg[i]! - SAME_KG) room++
      }
      if (room === 0 && open[g]! > 0) {
        if (closes === undefined) closes = [g]
        else closes.push(g)
        if (!external[g]) internalCloses = true
      }
      open[g] = room
      if (room > 0) {
        if (external[g]) externalsOpen++
        else internalsOpen++
      }
    }
    rows.push(q)
    points.push({ atS, onLoadKg, fuelKg, usableKg, lostKg, closes: closes ?? NONE })
    noteSlope()
    if (internalCloses && internalsOpen === 0) {
      internalsFullIndex = points.length - 1
      if (externalsOpen > 0) kneeIndex = points.length - 1
    }
  }
  return { points, rows, kneeIndex, internalsFullIndex, slopes }

  function feedMoves(i: number, netKgPerS: number): boolean {
    if (netKgPerS < 0) return giving[i]! && q[i]! > floorKg[i]! + SAME_KG
    return taking[i]! && q[i]! < capacityKg[i]! - SAME_KG
  }

  /** Where a moving tank next changes something: passing its unusable rest is a bend of the usable fuel. */
  function boundKg(i: number): number {
    return rate[i]! < 0 || q[i]! < floorKg[i]! - SAME_KG ? floorKg[i]! : capacityKg[i]!
  }

  /** A later event stays later while `gapS` does not become negative. */
  function limit(gapS: number, gapPerS: number): void {
    if (Math.abs(gapPerS) < PARALLEL) return
    const shiftS = -gapS / gapPerS
    if (gapPerS < 0) shiftToS = Math.min(shiftToS, Math.max(0, shiftS))
    else shiftFromS = Math.max(shiftFromS, Math.min(0, shiftS))
  }

  function noteSlope(): void {
    if (slope === undefined) return
    let usableSlope = 0
    for (let i = 0; i < tankCount; i++) if (giving[i] && q[i]! > floorKg[i]!) usableSlope += slope[i]!
    slopes.push({ atSPerS, onLoadKgPerS: onLoadSlope, usableKgPerS: usableSlope, shiftFromS, shiftToS })
  }
}
/* eslint-enable @typescript-eslint/no-non-null-assertion */

const NONE: readonly number[] = []

/** The course from the state itself. */
export const courseOf = (sheet: Sheet, state: TankState, flow: Flow): Course =>
  fillCourse(receiverOf(sheet, state), flatQuantities(layoutOf(sheet), state), flow)
