import { describe, expect, it } from 'vitest'
import {
  densityIn,
  densityKgPerM3,
  flowKgPerS,
  KG_PER_LB,
  M3_PER_USGAL,
  massIn,
  massKg,
  quantityIn,
  quantityKg,
  speedMPerS
} from '../../shared/units.ts'
import flows from '../truth/flow.json' with { type: 'json' }

describe('units at the edge', () => {
  it('turn station rates of print into mass, by the planning density', () => {
    for (const { id, inputs, expected, tolerance } of flows) {
      const kgPerM3 =
        inputs.lb_per_USgal !== undefined
          ? densityKgPerM3({ value: inputs.lb_per_USgal, unit: 'lb/USgal' })
          : densityKgPerM3({ value: inputs.kg_per_L ?? 1, unit: 'kg/L' })
      const rate =
        inputs.USgal_per_min !== undefined
          ? flowKgPerS({ value: inputs.USgal_per_min, unit: 'USgal/min' }, kgPerM3)
          : flowKgPerS({ value: inputs.L_per_min, unit: 'L/min' }, kgPerM3)
      // A row of litres is read at 1 kg/L.
      const value = id.endsWith('mass') ? massIn('lb', rate) * 60 : rate * 60
      const gap = Math.abs(value - expected)
      expect(gap, id).toBeLessThanOrEqual(tolerance.abs ?? tolerance.rel * expected)
    }
  })

  it('keep a mass through both ways', () => {
    expect(massIn('lb', massKg({ value: 50_000_000, unit: 'lb' }))).toBeCloseTo(50_000_000, 6)
    expect(massKg({ value: 50_000_000, unit: 'lb' })).toBe(22_679_618.5)
    expect(quantityKg({ value: 370, unit: 'USgal' }, 800)).toBeCloseTo(370 * M3_PER_USGAL * 800, 9)
    expect(quantityKg({ value: 1000, unit: 'L' }, 800)).toBe(800)
    expect(quantityKg({ value: 5, unit: 'kg' }, 800)).toBe(5)
    expect(flowKgPerS({ value: 3600, unit: 'kg/h' }, 1)).toBeCloseTo(1, 15)
    expect(flowKgPerS({ value: 60, unit: 'lb/min' }, 1)).toBeCloseTo(KG_PER_LB, 15)
    expect(speedMPerS({ value: 36, unit: 'km/h' })).toBeCloseTo(10, 14)
  })
  it('turn mass into volume and volume into mass by one density, both ways', () => {
    // Constructed: 2,000 kg at 800 kg/m³ are 2.5 m³.
    expect(quantityIn('L', 2000, 800)).toBeCloseTo(2500, 9)
    expect(quantityIn('USgal', 370 * M3_PER_USGAL * 800, 800)).toBeCloseTo(370, 9)
    expect(quantityIn('lb', KG_PER_LB, 800)).toBe(1)
    for (const unit of ['lb', 'kg', 'USgal', 'L'] as const)
      expect(quantityIn(unit, quantityKg({ value: 1234, unit }, 804), 804)).toBeCloseTo(1234, 9)
    for (const unit of ['kg/m3', 'kg/L', 'lb/USgal'] as const)
      expect(densityIn(unit, densityKgPerM3({ value: 6.7, unit }))).toBeCloseTo(6.7, 12)
    // A tank of 370 gallons by two densities people use: 4.6 % apart.
    const ofTank = (value: number): number =>
      quantityKg({ value: 370, unit: 'USgal' }, densityKgPerM3({ value, unit: 'lb/USgal' })) / KG_PER_LB
    expect(ofTank(6.5)).toBeCloseTo(2405, 9)
    expect(ofTank(6.8)).toBeCloseTo(2516, 9)
  })
})
