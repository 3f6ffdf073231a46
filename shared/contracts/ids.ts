import { z } from 'zod'

/** Ids are minted once and never reused; call signs are labels that may change. */
const id = z
  .string()
  .regex(/^[a-z0-9][a-z0-9.-]{0,59}$/, { error: 'an id: lower-case letters, digits, dots and hyphens, at most 60' })

export const eventId = id.brand<'EventId'>()
export const linkId = id.brand<'LinkId'>()
export const requestId = z
  .string()
  .regex(/^[A-Za-z0-9-]{8,64}$/, { error: 'a request id: 8 to 64 letters, digits and hyphens' })
  .brand<'RequestId'>()
export const receiverTypeId = id.brand<'ReceiverTypeId'>()
export const tankerTypeId = id.brand<'TankerTypeId'>()
export const groupId = id.brand<'GroupId'>()
export const stationId = id.brand<'StationId'>()
export const tankerId = id.brand<'TankerId'>()
export const trackId = id.brand<'TrackId'>()
export const baseId = id.brand<'BaseId'>()
export const flightId = id.brand<'FlightId'>()
export const shipId = id.brand<'ShipId'>()
export const phaseId = id.brand<'PhaseId'>()
/** A visit is the refuelling phase of a flight; its id is that phase's id. */
export const visitId = id.brand<'VisitId'>()
export const pushGroupId = id.brand<'PushGroupId'>()
export const slotId = id.brand<'SlotId'>()

export type EventId = z.infer<typeof eventId>
export type LinkId = z.infer<typeof linkId>
export type RequestId = z.infer<typeof requestId>
export type ReceiverTypeId = z.infer<typeof receiverTypeId>
export type TankerTypeId = z.infer<typeof tankerTypeId>
export type GroupId = z.infer<typeof groupId>
export type StationId = z.infer<typeof stationId>
export type TankerId = z.infer<typeof tankerId>
export type TrackId = z.infer<typeof trackId>
export type BaseId = z.infer<typeof baseId>
export type FlightId = z.infer<typeof flightId>
export type ShipId = z.infer<typeof shipId>
export type PhaseId = z.infer<typeof phaseId>
export type VisitId = z.infer<typeof visitId>
export type PushGroupId = z.infer<typeof pushGroupId>
export type SlotId = z.infer<typeof slotId>
