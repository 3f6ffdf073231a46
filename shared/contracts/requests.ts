import { z } from 'zod'
import { SIZES } from './bounds.ts'
import {
  baseId,
  flightId,
  groupId,
  pushGroupId,
  receiverTypeId,
  requestId,
  shipId,
  slotId,
  stationId,
  tankerId,
  visitId
} from './ids.ts'
import { COVERS, DISCONNECT_KINDS, EXTERNALS, HAND_LIMITS, ROLES, STATION_STATES, TANK_TROUBLES } from './kinds.ts'
import { callSign, onLoadRule, plan, priority, receiverType, simpleReserve, tankerOrder } from './plan.ts'
import {
  density,
  distance,
  durationMin,
  flow,
  instantMs,
  quantity,
  rateFactor,
  seqCount,
  shortMin,
  speed,
  tankNumber
} from './quantities.ts'

/** What may be asked of an event. `atMs` is when it was observed, in event time; left out, it is now. */
const ask = <Kind extends string, Shape extends z.ZodRawShape>(kind: Kind, shape: Shape) =>
  z.strictObject({ requestId, kind: z.literal(kind), atMs: instantMs.optional(), ...shape })

export const anyRequest = z.discriminatedUnion('kind', [
  ask('openEvent', {}),
  ask('closeEvent', {}),
  /** Left out, event time stays as it is: the pace alone is set. */
  ask('setClock', { eventAtMs: instantMs.optional(), rateFactor }),
  /** The visit is the ship's next one. */
  ask('joinShip', { shipId }),
  ask('callFuel', { shipId, fuel: quantity, covers: z.enum(COVERS) }),
  ask('callTankerFuel', { tankerId, fuel: quantity }),
  /** Without a slot the ship's next one; without a station the one its slot stands at. */
  ask('makeContact', {
    shipId,
    slotId: slotId.optional(),
    tankerId: tankerId.optional(),
    stationId: stationId.optional()
  }),
  ask('startFlow', { shipId }),
  /** Where the contact was called late, an off-load may be more than has flowed since then. */
  ask('disconnect', {
    shipId,
    how: z.enum(DISCONNECT_KINDS),
    offLoad: quantity.optional(),
    contactCalledLate: z.literal(true).optional()
  }),
  ask('push', { shipIds: z.array(shipId).min(1).max(SIZES.shipsPerFlight) }),
  /** Without a base the one that applies where the ship is: the track's abort base, or its recovery base. */
  ask('leave', { shipId, baseId: baseId.optional() }),
  ask('land', { shipId, baseId: baseId.optional() }),
  ask('setStation', { tankerId, stationId, status: z.enum(STATION_STATES) }),
  ask('setExternals', { shipId, externals: z.enum(EXTERNALS) }),
  /** Of one tank, counted from 1, or of the whole group; without a trouble all is well again. */
  ask('setTrouble', {
    shipId,
    groupId,
    tankNumber: tankNumber.optional(),
    trouble: z.enum(TANK_TROUBLES).optional()
  }),
  /** Without groups all that can be jettisoned. */
  ask('jettison', { shipId, groupIds: z.array(groupId).min(1).max(SIZES.groups).optional() }),
  /** Refused below the computed limit; without a figure the computed one stands alone again. */
  ask('setLimit', { shipId, limit: z.enum(HAND_LIMITS), fuel: quantity.optional() }),
  ask('setPin', { slotId, pinned: z.boolean(), serveAnyway: z.boolean() }),
  /** Refused as stale when an order of these tankers changed after `basedOnSeq`; a fuel call never makes it stale. */
  ask('setOrder', {
    orders: z.array(tankerOrder).min(1).max(SIZES.tankers),
    basedOnSeq: seqCount
  }),
  /** When the ship will be ready for its next visit; left out, as planned again. */
  ask('setReady', { shipId, readyAtMs: instantMs.optional() }),
  ask('setNoShow', { shipId, noShow: z.boolean() }),
  ask('setPriority', { flightId, priority: priority.optional() }),
  /** Without a visit the ship's next one; without a rule the plan's again. */
  ask('setOnLoad', { shipId, visitId: visitId.optional(), onLoad: onLoadRule.optional() }),
  /** Both times whole: what is left out is as planned again. */
  ask('setTankerTimes', { tankerId, onStationAtMs: instantMs.optional(), leavesAtMs: instantMs.optional() }),
  /** Both figures whole: what is left out is as planned again. */
  ask('setGive', { tankerId, keeps: quantity.optional(), mostTransferable: quantity.optional() }),
  ask('setBase', { baseId, open: z.boolean() }),
  /**
   * A receiver nobody planned: a flight of one, with this fuel now, at this tanker and then home. Without a push group it
   * goes on alone, planned as soon as it could be served first; without a base it recovers to the abort base of the track;
   * nothing external is fitted unless told; ready now, priority 3 and the fuel it requires unless told otherwise.
   */
  ask('addReceiver', {
    callSign,
    receiverTypeId,
    fuel: quantity,
    tankerId,
    fitted: z.array(groupId).max(SIZES.groups).optional(),
    pushGroupId: pushGroupId.optional(),
    recoveryBaseId: baseId.optional(),
    priority: priority.optional(),
    readyAtMs: instantMs.optional(),
    onLoad: onLoadRule.optional()
  }),
  /** The slot of the ship was read: in this published revision, and after this fact, the last one the page showed. */
  ask('seeSlot', { shipId, revision: seqCount, seenSeq: seqCount }),
  /** Whoever asks looks after the tanker from now on, whoever did before; or nobody does any more. */
  ask('holdTanker', { tankerId, held: z.boolean() }),
  ask('withdrawFact', { withdrawnSeq: seqCount })
])
export type EventRequest = z.infer<typeof anyRequest>
/** Publishing is adopting; it comes by its own route. */
export interface AdoptRequest {
  kind: 'adoptPlan'
  requestId: string
  atMs?: number
  revision: number
  plan: z.infer<typeof plan>
}
export type AnyRequest = EventRequest | AdoptRequest

export const savePlanBody = z.strictObject({ revisionSeen: seqCount, plan })
/** A repeat after an unknown outcome carries the same id, so that one event is made and no second. */
export const createPlanBody = z.strictObject({ requestId: requestId.optional(), plan })
/** `revisionSeen`: the newest that whoever publishes knows of; where a newer one was saved they are asked. Left out, any. */
export const publishBody = z.strictObject({ requestId, revision: seqCount, revisionSeen: seqCount.optional() })
export const signInBody = z.strictObject({ secret: z.string().min(16).max(128) })
/** `expiresAtMs` is real time; left out, the link holds until it is revoked. */
export const createLinkBody = z.strictObject({
  role: z.enum(ROLES).exclude(['owner']),
  shipId: shipId.optional(),
  expiresAtMs: instantMs.optional()
})
/** Left out, it expires when it would have; null: no more. */
export const renewLinkBody = z.strictObject({ expiresAtMs: instantMs.nullable().optional() })

/** One ship on one station, no event needed. */
export const onLoadBody = z.strictObject({
  receiverType,
  /** Needed as soon as anything is given by volume. */
  fuelDensity: density.optional(),
  fitted: z.array(z.string()).max(SIZES.groups),
  /** Aboard when `ahead` begins; at contact where nothing lies ahead. */
  fuelNow: quantity,
  externals: z.enum(EXTERNALS),
  /** What is flown until contact, hook-up included, in order; flows as the type's, drag of fitted tanks multiplies them. */
  ahead: z.array(z.strictObject({ durationMin, flow })).max(SIZES.phases).optional(),
  stationRate: flow,
  /** `fuelAtDisconnect` stands in for a requirement, which only a plan can state. */
  onLoad: z.discriminatedUnion('kind', [
    z.strictObject({ kind: z.literal('fuelAtDisconnect'), fuel: quantity }),
    z.strictObject({ kind: z.literal('internals') }),
    z.strictObject({ kind: z.literal('full') }),
    z.strictObject({ kind: z.literal('fixed'), fuel: quantity })
  ]),
  /** The way to the abort base from the worst point of the orbit; without it no limit is worked out. */
  abort: z
    .strictObject({ distance, groundSpeed: speed, landingReserve: simpleReserve, byHand: quantity.optional() })
    .optional(),
  lateMarginMin: shortMin.optional(),
  windowMin: shortMin.optional(),
  give: quantity.optional(),
  jettisonsAfter: z.boolean().optional()
})
export type OnLoadBody = z.infer<typeof onLoadBody>

/** A plan with sequences (the plan's own when left out), seen at an event time (the opening when left out). */
export const orderBody = z.strictObject({
  plan,
  orders: z.array(tankerOrder).max(SIZES.tankers).optional(),
  atMs: instantMs.optional()
})
export type OrderBody = z.infer<typeof orderBody>
