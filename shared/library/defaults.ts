/** Figures that count where a plan says nothing of its own: what each is, and what it rests on. */
import { OFF_LOAD_SLACK_FACTOR } from '../contracts/bounds.ts'
import { FUEL_GRADES, type FuelGrade } from '../contracts/kinds.ts'
import { PLANNING_DENSITIES } from '../density.ts'
import { LOW_SIDE, NOISE } from '../filter/noise.ts'
import { FLOW_ASSUMED_MS } from '../live/standing.ts'
import { RELEASE_S } from '../live/view/hold.ts'
import { EXTERNAL_SHARE } from '../tanks/sheet.ts'
import { LEAST_SAVING_S } from '../tanks/hold.ts'
import { LEFT_OUT_FILL_RATE, type Basis } from './basis.ts'

export const DEFAULTS_OF = [
  'planning density',
  'external share',
  'worth a hold',
  'release above abort',
  'flow assumed after',
  'off-load slack',
  'gauge',
  'burn factor',
  'burn walk',
  'bursts',
  'steady share',
  'phase entry',
  'meter',
  'computed off-load',
  'low side',
  'beyond reason'
] as const
export type DefaultOf = (typeof DEFAULTS_OF)[number]

export interface DefaultFigure {
  readonly of: DefaultOf
  /** The grade of a density. */
  readonly grade?: FuelGrade
  readonly value: number
  /** `%`, `s` and the like; empty for a plain number. */
  readonly unit: string
  readonly basis: Basis
}

/** Bursts are told by what they come to after so long, s. */
const BURSTS_OVER_S = 300

const assumed = (why: string): Basis => ({ kind: 'assumed', why })
const percent = (share: number) => ({ value: share * 100, unit: '%' })

/** In the order in which a reader meets them. Values are those that count, by import. */
export const DEFAULT_FIGURES: readonly DefaultFigure[] = [
  ...FUEL_GRADES.map((grade): DefaultFigure => ({
    of: 'planning density',
    grade,
    ...PLANNING_DENSITIES[grade],
    basis: {
      kind: 'common practice',
      why: 'a handbook planning value; a load can lie 4 % to either side of it'
    }
  })),
  { of: 'external share', ...percent(EXTERNAL_SHARE), basis: LEFT_OUT_FILL_RATE },
  {
    of: 'worth a hold',
    value: LEAST_SAVING_S,
    unit: 's',
    basis: { kind: 'common practice', why: 'below it two switches cost more than they save; no source' }
  },
  {
    of: 'release above abort',
    value: RELEASE_S,
    unit: 's',
    basis: assumed('time to select externals and see them give')
  },
  {
    of: 'flow assumed after',
    value: FLOW_ASSUMED_MS / 1000,
    unit: 's',
    basis: assumed('nobody calls it every time')
  },
  {
    of: 'off-load slack',
    ...percent(OFF_LOAD_SLACK_FACTOR - 1),
    basis: assumed('pumps and meters differ from the sheet')
  },
  {
    of: 'gauge',
    ...percent(NOISE.gaugeShare),
    basis: assumed('standard deviation of one reading')
  },
  {
    of: 'burn factor',
    ...percent(NOISE.burnFactorSd),
    basis: assumed('standard deviation before the first call')
  },
  {
    of: 'burn walk',
    ...percent(NOISE.burnFactorSdPerHour),
    basis: assumed('standard deviation; the next phase is flown at another height and in another manner than the last')
  },
  {
    of: 'bursts',
    value: Math.sqrt(NOISE.burstS * BURSTS_OVER_S),
    unit: 's',
    basis: assumed('standard deviation; one at three times the flow, of half a minute, in every five minutes')
  },
  {
    of: 'steady share',
    ...percent(NOISE.steadyShare),
    basis: { kind: 'common practice', why: 'ships on their way and beside a tanker keep a speed; no source' }
  },
  {
    of: 'phase entry',
    value: NOISE.entrySdS,
    unit: 's',
    basis: assumed('standard deviation')
  },
  { of: 'meter', ...percent(NOISE.meterShare), basis: assumed('standard deviation of the meter') },
  { of: 'computed off-load', ...percent(NOISE.computedShare), basis: assumed('standard deviation of the sheet') },
  {
    of: 'low side',
    value: LOW_SIDE,
    unit: '',
    basis: { kind: 'published', source: 'tables of the normal distribution, one-sided 95 %' }
  },
  {
    of: 'beyond reason',
    value: NOISE.gate,
    unit: '',
    basis: assumed('one honest call in 740 on each side lies further off')
  }
]
