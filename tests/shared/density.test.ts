import { describe, expect, it } from 'vitest'
import { DENSITY_LIMITS, densityWithin } from '../../shared/density.ts'
import rows from '../truth/density.json' with { type: 'json' }

describe('what density a grade may have at 15 °C', () => {
  it('is what the handbook prints', () => {
    for (const { inputs, expected } of rows) {
      const grade = Object.entries(DENSITY_LIMITS).find(([name]) => name === inputs.fuel)
      expect(grade?.[1], inputs.fuel).toEqual({ minKgPerM3: expected.min, maxKgPerM3: expected.max })
    }
    // The same page gives Jet A with Jet A-1.
    expect(DENSITY_LIMITS['Jet A']).toEqual(DENSITY_LIMITS['Jet A-1'])
  })

  it('allows both limits and nothing beyond', () => {
    expect([774.9, 775, 804, 840, 840.1].map((kgPerM3) => densityWithin('JP-8', kgPerM3))).toEqual([
      false,
      true,
      true,
      true,
      false
    ])
    expect(densityWithin('JP-5', 780)).toBe(false)
    expect(densityWithin('JP-4', NaN)).toBe(false)
  })
})
