import type { Gauge, MassUnit, VolumeUnit } from '../contracts/kinds.ts'
import type { Reported } from '../units.ts'

/** What the entry line may speak of: the event's own names. Fuel in kilograms, instants in event time. */
export interface Vocabulary {
  massUnit: MassUnit
  nowMs: number
  /** When what is said was observed, where it was not now. */
  observedAtMs?: number
  /** Nothing is observed before. */
  opensAtMs: number
  ships: readonly {
    shipId: string
    callSign: string
    gauge: Gauge
    /** The most all its tanks hold. */
    capacityKg: number
    /** Between what a call of its own gauge is within reason now; undefined where that is not known. */
    reason?: { leastKg: number; mostKg: number } | undefined
    /** The slot that counts now. */
    slotId: string | undefined
    pinned: boolean
    /** On its way home, or landed: it goes on with nobody. */
    left: boolean
    /** It has joined for the contact to come, or is done with it and has not gone on. */
    isThere: boolean
    /** When it is expected down, at the base it goes to; undefined where nobody knows. */
    landsAtMs: number | undefined
    /** What has flowed at an instant in the contact it is in; undefined where it is in none. */
    flowedAt: ((atMs: number) => Flowed | undefined) | undefined
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
    /** As carried on from its last call; undefined before it is on station. */
    fuelKg: number | undefined
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

/** Of a contact, kg. */
export interface Flowed {
  /** Aboard when fuel began to flow, and burned since. */
  hadKg: number
  burnedKg: number
  plannedKg: number
  /** By the clock; half a minute before; in half a minute. */
  flowedKg: number
  flowedBeforeKg: number
  flowedSoonKg: number
  /** More cannot have flowed since the contact was called. */
  mostFlowedKg: number
  /** More is refused: the tanks have no room for it. */
  mostTakenKg: number
}

export type Ship = Vocabulary['ships'][number]
export type Flight = Vocabulary['flights'][number]
export type Tanker = Vocabulary['tankers'][number]
export type Station = Tanker['stations'][number]
