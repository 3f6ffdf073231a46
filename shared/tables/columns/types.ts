import { FLOW_KINDS, GAUGES, METHODS, PLACES } from '../../contracts/kinds.ts'
import type { Column, Reference } from '../table.ts'
import { choice, needed, optional } from './make.ts'

/* Type sheets: what receivers and tankers of a type are like. */

const RECEIVER_TYPE: Reference = { table: 'receiverTypes' }
const TANKER_TYPE: Reference = { table: 'tankerTypes' }
const GROUP_OF_TYPE: Reference = { table: 'tankGroups', by: ['receiverType'] }
export const STATION_OF_TYPE: Reference = { table: 'stations', by: ['tankerType'] }
const METHOD_WORDS = { receptacle: 'boom', probe: 'drogue', hose: 'drogue', pod: 'drogue', basket: 'drogue' }

const speeds = [
  needed('refuellingLow', 'Slowest refuelling', 'speed', '270 kt', 'refuelling speed low; slowest; min speed'),
  needed('refuellingHigh', 'Fastest refuelling', 'speed', '330 kt', 'refuelling speed high; fastest; max speed')
]

/** The fuel flow of each kind of flight. */
const flows = FLOW_KINDS.map((kind) => {
  const make = kind === 'recovery' || kind === 'refuelling' ? needed : optional
  const name = `${kind[0]?.toUpperCase() ?? ''}${kind.slice(1)}`
  return make(`flows.${kind}`, `${name} flow`, 'flow', '5,100 lb/h', `flow ${kind}; ${kind}; ${kind} burn`, {
    per: 'h'
  })
})

export const RECEIVER_TYPES: readonly Column[] = [
  needed('name', 'Receiver type', 'name', 'what the type is called', 'name; type; aircraft; aircraft type'),
  needed('method', 'Method', 'choice', 'boom or drogue', 'refuelling method', choice(METHODS, METHOD_WORDS)),
  needed('maxRate', 'Most it takes', 'flow', '2,650 lb/min', 'max rate; most', { per: 'min' }),
  needed(
    'gauge',
    'Gauge shows',
    'choice',
    'total or internal',
    'gauge',
    choice(GAUGES, { all: 'total', int: 'internal' })
  ),
  optional('gaugeBand.low', 'Gauge band low', 'quantity', 'internal gauge while externals give: 3,700 lb', 'band low'),
  optional('gaugeBand.high', 'Gauge band high', 'quantity', '4,250 lb', 'band high'),
  optional('notGivingBelow', 'Not giving below', 'quantity', 'below the band: 3,300 lb'),
  optional('feedLowMark', 'Feed low mark', 'quantity', 'its low-level light: 520 lb', 'low level'),
  optional('dump.rate', 'Dump rate', 'flow', '620 lb/min', 'dump', { per: 'min' }),
  optional('weighing.zeroFuel', 'Weight without fuel', 'mass', '14,200 lb', 'zero fuel weight; zero fuel'),
  optional('weighing.reference', 'Weight of the flows', 'mass', '18,900 lb', 'reference weight'),
  ...speeds,
  needed('recoveryAirspeed', 'Recovery airspeed', 'speed', 'true airspeed: 440 kt', 'recovery speed; recovery TAS'),
  needed('approachFuel', 'Approach fuel', 'quantity', '550 lb', 'approach'),
  ...flows
]

export const TANK_GROUPS: readonly Column[] = [
  needed('receiverType', 'Receiver type', 'reference', 'the type it is part of', 'type; aircraft type', {
    refersTo: RECEIVER_TYPE
  }),
  needed('name', 'Tank group', 'name', 'like tanks of one type: Wing', 'name; group; tanks; tank'),
  needed('place', 'Place', 'choice', 'internal or external', '', choice(PLACES, { int: 'internal', ext: 'external' })),
  needed('tankCount', 'Tanks', 'count', 'figures are for one tank: 2', 'count; number; tank count; how many'),
  needed('capacity', 'Capacity', 'quantity', 'of one tank: 340 US gal', 'capacity each; holds'),
  needed('unusable', 'Unusable', 'quantity', 'of one tank: 15 lb', 'unusable each'),
  optional('fillRate', 'Fills at', 'flow', 'most one tank takes: 290 lb/min', 'fill rate', { per: 'min' }),
  optional('fillsAfter', 'Fills after', 'reference', 'the group that must be full first', '', {
    refersTo: GROUP_OF_TYPE
  }),
  needed('canShut', 'Can be shut', 'yesNo', 'yes or no: to the tanker', 'can shut'),
  optional('transferRate', 'Gives at', 'flow', 'most one tank gives: 115 lb/min', 'transfer rate', { per: 'min' }),
  needed('role.kind', 'Role', 'choice', 'feed, stage or reserve', '', choice(['feed', 'stage', 'reserve'])),
  optional('role.turnCount', 'Turn', 'count', 'of a stage, the lowest gives first: 2', 'stage turn; feed order'),
  optional('role.releasedBelow', 'Released below', 'quantity', 'of a reserve, feed fuel: 460 kg'),
  needed('silencedByExternals', 'Silent while externals give', 'yesNo', 'yes or no', 'silenced; silenced by externals'),
  needed('jettisonable', 'Can be jettisoned', 'yesNo', 'yes or no', 'jettisonable'),
  optional('dragFactor', 'Drag factor', 'factor', 'of an external: 1.08', 'drag'),
  optional('dumpTurn', 'Dumped', 'count', 'turn in which it is listed for the dump: 1', 'dump turn')
]

export const TANKER_TYPES: readonly Column[] = [
  needed('name', 'Tanker type', 'name', 'what the type is called', 'name; type'),
  ...speeds
]

export const STATIONS: readonly Column[] = [
  needed('tankerType', 'Tanker type', 'reference', 'the type it is part of', 'type; tanker', { refersTo: TANKER_TYPE }),
  needed('name', 'Station', 'name', 'Boom, Left pod', 'name'),
  needed('method', 'Method', 'choice', 'boom or drogue', '', choice(METHODS, METHOD_WORDS)),
  needed('maxRate', 'Most it gives', 'flow', '3,300 lb/min', 'max rate; rate; most', { per: 'min' }),
  optional('excludes', 'Not together with', 'references', 'stations of the type: Left pod; Right pod', 'excludes', {
    refersTo: STATION_OF_TYPE
  })
]

export const CLEARANCES: readonly Column[] = [
  needed('receiverTypeId', 'Receiver type', 'reference', 'may use the station', 'receiver; aircraft type', {
    refersTo: RECEIVER_TYPE
  }),
  needed('tankerTypeId', 'Tanker type', 'reference', 'whose station it is', 'tanker', { refersTo: TANKER_TYPE }),
  needed('stationId', 'Station', 'reference', 'a station of the tanker type', '', {
    refersTo: { table: 'stations', by: ['tankerTypeId'] }
  })
]
