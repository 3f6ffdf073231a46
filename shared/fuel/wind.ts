/** A constant wind: where it comes from, rad clockwise from true north, and how fast. */
export interface Wind {
  readonly fromRad: number
  readonly speedMPerS: number
}

export interface Triangle {
  /** Course over ground, rad clockwise from true north. */
  readonly trackRad: number
  readonly trueAirspeedMPerS: number
  readonly windFromRad: number
  readonly windMPerS: number
}

/**
 * Ground speed on a course in a wind, m/s; undefined when the course cannot be held or no ground speed is left.
 * Source: wind triangle, Aviation Formulary V1.45 (E. Williams). Checked: tests/truth/wind.json, within print.
 */
export function groundSpeedMPerS({
  trackRad,
  trueAirspeedMPerS,
  windFromRad,
  windMPerS
}: Triangle): number | undefined {
  const crossMPerS = windMPerS * Math.sin(windFromRad - trackRad)
  const alongSquared = trueAirspeedMPerS * trueAirspeedMPerS - crossMPerS * crossMPerS
  if (!(alongSquared >= 0)) return undefined
  const groundMPerS = Math.sqrt(alongSquared) - windMPerS * Math.cos(windFromRad - trackRad)
  return groundMPerS > 0 ? groundMPerS : undefined
}
