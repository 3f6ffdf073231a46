import type { DensityUnit, FuelGrade } from './contracts/kinds.ts'
import type { Reported } from './units.ts'

/** Density a grade may have at 15 °C, kg/m³. Source: MIL-HDBK-1022A, 2.3.2.1 a). Checked: tests/truth/fuel.json, exact. */
export const DENSITY_LIMITS: Readonly<Record<FuelGrade, { readonly minKgPerM3: number; readonly maxKgPerM3: number }>> =
  {
    'JP-4': { minKgPerM3: 751, maxKgPerM3: 802 },
    'JP-5': { minKgPerM3: 788, maxKgPerM3: 845 },
    'JP-8': { minKgPerM3: 775, maxKgPerM3: 840 },
    'Jet A': { minKgPerM3: 775, maxKgPerM3: 840 },
    'Jet A-1': { minKgPerM3: 775, maxKgPerM3: 840 }
  }

/** Whether a grade may have this density, kg/m³, at 15 °C; both limits are allowed. Checked: tests/truth/fuel.json. */
export function densityWithin(grade: FuelGrade, kgPerM3: number): boolean {
  const { minKgPerM3, maxKgPerM3 } = DENSITY_LIMITS[grade]
  return kgPerM3 >= minKgPerM3 && kgPerM3 <= maxKgPerM3
}

/**
 * Density to plan with where nobody has measured one, as people say it. A load can lie 4 % to either side: a default to
 * be replaced. Source: usual handbook planning values, from memory; 6.7 for Jet A read on several pages.
 * Checked: tests/truth/fuel.json; tests/shared/density.test.ts, within the limits of each grade.
 */
export const PLANNING_DENSITIES: Readonly<Record<FuelGrade, Reported<DensityUnit>>> = {
  'JP-4': { value: 6.5, unit: 'lb/USgal' },
  'JP-5': { value: 6.8, unit: 'lb/USgal' },
  'JP-8': { value: 6.7, unit: 'lb/USgal' },
  'Jet A': { value: 6.7, unit: 'lb/USgal' },
  'Jet A-1': { value: 6.7, unit: 'lb/USgal' }
}
