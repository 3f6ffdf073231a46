import type { Gauge, MassUnit, VolumeUnit } from '../contracts/kinds.ts'
import type { Reported } from '../units.ts'

/** What the entry line may speak of: the event's own names. Fuel in kilograms, instants in event time. */
export interface Vocabulary {
  massUnit: MassUnit
  nowMs: number
  /** Nothing is observed before. */
  opensAtMs: number
  ships: readonly {
    shipId: string
    callSign: string
    gauge: Gauge
    /** The most all its tanks hold. */
    capacityKg: number
    /** The slot that counts now. */
    slotId: string | undefined
    pinned: boolean
    /** On its way home, or landed: it goes on with nobody. */
    left: boolean
    /** When it is ready for its next contact; undefined while it has none to come. */
    readyAtMs: number | undefined
    /** Tank groups it still carries; the capacity of all tanks of a group together. */
    groups: readonly { groupId: string; name: string; external: boolean; tankCount: number; capacityKg: number }[]
  }[]
  flights: readonly { flightId: string; callSign: string; shipIds: readonly string[] }[]
  tankers: readonly {
    tankerId: string
    callSign: string
    stations: readonly { stationId: string; name: string }[]
    /** As planned when it comes on station; no bound of what it may call. */
    plannedFuelKg: number
    /** As they count now. */
    onStationAtMs: number
    leavesAtMs: number
    givenKg: number
    /** What has been told otherwise than planned: saying one thing anew says the other again. */
    told: {
      onStationAtMs?: number | undefined
      leavesAtMs?: number | undefined
      keeps?: Reported<MassUnit | VolumeUnit> | undefined
      mostTransferable?: Reported<MassUnit | VolumeUnit> | undefined
    }
  }[]
  bases: readonly { baseId: string; name: string }[]
  /** Types of receivers. */
  types: readonly { receiverTypeId: string; name: string }[]
}

export type Ship = Vocabulary['ships'][number]
export type Flight = Vocabulary['flights'][number]
export type Tanker = Vocabulary['tankers'][number]
export type Station = Tanker['stations'][number]
