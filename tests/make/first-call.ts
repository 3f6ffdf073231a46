import { NOISE } from '../../shared/filter/noise.ts'

/*
 * What the first call of a ship makes of its fuel, worked out apart from the filter: the spread of the burn in steps of a
 * second, and one figure weighed against it. Source: the scalar Kalman gain P / (P + R), from memory; figures of the noise
 * as assumed in shared/filter/noise.ts.
 */
export interface FirstCall {
  /** Burned from the start to the call. */
  readonly flows: readonly Flow[]
  readonly fullScaleKg: number
  readonly roundingKg: number
  /** Figure called less what was expected. */
  readonly offKg: number
  /** Spread of what came aboard meanwhile. */
  readonly besideSdKg?: number
}

interface Flow {
  readonly flowKgPerS: number
  readonly durationS: number
  /** Between places and beside a tanker, as all here are unless told. */
  readonly steady?: boolean
}

interface Spread {
  varKg2: number
  /** Of fuel and burn factor. */
  covKg: number
  factorVar: number
}

/** What a burn makes of a spread, second by second. */
function burnedBy({ varKg2, covKg, factorVar }: Spread, flows: readonly Flow[]): Spread {
  const perSecond = flows.flatMap(({ flowKgPerS: kg, durationS, steady = true }) => {
    const share = steady ? NOISE.steadyShare : 1
    return Array.from({ length: durationS }, () => ({ kg, share }))
  })
  const burnedKg = perSecond.reduce((sum, { kg }) => sum + kg, 0)
  const walk = NOISE.burnFactorSdPerHour ** 2 / 3600
  const after = {
    varKg2: varKg2 - 2 * burnedKg * covKg + burnedKg ** 2 * factorVar,
    covKg: covKg - burnedKg * factorVar,
    factorVar: factorVar + perSecond.reduce((sum, { share }) => sum + share * walk, 0)
  }
  let toBurnKg = burnedKg
  for (const { kg, share } of perSecond) {
    const q = share * walk
    // A step of the walk lies in the middle of its second.
    toBurnKg -= kg / 2
    after.varKg2 += q * toBurnKg ** 2 + share * NOISE.burstS * kg ** 2
    after.covKg -= q * toBurnKg
    toBurnKg -= kg / 2
  }
  return after
}

export function firstCall({ flows, fullScaleKg, roundingKg, offKg, besideSdKg = 0 }: FirstCall) {
  const start = { varKg2: 0, covKg: 0, factorVar: NOISE.burnFactorSd ** 2 }
  const { covKg, factorVar, ...before } = burnedBy(start, flows)
  const varKg2 = before.varKg2 + besideSdKg ** 2
  const readVarKg2 = (NOISE.gaugeShare * fullScaleKg) ** 2 + roundingKg ** 2 / 12
  const gain = varKg2 / (varKg2 + readVarKg2)
  const sdKg = Math.sqrt((1 - gain) * varKg2)
  const movedKg = gain * offKg
  const sumKg2 = varKg2 + readVarKg2
  const weighed = { varKg2: sdKg ** 2, covKg: (1 - gain) * covKg, factorVar: factorVar - covKg ** 2 / sumKg2 }
  return {
    /** By how much the mean moves. */
    movedKg,
    burnFactor: 1 + (covKg / (varKg2 + readVarKg2)) * offKg,
    sdKg,
    /** Mean less the lower of low side and call. */
    unsureKg: Math.max(1.645 * sdKg, movedKg - offKg),
    /** The same after so much more is burned. */
    unsureAfterKg: (ahead: readonly Flow[]) =>
      Math.max(1.645 * Math.sqrt(burnedBy(weighed, ahead).varKg2), movedKg - offKg),
    /** Spread just before the call. */
    sdBeforeKg: Math.sqrt(varKg2)
  }
}
