import { z } from 'zod'
import { SIZES } from './bounds.ts'
import {
  baseId,
  flightId,
  groupId,
  phaseId,
  pushGroupId,
  receiverTypeId,
  shipId,
  slotId,
  stationId,
  tankerId,
  tankerTypeId,
  trackId,
  visitId
} from './ids.ts'
import {
  FUEL_GRADES,
  GAUGES,
  MASS_UNITS,
  METHODS,
  PHASE_KINDS,
  PLACES,
  PLAN_VERSION,
  PRIORITIES,
  WAIT_SIDES
} from './kinds.ts'
import {
  bearingDeg,
  density,
  dragFactor,
  durationMin,
  flow,
  instantMs,
  mass,
  position,
  quantity,
  sharePercent,
  shortMin,
  speed,
  tankCount,
  turnCount,
  windSpeed
} from './quantities.ts'

/*
 * The plan document: everything a tanker cycle is planned from, as one JSON file. Figures are kept as typed;
 * shared/plan/check.ts holds the rules that span fields, shared/plan/brief.ts resolves it to SI once a revision.
 */

const name = z.string().trim().min(1).max(SIZES.nameLength)
/** A field that is shown as typed and worked with nowhere. */
const plainWords = z.string().trim().min(1).max(SIZES.plainWordsLength)
export const callSign = z.string().trim().min(1).max(SIZES.callSignLength)

/** Rules for fuel on landing that ask for no route. */
export const simpleReserve = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('minutes'), holdingMin: shortMin }),
  z.strictObject({ kind: z.literal('fixed'), fuel: quantity })
])
/** The rule for fuel on landing. */
const oneReserve = z.discriminatedUnion('kind', [
  ...simpleReserve.options,
  /** Of the fuel planned from take-off to the base, by way of the control point for an abort; not below the floor. */
  z.strictObject({ kind: z.literal('share'), sharePercent, floor: quantity }),
  /** The same share, asked at control points alone: a recovery field can be reached from each with it in hand. */
  z.strictObject({ kind: z.literal('rendezvous'), sharePercent })
])
export const landingReserve = z.discriminatedUnion('kind', [
  ...oneReserve.options,
  z.strictObject({ kind: z.literal('greatest'), of: z.array(oneReserve).min(1).max(4) })
])

/** What a group of like tanks does for the engines: the engines drink from `feed` alone. */
export const groupRole = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('feed') }),
  z.strictObject({ kind: z.literal('stage'), turnCount }),
  z.strictObject({ kind: z.literal('reserve'), releasedBelow: quantity })
])

/** Like tanks of one type; every figure is for one tank. */
export const tankGroup = z.strictObject({
  id: groupId,
  name,
  place: z.enum(PLACES),
  tankCount,
  capacity: quantity,
  unusable: quantity,
  /** Most one tank takes from a tanker. Left out on an external group: its share of a quarter of what the internal groups take. */
  fillRate: flow.optional(),
  fillsAfter: groupId.optional(),
  canShut: z.boolean(),
  /** Most one tank gives to the feed group; the feed group itself has none. */
  transferRate: flow.optional(),
  role: groupRole,
  silencedByExternals: z.boolean(),
  jettisonable: z.boolean(),
  /** Multiplies the fuel flow while the group is fitted. */
  dragFactor: dragFactor.optional()
})

export const receiverType = z.strictObject({
  id: receiverTypeId,
  name,
  method: z.enum(METHODS),
  /** Most the whole receiver takes. */
  maxRate: flow,
  gauge: z.enum(GAUGES),
  /** Where an internal gauge stands while externals give. */
  gaugeBand: z.strictObject({ low: quantity, high: quantity }).optional(),
  /** An internal gauge below this with externals selected: they are empty, or they do not give. */
  notGivingBelow: quantity.optional(),
  /** Quantity of the whole feed group at which its low-level light comes on. */
  feedLowMark: quantity.optional(),
  /** Groups that can be dumped, and the rate of all together. */
  dump: z.strictObject({ rate: flow, groupIds: z.array(groupId).min(1).max(SIZES.groups) }).optional(),
  /** With it flows grow with weight and are stated at the reference weight; without it they do not. */
  weighing: z.strictObject({ zeroFuel: mass, reference: mass }).optional(),
  refuellingLow: speed,
  refuellingHigh: speed,
  recoveryAirspeed: speed,
  approachFuel: quantity,
  /** Fuel flow of one ship by kind of flight, without external tanks; only the kinds its flights fly. */
  flows: z.strictObject({
    taxi: flow.optional(),
    departure: flow.optional(),
    climb: flow.optional(),
    transit: flow.optional(),
    loiter: flow.optional(),
    combat: flow.optional(),
    recovery: flow,
    refuelling: flow,
    holding: flow.optional()
  }),
  groups: z.array(tankGroup).min(1).max(SIZES.groups)
})

export const station = z.strictObject({
  id: stationId,
  name,
  method: z.enum(METHODS),
  maxRate: flow,
  /** Stations of the tanker that cannot be used together with this one; said at one of the two it holds for both. */
  excludes: z.array(stationId).max(SIZES.stationsPerTanker).optional()
})

export const tankerType = z.strictObject({
  id: tankerTypeId,
  name,
  refuellingLow: speed,
  refuellingHigh: speed,
  stations: z.array(station).min(1).max(SIZES.stationsPerTanker)
})

/** A receiver type may use a station of a tanker type. What is not listed is not allowed. */
export const clearance = z.strictObject({
  receiverTypeId,
  tankerTypeId,
  stationId
})

export const base = z.strictObject({
  id: baseId,
  name,
  position,
  /** Nobody lands earlier or later than this; left out, it is open all along. */
  opensAtMs: instantMs.optional(),
  closesAtMs: instantMs.optional(),
  /** Receiver types that can land there; left out, all of them. */
  fitFor: z.array(receiverTypeId).max(SIZES.receiverTypes).optional(),
  /** Whether there is fuel for those that land; left out, nobody has said. */
  fuelThere: z.boolean().optional()
})

export const track = z.strictObject({
  id: trackId,
  name,
  controlPoint: position,
  /** Turn points of the orbit; the abort fuel counts from the worst of them. */
  orbit: z.array(position).min(2).max(SIZES.orbitPoints),
  abortBaseId: baseId,
  /** Stands in for the abort base where that one is closed or not fit. */
  secondAbortBaseId: baseId.optional()
})

/** How receivers join a tanker, as agreed with it: plain words for slot and card, nothing is worked out from them. */
export const join = z.strictObject({
  rendezvous: plainWords.optional(),
  rendezvousAtMs: instantMs.optional(),
  block: plainWords.optional(),
  waitLevel: plainWords.optional(),
  waitSide: z.enum(WAIT_SIDES).optional(),
  frequency: plainWords.optional()
})

export const tanker = z.strictObject({
  id: tankerId,
  callSign,
  tankerTypeId,
  trackId,
  onStationAtMs: instantMs,
  leavesAtMs: instantMs,
  /** Aboard when it comes on station. */
  fuelOnStation: quantity,
  burn: flow,
  /** What it keeps for its own way home. */
  keeps: quantity,
  mostTransferable: quantity,
  join: join.optional(),
  /** When a station can be used, inside the tanker's own time; a station that is not listed can be used all of it. */
  windows: z
    .array(z.strictObject({ stationId, opensAtMs: instantMs, closesAtMs: instantMs }))
    .max(SIZES.stationsPerTanker)
    .optional()
})

export const pushGroup = z.strictObject({ id: pushGroupId, name, pushAtMs: instantMs })

export const onLoadRule = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('required') }),
  z.strictObject({ kind: z.literal('internals') }),
  z.strictObject({ kind: z.literal('full') }),
  z.strictObject({ kind: z.literal('fixed'), fuel: quantity })
])

export const span = z.discriminatedUnion('by', [
  z.strictObject({ by: z.literal('duration'), durationMin }),
  z.strictObject({ by: z.literal('leg'), to: position, trueAirspeed: speed }),
  /** A climb or descent from a chart: time and fuel whole; drag of fitted tanks still multiplies the fuel. */
  z.strictObject({ by: z.literal('lump'), durationMin, fuel: quantity, to: position.optional() })
])

export const flyPhase = z.strictObject({
  id: phaseId,
  kind: z.enum(PHASE_KINDS),
  span,
  /** Overrides the type's flow for this kind; drag of fitted tanks still multiplies it. */
  flow: flow.optional(),
  /** External groups thrown off when the phase begins. */
  jettisons: z.array(groupId).max(SIZES.groups).optional(),
  /** Usable fuel down to which it dumps from the beginning of the phase. */
  dumpTo: quantity.optional()
})

export const visit = z.strictObject({
  id: visitId,
  kind: z.literal('refuelling'),
  tankerId,
  pushGroupId,
  onLoad: onLoadRule,
  /** Wait from ready to slot start that the visit before must leave fuel for. */
  waitAllowanceMin: shortMin.optional()
})

export const phase = z.discriminatedUnion('kind', [flyPhase, visit])

export const ship = z.strictObject({
  id: shipId,
  callSign,
  /** External groups carried; internal groups are always there. */
  fitted: z.array(groupId).max(SIZES.groups),
  startFuel: quantity,
  /** Comes along to step in for another ship. */
  airSpare: z.literal(true).optional(),
  /** In place of the visit's own rule, for this ship alone. */
  onLoads: z
    .array(z.strictObject({ visitId, onLoad: onLoadRule }))
    .max(SIZES.phases)
    .optional()
})

export const priority = z.literal([...PRIORITIES])

export const flight = z.strictObject({
  id: flightId,
  callSign,
  receiverTypeId,
  priority,
  /** Its ships may go to different tankers, and others may come between them. */
  maySpread: z.boolean().optional(),
  /** Its ships may leave with their internal tanks full, where their rule asks for more. */
  mayTakeInternalsOnly: z.boolean().optional(),
  departureBaseId: baseId,
  recoveryBaseId: baseId,
  divertBaseIds: z.array(baseId).max(SIZES.bases),
  startsAtMs: instantMs,
  route: z.array(phase).min(1).max(SIZES.phases),
  /** Set by hand, for every ship of the flight; never below what is computed. */
  limits: z
    .strictObject({
      abort: quantity.optional(),
      bingo: quantity.optional(),
      joker: quantity.optional(),
      required: quantity.optional()
    })
    .optional(),
  ships: z.array(ship).min(1).max(SIZES.shipsPerFlight),
  /** With fewer ships the flight does not go on. */
  leastShipCount: z.int().min(1).max(SIZES.shipsPerFlight).optional()
})

/** One contact of one ship in one visit. */
export const orderedSlot = z.strictObject({
  id: slotId,
  shipId,
  visitId,
  /** It comes no earlier than this. */
  notBeforeAtMs: instantMs.optional(),
  /** It leaves with its internal tanks full, whatever its rule asks for; only where its flight may. */
  internalsOnly: z.literal(true).optional()
})
export const sequence = z.strictObject({ stationId, slots: z.array(orderedSlot).max(SIZES.slotsPerStation) })
/** The order of one tanker, whole: who comes to which station, in turn. */
export const tankerOrder = z.strictObject({ tankerId, sequences: z.array(sequence).max(SIZES.stationsPerTanker) })

export const planRules = z.strictObject({
  hookUpBoomMin: shortMin,
  hookUpDrogueMin: shortMin,
  changeoverWithinFlightMin: shortMin,
  changeoverBoomMin: shortMin,
  changeoverDrogueMin: shortMin,
  /** From a disconnect to the use of a station that excludes that one; needed where stations exclude each other. */
  methodChangeMin: shortMin.optional(),
  /** From the last disconnect of a push group to its push. */
  reformMin: shortMin,
  /** A margin shorter than this is "soon". */
  lateMarginMin: shortMin,
  staleAfterMin: shortMin,
  jokerAllowance: quantity,
  landingReserve,
  windFromDeg: bearingDeg,
  windSpeed
})

export const plan = z.strictObject({
  v: z.literal(PLAN_VERSION),
  name,
  opensAtMs: instantMs,
  massUnit: z.enum(MASS_UNITS),
  fuelGrade: z.enum(FUEL_GRADES),
  fuelDensity: density,
  rules: planRules,
  receiverTypes: z.array(receiverType).min(1).max(SIZES.receiverTypes),
  tankerTypes: z.array(tankerType).min(1).max(SIZES.tankerTypes),
  clearances: z.array(clearance).max(SIZES.clearances),
  bases: z.array(base).min(1).max(SIZES.bases),
  tracks: z.array(track).min(1).max(SIZES.tracks),
  tankers: z.array(tanker).min(1).max(SIZES.tankers),
  pushGroups: z.array(pushGroup).min(1).max(SIZES.pushGroups),
  flights: z.array(flight).min(1).max(SIZES.flights),
  orders: z.array(tankerOrder).max(SIZES.tankers),
  /** Ships in the order in which they are dropped when fuel is short: the first one first. */
  fallOut: z.array(shipId).max(SIZES.ships).optional()
})

export type Plan = z.infer<typeof plan>
export type PlanRules = z.infer<typeof planRules>
export type LandingReserve = z.infer<typeof landingReserve>
export type TankGroup = z.infer<typeof tankGroup>
export type ReceiverType = z.infer<typeof receiverType>
export type TankerType = z.infer<typeof tankerType>
export type Station = z.infer<typeof station>
export type Clearance = z.infer<typeof clearance>
export type Base = z.infer<typeof base>
export type Track = z.infer<typeof track>
export type Join = z.infer<typeof join>
export type Tanker = z.infer<typeof tanker>
export type PushGroup = z.infer<typeof pushGroup>
export type OnLoadRule = z.infer<typeof onLoadRule>
export type FlyPhase = z.infer<typeof flyPhase>
export type Visit = z.infer<typeof visit>
export type Phase = z.infer<typeof phase>
export type Ship = z.infer<typeof ship>
export type Flight = z.infer<typeof flight>
export type OrderedSlot = z.infer<typeof orderedSlot>
export type Sequence = z.infer<typeof sequence>
export type TankerOrder = z.infer<typeof tankerOrder>
