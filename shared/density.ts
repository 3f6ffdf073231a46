import { type FuelGrade } from './contracts/kinds.ts'

/** Density a grade may have at 15 °C, kg/m³. Source: MIL-HDBK-1022A, 2.3.2.1 a). Checked: tests/truth/density.json, exact. */
export const DENSITY_LIMITS: Readonly<Record<FuelGrade, { readonly minKgPerM3: number; readonly maxKgPerM3: number }>> =
  {
    'JP-4': { minKgPerM3: 751, maxKgPerM3: 802 },
    'JP-5': { minKgPerM3: 788, maxKgPerM3: 845 },
    'JP-8': { minKgPerM3: 775, maxKgPerM3: 840 },
    'Jet A': { minKgPerM3: 775, maxKgPerM3: 840 },
    'Jet A-1': { minKgPerM3: 775, maxKgPerM3: 840 }
  }

/** Whether a grade may have this density, kg/m³, at 15 °C; both limits are allowed. Checked: tests/truth/density.json. */
export function densityWithin(grade: FuelGrade, kgPerM3: number): boolean {
  const { minKgPerM3, maxKgPerM3 } = DENSITY_LIMITS[grade]
  return kgPerM3 >= minKgPerM3 && kgPerM3 <= maxKgPerM3
}
