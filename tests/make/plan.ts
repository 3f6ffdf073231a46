import { readPlan } from '../../shared/plan/read.ts'
import type { Plan } from '../../shared/contracts/plan.ts'

/*
 * A plan small and round enough to work out on paper: no wind, everything on the equator, where a degree of longitude
 * has one length. The base lies 100 km west of the control point.
 */
export const OPENS_AT_MS = Date.UTC(2030, 2, 4, 12, 0)
const KM_100_DEG = (100_000 / 6_378_137) * (180 / Math.PI)
const MIN = 60_000

const flow = (value: number) => ({ value: value * 60, unit: 'kg/min' })
const kg = (value: number) => ({ value, unit: 'kg' })

const boomType = {
  id: 'larch',
  name: 'Single-engine fighter, receptacle',
  method: 'boom',
  maxRate: flow(25),
  gauge: 'total',
  refuellingLow: { value: 130, unit: 'm/s' },
  refuellingHigh: { value: 170, unit: 'm/s' },
  recoveryAirspeed: { value: 200, unit: 'm/s' },
  approachFuel: kg(100),
  flows: {
    transit: flow(0.5),
    loiter: flow(0.5),
    recovery: flow(0.5),
    refuelling: flow(0.4),
    holding: flow(0.4)
  },
  groups: [
    {
      id: 'feed',
      name: 'Feed',
      place: 'internal',
      tankCount: 1,
      capacity: kg(1000),
      unusable: kg(0),
      fillRate: flow(5),
      canShut: false,
      role: { kind: 'feed' },
      silencedByExternals: false,
      jettisonable: false
    },
    {
      id: 'body',
      name: 'Body',
      place: 'internal',
      tankCount: 1,
      capacity: kg(3000),
      unusable: kg(0),
      fillRate: flow(15),
      canShut: false,
      transferRate: flow(2),
      role: { kind: 'stage', turnCount: 2 },
      silencedByExternals: false,
      jettisonable: false
    },
    {
      id: 'wing-drop',
      name: 'Wing external',
      place: 'external',
      tankCount: 2,
      capacity: kg(500),
      unusable: kg(0),
      fillRate: flow(1.25),
      canShut: true,
      transferRate: flow(1),
      role: { kind: 'stage', turnCount: 1 },
      silencedByExternals: false,
      jettisonable: true,
      dragFactor: 1.1
    }
  ]
}

const at = (longitudeDeg: number) => ({ latitudeDeg: 0, longitudeDeg })

/** The raw document; `change` edits it before it is read. */
export function planDocument(): Record<string, unknown> {
  return {
    v: 1,
    name: 'Paper exercise',
    opensAtMs: OPENS_AT_MS,
    massUnit: 'kg',
    fuelGrade: 'Jet A-1',
    fuelDensity: { value: 800, unit: 'kg/m3' },
    rules: {
      hookUpBoomMin: 1.5,
      hookUpDrogueMin: 2,
      changeoverWithinFlightMin: 0.5,
      changeoverBoomMin: 2,
      changeoverDrogueMin: 3,
      reformMin: 2,
      lateMarginMin: 5,
      staleAfterMin: 10,
      jokerAllowance: kg(200),
      landingReserve: { kind: 'minutes', holdingMin: 10 },
      windFromDeg: 0,
      windSpeed: { value: 0, unit: 'm/s' }
    },
    // A copy: what one test changes of it is no other test's business.
    receiverTypes: [structuredClone(boomType)],
    tankerTypes: [
      {
        id: 'barge',
        name: 'Boom tanker',
        refuellingLow: { value: 140, unit: 'm/s' },
        refuellingHigh: { value: 165, unit: 'm/s' },
        stations: [
          { id: 'boom', name: 'Boom', method: 'boom', maxRate: flow(40) },
          { id: 'hose', name: 'Hose', method: 'drogue', maxRate: flow(20) }
        ]
      }
    ],
    clearances: [{ receiverTypeId: 'larch', tankerTypeId: 'barge', stationId: 'boom' }],
    bases: [{ id: 'west', name: 'West Quay', position: at(0) }],
    tracks: [
      {
        id: 'anchor',
        name: 'Anchor',
        controlPoint: at(KM_100_DEG),
        orbit: [at(KM_100_DEG), at(KM_100_DEG / 2)],
        abortBaseId: 'west'
      }
    ],
    tankers: [
      {
        id: 'kelp',
        callSign: 'Kelp 1',
        tankerTypeId: 'barge',
        trackId: 'anchor',
        onStationAtMs: OPENS_AT_MS,
        leavesAtMs: OPENS_AT_MS + 180 * MIN,
        fuelOnStation: kg(30_000),
        burn: flow(1),
        keeps: kg(5_000),
        mostTransferable: kg(20_000)
      }
    ],
    pushGroups: [{ id: 'first', name: 'First push', pushAtMs: OPENS_AT_MS + 60 * MIN }],
    flights: [
      {
        id: 'alder',
        callSign: 'Alder 2',
        receiverTypeId: 'larch',
        priority: 3,
        departureBaseId: 'west',
        recoveryBaseId: 'west',
        divertBaseIds: [],
        startsAtMs: OPENS_AT_MS,
        route: [
          { id: 'out', kind: 'transit', span: { by: 'duration', durationMin: 20 } },
          { id: 'fill', kind: 'refuelling', tankerId: 'kelp', pushGroupId: 'first', onLoad: { kind: 'required' } },
          { id: 'task', kind: 'loiter', span: { by: 'duration', durationMin: 30 } },
          { id: 'home', kind: 'recovery', span: { by: 'leg', to: at(0), trueAirspeed: { value: 200, unit: 'm/s' } } }
        ],
        ships: [
          { id: 'alder-21', callSign: 'Alder 21', fitted: [], startFuel: kg(2500) },
          { id: 'alder-22', callSign: 'Alder 22', fitted: [], startFuel: kg(2500) }
        ]
      }
    ],
    orders: [
      {
        tankerId: 'kelp',
        sequences: [
          {
            stationId: 'boom',
            slots: [
              { id: 'slot-21', shipId: 'alder-21', visitId: 'fill' },
              { id: 'slot-22', shipId: 'alder-22', visitId: 'fill' }
            ]
          }
        ]
      }
    ]
  }
}

/** The paper plan, read and checked. */
export function paperPlan(change: (document: Record<string, unknown>) => void = () => undefined): Plan {
  const document = planDocument()
  change(document)
  const read = readPlan(document)
  if ('faults' in read) throw new Error(`the paper plan is refused: ${JSON.stringify(read.faults)}`)
  return read.plan
}
