import type { Gauge, MassUnit } from '../contracts/kinds.ts'

/** What the entry line may speak of: the event's own names. Fuel in kilograms. */
export interface Vocabulary {
  massUnit: MassUnit
  ships: readonly {
    shipId: string
    callSign: string
    gauge: Gauge
    /** The most all its tanks hold. */
    capacityKg: number
    /** The slot that counts now. */
    slotId: string | undefined
    pinned: boolean
    /** Tank groups it still carries. */
    groups: readonly { groupId: string; name: string; external: boolean; tankCount: number }[]
  }[]
  flights: readonly { callSign: string; shipIds: readonly string[] }[]
  tankers: readonly {
    tankerId: string
    callSign: string
    stations: readonly { stationId: string; name: string }[]
  }[]
  bases: readonly { baseId: string; name: string }[]
}

export type Ship = Vocabulary['ships'][number]
export type Tanker = Vocabulary['tankers'][number]
export type Station = Tanker['stations'][number]
