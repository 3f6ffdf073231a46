import { describe, expect, it } from 'vitest'
import {
  densityKgPerM3,
  flowKgPerS,
  KG_PER_LB,
  M3_PER_USGAL,
  massIn,
  massKg,
  M_PER_FT,
  M_PER_NMI,
  quantityKg,
  speedMPerS,
  volumeM3
} from '../../shared/units.ts'
import flows from '../truth/flow.json' with { type: 'json' }
import rows from '../truth/units.json' with { type: 'json' }

const truth = (id: string): number => {
  const row = rows.find((one) => one.id === id)
  if (row === undefined) throw new Error(`no row ${id}`)
  return row.expected
}
const near = (value: number, expected: number, rel: number): void => {
  expect(Math.abs(value / expected - 1)).toBeLessThanOrEqual(rel)
}

describe('units at the edge', () => {
  it('are the exact ones', () => {
    expect(KG_PER_LB).toBe(truth('unit-lb-kg'))
    near(M3_PER_USGAL * 1000, truth('unit-usgal-l'), 1e-15)
    expect(M_PER_NMI).toBe(truth('unit-nmi-m'))
    expect(M_PER_FT).toBe(truth('unit-ft-m'))
    expect(massKg({ value: 1, unit: 'lb' })).toBe(truth('unit-lb-kg'))
    near(volumeM3({ value: 1, unit: 'USgal' }) * 1000, truth('unit-usgal-l'), 1e-15)
    near(speedMPerS({ value: 1, unit: 'kt' }), truth('unit-kt-ms'), 1e-15)
    near(densityKgPerM3({ value: 1, unit: 'lb/USgal' }), truth('unit-lbgal-kgm3'), 1e-14)
  })

  it('turn a density of print into pounds a gallon and back', () => {
    for (const kgPerM3 of [751, 802, 804, 840]) {
      const expected = truth(`fuel-kgm3-to-lbgal-${kgPerM3}`)
      expect(densityKgPerM3({ value: expected, unit: 'lb/USgal' })).toBeCloseTo(kgPerM3, 5)
    }
  })

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
})
