/** Numbers of a seed, the same on every machine. Source: mulberry32, T. Ettinger, public domain. */
export function chance(seed: number): {
  number: (low: number, high: number) => number
  whole: (low: number, high: number) => number
  yes: (share: number) => boolean
  shuffled: <Value>(values: readonly Value[]) => Value[]
} {
  let a = seed >>> 0
  const next = (): number => {
    a = (a + 0x6d2b79f5) >>> 0
    let t = Math.imul(a ^ (a >>> 15), a | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
  const number = (low: number, high: number): number => low + (high - low) * next()
  const whole = (low: number, high: number): number => Math.floor(number(low, high + 1))
  return {
    number,
    whole,
    yes: (share) => next() < share,
    shuffled: (values) => {
      const left = [...values]
      return values.map(() => left.splice(whole(0, left.length - 1), 1)).flat()
    }
  }
}
