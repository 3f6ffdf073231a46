import { plan, type Plan } from '../../shared/contracts/plan.ts'

/** 2030-06-01 06:00:00Z: the opening of the small event. */
export const OPENS_AT_MS = 1_906_524_000_000
const MIN = 60_000
const kg = (value: number) => ({ value, unit: 'kg' as const })
const kgPerMin = (value: number) => ({ value, unit: 'kg/min' as const })
const kt = (value: number) => ({ value, unit: 'kt' as const })

/** The ships of the small event: two of one flight, one of another. */
export const SHIPS = { alder1: 'alder-1', alder2: 'alder-2', kelp1: 'kelp-1' } as const

/** A small constructed plan: one tanker with two stations, two flights, three ships. */
export function smallPlan({ name = 'Small event', opensAtMs = OPENS_AT_MS } = {}): Plan {
  const ship = (id: string, callSign: string) => ({ id, callSign, fitted: [], startFuel: kg(5000) })
  const flight = (id: string, callSign: string, ships: ReturnType<typeof ship>[]) => ({
    id,
    callSign,
    receiverTypeId: 'type-a',
    priority: 3,
    departureBaseId: 'north',
    recoveryBaseId: 'north',
    divertBaseIds: [],
    startsAtMs: opensAtMs,
    route: [
      { id: `${id}-out`, kind: 'transit', span: { by: 'duration', durationMin: 30 } },
      {
        id: `${id}-visit`,
        kind: 'refuelling',
        tankerId: 'rasp',
        pushGroupId: 'push-one',
        onLoad: { kind: 'internals' }
      },
      { id: `${id}-task`, kind: 'loiter', span: { by: 'duration', durationMin: 30 } },
      { id: `${id}-home`, kind: 'recovery', span: { by: 'duration', durationMin: 20 } }
    ],
    ships
  })
  return plan.parse({
    v: 1,
    name,
    opensAtMs,
    massUnit: 'kg',
    fuelGrade: 'JP-8',
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
      jokerAllowance: kg(300),
      landingReserve: { kind: 'fixed', fuel: kg(500) },
      windFromDeg: 270,
      windSpeed: kt(0)
    },
    receiverTypes: [
      {
        id: 'type-a',
        name: 'Type A',
        method: 'drogue',
        maxRate: kgPerMin(600),
        gauge: 'total',
        refuellingLow: kt(220),
        refuellingHigh: kt(300),
        recoveryAirspeed: kt(400),
        approachFuel: kg(200),
        flows: {
          transit: kgPerMin(40),
          loiter: kgPerMin(40),
          recovery: kgPerMin(35),
          refuelling: kgPerMin(40)
        },
        groups: [
          {
            id: 'body',
            name: 'Body',
            place: 'internal',
            tankCount: 1,
            capacity: kg(5000),
            unusable: kg(50),
            fillRate: kgPerMin(500),
            canShut: false,
            role: { kind: 'feed' },
            silencedByExternals: false,
            jettisonable: false
          }
        ]
      }
    ],
    tankerTypes: [
      {
        id: 'giver',
        name: 'Giver',
        refuellingLow: kt(210),
        refuellingHigh: kt(310),
        stations: [
          { id: 'left', name: 'Left', method: 'drogue', maxRate: kgPerMin(500) },
          { id: 'right', name: 'Right', method: 'drogue', maxRate: kgPerMin(500) }
        ]
      }
    ],
    clearances: [
      { receiverTypeId: 'type-a', tankerTypeId: 'giver', stationId: 'left' },
      { receiverTypeId: 'type-a', tankerTypeId: 'giver', stationId: 'right' }
    ],
    bases: [{ id: 'north', name: 'North', position: { latitudeDeg: 45, longitudeDeg: 30 } }],
    tracks: [
      {
        id: 'track-one',
        name: 'Track one',
        controlPoint: { latitudeDeg: 45.5, longitudeDeg: 30 },
        orbit: [
          { latitudeDeg: 45.5, longitudeDeg: 30 },
          { latitudeDeg: 45.5, longitudeDeg: 30.5 }
        ],
        abortBaseId: 'north'
      }
    ],
    tankers: [
      {
        id: 'rasp',
        callSign: 'Rasp',
        tankerTypeId: 'giver',
        trackId: 'track-one',
        onStationAtMs: opensAtMs,
        leavesAtMs: opensAtMs + 180 * MIN,
        fuelOnStation: kg(60_000),
        burn: kgPerMin(80),
        keeps: kg(10_000),
        mostTransferable: kg(40_000)
      }
    ],
    pushGroups: [{ id: 'push-one', name: 'One', pushAtMs: opensAtMs + 60 * MIN }],
    flights: [
      flight('alder', 'Alder', [ship(SHIPS.alder1, 'Alder 1'), ship(SHIPS.alder2, 'Alder 2')]),
      flight('kelp', 'Kelp', [ship(SHIPS.kelp1, 'Kelp 1')])
    ],
    orders: [
      {
        tankerId: 'rasp',
        sequences: [
          {
            stationId: 'left',
            slots: [
              { id: 'slot-1', shipId: SHIPS.alder1, visitId: 'alder-visit' },
              { id: 'slot-2', shipId: SHIPS.alder2, visitId: 'alder-visit' }
            ]
          },
          { stationId: 'right', slots: [{ id: 'slot-3', shipId: SHIPS.kelp1, visitId: 'kelp-visit' }] }
        ]
      }
    ]
  })
}
