import type { Position } from '../contracts/quantities.ts'
import { burnedDownToKg, legTimeS, type Weighing } from './burn.ts'
import { type Wind } from './wind.ts'

/** The rule for fuel on landing; not a reserve group of tanks. */
export type ReserveRule =
  | { readonly kind: 'minutes'; readonly holdingS: number }
  | { readonly kind: 'fixed'; readonly fuelKg: number }
  /** A share of the fuel planned from take-off, with a floor: a mass, or time of holding, or the greater of both. */
  | {
      readonly kind: 'share'
      readonly share: number
      readonly plannedKg: number
      readonly floorKg: number
      readonly floorHoldingS?: number | undefined
    }
  /**
   * A share of the fuel planned from take-off to a recovery field by way of a control point. It asks for nothing where
   * no control point lies on the way: there `plannedKg` is undefined.
   */
  | { readonly kind: 'rendezvous'; readonly share: number; readonly plannedKg: number | undefined }
  | { readonly kind: 'greatest'; readonly of: readonly ReserveRule[] }

/** What a reserve rests on: the rule's own kind, or its floor. */
export type ReserveGround = 'minutes' | 'fixed' | 'share' | 'floor' | 'rendezvous'

export interface Reserve {
  readonly kg: number
  /** Undefined only of a greatest of none. */
  readonly by: ReserveGround | undefined
  /** Which of the rules of a greatest, the first of equals; undefined for one rule. */
  readonly ruleIndex: number | undefined
}

/**
 * Fuel a ship must land with, kg, and which rule asks for it. Minutes are held down to the last drop: with a weighing the
 * holding flow is that at its reference weight, and the closed form counts a ship that grows lighter.
 * @throws RangeError when the reference weight is not above 0.
 * Source: kinds of rule as in 14 CFR 91.151 and 91.167 (minutes), CNAF M-3710.7 4.6.4 (share with a floor) and its
 * in-flight refuelling rule (at each control point). Checked: tests/truth/reserve-rule.json, tests/shared/fuel/limits.test.ts.
 */
export function landingReserve(rule: ReserveRule, holdingFlowKgPerS: number, weighing?: Weighing): Reserve {
  const heldKg = (durationS: number): number =>
    burnedDownToKg(0, { durationS, flowKgPerS: holdingFlowKgPerS }, weighing)
  switch (rule.kind) {
    case 'minutes':
      return { kg: heldKg(rule.holdingS), by: 'minutes', ruleIndex: undefined }
    case 'fixed':
      return { kg: rule.fuelKg, by: 'fixed', ruleIndex: undefined }
    case 'share': {
      const shareKg = rule.share * rule.plannedKg
      const floorKg = Math.max(rule.floorKg, heldKg(rule.floorHoldingS ?? 0))
      return shareKg >= floorKg
        ? { kg: shareKg, by: 'share', ruleIndex: undefined }
        : { kg: floorKg, by: 'floor', ruleIndex: undefined }
    }
    case 'rendezvous':
      return { kg: rule.share * (rule.plannedKg ?? 0), by: 'rendezvous', ruleIndex: undefined }
    case 'greatest': {
      let greatest: Reserve = { kg: 0, by: undefined, ruleIndex: undefined }
      rule.of.forEach((one, ruleIndex) => {
        const { kg, by } = landingReserve(one, holdingFlowKgPerS, weighing)
        if (greatest.by === undefined || kg > greatest.kg) greatest = { kg, by, ruleIndex }
      })
      return greatest
    }
  }
}

/**
 * Fuel a ship must land with, kg. Source: as landingReserve. Checked: tests/truth/reserve-rule.json.
 * @throws RangeError as landingReserve.
 */
export const landingReserveKg = (rule: ReserveRule, holdingFlowKgPerS: number, weighing?: Weighing): number =>
  landingReserve(rule, holdingFlowKgPerS, weighing).kg

/** How a ship flies home and what it must have left. */
export interface Recovery {
  readonly trueAirspeedMPerS: number
  readonly wind: Wind
  /** With what is fitted; at the reference weight where a weighing is given. */
  readonly flowKgPerS: number
  /** With it the burn home is counted back from landing with approach fuel and reserve. */
  readonly weighing?: Weighing | undefined
  readonly approachKg: number
  readonly reserveKg: number
}

/**
 * Fuel to reach a base from a position, to approach and to land with the reserve, kg; undefined when the wind keeps the
 * ship from it. Source: bingo as in CNATRA P-802 p. 29. Checked: tests/cases/numbers.test.ts c5, tests/shared/fuel/limits.test.ts.
 */
export function recoveryFuelKg(from: Position, base: Position, recovery: Recovery): number | undefined {
  const durationS = legTimeS(from, base, recovery)
  if (durationS === undefined) return undefined
  const { flowKgPerS, approachKg, reserveKg, weighing } = recovery
  return burnedDownToKg(approachKg + reserveKg, { durationS, flowKgPerS }, weighing) + approachKg + reserveKg
}

/**
 * Abort fuel, kg: the greatest recovery fuel over the orbit, so that a ship may leave from anywhere on it. In a constant
 * wind the time to a point is convex in position, and so is the fuel for it, be it in proportion to time or, where burn
 * grows with weight, an increasing exponential of it: the greatest lies on a turn point and the turn points suffice.
 * Undefined when the base is out of reach from one of them.
 * @throws RangeError when the orbit has no turn point.
 * Checked: tests/shared/fuel/limits.test.ts, against points sampled along the orbit.
 */
export function abortFuelKg(orbit: readonly Position[], base: Position, recovery: Recovery): number | undefined {
  if (orbit.length === 0) throw new RangeError('an orbit needs at least 1 turn point, has 0')
  let greatestKg = 0
  for (const point of orbit) {
    const kg = recoveryFuelKg(point, base, recovery)
    if (kg === undefined) return undefined
    greatestKg = Math.max(greatestKg, kg)
  }
  return greatestKg
}

/**
 * Bingo, kg: the greatest recovery fuel over the task points still ahead; undefined with no such point.
 * Source: CNATRA P-802 p. 29. Checked: tests/shared/fuel/limits.test.ts.
 */
export function bingoKg(recoveryKgAhead: readonly number[]): number | undefined {
  return recoveryKgAhead.length === 0 ? undefined : Math.max(...recoveryKgAhead)
}

/** Joker, kg: bingo and a briefed allowance above it. Checked: tests/shared/fuel/limits.test.ts. */
export const jokerKg = (limit: { readonly bingoKg: number; readonly allowanceKg: number }): number =>
  limit.bingoKg + limit.allowanceKg

/** Two values of a limit, and which of them rules. */
export interface Ruling {
  readonly kg: number
  readonly by: 'computed' | 'hand'
  readonly computedKg: number
  readonly byHandKg: number | undefined
  /** The value set by hand where the computed one rules over it, kg; the screens say so. */
  readonly overruledKg: number | undefined
}

/**
 * The value of a limit that rules, kg: what is set by hand, as long as it does not lie below what is computed.
 * Checked: tests/shared/fuel/limits.test.ts.
 */
export function ruling({
  computedKg,
  byHandKg
}: {
  readonly computedKg: number
  readonly byHandKg?: number | undefined
}): Ruling {
  const byHand = byHandKg !== undefined && byHandKg >= computedKg
  return {
    kg: byHand ? byHandKg : computedKg,
    by: byHand ? 'hand' : 'computed',
    computedKg,
    byHandKg,
    overruledKg: byHand ? undefined : byHandKg
  }
}
