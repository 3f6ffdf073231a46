import type { MassUnit } from '../contracts/kinds.ts'
import type { Reported } from '../units.ts'

/** A fuel figure as it was spoken: clear, open to two readings, or none at all. */
export type Spoken = { clear: Reported<MassUnit> } | { readings: Reported<MassUnit>[] } | undefined

const PATTERN = /^(\d{1,3}(?:,\d{3})+|\d+)(?:\.(\d+))?\s*(k|t|lb|lbs|kg)?$/

/**
 * Reads fuel as it is called: `6.4` is six thousand four hundred, `6400` and `6,400` are what they say, a unit
 * may follow. A bare whole number below 1,000 may be hundreds, thousands or itself, so it has readings instead.
 */
export function spokenFuel(text: string, unit: MassUnit): Spoken {
  const match = PATTERN.exec(text)
  if (match === null) return undefined
  const [, whole = '', fraction, suffix] = match
  const value = Number(whole.replaceAll(',', '') + (fraction === undefined ? '' : `.${fraction}`))
  if (suffix === 'lb' || suffix === 'lbs' || suffix === 'kg') {
    // "6.4 lb" is hardly what was meant.
    const said = suffix === 'kg' ? 'kg' : 'lb'
    return fraction !== undefined && value < 1000
      ? { readings: [{ value: thousands(value), unit: said }] }
      : { clear: { value, unit: said } }
  }
  if (suffix === 't') return { clear: { value: thousands(value), unit: 'kg' } }
  if (suffix === 'k') return { clear: { value: thousands(value), unit } }
  if (fraction !== undefined) {
    return value < 1000 ? { clear: { value: thousands(value), unit } } : { clear: { value, unit } }
  }
  if (value >= 1000) return { clear: { value, unit } }
  const factors = value === 0 ? [1] : value < 100 ? [100, 1000] : [1, 100]
  return { readings: factors.map((factor) => ({ value: value * factor, unit })) }
}

/** Thousands of a spoken figure, without the dust of decimal fractions: 6.4 becomes 6400, not 6400.000000000001. */
const thousands = (value: number): number => Math.round(value * 1_000_000) / 1000

/** A spoken figure written out: `6,400 lb`. */
export function written(fuel: Reported<MassUnit>): string {
  return `${String(fuel.value).replace(/\B(?=(\d{3})+(?!\d))/g, ',')} ${fuel.unit}`
}
