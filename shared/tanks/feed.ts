import { type Externals } from '../contracts/kinds.ts'
import { flatQuantities, layoutOf, nestedQuantities, SAME_KG } from './layout.ts'
import { countedKg, totalKg, usableKg, type Sheet, type TankState } from './sheet.ts'
import { gives } from './trouble.ts'

/*
 * How the engines empty the tanks. They drink from the feed group alone; the lowest stage that can gives to it, reserve
 * groups keep its mark. Between events every quantity is linear in time, so the run steps from event to event.
 *
 * Tanks of the feed group are connected: they share what comes and goes evenly, a full or dry one drops out.
 * The switch goes off by itself when no external tank that gives has anything left to give: a plan assumes that it is
 * put off, the screen says so.
 */

export interface FeedEvent {
  /** From the start of the run. */
  readonly atS: number
  readonly kind: 'group dry' | 'externals dry' | 'starved' | 'reserve released' | 'feed low'
  readonly group: number
}

export interface FeedResult {
  readonly state: TankState
  readonly events: readonly FeedEvent[]
  /** The feed group was at its unusable rest while others held usable fuel: nothing after this counts. */
  readonly starvedAtS: number | undefined
  /** Burn that found nothing in the feed group, kg: what was lacking, whatever other tanks held. */
  readonly lackedKg: number
  /** When it first found nothing; undefined where it never did. */
  readonly dryAtS: number | undefined
}

export type Measure = 'total' | 'usable' | 'counted'

interface Run {
  readonly quantitiesKg: Float64Array
  externals: Externals
  readonly proven: boolean[]
  readonly events: FeedEvent[]
  starvedAtS: number | undefined
  lackedKg: number
  dryAtS: number | undefined
  reachedAtS: number | undefined
  dumpedKg: number
  /** When nothing was left to dump. */
  dumpDryAtS: number | undefined
}

/** A level of a measure, kg. */
export interface Mark {
  readonly measure: Measure
  readonly levelKg: number
}

/** A stretch of time over which every tank changes at a constant rate. */
export interface FeedPiece {
  readonly fromS: number
  readonly toS: number
  /** By tank in one row, at `fromS`. */
  readonly quantitiesKg: Float64Array
  readonly rateKgPerS: Float64Array
}

const SILENT = 0
const FULL_RATE = 1
const KEEPS_MARK = 2

function checkRun(burnKgPerS: number, durationS: number): void {
  if (!(burnKgPerS >= 0) || burnKgPerS === Infinity) {
    throw new RangeError(`burnKgPerS must be at least 0, is ${burnKgPerS}`)
  }
  if (!(durationS >= 0) || durationS === Infinity) throw new RangeError(`durationS must be at least 0, is ${durationS}`)
}

/** What a measure says of a ship, kg. */
export function measured(sheet: Sheet, state: TankState, measure: Measure): number {
  if (measure === 'total') return totalKg(sheet, state)
  return measure === 'usable' ? usableKg(sheet, state) : countedKg(sheet, state)
}

/* eslint-disable @typescript-eslint/no-non-null-assertion -- tank and group indices run inside arrays of that very length */
function run(
  sheet: Sheet,
  state: TankState,
  burnKgPerS: number,
  durationS: number,
  mark: Mark | undefined,
  pieces?: FeedPiece[],
  dumps = false
): Run {
  const layout = layoutOf(sheet)
  const { tankCount, first, capacityKg, floorKg, transferKgPerS } = layout
  const groups = sheet.groups
  const groupCount = groups.length
  const q = flatQuantities(layout, state)
  const rate = new Float64Array(tankCount)
  const giving: boolean[] = []
  for (let g = 0; g < groupCount; g++) {
    for (let i = 0; i < groups[g]!.tankCount; i++) giving.push(gives(state.troubles[g]?.[i]))
  }
  const out: Run = {
    quantitiesKg: q,
    externals: state.externals,
    proven: state.proven.slice(),
    events: [],
    starvedAtS: undefined,
    lackedKg: 0,
    dryAtS: undefined,
    reachedAtS: undefined,
    dumpedKg: 0,
    dumpDryAtS: undefined
  }
  const released: boolean[] = []
  const part = new Uint8Array(groupCount)
  const feedFrom = first[sheet.feedIndex]!
  const feedTo = first[sheet.feedIndex + 1]!
  let feedCount = 0
  let fullKg = 0
  let emptyKg = 0
  for (let i = feedFrom; i < feedTo; i++) {
    if (giving[i]) {
      feedCount++
      fullKg += capacityKg[i]!
      emptyKg += floorKg[i]!
    }
  }
  /** Tanks of a group with something to give. */
  const wetTanks = (g: number): number => {
    let count = 0
    for (let i = first[g]!; i < first[g + 1]!; i++) if (giving[i] && q[i]! > floorKg[i]! + SAME_KG) count++
    return count
  }
  const anyExternalWet = (): boolean => {
    for (let g = 0; g < groupCount; g++) if (layout.external[g] && wetTanks(g) > 0) return true
    return false
  }
  const anyOtherWet = (): boolean => {
    for (let g = 0; g < groupCount; g++) if (g !== sheet.feedIndex && wetTanks(g) > 0) return true
    return false
  }
  if (out.externals === 'selected' && !anyExternalWet()) out.externals = 'off'

  let atS = 0
  let levelKg = 0
  // The light looks at the whole feed group, with what a tank in trouble holds.
  let lowMarkKg = sheet.feedLowMarkKg ?? -Infinity
  for (let i = feedFrom; i < feedTo; i++) {
    if (giving[i]) levelKg += q[i]!
    else lowMarkKg -= q[i]!
  }
  const dump = dumps ? dumpOf() : undefined
  for (;;) {
    rate.fill(0)
    const isFull = levelKg >= fullKg - SAME_KG
    const isDry = wetTanks(sheet.feedIndex) === 0
    let inflow = 0

    // The lowest stage that has something to give, and the reserves by the mark they keep.
    let turn = Infinity
    let keepKgPerS = 0
    for (let g = 0; g < groupCount; g++) {
      part[g] = SILENT
      const group = groups[g]!
      if (feedCount === 0 || g === sheet.feedIndex) continue
      if (layout.external[g] && out.externals !== 'selected') continue
      if (group.silencedByExternals && out.externals === 'selected') continue
      const wet = wetTanks(g)
      if (wet === 0) continue
      if (group.role.kind === 'stage') {
        if (group.role.turnCount < turn) {
          for (let other = 0; other < g; other++) if (groups[other]!.role.kind === 'stage') part[other] = SILENT
          turn = group.role.turnCount
          part[g] = FULL_RATE
        } else if (group.role.turnCount === turn) part[g] = FULL_RATE
      } else if (group.role.kind === 'reserve') {
        const keepsKg = Math.max(emptyKg, Math.min(fullKg, group.role.releasedBelowKg))
        if (Math.abs(levelKg - keepsKg) <= SAME_KG) {
          part[g] = KEEPS_MARK
          keepKgPerS += wet * group.transferRateKgPerS
        } else if (levelKg < keepsKg) {
          part[g] = FULL_RATE
          inflow += wet * group.transferRateKgPerS
        }
      }
    }
    let stageKgPerS = 0
    for (let g = 0; g < groupCount; g++) {
      if (part[g] === FULL_RATE && groups[g]!.role.kind === 'stage') {
        stageKgPerS += wetTanks(g) * groups[g]!.transferRateKgPerS
      }
    }
    const stageShare = isFull && stageKgPerS > burnKgPerS ? burnKgPerS / stageKgPerS : 1
    inflow = stageShare < 1 ? burnKgPerS : inflow + stageKgPerS
    let keepShare = 0
    if (keepKgPerS > 0 && inflow < burnKgPerS) {
      keepShare = Math.min(1, (burnKgPerS - inflow) / keepKgPerS)
      inflow = keepShare < 1 ? burnKgPerS : inflow + keepKgPerS
    }
    let netKgPerS = inflow - burnKgPerS
    let lackingKgPerS = 0
    if (isDry && netKgPerS < 0) {
      lackingKgPerS = -netKgPerS
      if (atS < durationS) out.dryAtS ??= atS
      netKgPerS = 0
      if (out.starvedAtS === undefined && burnKgPerS > 0 && atS < durationS && anyOtherWet()) {
        out.starvedAtS = atS
        out.events.push({ atS, kind: 'starved', group: sheet.feedIndex })
      }
    }

    for (let g = 0; g < groupCount; g++) {
      if (part[g] === SILENT) continue
      const role = groups[g]!.role.kind
      const share = part[g] === KEEPS_MARK ? keepShare : role === 'stage' ? stageShare : 1
      if (share === 0) continue
      if (atS < durationS) {
        if (layout.external[g]) out.proven[g] = true
        if (role === 'reserve' && !released[g]) {
          released[g] = true
          out.events.push({ atS, kind: 'reserve released', group: g })
        }
      }
      for (let i = first[g]!; i < first[g + 1]!; i++) {
        if (!giving[i] || q[i]! <= floorKg[i]! + SAME_KG) continue
        rate[i] = -share * transferKgPerS[i]!
      }
    }
    if (netKgPerS !== 0) {
      let sharing = 0
      for (let i = feedFrom; i < feedTo; i++) {
        if (giving[i] && (netKgPerS > 0 ? q[i]! < capacityKg[i]! - SAME_KG : q[i]! > floorKg[i]! + SAME_KG)) sharing++
      }
      for (let i = feedFrom; i < feedTo; i++) {
        if (giving[i] && (netKgPerS > 0 ? q[i]! < capacityKg[i]! - SAME_KG : q[i]! > floorKg[i]! + SAME_KG)) {
          rate[i] = netKgPerS / sharing
        }
      }
    }

    let dumping = 0
    if (dump !== undefined) {
      for (const i of dump.tanks) if (q[i]! > floorKg[i]! + SAME_KG) dumping++
      for (const i of dump.tanks) if (q[i]! > floorKg[i]! + SAME_KG) rate[i]! -= dump.rateKgPerS / dumping
      if (dumping === 0) out.dumpDryAtS ??= atS
    }

    let stepS = durationS - atS
    for (let i = 0; i < tankCount; i++) {
      if (rate[i]! < 0) stepS = Math.min(stepS, (q[i]! - floorKg[i]!) / -rate[i]!)
      else if (rate[i]! > 0) {
        // Passing the unusable rest is a bend of the usable fuel.
        const nextKg = q[i]! < floorKg[i]! - SAME_KG ? floorKg[i]! : capacityKg[i]!
        stepS = Math.min(stepS, (nextKg - q[i]!) / rate[i]!)
      }
    }
    if (netKgPerS !== 0) {
      for (let g = 0; g < groupCount; g++) {
        const role = groups[g]!.role
        if (role.kind !== 'reserve') continue
        const gapKg = Math.max(emptyKg, Math.min(fullKg, role.releasedBelowKg)) - levelKg
        if (gapKg * netKgPerS > 0 && Math.abs(gapKg) > SAME_KG && wetTanks(g) > 0) {
          stepS = Math.min(stepS, gapKg / netKgPerS)
        }
      }
    }

    if (mark !== undefined) {
      if (mark.measure !== 'total' && out.starvedAtS !== undefined) {
        out.reachedAtS = out.starvedAtS
        return out
      }
      const nowKg = heldKg(mark.measure)
      const slope = slopeKgPerS(mark.measure)
      if (nowKg <= mark.levelKg) {
        out.reachedAtS = atS
        return out
      }
      // A level is looked for while something is dumped, not after.
      if (dump !== undefined && dumping === 0) return out
      if (slope < 0 && nowKg + slope * stepS <= mark.levelKg) {
        const toMarkS = Math.min(stepS, (nowKg - mark.levelKg) / -slope)
        out.reachedAtS = atS + toMarkS
        for (let i = 0; i < tankCount; i++) q[i]! += rate[i]! * toMarkS
        return out
      }
    }
    if (!(atS < durationS)) return out

    const fromS = atS
    if (levelKg > lowMarkKg + SAME_KG && levelKg + netKgPerS * stepS <= lowMarkKg + SAME_KG) {
      const fallsS = Math.min(stepS, (levelKg - lowMarkKg) / -netKgPerS)
      out.events.push({ atS: atS + fallsS, kind: 'feed low', group: sheet.feedIndex })
    }
    if (dump !== undefined && dumping > 0) out.dumpedKg += dump.rateKgPerS * stepS
    out.lackedKg += lackingKgPerS * stepS
    atS = stepS >= durationS - atS ? durationS : atS + stepS
    pieces?.push({ fromS, toS: atS, quantitiesKg: q.slice(), rateKgPerS: rate.slice() })
    for (let g = 0; g < groupCount; g++) {
      let drying = false
      for (let i = first[g]!; i < first[g + 1]!; i++) {
        if (rate[i] === 0) continue
        q[i]! += rate[i]! * stepS
        if (rate[i]! < 0 && q[i]! <= floorKg[i]! + SAME_KG) {
          q[i] = floorKg[i]!
          drying = true
        } else if (rate[i]! > 0 && q[i]! >= capacityKg[i]! - SAME_KG) q[i] = capacityKg[i]!
        else if (Math.abs(q[i]! - floorKg[i]!) <= SAME_KG) q[i] = floorKg[i]!
      }
      if (drying && wetTanks(g) === 0) {
        out.events.push({ atS, kind: 'group dry', group: g })
        if (layout.external[g] && out.externals === 'selected' && !anyExternalWet()) {
          out.externals = 'off'
          out.events.push({ atS, kind: 'externals dry', group: g })
        }
      }
    }
    levelKg = 0
    for (let i = feedFrom; i < feedTo; i++) if (giving[i]) levelKg += q[i]!
  }

  /** What is let go: groups that can be dumped, less tanks that do not give and the feed group. */
  function dumpOf(): { readonly rateKgPerS: number; readonly tanks: readonly number[] } | undefined {
    if (sheet.dump === undefined) return undefined
    const { rateKgPerS } = sheet.dump
    if (!(rateKgPerS > 0) || rateKgPerS === Infinity) {
      throw new RangeError(`dump rateKgPerS must be above 0, is ${rateKgPerS}`)
    }
    const tanks: number[] = []
    for (const g of sheet.dump.groups) {
      if (g === sheet.feedIndex) continue
      for (let i = first[g]!; i < first[g + 1]!; i++) if (giving[i]) tanks.push(i)
    }
    return { rateKgPerS, tanks }
  }

  function uncounted(measure: Measure, g: number): boolean {
    return measure === 'counted' && layout.external[g] === true && !(out.externals === 'selected' && out.proven[g])
  }

  function heldKg(measure: Measure): number {
    let kg = 0
    for (let g = 0; g < groupCount; g++) {
      if (uncounted(measure, g)) continue
      for (let i = first[g]!; i < first[g + 1]!; i++) {
        if (measure === 'total') kg += q[i]!
        else if (giving[i]) kg += Math.max(0, q[i]! - floorKg[i]!)
      }
    }
    return kg
  }

  function slopeKgPerS(measure: Measure): number {
    let kgPerS = 0
    for (let g = 0; g < groupCount; g++) {
      if (uncounted(measure, g)) continue
      for (let i = first[g]!; i < first[g + 1]!; i++) {
        if (measure === 'total' || (giving[i] && q[i]! >= floorKg[i]! - SAME_KG)) kgPerS += rate[i]!
      }
    }
    return kgPerS
  }
}
/* eslint-enable @typescript-eslint/no-non-null-assertion */

/**
 * The ship after burning at a constant rate for a while, with what happened on the way; times in s from the start.
 * External groups that gave are proven. What burn lacks once the feed group is dry is told apart.
 * @throws RangeError when burn or duration is negative or not finite.
 * Checked: tests/shared/tanks/feed.test.ts, against a time-step integration, 1e-4 kg.
 */
export function feed(sheet: Sheet, state: TankState, burnKgPerS: number, durationS: number): FeedResult {
  checkRun(burnKgPerS, durationS)
  return resultOf(sheet, state, run(sheet, state, burnKgPerS, durationS, undefined))
}

function stateOf(sheet: Sheet, state: TankState, { quantitiesKg, externals, proven }: Run): TankState {
  return {
    quantitiesKg: nestedQuantities(layoutOf(sheet), quantitiesKg),
    troubles: state.troubles,
    externals,
    proven
  }
}

const resultOf = (sheet: Sheet, state: TankState, out: Run): FeedResult => ({
  state: stateOf(sheet, state, out),
  events: out.events,
  starvedAtS: out.starvedAtS,
  lackedKg: out.lackedKg,
  dryAtS: out.dryAtS
})

export interface DumpResult extends FeedResult {
  /** Let go overboard; what the engines burned is not part of it. */
  readonly dumpedKg: number
  /** From the start, when nothing was left to dump; undefined while there is. */
  readonly dumpDryAtS: number | undefined
}

/**
 * The ship after burning and dumping for a while; times in s from the start, kg. What the sheet can dump goes overboard
 * at the rate of all groups together, evenly from those of their tanks that hold usable fuel, down to the unusable rest.
 * Tanks that do not give keep what they hold: nothing is planned on it. The rest is as in feed().
 * @throws RangeError when burn or duration is negative or not finite, or the sheet's dump rate not positive.
 * Checked: tests/shared/tanks/dump.test.ts, against a time-step integration.
 */
export function feedDumping(sheet: Sheet, state: TankState, burnKgPerS: number, durationS: number): DumpResult {
  checkRun(burnKgPerS, durationS)
  const out = run(sheet, state, burnKgPerS, durationS, undefined, undefined, true)
  return { ...resultOf(sheet, state, out), dumpedKg: out.dumpedKg, dumpDryAtS: out.dumpDryAtS }
}

/**
 * First instant, s from now, at which the measure falls to the level, kg: 0 when it is there already, undefined when it
 * stays above within the time. Usable and counted fuel fall to nothing when the feed group starves.
 * @throws RangeError when burn or time is negative or not finite.
 * Checked: tests/shared/tanks/feed.test.ts, against feed() at the instant found.
 */
export function feedUntil(
  sheet: Sheet,
  state: TankState,
  burnKgPerS: number,
  measure: Measure,
  levelKg: number,
  withinS: number
): number | undefined {
  checkRun(burnKgPerS, withinS)
  if (measured(sheet, state, measure) <= levelKg) return 0
  return run(sheet, state, burnKgPerS, withinS, { measure, levelKg }).reachedAtS
}

/**
 * The ship at the instant that feedUntil() finds, s from now; while dumping only as long as there is something to dump.
 * @throws RangeError when burn or time is negative or not finite, or the sheet's dump rate not positive.
 * Checked: tests/shared/tanks/feed.test.ts, tests/shared/tanks/dump.test.ts.
 */
export function feedDownTo(
  sheet: Sheet,
  state: TankState,
  burnKgPerS: number,
  { measure, levelKg }: Mark,
  withinS: number,
  dumps = false
): { readonly atS: number; readonly state: TankState } | undefined {
  checkRun(burnKgPerS, withinS)
  if (measured(sheet, state, measure) <= levelKg) return { atS: 0, state }
  const out = run(sheet, state, burnKgPerS, withinS, { measure, levelKg }, undefined, dumps)
  return out.reachedAtS === undefined ? undefined : { atS: out.reachedAtS, state: stateOf(sheet, state, out) }
}

/**
 * The course of feed() in pieces, each linear in time; none when the duration is 0.
 * @throws RangeError when burn or duration is negative or not finite.
 * Checked: tests/shared/tanks/service.test.ts.
 */
export function feedPieces(
  sheet: Sheet,
  state: TankState,
  burnKgPerS: number,
  durationS: number
): readonly FeedPiece[] {
  checkRun(burnKgPerS, durationS)
  const pieces: FeedPiece[] = []
  run(sheet, state, burnKgPerS, durationS, undefined, pieces)
  return pieces
}
