import { z } from 'zod'
import { densityKgPerM3, distanceM, flowKgPerS, massKg, quantityKg, speedMPerS } from '../units.ts'
import { BOUNDS } from './bounds.ts'
import { DENSITY_UNITS, DISTANCE_UNITS, FLOW_UNITS, MASS_UNITS, SPEED_UNITS, VOLUME_UNITS } from './kinds.ts'

/*
 * Figures as people give them. A Reported figure keeps value and unit; its bound is checked in SI, whatever the unit.
 * A volume is judged at the densest fuel any grade allows, so that the bound never depends on another field.
 */

function reported<Unit extends string>(
  units: readonly [Unit, ...Unit[]],
  toSi: (given: { value: number; unit: Unit }) => number,
  bound: { min: number; max: number },
  siUnit: string
) {
  return z.strictObject({ value: z.number(), unit: z.enum(units) }).superRefine((given, context) => {
    // zod infers the enum member type loosely for a generic tuple; the schema above has just checked it.
    const si = toSi(given)
    if (si >= bound.min && si <= bound.max) return
    const limit = `${String(bound.min)} to ${String(bound.max)} ${siUnit}`
    context.addIssue({ code: 'custom', path: ['value'], message: `outside ${limit}`, params: { limit } })
  })
}

export const mass = reported(MASS_UNITS, massKg, BOUNDS.massKg, 'kg')
/** Tank sizes may be given by mass or by volume. */
export const quantity = reported(
  [...MASS_UNITS, ...VOLUME_UNITS],
  (given) => quantityKg(given, BOUNDS.densityKgPerM3.max),
  BOUNDS.massKg,
  'kg'
)
export const density = reported(DENSITY_UNITS, densityKgPerM3, BOUNDS.densityKgPerM3, 'kg/m3')
export const flow = reported(
  FLOW_UNITS,
  (given) => flowKgPerS(given, BOUNDS.densityKgPerM3.max),
  BOUNDS.flowKgPerS,
  'kg/s'
)
export const distance = reported(DISTANCE_UNITS, distanceM, BOUNDS.distanceM, 'm')
export const speed = reported(SPEED_UNITS, speedMPerS, BOUNDS.speedMPerS, 'm/s')
export const windSpeed = reported(SPEED_UNITS, speedMPerS, BOUNDS.windMPerS, 'm/s')

const between = (bound: { min: number; max: number }) => z.number().min(bound.min).max(bound.max)
export const instantMs = z.int().min(BOUNDS.instantMs.min).max(BOUNDS.instantMs.max)
export const durationMin = between(BOUNDS.durationMin)
export const shortMin = between(BOUNDS.shortMin)
export const bearingDeg = between(BOUNDS.bearingDeg)
export const dragFactor = between(BOUNDS.dragFactor)
export const rateFactor = between(BOUNDS.rateFactor)
export const sharePercent = between(BOUNDS.sharePercent)
export const tankCount = z.int().min(BOUNDS.tankCount.min).max(BOUNDS.tankCount.max)
/** One tank of a group, counted from 1. */
export const tankNumber = z.int().min(1).max(BOUNDS.tankCount.max)
export const turnCount = z.int().min(BOUNDS.turnCount.min).max(BOUNDS.turnCount.max)
export const seqCount = z.int().min(0)

export const position = z.strictObject({
  latitudeDeg: between(BOUNDS.latitudeDeg),
  longitudeDeg: between(BOUNDS.longitudeDeg)
})
export type Position = z.infer<typeof position>
