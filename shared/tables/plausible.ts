/** Figures that can be read, keep to every rule, and are nothing that anybody means. */
import { densityKgPerM3, quantityIn, quantityKg, type Reported } from '../units.ts'
import { BOUNDS } from '../contracts/bounds.ts'
import type { DensityUnit, MassUnit, VolumeUnit } from '../contracts/kinds.ts'
import { unitText } from './figure.ts'
import { faultAt, parentOf, type ReadRow, type ReadTables } from './rows.ts'
import type { CellFault } from './table.ts'
import { wrong } from './wrong.ts'

type Fuel = Reported<MassUnit | VolumeUnit>

/** Of what the tanks hold inside; assumed: far below what any ship starts with, far above thousands taken for units. */
const LEAST_SHARE = 0.01

/** External tanks may hold as much again, and more. */
const MOST_OUTSIDE = 3

/** Ships that start with next to nothing: thousands typed as units. Where their type cannot be read nothing is said. */
export function nearlyDry(tables: ReadTables): CellFault[] {
  const density = tables.event[0]?.values.get('fuelDensity') as Reported<DensityUnit> | undefined
  if (density === undefined) return []
  const fuelKgPerM3 = densityKgPerM3(density)
  // Tanks by volume hold anything by a density that is wrong itself.
  const { min, max } = BOUNDS.densityKgPerM3
  if (fuelKgPerM3 < min || fuelKgPerM3 > max) return []
  const holdsKg = new Map<unknown, number>()
  for (const group of tables.tankGroups) {
    const type = parentOf(group)
    holdsKg.set(type, (holdsKg.get(type) ?? 0) + insideKg(group, fuelKgPerM3))
  }
  const typeOf = new Map(tables.flights.map(({ row, values }) => [row.id, values.get('receiverTypeId')]))
  return tables.ships.flatMap((read): CellFault[] => {
    const fuel = read.values.get('startFuel') as Fuel | undefined
    const leastKg = LEAST_SHARE * (holdsKg.get(typeOf.get(parentOf(read) ?? '')) ?? 0)
    // Below nothing is another fault.
    if (fuel === undefined || fuel.value < 0 || quantityKg(fuel, fuelKgPerM3) >= leastKg) return []
    return [tooLittle(read, fuel, Math.ceil(quantityIn(fuel.unit, leastKg, fuelKgPerM3)))]
  })
}

function insideKg({ values }: ReadRow, fuelKgPerM3: number): number {
  const capacity = values.get('capacity') as Fuel | undefined
  const count = values.get('tankCount')
  if (capacity === undefined || typeof count !== 'number' || values.get('place') !== 'internal') return 0
  return quantityKg(capacity, fuelKgPerM3) * count
}

function tooLittle({ table, row, rowNumber }: ReadRow, fuel: Fuel, least: number): CellFault {
  const limit = `at least ${String(least)} ${unitText(fuel.unit)}, 1 % of what its tanks hold`
  const thousands = Math.round(fuel.value * 1000)
  const mend =
    thousands > least && thousands * LEAST_SHARE <= MOST_OUTSIDE * least
      ? `Write ${String(thousands).replace(/\B(?=(\d{3})+$)/g, ',')} ${unitText(fuel.unit)}, if thousands are meant.`
      : `Make it ${limit}.`
  const why = wrong(limit, 'less than 1 % of what its tanks hold', mend).wrong
  return faultAt({ table, rowId: row.id, rowNumber, column: 'startFuel', value: row.cells['startFuel'] ?? '' }, why)
}
