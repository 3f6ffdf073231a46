import { z } from 'zod'
import {
  baseId,
  eventId,
  flightId,
  groupId,
  linkId,
  requestId,
  shipId,
  slotId,
  stationId,
  tankerId,
  visitId
} from './ids.ts'
import {
  COVERS,
  DISCONNECT_KINDS,
  EXTERNALS,
  FACT_VERSION,
  HAND_LIMITS,
  STATION_STATES,
  TANK_TROUBLES
} from './kinds.ts'
import { SIZES } from './bounds.ts'
import { flight, onLoadRule, plan, priority, pushGroup, sequence } from './plan.ts'
import { instantMs, quantity, rateFactor, seqCount, tankNumber } from './quantities.ts'

/*
 * What can happen in an event: one screen. A fact is never changed; a mistake is withdrawn by another fact.
 * `atMs` is event time as observed; `recordedAtMs` is the only real time in the log.
 */

const envelope = {
  v: z.literal(FACT_VERSION),
  eventId,
  seq: seqCount,
  atMs: instantMs,
  recordedAtMs: z.int(),
  by: linkId,
  requestId
}

const fact = <Kind extends string, Shape extends z.ZodRawShape>(kind: Kind, shape: Shape) =>
  z.strictObject({ ...envelope, kind: z.literal(kind), ...shape })

export const anyFact = z.discriminatedUnion('kind', [
  /** The store keeps the revision's number; the document is attached whenever a log is read. */
  fact('planAdopted', { revision: seqCount, plan }),
  fact('eventOpened', {}),
  fact('eventClosed', {}),
  fact('clockSet', { realAtMs: z.int(), eventAtMs: instantMs, rateFactor }),
  fact('shipJoined', { shipId, visitId }),
  fact('fuelCalled', { shipId, fuel: quantity, covers: z.enum(COVERS) }),
  fact('tankerFuelCalled', { tankerId, fuel: quantity }),
  fact('contactMade', { shipId, slotId, tankerId, stationId }),
  fact('fuelFlowing', { shipId, slotId }),
  /** Without an off-load figure the computed one stands. */
  fact('disconnected', {
    shipId,
    slotId,
    how: z.enum(DISCONNECT_KINDS),
    offLoad: quantity.optional(),
    /** The clock since the contact does not bound the off-load. */
    contactCalledLate: z.literal(true).optional()
  }),
  fact('pushed', { shipId, visitId }),
  fact('shipLeft', { shipId, baseId }),
  fact('landed', { shipId, baseId }),
  fact('stationStatus', { tankerId, stationId, status: z.enum(STATION_STATES) }),
  fact('externalsSet', { shipId, externals: z.enum(EXTERNALS) }),
  /** Of one tank, counted from 1, or of the whole group; without a trouble all is well again. */
  fact('troubleSet', {
    shipId,
    groupId,
    tankNumber: tankNumber.optional(),
    trouble: z.enum(TANK_TROUBLES).optional()
  }),
  fact('jettisoned', { shipId, groupIds: z.array(groupId).min(1).max(SIZES.groups) }),
  /** Without a figure the computed limit stands alone again. */
  fact('limitSet', { shipId, limit: z.enum(HAND_LIMITS), fuel: quantity.optional() }),
  fact('pinSet', { slotId, pinned: z.boolean(), serveAnyway: z.boolean() }),
  fact('orderSet', { tankerId, sequences: z.array(sequence) }),
  // What has come otherwise than planned; left out, it is as planned again.
  fact('readySet', { shipId, visitId, readyAtMs: instantMs.optional() }),
  fact('noShowSet', { shipId, noShow: z.boolean() }),
  fact('prioritySet', { flightId, priority: priority.optional() }),
  fact('onLoadSet', { shipId, visitId, onLoad: onLoadRule.optional() }),
  fact('tankerTimesSet', { tankerId, onStationAtMs: instantMs.optional(), leavesAtMs: instantMs.optional() }),
  fact('giveSet', { tankerId, keeps: quantity.optional(), mostTransferable: quantity.optional() }),
  /** Closed for landing. */
  fact('baseSet', { baseId, open: z.boolean() }),
  /** A flight of one that nobody planned; its slot stands in an order recorded with it. */
  fact('receiverAdded', { flight, pushGroup: pushGroup.optional() }),
  /** Whoever flies the ship has read its slot: of this published revision, as it stood after this fact. */
  fact('slotSeen', { shipId, revision: seqCount, seenSeq: seqCount }),
  /** Who looks after a tanker; without a link nobody in particular. */
  fact('tankerHeld', { tankerId, holder: linkId.optional() }),
  fact('factWithdrawn', { withdrawnSeq: seqCount })
])

export type Fact = z.infer<typeof anyFact>
export type FactOf<Kind extends Fact['kind']> = Extract<Fact, { kind: Kind }>
/** What `decide` gives: everything but what the room adds when it commits. */
type WithoutEnvelope<F> = F extends unknown
  ? Omit<F, 'v' | 'eventId' | 'seq' | 'recordedAtMs' | 'by' | 'requestId'>
  : never
export type NewFact = WithoutEnvelope<Fact>
