import { HAND_LIMITS, PHASE_KINDS, PRIORITIES } from '../../contracts/kinds.ts'
import type { Column, Reference } from '../table.ts'
import { choice, needed, optional } from './make.ts'

/* Flights, their ships, the way they fly, and who comes to which station in turn. */

const BASE: Reference = { table: 'bases' }
const FLIGHT: Reference = { table: 'flights' }
const TANKER: Reference = { table: 'tankers' }
const GROUP_OF_FLIGHT: Reference = { table: 'tankGroups', by: ['flight', 'receiverTypeId'] }
const KIND_WORDS = {
  visit: 'refuelling',
  tanker: 'refuelling',
  refuel: 'refuelling',
  refueling: 'refuelling',
  task: 'combat',
  leg: 'transit',
  hold: 'loiter',
  'take-off': 'departure'
}

const limits = HAND_LIMITS.map((limit) => {
  const name = `${limit[0]?.toUpperCase() ?? ''}${limit.slice(1)}`
  return optional(
    `limits.${limit}`,
    `${name} by hand`,
    'quantity',
    'only above the computed one: 3,260 lb',
    `${limit}; ${limit} limit`,
    { leastBare: 100 }
  )
})

export const FLIGHTS: readonly Column[] = [
  needed('callSign', 'Flight', 'callSign', 'its call sign', 'call sign; c/s; name'),
  needed(
    'receiverTypeId',
    'Receiver type',
    'reference',
    'a receiver type',
    'type; aircraft; aircraft type; a/c; a/c type',
    {
      refersTo: { table: 'receiverTypes' }
    }
  ),
  needed('priority', 'Priority', 'choice', '1 (first) to 5', 'prio; pri', choice(PRIORITIES.map(String))),
  needed(
    'departureBaseId',
    'From',
    'reference',
    'a base',
    'departure base; departure; take-off base; dep; dep base; origin',
    {
      refersTo: BASE
    }
  ),
  needed(
    'recoveryBaseId',
    'Recovery',
    'reference',
    'a base',
    'recovery base; to; landing base; rec; rec base; destination; home base',
    { refersTo: BASE }
  ),
  optional(
    'divertBaseIds',
    'Diverts',
    'references',
    'bases: Adze Field; Elder Strip',
    'divert bases; divert; div; alternates; alternate; altn',
    {
      refersTo: BASE,
      blankIsNone: true
    }
  ),
  needed('startsAtMs', 'Starts', 'instant', 'first phase: 1209', 'start; starts at; start time; taxi'),
  optional(
    'leastShipCount',
    'Least ships',
    'count',
    'with fewer the flight does not go on: 2',
    'least; minimum ships; min ships'
  ),
  optional('maySpread', 'May spread', 'yesNo', 'yes: its ships may go to different tankers', 'may split'),
  optional('mayTakeInternalsOnly', 'May take internals only', 'yesNo', 'yes or no', 'internals only'),
  ...limits
]

export const SHIPS: readonly Column[] = [
  needed('callSign', 'Ship', 'callSign', 'its call sign', 'call sign; c/s; name'),
  needed('flight', 'Flight', 'reference', 'the flight it is part of', '', { refersTo: FLIGHT }),
  optional(
    'fitted',
    'Fitted',
    'references',
    'external groups: Wing tank',
    'externals; external tanks; tanks; drop tanks; stores',
    {
      refersTo: GROUP_OF_FLIGHT,
      blankIsNone: true
    }
  ),
  needed('startFuel', 'Start fuel', 'quantity', '10,200 lb', 'fuel; fuel at start; fuel load; ramp fuel', {
    leastBare: 100
  }),
  optional('airSpare', 'Air spare', 'yesNo', 'yes: it steps in for another', 'spare', { yesOnly: true }),
  optional(
    'fallOutTurn',
    'Falls out',
    'count',
    'when fuel is short, 1 goes first',
    'fall-out turn; fall out; fall-out'
  ),
  optional('onLoads', 'Own on-load', 'ownOnLoads', 'by visit: 1: full; 2: 2,700 lb', 'own on-loads', {
    refersTo: { table: 'route', by: ['flight'] }
  })
]

export const ROUTE: readonly Column[] = [
  needed('flight', 'Flight', 'reference', 'a flight; its rows are flown in turn', 'call sign; c/s', {
    refersTo: FLIGHT
  }),
  needed(
    'kind',
    'Phase',
    'choice',
    [...PHASE_KINDS, 'refuelling'].join(', '),
    'kind; step',
    choice([...PHASE_KINDS, 'refuelling'], KIND_WORDS)
  ),
  optional('span.durationMin', 'Minutes', 'minutes', '5, where it is no leg', 'duration; time; min'),
  optional('span.to', 'To', 'place', 'a base, a track or a position', 'position; destination; to place'),
  optional('span.trueAirspeed', 'True airspeed', 'speed', 'of a leg: 420 kt', 'TAS; airspeed; speed'),
  optional('span.fuel', 'Fuel whole', 'quantity', 'of a climb from a chart, with its minutes: 275 kg', 'fuel; lump'),
  optional('flow', 'Flow', 'flow', 'in place of the flow of its type: 12,600 lb/h', 'fuel flow; burn', { per: 'h' }),
  optional('jettisons', 'Jettisons', 'references', 'external groups thrown off as it begins', 'jettison', {
    refersTo: GROUP_OF_FLIGHT
  }),
  optional('dumpTo', 'Dumps to', 'quantity', 'usable fuel: 4,420 lb', 'dump to; dump', { leastBare: 100 }),
  optional('tankerId', 'Tanker', 'reference', 'of a refuelling', '', { refersTo: TANKER }),
  optional('pushGroupId', 'Push group', 'reference', 'of a refuelling', 'push', { refersTo: { table: 'pushGroups' } }),
  optional(
    'onLoad',
    'On-load',
    'onLoad',
    'of a refuelling: required, internals, full or 2,700 lb',
    'onload; rule; on-load rule'
  ),
  optional('waitAllowanceMin', 'Wait allowance', 'minutes', 'from ready to slot start: 4', 'wait')
]

export const ORDER: readonly Column[] = [
  needed('tanker', 'Tanker', 'reference', 'its call sign', 'tkr', { refersTo: TANKER }),
  optional('station', 'Station', 'reference', 'a station of its type', 'stn; hose', {
    refersTo: { table: 'stations', by: ['tanker', 'tankerTypeId'] }
  }),
  optional(
    'turn',
    'Turn',
    'count',
    'at the station, from 1; blank: after those with a turn',
    'slot; sequence; seq; order; no'
  ),
  optional('shipId', 'Ship', 'reference', 'its call sign', 'call sign; c/s; receiver; rcvr', {
    refersTo: { table: 'ships' }
  }),
  optional('visitId', 'Visit', 'reference', 'of its flight, from 1; blank where it has one', '', {
    refersTo: { table: 'route', by: ['shipId', 'flight'] }
  }),
  optional('notBeforeAtMs', 'Not before', 'instant', '1240', 'not before at'),
  optional('internalsOnly', 'Internals only', 'yesNo', 'yes: it leaves with its internal tanks full', '', {
    yesOnly: true
  })
]
