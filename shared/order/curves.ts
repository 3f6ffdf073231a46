/*
 * A ship on one kind of station, as the order sees it: for every contact start the exact service. How the curve was
 * made (tanks, burn, on-load rule) is not known here, so published instances run on the same code.
 */

/** Exact piecewise-linear service over contact start; arrays of equal length, contactAtMs ascending. */
export interface ServiceCurve {
  readonly contactAtMs: readonly number[]
  readonly disconnectAtMs: readonly number[]
  readonly onLoadKg: readonly number[]
  readonly fuelAtContactKg: readonly number[]
  readonly fuelAtDisconnectKg: readonly number[]
  /** The instant counted fuel falls to abort fuel; undefined: not within the curve. */
  readonly latestContactAtMs: number | undefined
}

export interface Service {
  readonly disconnectAtMs: number
  readonly onLoadKg: number
  readonly fuelAtContactKg: number
  readonly fuelAtDisconnectKg: number
}

/**
 * Index of the last breakpoint at or before the instant, −1 when the
 * instant lies outside the curve or the curve is empty. Where two breakpoints share an instant the later one holds.
 */
export function pieceAt(curve: ServiceCurve, contactAtMs: number): number {
  const xs = curve.contactAtMs
  const last = xs.length - 1
  if (last < 0 || !(contactAtMs >= (xs[0] ?? NaN) && contactAtMs <= (xs[last] ?? NaN))) return -1
  let low = 0
  let high = last
  while (low < high) {
    const middle = (low + high + 1) >> 1
    if ((xs[middle] ?? NaN) <= contactAtMs) low = middle
    else high = middle - 1
  }
  return low
}

/** A quantity of the curve on the piece that begins at `piece`, in the quantity's own unit. */
export function onPiece(curve: ServiceCurve, of: readonly number[], piece: number, contactAtMs: number): number {
  const from = of[piece] ?? NaN
  if (piece + 1 >= of.length) return from
  const fromMs = curve.contactAtMs[piece] ?? NaN
  const toMs = curve.contactAtMs[piece + 1] ?? NaN
  if (contactAtMs === fromMs) return from
  return from + (((of[piece + 1] ?? NaN) - from) * (contactAtMs - fromMs)) / (toMs - fromMs)
}

/**
 * The service of a contact that begins at the instant: event time in ms, masses in kg.
 * @throws RangeError when the instant lies outside the curve.
 * Checked: tests/shared/order/curves.test.ts, exact on the pieces.
 */
export function serviceAt(curve: ServiceCurve, contactAtMs: number): Service {
  const piece = pieceAt(curve, contactAtMs)
  if (piece < 0) {
    const ends = `${String(curve.contactAtMs[0])} to ${String(curve.contactAtMs.at(-1))}`
    throw new RangeError(`contactAtMs ${String(contactAtMs)} is outside the service curve, ${ends}`)
  }
  return {
    disconnectAtMs: onPiece(curve, curve.disconnectAtMs, piece, contactAtMs),
    onLoadKg: onPiece(curve, curve.onLoadKg, piece, contactAtMs),
    fuelAtContactKg: onPiece(curve, curve.fuelAtContactKg, piece, contactAtMs),
    fuelAtDisconnectKg: onPiece(curve, curve.fuelAtDisconnectKg, piece, contactAtMs)
  }
}
