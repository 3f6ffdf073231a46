/** Limits that the checks write in SI, in the units of whoever typed the figure; rounded so that what is written keeps to them. */
import {
  DENSITY_UNITS,
  FLOW_UNITS,
  MASS_UNITS,
  VOLUME_UNITS,
  type DensityUnit,
  type FlowUnit,
  type MassUnit,
  type VolumeUnit
} from '../contracts/kinds.ts'
import { densityIn, flowKgPerS, M_PER_NMI, quantityIn } from '../units.ts'
import { numberText } from './number.ts'
import { unitText } from './figure.ts'

export interface Units {
  /** As typed: of fuel, of a flow or of a density; undefined where the figure says none of these. */
  readonly unit: string | undefined
  /** Of the event, for fuel that nobody typed. */
  readonly massUnit: MassUnit | undefined
  readonly fuelKgPerM3: number | undefined
}

const MASS = /(\d+(?:\.\d+)?)(?: to (\d+(?:\.\d+)?))? kg\b(?!\/)/g
const FLOWS = /(\d+(?:\.\d+)?) to (\d+(?:\.\d+)?) kg\/s/g
const DENSITIES = /(\d+(?:\.\d+)?) to (\d+(?:\.\d+)?) kg\/m3/g
const SPEEDS = /(\d+(?:\.\d+)?) to (\d+(?:\.\d+)?) m\/s/g

const oneOf = <Unit extends string>(units: readonly Unit[], unit: string | undefined): Unit | undefined =>
  units.find((one) => one === unit)

/** A text of the checks with its figures in the units that were typed. */
export function inUnits(text: string, units: Units): string {
  const isLeast = /at least|not below|not before|^after/.test(text)
  return text
    .replace(FLOWS, (said, low: string, high: string) => flowsText(Number(low), Number(high), units) ?? said)
    .replace(DENSITIES, (_, low: string, high: string) => densitiesText(Number(low), Number(high), units))
    .replace(MASS, (_, kg: string, mostKg?: string) =>
      mostKg === undefined
        ? fuelText(Number(kg), units, isLeast)
        : `${kg === '0' ? '0' : fuelText(Number(kg), units, true)} to ${fuelText(Number(mostKg), units, false)}`
    )
    .replace(SPEEDS, (_, low: string, high: string) => `${knots(low)} to ${knots(high)} kt`)
}

/** The checks write kilograms to a tenth: what comes this near to a whole lb or kg is one. */
const TENTH_KG = 0.054

function fuelText(kg: number, { unit, massUnit = 'kg', fuelKgPerM3 }: Units, isLeast: boolean): string {
  const its: MassUnit | VolumeUnit = oneOf([...MASS_UNITS, ...VOLUME_UNITS], unit) ?? massUnit
  const isVolume = VOLUME_UNITS.some((one) => one === its)
  if (isVolume && fuelKgPerM3 === undefined) return `${String(kg)} kg`
  const inUnit = (mass: number): number => quantityIn(its, mass, fuelKgPerM3 ?? 1)
  const nearest = Math.round(inUnit(kg))
  const isWhole = !isVolume && Math.abs(inUnit(kg) - nearest) < inUnit(TENTH_KG)
  const safe = isVolume ? inUnit(kg + (isLeast ? TENTH_KG : -TENTH_KG)) : inUnit(kg)
  return `${grouped(String(isWhole ? nearest : isLeast ? Math.ceil(safe) : Math.floor(safe)))} ${unitText(its)}`
}

/** Undefined where the flow says no unit, or one by volume and there is no density. */
function flowsText(low: number, high: number, { unit, fuelKgPerM3 }: Units): string | undefined {
  const its: FlowUnit | undefined = oneOf(FLOW_UNITS, unit)
  if (its === undefined || (fuelKgPerM3 === undefined && /gal|^L/.test(its))) return undefined
  const perOne = flowKgPerS({ value: 1, unit: its }, fuelKgPerM3 ?? 1)
  return `${shortText(low / perOne, Math.ceil)} to ${grouped(String(Math.floor(high / perOne)))} ${unitText(its)}`
}

function densitiesText(low: number, high: number, { unit }: Units): string {
  const its: DensityUnit = oneOf(DENSITY_UNITS, unit) ?? 'kg/L'
  const inUnit = (kgPerM3: number): number => densityIn(its, kgPerM3)
  return `${shortText(inUnit(low), Math.ceil)} to ${shortText(inUnit(high), Math.floor)} ${unitText(its)}`
}

/** Three digits, rounded into the limit; a float a hair beside a round figure is that figure. */
function shortText(value: number, round: (value: number) => number): string {
  const digits = Math.max(0, 2 - Math.floor(Math.log10(value)))
  return numberText(Number((round(Number((value * 10 ** digits).toPrecision(12))) / 10 ** digits).toFixed(digits)))
}

export const grouped = (digits: string): string => digits.replace(/\B(?=(\d{3})+(?!\d))/g, ',')
const knots = (mPerS: string): string => String(Math.round((Number(mPerS) * 3600) / M_PER_NMI))
