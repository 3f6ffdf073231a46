/** The package of the seeded hours as a plan. */
import type { Plan } from '../../shared/contracts/plan.ts'
import { readPlan } from '../../shared/plan/read.ts'
import {
  APPROACH_KG,
  CHANGEOVER_S,
  FLIGHTS,
  FLOW,
  guestsOf,
  HOME_M_PER_S,
  HOOK_UP_S,
  HOUR_FROM_MS,
  OPENS_AT_MS,
  ORBIT_KM,
  REFORM_S,
  RESERVE_S,
  shipIdOf,
  STATIONS,
  TRACK_KM,
  TRANSFER_KG_PER_S,
  TYPES,
  visitIdOf,
  type Flight,
  type Piece,
  type Type
} from './fleet.ts'

const M_PER_DEG = (6_378_137 * Math.PI) / 180
const kg = (value: number) => ({ value, unit: 'kg' })
const flow = (kgPerS: number) => ({ value: kgPerS * 60, unit: 'kg/min' })
const speed = (value: number) => ({ value, unit: 'm/s' })
const at = (km: number) => ({ latitudeDeg: 0, longitudeDeg: (km * 1000) / M_PER_DEG })

const typeDocument = (type: Type): Record<string, unknown> => ({
  id: type.id,
  name: `Type ${type.id}`,
  method: type.method,
  maxRate: flow(type.fillKgPerS.most),
  gauge: type.gauge,
  ...(type.gauge === 'internal' ? { gaugeBand: { low: kg(1580), high: kg(1700) }, notGivingBelow: kg(1400) } : {}),
  refuellingLow: speed(120),
  refuellingHigh: speed(160),
  recoveryAirspeed: speed(HOME_M_PER_S),
  approachFuel: kg(APPROACH_KG),
  flows: Object.fromEntries(Object.entries(FLOW).map(([kind, kgPerS]) => [kind, flow(kgPerS)])),
  groups: [
    {
      id: 'main',
      name: 'Main',
      place: 'internal',
      tankCount: 1,
      capacity: kg(type.internalKg),
      unusable: kg(0),
      fillRate: flow(type.fillKgPerS.internal),
      canShut: false,
      role: { kind: 'feed' },
      silencedByExternals: false,
      jettisonable: false
    },
    ...(type.externalKg > 0
      ? [
          {
            id: `${type.id}-drop`,
            name: 'Belly external',
            place: 'external',
            tankCount: 1,
            capacity: kg(type.externalKg),
            unusable: kg(0),
            fillRate: flow(type.fillKgPerS.external),
            canShut: true,
            transferRate: flow(TRANSFER_KG_PER_S),
            role: { kind: 'stage', turnCount: 1 },
            silencedByExternals: false,
            jettisonable: true,
            dragFactor: type.dragFactor
          }
        ]
      : [])
  ]
})

const phaseDocument = (flight: Flight, { kind, durationS, fromKm, toKm }: Piece, index: number) => {
  const id = `${flight.id}-${String(index)}`
  if (kind === 'refuelling') {
    const { tankerId } = flight
    const onLoad = { kind: 'required' }
    return { id: visitIdOf(flight), kind, tankerId, pushGroupId: flight.id, onLoad }
  }
  const trueAirspeed = speed((Math.abs(toKm - fromKm) * 1000) / durationS)
  const span =
    fromKm === toKm ? { by: 'duration', durationMin: durationS / 60 } : { by: 'leg', to: at(toKm), trueAirspeed }
  return { id, kind, span }
}

/** The plan as the board is given it. */
export function simPlan(): Plan {
  const tankerIds = [...new Set(FLIGHTS.map((flight) => flight.tankerId))]
  const document = {
    v: 1,
    name: 'Seeded hour',
    opensAtMs: OPENS_AT_MS,
    massUnit: 'lb',
    fuelGrade: 'Jet A-1',
    fuelDensity: { value: 800, unit: 'kg/m3' },
    rules: {
      hookUpBoomMin: HOOK_UP_S / 60,
      hookUpDrogueMin: HOOK_UP_S / 60,
      changeoverWithinFlightMin: CHANGEOVER_S.within / 60,
      changeoverBoomMin: CHANGEOVER_S.between / 60,
      changeoverDrogueMin: CHANGEOVER_S.between / 60,
      reformMin: REFORM_S / 60,
      lateMarginMin: 5,
      staleAfterMin: 10,
      jokerAllowance: kg(200),
      landingReserve: { kind: 'minutes', holdingMin: RESERVE_S / 60 },
      windFromDeg: 0,
      windSpeed: speed(0)
    },
    receiverTypes: TYPES.map(typeDocument),
    tankerTypes: [
      {
        id: 'barge',
        name: 'One boom',
        refuellingLow: speed(120),
        refuellingHigh: speed(165),
        stations: [{ id: 'boom', name: 'Boom', method: 'boom', maxRate: flow(8) }]
      },
      {
        id: 'skiff',
        name: 'Two hoses',
        refuellingLow: speed(120),
        refuellingHigh: speed(165),
        stations: ['left', 'right'].map((id) => ({ id, name: `Hose ${id}`, method: 'drogue', maxRate: flow(3.5) }))
      }
    ],
    clearances: [
      { receiverTypeId: 'aspen', tankerTypeId: 'barge', stationId: 'boom' },
      { receiverTypeId: 'cedar', tankerTypeId: 'barge', stationId: 'boom' },
      { receiverTypeId: 'birch', tankerTypeId: 'skiff', stationId: 'left' },
      { receiverTypeId: 'birch', tankerTypeId: 'skiff', stationId: 'right' }
    ],
    bases: [{ id: 'west', name: 'West Quay', position: at(0) }],
    tracks: [
      {
        id: 'lane',
        name: 'Lane',
        controlPoint: at(TRACK_KM),
        orbit: [at(TRACK_KM), at(ORBIT_KM)],
        abortBaseId: 'west'
      }
    ],
    tankers: tankerIds.map((id) => ({
      id,
      callSign: id,
      tankerTypeId: id === 'bobbin' ? 'skiff' : 'barge',
      trackId: 'lane',
      onStationAtMs: OPENS_AT_MS,
      leavesAtMs: HOUR_FROM_MS + 150 * 60_000,
      fuelOnStation: kg(40_000),
      burn: flow(1),
      keeps: kg(5_000),
      mostTransferable: kg(25_000)
    })),
    pushGroups: FLIGHTS.map(({ id, pushS }) => ({ id, name: id, pushAtMs: HOUR_FROM_MS + pushS * 1000 })),
    flights: FLIGHTS.map((flight) => ({
      id: flight.id,
      callSign: flight.id,
      receiverTypeId: flight.type.id,
      priority: 3,
      departureBaseId: 'west',
      recoveryBaseId: 'west',
      divertBaseIds: [],
      startsAtMs: HOUR_FROM_MS + flight.startsS * 1000,
      route: flight.pieces.map((one, index) => phaseDocument(flight, one, index)),
      ships: flight.startKg.map((startKg, index) => ({
        id: shipIdOf(flight, index + 1),
        callSign: `${flight.id} ${String(index + 1)}`,
        fitted: flight.type.externalKg > 0 ? [`${flight.type.id}-drop`] : [],
        startFuel: kg(startKg)
      }))
    })),
    orders: tankerIds.map((tankerId) => ({
      tankerId,
      sequences: STATIONS.filter((station) => station.tankerId === tankerId).map(({ stationId, turns }) => ({
        stationId,
        slots: guestsOf(tankerId).flatMap((flight, index) =>
          (turns[index] ?? []).map((number) => ({
            id: `slot-${shipIdOf(flight, number)}`,
            shipId: shipIdOf(flight, number),
            visitId: visitIdOf(flight)
          }))
        )
      }))
    }))
  }
  const read = readPlan(document)
  if ('faults' in read) throw new Error(`the plan of the seeded hours is refused: ${JSON.stringify(read.faults)}`)
  return read.plan
}
