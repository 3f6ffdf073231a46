import { type Sheet, type TankState } from './sheet.ts'

/*
 * The tanks of a sheet in one row, so that inner loops run over flat arrays. Made once per sheet.
 */

/** Masses closer than this are one mass, kg: far below what is shown, above rounding at 200 t. */
export const SAME_KG = 1e-9

export interface Layout {
  readonly tankCount: number
  /** First tank of each group, and one past the last. */
  readonly first: Int32Array
  readonly groupOf: Int32Array
  readonly capacityKg: Float64Array
  readonly floorKg: Float64Array
  readonly fillKgPerS: Float64Array
  readonly transferKgPerS: Float64Array
  readonly external: readonly boolean[]
}

const known = new WeakMap<Sheet, Layout>()

/** The flat layout of a sheet. */
export function layoutOf(sheet: Sheet): Layout {
  const found = known.get(sheet)
  if (found !== undefined) return found
  const tankCount = sheet.groups.reduce((count, group) => count + group.tankCount, 0)
  const layout: Layout = {
    tankCount,
    first: new Int32Array(sheet.groups.length + 1),
    groupOf: new Int32Array(tankCount),
    capacityKg: new Float64Array(tankCount),
    floorKg: new Float64Array(tankCount),
    fillKgPerS: new Float64Array(tankCount),
    transferKgPerS: new Float64Array(tankCount),
    external: sheet.groups.map((group) => group.place === 'external')
  }
  let tank = 0
  sheet.groups.forEach((group, g) => {
    layout.first[g] = tank
    for (let i = 0; i < group.tankCount; i++, tank++) {
      layout.groupOf[tank] = g
      layout.capacityKg[tank] = group.capacityKg
      layout.floorKg[tank] = group.unusableKg
      layout.fillKgPerS[tank] = group.fillRateKgPerS
      layout.transferKgPerS[tank] = group.transferRateKgPerS
    }
  })
  layout.first[sheet.groups.length] = tank
  known.set(sheet, layout)
  return layout
}

/** The quantities of a state in one row, kg; a tank that is gone holds nothing. */
export function flatQuantities(layout: Layout, state: TankState): Float64Array {
  const flat = new Float64Array(layout.tankCount)
  let tank = 0
  for (let g = 0; g < state.quantitiesKg.length; g++) {
    const quantities = state.quantitiesKg[g] ?? []
    const troubles = state.troubles[g]
    for (let i = 0; i < quantities.length; i++, tank++) flat[tank] = troubles?.[i] === 'gone' ? 0 : (quantities[i] ?? 0)
  }
  return flat
}

/** Quantities of one row, kg, by group and tank again. */
export function nestedQuantities(layout: Layout, flat: ArrayLike<number>): number[][] {
  const nested: number[][] = []
  for (let g = 0; g + 1 < layout.first.length; g++) {
    const quantities: number[] = []
    for (let tank = layout.first[g] ?? 0; tank < (layout.first[g + 1] ?? 0); tank++) quantities.push(flat[tank] ?? 0)
    nested.push(quantities)
  }
  return nested
}
