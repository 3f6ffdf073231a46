/*
 * What is believed of a ship's fuel, and how sure: two states, fuel aboard and burn factor, and beside them what lies
 * outside the reach of an internal gauge, which moves by no law of its own and is here only because its error is shared
 * by every reading that adds it. All steps are exact for a constant flow; nothing is stepped in time.
 */

/** Means and the covariance of their errors. A ship with nothing outside has zeros there. */
export interface Belief {
  /** All fuel aboard; neither held above 0 nor below the capacity, which only the answer is. */
  readonly fuelKg: number
  /** Burned over planned to be burned. */
  readonly burnFactor: number
  /** Fuel that an internal gauge does not show. */
  readonly outsideKg: number
  readonly fuelVarKg2: number
  readonly burnFactorVar: number
  readonly outsideVarKg2: number
  readonly fuelFactorCovKg: number
  readonly fuelOutsideCovKg2: number
  readonly factorOutsideCovKg: number
}

/** A stretch of constant planned flow. */
export interface Burn {
  readonly flowKgPerS: number
  readonly durationS: number
}

/** How the truth leaves the plan while a ship burns. */
export interface Wander {
  /** Variance that the burn factor gains in a second. */
  readonly burnFactorVarPerS: number
  /** Variance that the fuel gains in a second, over the square of the planned flow: kg² per s over (kg/s)². */
  readonly burstS: number
}

/** A figure of a gauge, kg, and its variance; of all that is aboard, or of what is inside alone. */
export interface Figure {
  readonly figureKg: number
  readonly varKg2: number
  readonly covers: 'total' | 'internal'
}

/** Figure less what was expected of it, kg, and the variance that this difference should have. */
export interface Innovation {
  readonly innovationKg: number
  readonly varKg2: number
}

/** Fuel and burn factor, independent of one another; nothing outside. */
export const beliefOf = (fuel: { kg: number; sdKg: number }, burnFactor: { mean: number; sd: number }): Belief => ({
  fuelKg: fuel.kg,
  burnFactor: burnFactor.mean,
  outsideKg: 0,
  fuelVarKg2: fuel.sdKg ** 2,
  burnFactorVar: burnFactor.sd ** 2,
  outsideVarKg2: 0,
  fuelFactorCovKg: 0,
  fuelOutsideCovKg2: 0,
  factorOutsideCovKg: 0
})

/**
 * The belief after a stretch of constant flow, kg: fuel falls by flow × factor × time, the factor stays as it is; what
 * is outside is kept, for the switch that lets it in ends the knowledge of it. With x = [fuel, factor], T = time, f = flow:
 * F = [[1, −f·T], [0, 1]], and of a factor that walks with variance q a second the integral over T,
 * Q = q·[[f²T³/3, −fT²/2], [−fT²/2, T]], plus f²·burst·T of the fuel alone. Two stretches of one flow are one stretch.
 * Source: closed form of the Wiener process and its integral (Bar-Shalom, Li, Kirubarajan, Estimation with Applications
 * to Tracking and Navigation, 6.2.2, from memory). Checked: tests/shared/filter/belief.test.ts, against small steps.
 */
export function burned(belief: Belief, { flowKgPerS, durationS }: Burn, wander: Wander): Belief {
  const kg = flowKgPerS * durationS
  const q = wander.burnFactorVarPerS * durationS
  const { fuelVarKg2, burnFactorVar, fuelFactorCovKg } = belief
  return {
    fuelKg: belief.fuelKg - kg * belief.burnFactor,
    burnFactor: belief.burnFactor,
    outsideKg: belief.outsideKg,
    fuelVarKg2:
      Math.max(0, fuelVarKg2 - 2 * kg * fuelFactorCovKg + kg * kg * burnFactorVar) +
      (q * kg * kg) / 3 +
      wander.burstS * flowKgPerS * kg,
    burnFactorVar: burnFactorVar + q,
    outsideVarKg2: belief.outsideVarKg2,
    fuelFactorCovKg: fuelFactorCovKg - kg * burnFactorVar - (q * kg) / 2,
    fuelOutsideCovKg2: belief.fuelOutsideCovKg2 - kg * belief.factorOutsideCovKg,
    factorOutsideCovKg: belief.factorOutsideCovKg
  }
}

/** The belief after so much came aboard, or went overboard (below 0), kg, known with this variance, kg². */
export const added = (belief: Belief, kg: number, varKg2: number): Belief => ({
  ...belief,
  fuelKg: belief.fuelKg + kg,
  fuelVarKg2: belief.fuelVarKg2 + varKg2
})

/** What is outside becomes known by itself: so much, with this variance, whatever was believed before. */
export const outsideIs = (belief: Belief, kg: number, varKg2: number): Belief => ({
  ...belief,
  outsideKg: kg,
  outsideVarKg2: varKg2,
  fuelOutsideCovKg2: 0,
  factorOutsideCovKg: 0
})

/**
 * What is outside becomes known as what is not inside: so much is inside, with this variance. Its error is that of the
 * fuel aboard and of the inside together, so later readings of the inside tell of the burn since, and of nothing more.
 */
export const insideIs = (belief: Belief, kg: number, varKg2: number): Belief => ({
  ...belief,
  outsideKg: belief.fuelKg - kg,
  outsideVarKg2: belief.fuelVarKg2 + varKg2,
  fuelOutsideCovKg2: belief.fuelVarKg2,
  factorOutsideCovKg: belief.fuelFactorCovKg
})

/**
 * What is outside becomes known anew while the inside is known apart from it: so much, with this variance; the inside
 * stays as it is, and the fuel aboard is both together. Checked: tests/shared/filter/belief.test.ts.
 */
export function besideInside(belief: Belief, kg: number, varKg2: number): Belief {
  const inside = insideOf(belief)
  return {
    ...belief,
    fuelKg: inside.kg + kg,
    outsideKg: kg,
    fuelVarKg2: inside.varKg2 + varKg2,
    outsideVarKg2: varKg2,
    fuelFactorCovKg: belief.fuelFactorCovKg - belief.factorOutsideCovKg,
    fuelOutsideCovKg2: varKg2,
    factorOutsideCovKg: 0
  }
}

/** Mean and variance of what is inside, kg and kg². */
export const insideOf = (belief: Belief): { kg: number; varKg2: number } => ({
  kg: belief.fuelKg - belief.outsideKg,
  varKg2: Math.max(0, belief.fuelVarKg2 - 2 * belief.fuelOutsideCovKg2 + belief.outsideVarKg2)
})

/** How far a figure is from what is believed, kg, and the variance of that distance. Checked: as weighed(). */
export function innovationOf(belief: Belief, figure: Figure): Innovation {
  const { kg, varKg2 } =
    figure.covers === 'internal' ? insideOf(belief) : { kg: belief.fuelKg, varKg2: belief.fuelVarKg2 }
  return { innovationKg: figure.figureKg - kg, varKg2: varKg2 + figure.varKg2 }
}

/**
 * The belief with one figure weighed in, kg: gain K = PHᵀ/S, and the covariance by Joseph's form
 * (I − KH)P(I − KH)ᵀ + K·R·Kᵀ, which stays one whatever the rounding. A figure of no variance about fuel of no variance
 * changes nothing.
 * Source: Bucy and Joseph 1968 (from memory). Checked: tests/truth/regression.json, tests/truth/level.json through
 * tests/shared/filter/reference.test.ts; against least squares and small steps in tests/shared/filter/belief.test.ts.
 */
export function weighed(belief: Belief, figure: Figure): Belief {
  const h = figure.covers === 'internal' ? 1 : 0
  const { innovationKg, varKg2: s } = innovationOf(belief, figure)
  if (!(s > 0)) return belief
  const pm = belief.fuelVarKg2
  const pk = belief.burnFactorVar
  const po = belief.outsideVarKg2
  const pmk = belief.fuelFactorCovKg
  const pmo = belief.fuelOutsideCovKg2
  const pko = belief.factorOutsideCovKg
  // PHᵀ, row by row, and the gain of each state.
  const cm = pm - h * pmo
  const ck = pmk - h * pko
  const co = pmo - h * po
  const km = cm / s
  const kk = ck / s
  const ko = co / s
  // A = (I − KH)P: every row less its gain times HP.
  const amm = pm - km * cm
  const amk = pmk - km * ck
  const amo = pmo - km * co
  const akk = pk - kk * ck
  const akm = pmk - kk * cm
  const ako = pko - kk * co
  const aoo = po - ko * co
  const aom = pmo - ko * cm
  const r = figure.varKg2
  // A(I − KH)ᵀ + K·R·Kᵀ, of which each entry needs AHᵀ of its row.
  const bm = amm - h * amo
  const bk = akm - h * ako
  const bo = aom - h * aoo
  return {
    fuelKg: belief.fuelKg + km * innovationKg,
    burnFactor: belief.burnFactor + kk * innovationKg,
    outsideKg: belief.outsideKg + ko * innovationKg,
    fuelVarKg2: Math.max(0, amm - bm * km + r * km * km),
    burnFactorVar: Math.max(0, akk - bk * kk + r * kk * kk),
    outsideVarKg2: Math.max(0, aoo - bo * ko + r * ko * ko),
    fuelFactorCovKg: amk - bm * kk + r * km * kk,
    fuelOutsideCovKg2: amo - bm * ko + r * km * ko,
    factorOutsideCovKg: ako - bk * ko + r * kk * ko
  }
}

/**
 * The belief made so unsure of its fuel that the figure is no surprise: something unknown happened to the fuel, and to
 * neither factor nor outside. What is then weighed in all but replaces the fuel.
 * Checked: tests/shared/filter/calls.test.ts.
 */
export function doubted(belief: Belief, figure: Figure): Belief {
  const { innovationKg, varKg2 } = innovationOf(belief, figure)
  return added(belief, 0, Math.max(0, innovationKg ** 2 - varKg2))
}
