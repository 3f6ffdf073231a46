/**
 * The demonstration event: an invented exercise over an inland sea with four shores. Nothing in it is real: types,
 * bases, call signs and figures are made up, and the positions lie in open ocean.
 */
import { plan as planSchema, type Plan } from '../../shared/contracts/plan.ts'
import { RECEIVERS } from '../../shared/library/receivers.ts'
import { TANKERS } from '../../shared/library/tankers.ts'
import { MS_PER_MIN } from '../../shared/units.ts'

const lb = (value: number) => ({ value, unit: 'lb' as const })
const lbPerH = (value: number) => ({ value, unit: 'lb/h' as const })
const kt = (value: number) => ({ value, unit: 'kt' as const })
const at = (latitudeDeg: number, longitudeDeg: number) => ({ latitudeDeg, longitudeDeg })

export const DEMO_NAME = 'Four Shores'

const NORTH = at(44.15, -155.4)
const SOUTH = at(42.35, -153.7)
/** Where the flights do their task. */
const EAST_SHORE = at(43.35, -152.9)
const MIDDLE = at(43.25, -155.1)
const WEST_SHORE = at(43.45, -156.6)

const BASES = [
  { id: 'adze', name: 'Adze Field', position: at(45.35, -155.6), fuelThere: true },
  { id: 'burdock', name: 'Burdock Field', position: at(43.6, -151.5), fuelThere: true },
  { id: 'cresset', name: 'Cresset Field', position: at(41.15, -154.2), fuelThere: true },
  { id: 'drizzle', name: 'Drizzle Field', position: at(43.2, -158.7), fuelThere: true },
  { id: 'elder', name: 'Elder Strip', position: at(44.9, -153.2) }
]
/** Short, without fuel, and open no longer than its flight may need it. */
const STRIP = {
  id: 'flail',
  name: 'Flail Strip',
  position: at(41.7, -156.9),
  fitFor: ['nettle', 'osier', 'sedge'],
  fuelThere: false
}

/** Of the library, the types that fly here. */
const RECEIVER_TYPES = RECEIVERS.filter(({ id }) => ['larch', 'maple', 'sedge', 'nettle', 'osier'].includes(id))
const TANKER_TYPES = TANKERS.filter(({ id }) => ['ladle', 'trivet', 'gimlet'].includes(id))

/** Receiver types by tanker type and station; a type that is not listed is not allowed there. */
const CLEARANCES = [
  ...['larch', 'maple'].map((type) => [type, 'ladle', 'boom']),
  ...['left', 'right', 'centre'].map((station) => ['sedge', 'trivet', station]),
  ...['left', 'right'].map((station) => ['osier', 'trivet', station]),
  ...['nettle', 'osier', 'sedge'].flatMap((type) => ['left', 'right'].map((station) => [type, 'gimlet', station]))
].map(([receiverTypeId, tankerTypeId, stationId]) => ({ receiverTypeId, tankerTypeId, stationId }))

const leg = (id: string, kind: string, to: ReturnType<typeof at>, trueAirspeedKt: number) => ({
  id,
  kind,
  span: { by: 'leg', to, trueAirspeed: kt(trueAirspeedKt) }
})
const lasting = (id: string, kind: string, durationMin: number, flow?: { value: number; unit: string }) => ({
  id,
  kind,
  span: { by: 'duration', durationMin },
  ...(flow ? { flow } : {})
})
const visit = (id: string, tankerId: string, pushGroupId: string, onLoad: object) => ({
  id,
  kind: 'refuelling',
  tankerId,
  pushGroupId,
  onLoad
})

/** Ships of a flight, numbered from 1; each with its start fuel. */
const ships = (callSign: string, fitted: readonly string[], startFuels: readonly { value: number; unit: string }[]) =>
  startFuels.map((startFuel, index) => ({
    id: `${callSign.toLowerCase()}-${String(index + 1)}`,
    callSign: `${callSign} ${String(index + 1)}`,
    fitted,
    startFuel
  }))

/** The last of them comes along to step in for another. */
const withSpare = <Ship>(flown: readonly Ship[]) =>
  flown.map((ship, index) => (index === flown.length - 1 ? { ...ship, airSpare: true } : ship))

const turn = (visitId: string, ...shipIds: readonly string[]) =>
  shipIds.map((shipId) => ({ id: `${visitId}.${shipId}`, shipId, visitId }))

/** The demonstration plan, opening at an instant; its first contacts come some 25 minutes later. */
export function demoPlan(openingAtMs: number): Plan {
  const minutes = (min: number): number => openingAtMs + Math.round(min * MS_PER_MIN)
  return planSchema.parse({
    v: 1,
    name: DEMO_NAME,
    opensAtMs: openingAtMs,
    massUnit: 'lb',
    fuelGrade: 'JP-8',
    fuelDensity: { value: 0.802, unit: 'kg/L' },
    rules: {
      hookUpBoomMin: 1.5,
      hookUpDrogueMin: 2,
      changeoverWithinFlightMin: 0.5,
      changeoverBoomMin: 2,
      changeoverDrogueMin: 3,
      reformMin: 1.5,
      lateMarginMin: 5,
      staleAfterMin: 10,
      jokerAllowance: lb(900),
      landingReserve: {
        kind: 'greatest',
        of: [
          { kind: 'minutes', holdingMin: 12 },
          { kind: 'rendezvous', sharePercent: 18 },
          { kind: 'share', sharePercent: 14, floor: lb(1100) }
        ]
      },
      windFromDeg: 285,
      windSpeed: kt(38)
    },
    receiverTypes: RECEIVER_TYPES,
    tankerTypes: TANKER_TYPES,
    clearances: CLEARANCES,
    bases: [...BASES, { ...STRIP, opensAtMs: minutes(8), closesAtMs: minutes(109) }],
    tracks: [
      {
        id: 'yarrow',
        name: 'Track Yarrow',
        controlPoint: NORTH,
        orbit: [NORTH, at(44.15, -154.75), at(43.98, -154.75), at(43.98, -155.4)],
        abortBaseId: 'adze'
      },
      {
        id: 'tansy',
        name: 'Track Tansy',
        controlPoint: SOUTH,
        orbit: [SOUTH, at(42.35, -153.05), at(42.2, -153.05), at(42.2, -153.7)],
        abortBaseId: 'cresset',
        secondAbortBaseId: 'flail'
      }
    ],
    tankers: [
      {
        id: 'mallet',
        callSign: 'Mallet',
        tankerTypeId: 'ladle',
        trackId: 'yarrow',
        onStationAtMs: minutes(8),
        leavesAtMs: minutes(125),
        fuelOnStation: lb(146000),
        burn: lbPerH(9700),
        keeps: lb(22500),
        mostTransferable: lb(97000),
        join: {
          rendezvous: 'from behind, below',
          rendezvousAtMs: minutes(20),
          block: 'FL 240 to 260',
          waitLevel: 'FL 240',
          waitSide: 'left',
          frequency: '283.4 MHz'
        }
      },
      {
        id: 'auger',
        callSign: 'Auger',
        tankerTypeId: 'trivet',
        trackId: 'yarrow',
        onStationAtMs: minutes(12),
        leavesAtMs: minutes(120),
        fuelOnStation: lb(104000),
        burn: lbPerH(11200),
        keeps: lb(19500),
        mostTransferable: lb(90500),
        join: {
          rendezvous: 'head-on, turning in',
          rendezvousAtMs: minutes(18),
          block: 'FL 200 to 220',
          waitLevel: 'FL 200',
          waitSide: 'left',
          frequency: '291.7 MHz'
        }
      },
      {
        id: 'sorrel',
        callSign: 'Sorrel',
        tankerTypeId: 'gimlet',
        trackId: 'tansy',
        onStationAtMs: minutes(24),
        leavesAtMs: minutes(105),
        fuelOnStation: { value: 27500, unit: 'kg' },
        burn: { value: 2150, unit: 'kg/h' },
        keeps: { value: 5200, unit: 'kg' },
        mostTransferable: { value: 18900, unit: 'kg' },
        join: { rendezvous: 'over the control point', block: 'FL 180 to 200', waitLevel: 'FL 180', waitSide: 'right' }
      }
    ],
    pushGroups: [
      { id: 'sweep', name: 'Sweep', pushAtMs: minutes(65) },
      { id: 'escort', name: 'Escort', pushAtMs: minutes(47) },
      { id: 'main', name: 'Main', pushAtMs: minutes(60) },
      { id: 'shore', name: 'Shore', pushAtMs: minutes(57) },
      { id: 'late', name: 'Late watch', pushAtMs: minutes(74) },
      { id: 'return', name: 'Return', pushAtMs: minutes(103) }
    ],
    flights: [
      {
        id: 'alder',
        callSign: 'Alder',
        receiverTypeId: 'larch',
        priority: 2,
        departureBaseId: 'adze',
        recoveryBaseId: 'adze',
        divertBaseIds: ['elder', 'drizzle'],
        startsAtMs: minutes(9),
        route: [
          lasting('alder-taxi', 'taxi', 5),
          lasting('alder-off', 'departure', 3),
          lasting('alder-climb', 'climb', 5),
          leg('alder-out', 'transit', NORTH, 420),
          visit('alder-visit-1', 'mallet', 'sweep', { kind: 'fixed', fuel: lb(2700) }),
          leg('alder-in', 'transit', MIDDLE, 460),
          lasting('alder-task', 'combat', 6),
          leg('alder-back', 'transit', NORTH, 450),
          { ...visit('alder-visit-2', 'mallet', 'return', { kind: 'required' }), waitAllowanceMin: 4 },
          lasting('alder-watch', 'loiter', 22),
          leg('alder-home', 'recovery', at(45.35, -155.6), 440)
        ],
        leastShipCount: 3,
        ships: ships('Alder', ['larch-wing-tank'], [lb(10200), lb(10300), lb(10100), lb(10250)])
      },
      {
        id: 'kelp',
        callSign: 'Kelp',
        receiverTypeId: 'sedge',
        priority: 2,
        departureBaseId: 'drizzle',
        recoveryBaseId: 'drizzle',
        divertBaseIds: ['adze'],
        startsAtMs: minutes(4),
        route: [
          lasting('kelp-taxi', 'taxi', 4),
          lasting('kelp-climb', 'climb', 6),
          leg('kelp-out', 'transit', NORTH, 450),
          visit('kelp-visit-1', 'auger', 'main', { kind: 'fixed', fuel: lb(3700) }),
          leg('kelp-in', 'transit', WEST_SHORE, 440),
          lasting('kelp-task', 'combat', 5, lbPerH(12600)),
          leg('kelp-back', 'transit', NORTH, 450),
          visit('kelp-visit-2', 'auger', 'return', { kind: 'internals' }),
          lasting('kelp-watch', 'loiter', 10),
          leg('kelp-home', 'recovery', at(43.2, -158.7), 430)
        ],
        leastShipCount: 3,
        ships: ships('Kelp', ['sedge-wing-tank'], [lb(10500), lb(10400), lb(10500), lb(10300)])
      },
      {
        id: 'chisel',
        callSign: 'Chisel',
        receiverTypeId: 'osier',
        priority: 4,
        departureBaseId: 'burdock',
        recoveryBaseId: 'burdock',
        divertBaseIds: ['cresset', 'elder'],
        startsAtMs: minutes(12),
        route: [
          lasting('chisel-taxi', 'taxi', 5),
          lasting('chisel-climb', 'climb', 5),
          leg('chisel-out', 'transit', SOUTH, 400),
          visit('chisel-visit', 'sorrel', 'shore', { kind: 'full' }),
          leg('chisel-in', 'transit', EAST_SHORE, 420),
          lasting('chisel-task', 'loiter', 25),
          leg('chisel-home', 'recovery', at(43.6, -151.5), 400)
        ],
        limits: { abort: lb(2500) },
        ships: ships('Chisel', ['osier-centre-tank'], [lb(6300), lb(6200)])
      },
      {
        id: 'rasp',
        callSign: 'Rasp',
        receiverTypeId: 'sedge',
        priority: 1,
        departureBaseId: 'elder',
        recoveryBaseId: 'elder',
        divertBaseIds: ['adze', 'burdock'],
        startsAtMs: minutes(1),
        route: [
          lasting('rasp-taxi', 'taxi', 5),
          lasting('rasp-climb', 'climb', 6),
          leg('rasp-out', 'transit', NORTH, 430),
          visit('rasp-visit', 'auger', 'escort', { kind: 'full' }),
          leg('rasp-in', 'transit', MIDDLE, 460),
          lasting('rasp-task', 'combat', 7),
          leg('rasp-home', 'recovery', at(44.9, -153.2), 430)
        ],
        limits: { bingo: lb(3260), joker: lb(4700) },
        leastShipCount: 3,
        ships: ships('Rasp', [], [lb(6600), lb(6500), lb(6550), lb(6900)])
      },
      {
        id: 'thistle',
        callSign: 'Thistle',
        receiverTypeId: 'nettle',
        priority: 3,
        departureBaseId: 'cresset',
        recoveryBaseId: 'cresset',
        divertBaseIds: ['flail', 'burdock'],
        startsAtMs: minutes(8),
        route: [
          lasting('thistle-taxi', 'taxi', 6),
          {
            id: 'thistle-climb',
            kind: 'climb',
            span: { by: 'lump', durationMin: 5, fuel: { value: 275, unit: 'kg' } }
          },
          leg('thistle-out', 'transit', SOUTH, 380),
          visit('thistle-visit', 'sorrel', 'main', { kind: 'required' }),
          leg('thistle-in', 'transit', EAST_SHORE, 390),
          lasting('thistle-task', 'combat', 14),
          leg('thistle-home', 'recovery', at(41.15, -154.2), 370)
        ],
        limits: { required: lb(7000) },
        ships: ships(
          'Thistle',
          ['nettle-wing-tank'],
          [
            { value: 4050, unit: 'kg' },
            { value: 3950, unit: 'kg' },
            { value: 4050, unit: 'kg' },
            { value: 3900, unit: 'kg' }
          ]
        )
      },
      {
        id: 'sleet',
        callSign: 'Sleet',
        receiverTypeId: 'maple',
        priority: 1,
        departureBaseId: 'adze',
        recoveryBaseId: 'elder',
        divertBaseIds: ['adze'],
        startsAtMs: minutes(5),
        route: [
          lasting('sleet-taxi', 'taxi', 4),
          lasting('sleet-climb', 'climb', 5),
          leg('sleet-out', 'transit', NORTH, 450),
          visit('sleet-visit', 'mallet', 'escort', { kind: 'internals' }),
          leg('sleet-in', 'transit', EAST_SHORE, 470),
          lasting('sleet-task', 'combat', 4),
          leg('sleet-home', 'recovery', at(44.9, -153.2), 450)
        ],
        leastShipCount: 3,
        ships: withSpare(ships('Sleet', [], [lb(11300), lb(11100), lb(11350), lb(11750)]))
      },
      {
        id: 'squall',
        callSign: 'Squall',
        receiverTypeId: 'maple',
        priority: 3,
        departureBaseId: 'burdock',
        recoveryBaseId: 'burdock',
        divertBaseIds: ['elder'],
        startsAtMs: minutes(23),
        route: [
          lasting('squall-taxi', 'taxi', 5),
          lasting('squall-climb', 'climb', 6),
          leg('squall-out', 'transit', NORTH, 450),
          visit('squall-visit', 'mallet', 'late', { kind: 'required' }),
          leg('squall-in', 'transit', EAST_SHORE, 460),
          lasting('squall-task', 'loiter', 20),
          { ...leg('squall-home', 'recovery', at(43.6, -151.5), 450), dumpTo: lb(4420) }
        ],
        limits: { required: lb(10600) },
        leastShipCount: 1,
        ships: ships('Squall', ['maple-belly-tank'], [lb(14800), lb(14700)])
      }
    ],
    orders: [
      {
        tankerId: 'mallet',
        sequences: [
          {
            stationId: 'boom',
            slots: [
              ...turn('sleet-visit', 'sleet-2', 'sleet-1', 'sleet-3', 'sleet-4'),
              ...turn('alder-visit-1', 'alder-3', 'alder-4', 'alder-1', 'alder-2'),
              ...turn('squall-visit', 'squall-2', 'squall-1'),
              ...turn('alder-visit-2', 'alder-3', 'alder-4', 'alder-1', 'alder-2')
            ]
          }
        ]
      },
      {
        tankerId: 'auger',
        sequences: [
          {
            stationId: 'left',
            slots: [
              ...turn('rasp-visit', 'rasp-2'),
              ...turn('kelp-visit-1', 'kelp-4', 'kelp-3'),
              ...turn('kelp-visit-2', 'kelp-4')
            ]
          },
          {
            stationId: 'right',
            slots: [
              ...turn('rasp-visit', 'rasp-3'),
              ...turn('kelp-visit-1', 'kelp-2'),
              ...turn('kelp-visit-2', 'kelp-2', 'kelp-3')
            ]
          },
          {
            stationId: 'centre',
            slots: [
              ...turn('rasp-visit', 'rasp-1', 'rasp-4'),
              ...turn('kelp-visit-1', 'kelp-1'),
              ...turn('kelp-visit-2', 'kelp-1')
            ]
          }
        ]
      },
      {
        tankerId: 'sorrel',
        sequences: [
          {
            stationId: 'left',
            slots: [...turn('thistle-visit', 'thistle-4', 'thistle-1'), ...turn('chisel-visit', 'chisel-2')]
          },
          {
            stationId: 'right',
            slots: [...turn('thistle-visit', 'thistle-2', 'thistle-3'), ...turn('chisel-visit', 'chisel-1')]
          }
        ]
      }
    ],
    fallOut: ['sleet-4', 'squall-2', 'chisel-2', 'thistle-4', 'kelp-4', 'alder-4']
  })
}
