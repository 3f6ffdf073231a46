import { type Receiver } from './course.ts'
import { SAME_KG } from './layout.ts'

/*
 * How a ship whose externals are held empties on its way to contact: the rules of feed() with nothing coming from
 * outside and no group silenced, in place on flat arrays, because a search for the best hold runs it again and again.
 * tests/shared/tanks/hold.test.ts holds it to feed() tank by tank.
 *
 * Told how each quantity changes when the hold begins a second later, it says the same of the quantities at contact, and
 * how far the hold may shift before events change their order: inside that range all is linear in it.
 */

/** The burn to contact in legs that follow each other; ends in s from the start. */
export interface Approach {
  readonly endsS: readonly number[]
  readonly burnsKgPerS: readonly number[]
}

/** What does not change from one hold of a ship to the next. */
export interface HeldShip {
  readonly receiver: Receiver
  /** By tank: internal, and the engines can have it. */
  readonly inUse: readonly boolean[]
  readonly stages: readonly { readonly g: number; readonly turnCount: number; readonly transferKgPerS: number }[]
  readonly reserves: readonly { readonly g: number; readonly keepsKg: number; readonly transferKgPerS: number }[]
  readonly feedTanks: readonly number[]
  readonly feedFullKg: number
  /** Room for the rates of tanks and the tanks of a group with something to give, used anew by every run. */
  readonly rateKgPerS: Float64Array
  readonly wet: Int32Array
}

/** The shift of the hold's beginning, s, over which the same events happen in the same order. */
export interface Drained {
  /** The feed group was never dry on the way with less coming than the engines drink. */
  readonly reachesContact: boolean
  readonly shiftFromS: number
  readonly shiftToS: number
}

/** Two events whose times drift apart slower than this never change places. */
const PARALLEL = 1e-12

/* eslint-disable @typescript-eslint/no-non-null-assertion -- tank, group and leg indices run inside arrays of that very length */
/** A ship as its engines see it with all externals held. */
export function heldShipOf(receiver: Receiver): HeldShip {
  const { sheet, layout, giving } = receiver
  const inUse = giving.map((gives, tank) => gives && !layout.external[layout.groupOf[tank]!]!)
  const feedTanks: number[] = []
  let feedFullKg = 0
  let emptyKg = 0
  for (let tank = layout.first[sheet.feedIndex]!; tank < layout.first[sheet.feedIndex + 1]!; tank++) {
    if (!giving[tank]) continue
    feedTanks.push(tank)
    feedFullKg += layout.capacityKg[tank]!
    emptyKg += layout.floorKg[tank]!
  }
  const stages: HeldShip['stages'][number][] = []
  const reserves: HeldShip['reserves'][number][] = []
  if (feedTanks.length > 0) {
    sheet.groups.forEach(({ role, transferRateKgPerS }, g) => {
      if (g === sheet.feedIndex || layout.external[g]) return
      if (role.kind === 'stage') stages.push({ g, turnCount: role.turnCount, transferKgPerS: transferRateKgPerS })
      else if (role.kind === 'reserve') {
        const keepsKg = Math.max(emptyKg, Math.min(feedFullKg, role.releasedBelowKg))
        reserves.push({ g, keepsKg, transferKgPerS: transferRateKgPerS })
      }
    })
  }
  return {
    receiver,
    inUse,
    stages,
    reserves,
    feedTanks,
    feedFullKg,
    rateKgPerS: new Float64Array(layout.tankCount),
    wet: new Int32Array(sheet.groups.length)
  }
}

/**
 * Takes quantities by tank, kg, from a hold that begins `fromS` after the start to contact, the end of the approach;
 * with `slope`, their change by each second that the hold begins later, that too. Both arrays are changed in place.
 * Checked: tests/shared/tanks/hold.test.ts, against feed(), 1e-6 kg.
 */
export function drainHeld(
  ship: HeldShip,
  q: Float64Array,
  { endsS, burnsKgPerS }: Approach,
  fromS: number,
  slope?: Float64Array
): Drained {
  const { inUse, stages, reserves, feedTanks, feedFullKg, rateKgPerS: rate, wet } = ship
  const { tankCount, first, capacityKg, floorKg } = ship.receiver.layout
  let atS = fromS
  let atSlope = 1
  let shiftFromS = -Infinity
  let shiftToS = Infinity

  for (let leg = 0; leg < endsS.length;) {
    if (!(atS < endsS[leg]!)) {
      leg++
      continue
    }
    const burnKgPerS = burnsKgPerS[leg]!
    rate.fill(0)
    let levelKg = 0
    let levelSlope = 0
    let feedWet = 0
    for (const tank of feedTanks) {
      levelKg += q[tank]!
      if (slope !== undefined) levelSlope += slope[tank]!
      if (q[tank]! > floorKg[tank]! + SAME_KG) feedWet++
    }

    // The lowest stage that has something to give, and the reserves by the mark they keep.
    let turn = Infinity
    let stageKgPerS = 0
    for (const stage of stages) {
      if (stage.turnCount > turn || countWet(stage.g) === 0) continue
      if (stage.turnCount < turn) stageKgPerS = 0
      turn = stage.turnCount
      stageKgPerS += wet[stage.g]! * stage.transferKgPerS
    }
    let keepKgPerS = 0
    let releasedKgPerS = 0
    for (const reserve of reserves) {
      if (countWet(reserve.g) === 0) continue
      if (Math.abs(levelKg - reserve.keepsKg) <= SAME_KG) keepKgPerS += wet[reserve.g]! * reserve.transferKgPerS
      else if (levelKg < reserve.keepsKg) releasedKgPerS += wet[reserve.g]! * reserve.transferKgPerS
    }
    const stageShare = levelKg >= feedFullKg - SAME_KG && stageKgPerS > burnKgPerS ? burnKgPerS / stageKgPerS : 1
    let inflow = stageShare < 1 ? burnKgPerS : releasedKgPerS + stageKgPerS
    let keepShare = 0
    if (keepKgPerS > 0 && inflow < burnKgPerS) {
      keepShare = Math.min(1, (burnKgPerS - inflow) / keepKgPerS)
      inflow = keepShare < 1 ? burnKgPerS : inflow + keepKgPerS
    }
    const netKgPerS = inflow - burnKgPerS
    if (feedWet === 0 && netKgPerS < 0) return { reachesContact: false, shiftFromS, shiftToS }

    for (const stage of stages) if (stage.turnCount === turn) draw(stage.g, stageShare * stage.transferKgPerS)
    for (const reserve of reserves) {
      if (Math.abs(levelKg - reserve.keepsKg) <= SAME_KG) draw(reserve.g, keepShare * reserve.transferKgPerS)
      else if (levelKg < reserve.keepsKg) draw(reserve.g, reserve.transferKgPerS)
    }
    if (netKgPerS !== 0) {
      let sharing = 0
      for (const tank of feedTanks) if (feedMoves(tank, netKgPerS)) sharing++
      for (const tank of feedTanks) if (feedMoves(tank, netKgPerS)) rate[tank] = netKgPerS / sharing
    }

    // The next event: a tank at a bound, the feed group at a mark, the end of the leg.
    const legS = endsS[leg]! - atS
    let stepS = legS
    let stepSlope = -atSlope
    for (let tank = 0; tank < tankCount; tank++) {
      if (rate[tank] === 0) continue
      const neededS = (boundKg(tank) - q[tank]!) / rate[tank]!
      if (neededS < stepS) {
        stepS = neededS
        if (slope !== undefined) stepSlope = -slope[tank]! / rate[tank]!
      }
    }
    for (const reserve of reserves) {
      if (!nears(reserve, levelKg, netKgPerS)) continue
      const neededS = (reserve.keepsKg - levelKg) / netKgPerS
      if (neededS < stepS) {
        stepS = neededS
        stepSlope = -levelSlope / netKgPerS
      }
    }
    if (slope !== undefined) {
      limit(legS - stepS, -atSlope - stepSlope)
      for (let tank = 0; tank < tankCount; tank++) {
        if (rate[tank] === 0) continue
        limit((boundKg(tank) - q[tank]!) / rate[tank]! - stepS, -slope[tank]! / rate[tank]! - stepSlope)
      }
      for (const reserve of reserves) {
        if (!nears(reserve, levelKg, netKgPerS)) continue
        limit((reserve.keepsKg - levelKg) / netKgPerS - stepS, -levelSlope / netKgPerS - stepSlope)
      }
    }

    atS = stepS >= legS ? endsS[leg]! : atS + stepS
    atSlope += stepSlope
    for (let tank = 0; tank < tankCount; tank++) {
      if (rate[tank] === 0) continue
      q[tank]! += rate[tank]! * stepS
      if (slope !== undefined) slope[tank]! += rate[tank]! * stepSlope
      if (rate[tank]! > 0 && q[tank]! >= capacityKg[tank]! - SAME_KG) settle(tank, capacityKg[tank]!)
      else if (Math.abs(q[tank]! - floorKg[tank]!) <= SAME_KG) settle(tank, floorKg[tank]!)
    }
  }
  return { reachesContact: true, shiftFromS, shiftToS }

  function countWet(g: number): number {
    let count = 0
    for (let tank = first[g]!; tank < first[g + 1]!; tank++) {
      if (inUse[tank] && q[tank]! > floorKg[tank]! + SAME_KG) count++
    }
    wet[g] = count
    return count
  }

  function draw(g: number, kgPerS: number): void {
    if (kgPerS === 0) return
    for (let tank = first[g]!; tank < first[g + 1]!; tank++) {
      if (inUse[tank] && q[tank]! > floorKg[tank]! + SAME_KG) rate[tank] = -kgPerS
    }
  }

  function feedMoves(tank: number, netKgPerS: number): boolean {
    return netKgPerS > 0 ? q[tank]! < capacityKg[tank]! - SAME_KG : q[tank]! > floorKg[tank]! + SAME_KG
  }

  /** Passing the unusable rest is a bend of the usable fuel. */
  function boundKg(tank: number): number {
    return rate[tank]! < 0 || q[tank]! < floorKg[tank]! - SAME_KG ? floorKg[tank]! : capacityKg[tank]!
  }

  function nears({ g, keepsKg }: HeldShip['reserves'][number], levelKg: number, netKgPerS: number): boolean {
    const gapKg = keepsKg - levelKg
    return gapKg * netKgPerS > 0 && Math.abs(gapKg) > SAME_KG && wet[g]! > 0
  }

  function settle(tank: number, kg: number): void {
    q[tank] = kg
    if (slope !== undefined) slope[tank] = 0
  }

  /** A later event stays later while `gapS` does not become negative. */
  function limit(gapS: number, gapPerS: number): void {
    if (Math.abs(gapPerS) < PARALLEL) return
    const shiftS = -gapS / gapPerS
    if (gapPerS < 0) shiftToS = Math.min(shiftToS, Math.max(0, shiftS))
    else shiftFromS = Math.max(shiftFromS, Math.min(0, shiftS))
  }
}
/* eslint-enable @typescript-eslint/no-non-null-assertion */
