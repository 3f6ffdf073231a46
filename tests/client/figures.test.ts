import { describe, expect, it } from 'vitest'
import { ageText, clockText, dayText, fuelText, minuteText, spanText } from '../../client/figures.ts'
import { KG_PER_LB } from '../../shared/units.ts'

describe('figures', () => {
  it('show fuel in hand rounded down and a limit rounded up', () => {
    expect(fuelText(6_449 * KG_PER_LB, 'lb', 'down', 100)).toBe('6,400 lb')
    expect(fuelText(6_401 * KG_PER_LB, 'lb', 'up', 100)).toBe('6,500 lb')
    expect(fuelText(6_401 * KG_PER_LB, 'lb', 'up')).toBe('6,410 lb')
    expect(fuelText(2_999.9, 'kg', 'down')).toBe('2,990 kg')
  })

  it('show a whole figure as itself although it is kept in another unit', () => {
    for (let lb = 100; lb <= 120_000; lb += 100) {
      const text = `${String(lb).replace(/\B(?=(\d{3})+$)/g, ',')} lb`
      expect(fuelText(lb * KG_PER_LB, 'lb', 'down', 100)).toBe(text)
      expect(fuelText(lb * KG_PER_LB, 'lb', 'up', 100)).toBe(text)
    }
  })

  it('show what is missing with a true minus, away from zero', () => {
    expect(fuelText(-1, 'kg', 'down')).toBe('\u221210 kg')
    expect(spanText(-0.2)).toBe('\u221200:01')
    expect(fuelText(-1, 'kg', 'up')).toBe('0 kg')
  })

  it('show times in UTC, whatever the zone, latest ones down and contacts up', () => {
    const atMs = Date.UTC(2031, 4, 17, 23, 59, 59, 500)
    expect(clockText(atMs)).toBe('23:59:59Z')
    expect(clockText(atMs, 'up')).toBe('00:00:00Z')
    expect(minuteText(atMs)).toBe('23:59Z')
    expect(minuteText(atMs, 'up')).toBe('00:00Z')
    expect(dayText(atMs)).toBe('2031-05-17')
  })

  it('show spans as minutes and seconds, beyond the hour too', () => {
    expect(spanText(452.9)).toBe('07:32')
    expect(spanText(6_000)).toBe('100:00')
    expect(spanText(-130)).toBe('\u221202:10')
  })

  it('show a call older rather than younger than it is', () => {
    expect(ageText(0)).toBe('0 min')
    expect(ageText(61)).toBe('2 min')
    expect(ageText(-3)).toBe('0 min')
  })
})
