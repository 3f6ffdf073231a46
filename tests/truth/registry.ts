import { DENSITY_LIMITS, PLANNING_DENSITIES } from '../../shared/density.ts'
import { enduranceS, legTimeS, type Weighing } from '../../shared/fuel/burn.ts'
import { ladder, type LadderStep } from '../../shared/fuel/ladder.ts'
import { landingReserve, recoveryFuelKg, type ReserveRule } from '../../shared/fuel/limits.ts'
import { requiredAtPushKg } from '../../shared/fuel/need.ts'
import { groundSpeedMPerS } from '../../shared/fuel/wind.ts'
import { alongLeg, bearingRad, distanceM, legOf } from '../../shared/geodesy.ts'
import {
  densityIn,
  densityKgPerM3,
  KG_PER_LB,
  M_PER_FT,
  M_PER_NMI,
  massIn,
  massKg,
  quantityKg,
  speedMPerS,
  volumeM3
} from '../../shared/units.ts'
import breguetRows from './breguet.json' with { type: 'json' }
import burnRows from './fuel-burn.json' with { type: 'json' }
import fuelRows from './fuel.json' with { type: 'json' }
import geodesyRows from './geodesy.json' with { type: 'json' }
import reserveRows from './reserve-rule.json' with { type: 'json' }
import unitRows from './units.json' with { type: 'json' }
import windRows from './wind.json' with { type: 'json' }

/*
 * Published values and what the project's own functions make of their inputs: one computation a row, or the reason why
 * there is none. What a row was read from stays with the row.
 */

export const AREAS = ['units', 'fuel', 'wind', 'geodesy', 'fuel-burn', 'breguet', 'reserve-rule'] as const
export type Area = (typeof AREAS)[number]

/** A figure, or figures by the name the row has for them. */
type Figures = number | Readonly<Record<string, number>>

export interface TruthRow {
  readonly id: string
  readonly inputs: Readonly<Record<string, number | string | boolean>>
  readonly expected: number | Readonly<Record<string, number | string>>
  readonly unit: string
  readonly tolerance: Readonly<Record<string, number | boolean>>
  readonly source: string
  readonly seen: string
}

export const ROWS: Readonly<Record<Area, readonly TruthRow[]>> = {
  units: unitRows,
  fuel: fuelRows,
  wind: windRows,
  geodesy: geodesyRows,
  'fuel-burn': burnRows,
  breguet: breguetRows,
  'reserve-rule': reserveRows
}

/** Formula, source and range of what an area checks. */
export const ABOUT: Readonly<Record<Area, { readonly formula: string; readonly source: string; readonly range: string }>> =
  {
    units: {
      formula: 'value × the exact definition of its unit',
      source: 'definitions of the Debian package units 2.22-2',
      range: 'any finite value'
    },
    fuel: {
      formula: 'mass = volume × density; a grade has least and greatest density at 15 °C',
      source: 'MIL-HDBK-1022A 2.3.2.1; exact definitions; a glossary of metals and fuels',
      range: '751 to 845 kg/m³'
    },
    wind: {
      formula: 'ground speed = √(V² − (w sin d)²) − w cos d',
      source: 'Pilot’s Handbook copy, E6-B manual, a question bank, Aviation Formulary V1.45',
      range: 'as long as ground speed is left; else no answer'
    },
    geodesy: {
      formula: 'shortest path on WGS 84 (Karney 2013)',
      source: 'test rows of GeographicLib; three builds that agree',
      range: 'any two positions'
    },
    'fuel-burn': {
      formula: 'time = distance / ground speed; fuel = flow × time; fuel after = fuel before − burn',
      source: 'CNATRA P-869; Pilot’s Handbook copy; ppla.education',
      range: 'constant flow; whole lumps'
    },
    breguet: {
      formula: 'W = W0 e^(−kt), k = c/(L/D); E = ln(W0/W1)/k; range = E × speed',
      source: 'closed form; a tutor’s page; textbook rows from memory',
      range: 'flow in proportion to weight'
    },
    'reserve-rule': {
      formula: 'minutes at holding flow; share of planned fuel with a floor; share at each control point',
      source: '14 CFR 91.151, 91.167; Annex 6; AMC2 CAT.OP.MPA.181; CNAF M-3710.7; AFI 11-2C-130V3',
      range: 'any flow and planned fuel'
    }
  }

export interface Check {
  /** What the project makes of the row; names as in the row. */
  readonly of: (inputs: TruthRow['inputs'], row: TruthRow) => Figures
  /** What to compare with, where it is not the row's `expected`: a point is checked by the way to it. */
  readonly against?: (row: TruthRow) => Figures
  /** Absolute, where the row's own does not fit what is compared. */
  readonly tolerance?: Readonly<Record<string, number>>
  /** Figures of the row that have no computation, with the reason. */
  readonly without?: Readonly<Record<string, string>>
}

const NO_HEAT = 'no figure of the product rests on the heat of the fuel'
const NO_HEADING = 'routes are tracks over ground: no heading is shown'
const NO_POLAR = 'the product takes flows from the type sheet, it knows no lift, drag or best speed'
const TEXT = 'words, no number'

/** Rows without a computation, and why. */
export const LEFT_OUT: Readonly<Record<string, string>> = {
  'unit-impgal-l': 'nobody enters imperial gallons: the unit is not offered',
  'unit-inhg-pa': 'no pressure is entered or shown',
  'unit-lbf-n': 'no force is entered or shown',
  'fuel-net-heat-min-jetaa1': NO_HEAT,
  'fuel-net-heat-min-jp8': NO_HEAT,
  'fuel-net-heat-min-jp5': NO_HEAT,
  'fuel-net-heat-min-jp4': NO_HEAT,
  'geod-perth-direct':
    'the line runs on past where it is the shortest, by 9 km: the product flies shortest paths only',
  'breguet-anderson-range': NO_POLAR,
  'af-11-202v3': 'a share of time with a greatest value: no rule of the product is so, and another page contradicts it'
}

const number = (inputs: TruthRow['inputs'], name: string): number => {
  const value = inputs[name]
  if (typeof value !== 'number') throw new RangeError(`input ${name} is no number`)
  return value
}

const DEG = Math.PI / 180
/** Clockwise from north, as the rows print it: above -180 up to 180. */
const signedDeg = (rad: number): number => {
  const deg = rad / DEG
  return deg > 180 ? deg - 360 : deg
}

const limitsOf = (grade: keyof typeof DENSITY_LIMITS): Check => ({
  of: () => ({ min: DENSITY_LIMITS[grade].minKgPerM3, max: DENSITY_LIMITS[grade].maxKgPerM3 })
})
const planningOf = (grade: keyof typeof DENSITY_LIMITS): Check => ({
  of: () => densityIn('lb/USgal', densityKgPerM3(PLANNING_DENSITIES[grade]))
})
const poundsAGallon: Check = { of: (inputs) => densityIn('lb/USgal', number(inputs, 'density_kg_m3')) }
/** One figure of print from the other: kg/L from lb/gal and back. */
const typical: Check = {
  of: (_, { expected }) => {
    if (typeof expected === 'number') throw new RangeError('not the row this was written for')
    const kgPerL = densityKgPerM3({ value: Number(expected['density_lb_gal']), unit: 'lb/USgal' }) / 1000
    const lbPerGal = densityIn(
      'lb/USgal',
      densityKgPerM3({ value: Number(expected['density_kg_L']), unit: 'kg/L' })
    )
    return { density_kg_L: kgPerL, density_lb_gal: lbPerGal }
  },
  without: { specific_energy_MJ_kg: NO_HEAT, energy_density_MJ_L: NO_HEAT }
}

const groundKt: Check = {
  of: (inputs) => {
    const mPerS = groundSpeedMPerS({
      trackRad: number(inputs, 'course_deg') * DEG,
      trueAirspeedMPerS: speedMPerS({ value: number(inputs, 'TAS_kt'), unit: 'kt' }),
      windFromRad: number(inputs, 'wind_from_deg') * DEG,
      windMPerS: speedMPerS({ value: number(inputs, 'wind_kt'), unit: 'kt' })
    })
    return { GS_kt: (mPerS ?? NaN) / speedMPerS({ value: 1, unit: 'kt' }) }
  },
  without: { heading_deg: NO_HEADING }
}
/** Out and back on one line: half the difference is the head wind, what the mean lacks of the airspeed the cross wind. */
const components: Check = {
  of: (inputs) => {
    const airspeed = 100
    const speedOn = (turnDeg: number): number =>
      groundSpeedMPerS({
        trackRad: (number(inputs, 'runway_deg') + turnDeg) * DEG,
        trueAirspeedMPerS: airspeed,
        windFromRad: number(inputs, 'wind_from_deg') * DEG,
        windMPerS: number(inputs, 'wind_kt')
      }) ?? NaN
    const mean = (speedOn(0) + speedOn(180)) / 2
    return { headwind_kt: (speedOn(180) - speedOn(0)) / 2, crosswind_kt: Math.sqrt(airspeed ** 2 - mean ** 2) }
  }
}

const startOf = (inputs: TruthRow['inputs']) => ({
  latitudeDeg: number(inputs, 'lat1'),
  longitudeDeg: number(inputs, 'lon1')
})
const inverse: Check = {
  of: (inputs) => {
    const from = startOf(inputs)
    const to = { latitudeDeg: number(inputs, 'lat2'), longitudeDeg: number(inputs, 'lon2') }
    return {
      s12_m: distanceM(from, to),
      azi1: signedDeg(bearingRad(from, to)),
      azi2: signedDeg(legOf(from, to).courseAt(1))
    }
  }
}
const endOf = ({ expected }: TruthRow) => {
  if (typeof expected === 'number') throw new RangeError('a point has two figures')
  return { latitudeDeg: Number(expected['lat2']), longitudeDeg: Number(expected['lon2']) }
}
/** A point at a course and distance, checked by the way to the published one. */
const direct: Check = {
  of: (inputs, row) => {
    const from = startOf(inputs)
    const to = endOf(row)
    return {
      s12_m: distanceM(from, to),
      azi1: signedDeg(bearingRad(from, to)),
      azi2: signedDeg(legOf(from, to).courseAt(1))
    }
  },
  against: ({ inputs, expected }) => ({
    s12_m: number(inputs, 's12_m'),
    azi1: signedDeg(number(inputs, 'azi1') * DEG),
    azi2: typeof expected === 'number' ? NaN : Number(expected['azi2'])
  }),
  // The point is printed to 1e-11 degrees, a micrometre.
  tolerance: { s12_m: 1e-5, azi1: 1e-8, azi2: 1e-8 }
}

const EQUATOR = { latitudeDeg: 0, longitudeDeg: 0 }
const EAST = { latitudeDeg: 0, longitudeDeg: 10 }
const calm = { fromRad: 0, speedMPerS: 0 }
/** Time of a leg of that length along the equator without wind, s. */
const timeS = (distanceNmi: number, speedKt: number): number => {
  const to = alongLeg(EQUATOR, EAST, (distanceNmi * M_PER_NMI) / distanceM(EQUATOR, EAST))
  const trueAirspeedMPerS = speedMPerS({ value: speedKt, unit: 'kt' })
  return legTimeS(EQUATOR, to, { trueAirspeedMPerS, wind: calm }) ?? NaN
}
const legSeconds: Check = {
  of: (inputs) => ({ ete: timeS(number(inputs, 'distance_nm'), number(inputs, 'GS_kt')) }),
  against: ({ expected }) => {
    if (typeof expected === 'number') throw new RangeError('a time is printed as mm+ss')
    return { ete: String(expected['ete']).split('+').reduce((total, part) => total * 60 + Number(part), 0) }
  },
  tolerance: { ete: 1 }
}
const roundedUpTo5 = (lb: number): number => Math.ceil(lb / 5) * 5
const lumps = (startLb: number, lbs: readonly number[]): readonly number[] => {
  const steps: readonly LadderStep[] = lbs.map((value) => ({
    kind: 'lump',
    durationS: 60,
    fuelKg: massKg({ value, unit: 'lb' })
  }))
  return ladder(massKg({ value: startLb, unit: 'lb' }), steps).fuelKg.map((kg) => massIn('lb', kg))
}

/** A ship all of whose weight at the start is zero-fuel weight but for a tenth: what it burns is what counts. */
const weighed = (specificPerH: number, liftToDrag: number): { flowKgPerS: number; weighing: Weighing } => ({
  // c / (L/D) is the share of weight burned in an hour: the flow at a reference weight, over that weight.
  flowKgPerS: ((specificPerH / liftToDrag) * 10_000) / 3600,
  weighing: { zeroFuelKg: 9000, referenceKg: 10_000 }
})
const fractionAfter = (durationS: number, specificPerH: number, liftToDrag: number): number => {
  const { flowKgPerS, weighing } = weighed(specificPerH, liftToDrag)
  const { fuelKg } = ladder(1000, [{ kind: 'flow', durationS, flowKgPerS }], weighing)
  return (9000 + (fuelKg[1] ?? NaN)) / 10_000
}
const loiter: Check = {
  of: (inputs) => fractionAfter(number(inputs, 'endurance_h') * 3600, number(inputs, 'C_per_h'), number(inputs, 'L_over_D'))
}
/** Time from one weight to another, s; zero-fuel weight is what is left. */
const lastsS = (startKg: number, endKg: number, specificPerH: number, liftToDrag: number): number => {
  const flowKgPerS = ((specificPerH / liftToDrag) * startKg) / 3600
  return enduranceS(
    { fuelKg: startKg - endKg, leftKg: 0, flowKgPerS },
    { zeroFuelKg: endKg, referenceKg: startKg }
  )
}

/** Minutes that a reserve lasts at a holding flow of 0.7 kg/s. */
const minutesOf = (rule: ReserveRule): number => landingReserve(rule, 0.7).kg / 0.7 / 60
const minutes = (min: number): Check => ({ of: () => minutesOf({ kind: 'minutes', holdingS: min * 60 }) })
const PLANNED_KG = 6000
const percentOf = (rule: ReserveRule): number => (landingReserve(rule, 0.7).kg / PLANNED_KG) * 100

/** What the project's functions make of each row. */
export const CHECKS: Readonly<Record<string, Check>> = {
  'unit-lb-kg': { of: (inputs) => massKg({ value: number(inputs, 'value'), unit: 'lb' }) },
  'unit-usgal-l': { of: (inputs) => volumeM3({ value: number(inputs, 'value'), unit: 'USgal' }) * 1000 },
  'unit-nmi-m': { of: (inputs) => number(inputs, 'value') * M_PER_NMI },
  'unit-kt-ms': { of: (inputs) => speedMPerS({ value: number(inputs, 'value'), unit: 'kt' }) },
  'unit-ft-m': { of: (inputs) => number(inputs, 'value') * M_PER_FT },
  'unit-lbgal-kgm3': { of: (inputs) => densityKgPerM3({ value: number(inputs, 'value'), unit: 'lb/USgal' }) },
  'unit-tonne-lb': { of: (inputs) => massIn('lb', number(inputs, 'value') * 1000) },
  'unit-nmi-ft': { of: (inputs) => (number(inputs, 'value') * M_PER_NMI) / M_PER_FT },
  'unit-kt-fps': { of: (inputs) => speedMPerS({ value: number(inputs, 'value'), unit: 'kt' }) / M_PER_FT },

  'fuel-density-limits-jp4': limitsOf('JP-4'),
  'fuel-density-limits-jp5': limitsOf('JP-5'),
  'fuel-density-limits-jp8': limitsOf('JP-8'),
  'fuel-density-limits-jeta1': limitsOf('Jet A-1'),
  'fuel-planning-lbgal-jp4': planningOf('JP-4'),
  'fuel-planning-lbgal-jp5': planningOf('JP-5'),
  'fuel-planning-lbgal-jp8': planningOf('JP-8'),
  'fuel-planning-lbgal-jetaa1': planningOf('Jet A'),
  'fuel-kgm3-to-lbgal-751': poundsAGallon,
  'fuel-kgm3-to-lbgal-802': poundsAGallon,
  'fuel-kgm3-to-lbgal-804': poundsAGallon,
  'fuel-kgm3-to-lbgal-840': poundsAGallon,
  'fuel-jeta1-typical': typical,
  'fuel-jeta-typical': typical,

  'wind-phak-090-120-045-40': groundKt,
  'wind-e6b-090-125-230-18': groundKt,
  'wind-exam-271-135-340-20': groundKt,
  'wind-crosswind-formulary': components,

  'geod-npm-test-01': inverse,
  'geod-npm-test-02': inverse,
  'geod-npm-test-04': inverse,
  'geod-npm-test-05': inverse,
  'geod-npm-test-06': inverse,
  'geod-npm-test-08': inverse,
  'geod-npm-test-11': inverse,
  'geod-npm-test-12': inverse,
  'geod-npm-test-13': inverse,
  'geod-npm-test-14': inverse,
  'geod-npm-test-15': inverse,
  'geod-npm-test-16': inverse,
  'geod-npm-test-18': inverse,
  'geod-npm-test-19': inverse,
  'geod-npm-test-20': inverse,
  'geod-wlg-salamanca': {
    of: (inputs) =>
      distanceM(startOf(inputs), { latitudeDeg: number(inputs, 'lat2'), longitudeDeg: number(inputs, 'lon2') })
  },
  'geod-run-040n-045-150nm': direct,
  'geod-run-036n-270-60nm': direct,
  'geod-run-northsea': inverse,
  'geod-run-antimeridian': inverse,
  'geod-run-lax-jfk': inverse,

  'tsd-time': { of: (inputs) => timeS(number(inputs, 'distance_nm'), number(inputs, 'GS_kt')) / 3600 },
  'tsd-distance': {
    of: (inputs) => (100 * number(inputs, 'time_h') * 3600) / timeS(100, number(inputs, 'GS_kt'))
  },
  'tsd-gs': { of: (inputs) => timeS(number(inputs, 'distance_nm'), 1) / (number(inputs, 'time_h') * 3600) },
  'fuel-used-2300-97': {
    of: (inputs) => {
      const flowKgPerS = number(inputs, 'flow_kg_h') / 3600
      const { fuelKg } = ladder(9000, [{ kind: 'flow', durationS: number(inputs, 'time_min') * 60, flowKgPerS }])
      return 9000 - (fuelKg[1] ?? NaN)
    }
  },
  'endurance-380-130': {
    of: (inputs) => {
      const kg = (name: string): number => quantityKg({ value: number(inputs, name), unit: 'USgal' }, 803)
      return enduranceS({ fuelKg: kg('fuel_gal'), leftKg: 0, flowKgPerS: kg('flow_gal_h') / 3600 }) / 60
    }
  },
  'navy-cruise-70nm': {
    of: (inputs) => {
      const durationS = timeS(number(inputs, 'distance_nm'), number(inputs, 'GS_kt'))
      const flowKgPerS = massKg({ value: number(inputs, 'flow_pph'), unit: 'lb' }) / 3600
      const { fuelKg } = ladder(1000, [{ kind: 'flow', durationS, flowKgPerS }])
      // The page rounds each leg up to the next 5 lb.
      return { time_min: durationS / 60, fuel_lb: roundedUpTo5(massIn('lb', 1000 - (fuelKg[1] ?? NaN))) }
    }
  },
  'navy-efr-iaf': {
    of: (inputs) =>
      lumps(number(inputs, 'fuel_last_point_lb'), [number(inputs, 'climb_lb'), number(inputs, 'cruise_lb')])[2] ?? NaN
  },
  'navy-min-iaf': {
    of: (inputs) =>
      (recoveryFuelKg(EQUATOR, EQUATOR, {
        trueAirspeedMPerS: 100,
        wind: calm,
        flowKgPerS: 0.1,
        approachKg: number(inputs, 'per_approach_lb') * number(inputs, 'approaches') * KG_PER_LB,
        reserveKg: number(inputs, 'base_lb') * KG_PER_LB
      }) ?? NaN) / KG_PER_LB
  },
  'navy-start-climb': {
    of: (inputs) => {
      const climb = roundedUpTo5(number(inputs, 'climb_lb_unrounded'))
      const after = lumps(number(inputs, 'initial_lb'), [number(inputs, 'start_taxi_takeoff_lb'), climb])
      return { after_takeoff: after[1] ?? NaN, end_climb: after[2] ?? NaN }
    }
  },
  'navy-mcf-b': {
    of: (inputs) =>
      requiredAtPushKg({
        points: [
          {
            burnFromPushKg: number(inputs, 'EFR_point_lb') - number(inputs, 'EFR_iaf_lb'),
            recoveryKg: number(inputs, 'min_iaf_lb')
          }
        ]
      }).requiredKg
  },
  'navy-leg-25': legSeconds,
  'navy-leg-34.5': legSeconds,
  'navy-leg-21.5': legSeconds,

  'breguet-raymer-cruise': {
    of: (inputs) =>
      fractionAfter(
        number(inputs, 'range_ft') / number(inputs, 'V_fps'),
        number(inputs, 'C_per_h'),
        number(inputs, 'L_over_D')
      )
  },
  'breguet-raymer-loiter3h': loiter,
  'breguet-raymer-loiter20min': loiter,
  'breguet-anderson-endurance': {
    of: (inputs) =>
      lastsS(
        massKg({ value: number(inputs, 'W0_lb'), unit: 'lb' }),
        massKg({ value: number(inputs, 'W1_lb'), unit: 'lb' }),
        number(inputs, 'TSFC_per_h'),
        number(inputs, 'L_over_D')
      ) / 3600
  },
  'breguet-tutor-100t': {
    of: (inputs, { expected }) => {
      if (typeof expected === 'number') throw new RangeError('not the row this was written for')
      const startKg = number(inputs, 'W0_kg')
      const endKg = startKg - number(inputs, 'fuel_kg')
      // Range is time by speed, both at the printed lift over drag and speed.
      const flownS = lastsS(startKg, endKg, number(inputs, 'TSFC_per_h'), Number(expected['LDmax']))
      return { range_km: (flownS * Number(expected['V_ms'])) / 1000 }
    },
    without: { LDmax: NO_POLAR, V_ms: NO_POLAR }
  },
  'breguet-endurance-closed-form': {
    of: (inputs) => {
      const startKg = massKg({ value: number(inputs, 'W0_lb'), unit: 'lb' })
      const flowKgPerS = ((number(inputs, 'TSFC_per_h') / number(inputs, 'L_over_D')) * startKg) / 3600
      const weighing = { zeroFuelKg: 0.7 * startKg, referenceKg: startKg }
      const durationS = number(inputs, 'time_h') * 3600
      const { fuelKg } = ladder(0.3 * startKg, [{ kind: 'flow', durationS, flowKgPerS }], weighing)
      return massIn('lb', weighing.zeroFuelKg + (fuelKg[1] ?? NaN))
    }
  },

  // Each rule as a plan states it: the minutes and shares are those of the regulation's own section.
  'cfr-91.151-day': minutes(30),
  'cfr-91.151-night': minutes(45),
  'cfr-91.167': minutes(45),
  'cfr-91.167-heli': minutes(30),
  'icao-a6-final-recip': minutes(45),
  'uk-amc2-181-contingency': {
    of: () => percentOf({ kind: 'share', share: 0.05, plannedKg: PLANNED_KG, floorKg: 0 })
  },
  'cnaf-3710-reserve': {
    of: () => {
      const rule = { kind: 'share', share: 0.1, floorKg: 0, floorHoldingS: 1200 } as const
      // A plan of 100 kg leaves the floor to rule.
      return {
        percent_of_planned: percentOf({ ...rule, plannedKg: PLANNED_KG * 2 }) / 2,
        floor_min: minutesOf({ ...rule, plannedKg: 100 })
      }
    },
    without: { floor_basis: TEXT }
  },
  'cnaf-3710-aar': {
    of: () => ({ min_reserve_percent: percentOf({ kind: 'rendezvous', share: 0.1, plannedKg: PLANNED_KG }) }),
    without: { must_reach: 'the whole-route proof: tests/shared/fuel/ladder.test.ts, tests/cases/numbers.test.ts c13' }
  },
  'afi-11-2c130v3': {
    of: () => ({
      reserve_min: minutesOf({ kind: 'minutes', holdingS: 45 * 60 }),
      contingency_min: minutesOf({ kind: 'minutes', holdingS: 15 * 60 })
    }),
    without: { basis: TEXT }
  },
  'reserve-example-opnav-b': {
    of: (inputs) =>
      landingReserve(
        { kind: 'share', share: 0.1, plannedKg: number(inputs, 'planned_lb'), floorKg: number(inputs, 'floor_lb') },
        1
      ).kg
  }
}
