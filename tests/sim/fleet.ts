/**
 * The package of the seeded hours: 24 ships of three invented types in six flights, two flights a tanker, all on the
 * equator without wind, where a distance is a longitude and every limit is one line of arithmetic. Written once, read
 * twice: as the plan the board is given, and as what the ships are to do. All figures SI.
 */
/** Instant 0 of the hour; the event has been open for a while then. */
export const HOUR_FROM_MS = Date.UTC(2032, 6, 8, 10)
export const OPENS_AT_MS = HOUR_FROM_MS - 16 * 60_000

export interface Type {
  id: string
  method: 'boom' | 'drogue'
  gauge: 'total' | 'internal'
  internalKg: number
  externalKg: number
  /** Burn with what is fitted over the burn without. */
  dragFactor: number
  fillKgPerS: { internal: number; external: number; most: number }
}

const ASPEN: Type = {
  id: 'aspen',
  method: 'boom',
  gauge: 'total',
  internalKg: 4500,
  externalKg: 0,
  dragFactor: 1,
  fillKgPerS: { internal: 7, external: 0, most: 7 }
}
const BIRCH: Type = {
  id: 'birch',
  method: 'drogue',
  gauge: 'total',
  internalKg: 2400,
  externalKg: 600,
  dragFactor: 1.05,
  fillKgPerS: { internal: 3, external: 1, most: 3.6 }
}
const CEDAR: Type = {
  id: 'cedar',
  method: 'boom',
  gauge: 'internal',
  internalKg: 1700,
  externalKg: 1000,
  dragFactor: 1.05,
  fillKgPerS: { internal: 4.5, external: 1.5, most: 6 }
}

/** Of every type, without what is fitted, kg/s. */
export const FLOW = { transit: 0.6, loiter: 0.55, combat: 1.5, recovery: 0.55, refuelling: 0.5, holding: 0.45 }
export type Flown = Exclude<keyof typeof FLOW, 'holding'>
export const APPROACH_KG = 100
export const RESERVE_S = 600
export const HOME_M_PER_S = 200
export const TRANSFER_KG_PER_S = 3
export const HOOK_UP_S = 90
export const CHANGEOVER_S = { within: 30, between: 120 }
export const REFORM_S = 120
/** Where the tankers are, how far their orbits go, and where the task is, km east of the one base. */
export const TRACK_KM = 150
export const ORBIT_KM = 180
const TASK_KM = 240

export interface Piece {
  kind: Flown
  durationS: number
  fromKm: number
  toKm: number
}

export interface Flight {
  id: string
  type: Type
  tankerId: string
  startsS: number
  pushS: number
  /** The visit is the one that refuels; its duration is what the order makes of it. */
  pieces: readonly Piece[]
  startKg: readonly number[]
  /** Seconds before the planned arrival at which the last two hold their externals; none where undefined. */
  holdS: number | undefined
}

const min = (minutes: number): number => minutes * 60
const piece = (kind: Flown, minutes: number, fromKm: number, toKm = fromKm): Piece => ({
  kind,
  durationS: min(minutes),
  fromKm,
  toKm
})

/** Out to the tanker, to the task, home. */
const TANKER_FIRST: readonly Piece[] = [
  piece('transit', 18, 0, TRACK_KM),
  piece('refuelling', 0, TRACK_KM),
  piece('transit', 6, TRACK_KM, TASK_KM),
  piece('combat', 6, TASK_KM),
  piece('recovery', 20, TASK_KM, 0)
]
/** Out to the task, back to the tanker, a watch there, home. */
const TASK_FIRST: readonly Piece[] = [
  piece('transit', 14, 0, TASK_KM),
  piece('loiter', 10, TASK_KM),
  piece('transit', 6, TASK_KM, TRACK_KM),
  piece('refuelling', 0, TRACK_KM),
  piece('loiter', 15, TRACK_KM),
  piece('recovery', 12.5, TRACK_KM, 0)
]

const early = { startsS: min(-14), pieces: TANKER_FIRST }
const late = { startsS: min(0), pieces: TASK_FIRST }
export const TYPES: readonly Type[] = [ASPEN, BIRCH, CEDAR]
export const FLIGHTS: readonly Flight[] = [
  {
    ...early,
    id: 'ash',
    type: ASPEN,
    tankerId: 'anvil',
    pushS: min(27),
    startKg: [1800, 1950, 2100, 2250],
    holdS: undefined
  },
  {
    ...late,
    id: 'bay',
    type: CEDAR,
    tankerId: 'anvil',
    pushS: min(54),
    startKg: [2250, 2400, 2550, 2700],
    holdS: undefined
  },
  {
    ...early,
    id: 'cob',
    type: BIRCH,
    tankerId: 'bobbin',
    pushS: min(25),
    startKg: [1950, 1950, 2200, 2200],
    holdS: undefined
  },
  {
    ...late,
    id: 'dun',
    type: BIRCH,
    tankerId: 'bobbin',
    pushS: min(50),
    startKg: [2300, 2300, 2550, 2550],
    holdS: undefined
  },
  {
    ...early,
    id: 'elm',
    type: CEDAR,
    tankerId: 'crank',
    pushS: min(29),
    startKg: [2100, 2250, 2400, 2550],
    holdS: 180
  },
  {
    ...late,
    id: 'fir',
    type: ASPEN,
    tankerId: 'crank',
    pushS: min(54),
    startKg: [2150, 2300, 2450, 2600],
    holdS: undefined
  }
]

export const flowOf = (type: Type, kind: Flown): number => FLOW[kind] * type.dragFactor

export interface Station {
  key: string
  tankerId: string
  stationId: string
  rateKgPerS: number
  /** Ship numbers of the early flight, then of the late one, in turn. */
  turns: readonly (readonly number[])[]
}
const boom = (tankerId: string): Station => ({
  key: `${tankerId}/boom`,
  tankerId,
  stationId: 'boom',
  rateKgPerS: 8,
  turns: [
    [1, 2, 3, 4],
    [1, 2, 3, 4]
  ]
})
const hose = (stationId: string, numbers: readonly number[]): Station => ({
  key: `bobbin/${stationId}`,
  tankerId: 'bobbin',
  stationId,
  rateKgPerS: 3.5,
  turns: [numbers, numbers]
})
export const STATIONS: readonly Station[] = [boom('anvil'), hose('left', [1, 3]), hose('right', [2, 4]), boom('crank')]

export const shipIdOf = (flight: Flight, number: number): string => `${flight.id}-${String(number)}`
export const visitIdOf = (flight: Flight): string => `${flight.id}-visit`
/** The flights that go to a tanker, in the order in which they come. */
export const guestsOf = (tankerId: string): readonly Flight[] =>
  FLIGHTS.filter((flight) => flight.tankerId === tankerId)
/** Place of the refuelling among the pieces of a flight. */
export const visitIndexOf = ({ pieces }: Flight): number => pieces.findIndex((piece) => piece.kind === 'refuelling')
/** The instant of a second of the hour, ms. */
export const atMs = (atS: number): number => HOUR_FROM_MS + Math.round(atS * 1000)
