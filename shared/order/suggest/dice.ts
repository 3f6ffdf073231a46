/** A seeded source of whole numbers: the same seed gives the same numbers everywhere. */
export interface Dice {
  /** From 0 to below `count`; 0 when there is nothing to choose from. */
  below(count: number): number
  /** From 0 to below 1. */
  part(): number
}

/**
 * Source: xorshift of 32 bits with the shifts 13, 17, 5; G. Marsaglia, Xorshift RNGs, 2003 (from memory).
 * @throws RangeError when the seed is no whole number.
 */
export function dice(seed: number): Dice {
  if (!Number.isInteger(seed)) throw new RangeError(`seed must be a whole number, is ${String(seed)}`)
  // It must not begin at 0, where it would stay, and neighbouring seeds should not begin alike.
  let x = Math.imul(seed | 0, 0x9e3779b1) ^ 0x6a09e667 || 1
  const next = (): number => {
    x ^= x << 13
    x ^= x >>> 17
    x ^= x << 5
    return x >>> 0
  }
  const part = (): number => next() / 4294967296
  return { part, below: (count) => Math.floor(part() * Math.max(0, count)) }
}
