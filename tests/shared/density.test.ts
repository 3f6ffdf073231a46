import { describe, expect, it } from 'vitest'
import { FUEL_GRADES } from '../../shared/contracts/kinds.ts'
import { DENSITY_LIMITS, densityWithin, PLANNING_DENSITIES } from '../../shared/density.ts'
import { densityKgPerM3 } from '../../shared/units.ts'

describe('what density a grade may have at 15 °C', () => {
  it('is one range for both kerosenes of the airlines, as the handbook prints them on one line', () => {
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

  it('holds what is planned with, for every grade', () => {
    for (const grade of FUEL_GRADES) {
      expect(densityWithin(grade, densityKgPerM3(PLANNING_DENSITIES[grade])), grade).toBe(true)
    }
  })
})
