/**
 * The edge between what people say (lb, lb/h, US gal, kt, nmi, ft) and what the service computes with (SI).
 * Definitions are exact. Source: international yard and pound agreement 1959 (lb, ft); US gallon = 231 in³;
 * BIPM SI brochure (nautical mile). Checked: tests/truth/units.json, worst relative error below 1e-12.
 */
import type { DensityUnit, DistanceUnit, FlowUnit, MassUnit, SpeedUnit, VolumeUnit } from './contracts/kinds.ts'

export const KG_PER_LB = 0.45359237
export const M3_PER_USGAL = 0.003785411784
export const M_PER_NMI = 1852
export const M_PER_FT = 0.3048
export const MS_PER_MIN = 60_000
/** Steps in which a board shows fuel in hand, in the unit of the plan: as it is called. Common practice, no source. */
export const BOARD_STEP = 100

/** What a person typed or reported, kept as typed. */
export interface Reported<Unit extends string> {
  readonly value: number
  readonly unit: Unit
}

const KG_PER: Record<MassUnit, number> = { kg: 1, lb: KG_PER_LB }
const M3_PER: Record<VolumeUnit, number> = { L: 0.001, USgal: M3_PER_USGAL }
const KG_PER_M3_PER: Record<DensityUnit, number> = { 'kg/m3': 1, 'kg/L': 1000, 'lb/USgal': KG_PER_LB / M3_PER_USGAL }
const M_PER_S_PER: Record<SpeedUnit, number> = { 'm/s': 1, kt: M_PER_NMI / 3600, 'km/h': 1 / 3.6 }
const M_PER: Record<DistanceUnit, number> = { NM: M_PER_NMI, km: 1000 }
const KG_PER_S_PER: Record<Exclude<FlowUnit, 'USgal/min' | 'L/min'>, number> = {
  'kg/min': 1 / 60,
  'kg/h': 1 / 3600,
  'lb/min': KG_PER_LB / 60,
  'lb/h': KG_PER_LB / 3600
}

/** Kilograms of a reported mass. */
export const massKg = (mass: Reported<MassUnit>): number => mass.value * KG_PER[mass.unit]

/** Cubic metres of a reported volume. */
export const volumeM3 = (volume: Reported<VolumeUnit>): number => volume.value * M3_PER[volume.unit]

/** Kilograms per cubic metre of a reported density. */
export const densityKgPerM3 = (density: Reported<DensityUnit>): number => density.value * KG_PER_M3_PER[density.unit]

/** Metres per second of a reported speed. */
export const speedMPerS = (speed: Reported<SpeedUnit>): number => speed.value * M_PER_S_PER[speed.unit]

/** Metres of a reported distance. */
export const distanceM = (distance: Reported<DistanceUnit>): number => distance.value * M_PER[distance.unit]

/** Kilograms per second of a reported flow; a volume flow needs the event's planning density, kg/m³. */
export function flowKgPerS(flow: Reported<FlowUnit>, fuelKgPerM3: number): number {
  if (flow.unit === 'USgal/min') return (flow.value * M3_PER_USGAL * fuelKgPerM3) / 60
  if (flow.unit === 'L/min') return (flow.value * 0.001 * fuelKgPerM3) / 60
  return flow.value * KG_PER_S_PER[flow.unit]
}

/** Kilograms of something reported by mass or by volume; a volume needs the planning density, kg/m³. */
export function quantityKg(quantity: Reported<MassUnit | VolumeUnit>, fuelKgPerM3: number): number {
  const { value, unit } = quantity
  if (unit === 'L' || unit === 'USgal') return volumeM3({ value, unit }) * fuelKgPerM3
  return massKg({ value, unit })
}

/** A mass in the unit of the event, unrounded. */
export const massIn = (unit: MassUnit, kg: number): number => kg / KG_PER[unit]

/** A quantity of fuel in the unit it is to be read in, unrounded; by volume at the planning density, kg/m³. */
export const quantityIn = (unit: MassUnit | VolumeUnit, kg: number, fuelKgPerM3: number): number =>
  unit === 'L' || unit === 'USgal' ? kg / fuelKgPerM3 / M3_PER[unit] : massIn(unit, kg)

/** A density in the unit it is to be read in, unrounded. */
export const densityIn = (unit: DensityUnit, kgPerM3: number): number => kgPerM3 / KG_PER_M3_PER[unit]
