/** What is allowed in a type sheet and unlikely. */
import type { ReceiverType } from '../contracts/plan.ts'
import { sheetOf } from './brief.ts'

/** What is allowed and unlikely, by receiver type. */
export function typeWarnings(type: ReceiverType, fuelKgPerM3: number): readonly TypeWarning[] {
  const sheet = sheetOf(
    type,
    type.groups.map((group) => group.id),
    fuelKgPerM3
  )
  const externalKgPerS = sheet.groups
    .filter((group) => group.place === 'external')
    .reduce((sum, group) => sum + group.tankCount * group.fillRateKgPerS, 0)
  return externalKgPerS > sheet.maxRateKgPerS
    ? [{ kind: 'externals faster than the receiver', byKgPerS: externalKgPerS - sheet.maxRateKgPerS }]
    : []
}

export interface TypeWarning {
  kind: 'externals faster than the receiver'
  byKgPerS: number
}
