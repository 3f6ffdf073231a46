import type { Position } from '../contracts/quantities.ts'
import { legTimeS } from './burn.ts'
import { type Wind } from './wind.ts'

/** The rule for fuel on landing; not a reserve group of tanks. */
export type ReserveRule =
  | { readonly kind: 'minutes'; readonly holdingS: number }
  | { readonly kind: 'fixed'; readonly fuelKg: number }
  /** A share of the fuel planned from take-off, with a floor. */
  | { readonly kind: 'share'; readonly share: number; readonly plannedKg: number; readonly floorKg: number }
  | { readonly kind: 'greatest'; readonly of: readonly ReserveRule[] }

/**
 * Fuel a ship must land with, kg.
 * Source: kinds of rule as in 14 CFR 91.151 and 91.167 (minutes) and CNAF M-3710.7 4.6.4 (share with a floor).
 * Checked: tests/truth/reserve.json, exact.
 */
export function landingReserveKg(rule: ReserveRule, holdingFlowKgPerS: number): number {
  switch (rule.kind) {
    case 'minutes':
      return rule.holdingS * holdingFlowKgPerS
    case 'fixed':
      return rule.fuelKg
    case 'share':
      return Math.max(rule.share * rule.plannedKg, rule.floorKg)
    case 'greatest':
      return rule.of.reduce((kg, one) => Math.max(kg, landingReserveKg(one, holdingFlowKgPerS)), 0)
  }
}

/** How a ship flies home and what it must have left. */
export interface Recovery {
  readonly trueAirspeedMPerS: number
  readonly wind: Wind
  /** With what is fitted. */
  readonly flowKgPerS: number
  readonly approachKg: number
  readonly reserveKg: number
}

/**
 * Fuel to reach a base from a position, to approach and to land with the reserve, kg; undefined when the wind keeps the
 * ship from it. Source: bingo as in CNATRA P-802 p. 29. Checked: tests/cases/numbers.test.ts c5, tests/shared/fuel/limits.test.ts.
 */
export function recoveryFuelKg(from: Position, base: Position, recovery: Recovery): number | undefined {
  const timeS = legTimeS(from, base, recovery)
  return timeS === undefined ? undefined : timeS * recovery.flowKgPerS + recovery.approachKg + recovery.reserveKg
}

/**
 * Abort fuel, kg: the greatest recovery fuel over the orbit, so that a ship may leave from anywhere on it. In a constant
 * wind the time to a point is convex in position, so the greatest lies on a turn point and the turn points suffice.
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
