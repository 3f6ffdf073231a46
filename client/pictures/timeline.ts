import type { Plan } from '../../shared/contracts/plan.ts'
import type { SlotView, TankerView, View } from '../../shared/contracts/view.ts'
import { giveLeftKg, isServed } from '../../shared/live/served.ts'

/** The station timeline as data: which rows there are, and what stands in each, in event time. */

export interface SlotRow {
  slot: SlotView
  /** Disconnect of the one before it on its station; undefined for the first. */
  freeFromMs: number | undefined
}

export interface StationRows {
  stationId: string
  name: string
  /** When it can be used. */
  opensAtMs: number
  closesAtMs: number
  rows: SlotRow[]
}

export interface TankerRows {
  tanker: TankerView
  onStationAtMs: number
  stations: StationRows[]
  /** What it can still give, from each instant on: contacts count whole when they are off. */
  give: { atMs: number; leftKg: number; slotId: string | undefined }[]
}

export interface Timeline {
  fromMs: number
  toMs: number
  tankers: TankerRows[]
}

/** Room at both ends, ms. */
const EDGE_MS = 180_000

export function timelineOf(plan: Plan, view: View): Timeline {
  const tankers = view.tankers.map((tanker) => tankerRows(plan, view, tanker))
  const instants = [
    ...tankers.flatMap(({ onStationAtMs, tanker }) => [onStationAtMs, tanker.leavesAtMs]),
    ...view.slots.flatMap((slot) => [slot.readyAtMs, slot.startAtMs, slot.disconnectAtMs]),
    ...view.pushes.flatMap((push) => [push.plannedAtMs, push.pushAtMs])
  ]
  return {
    fromMs: Math.min(...instants, view.atMs + EDGE_MS) - EDGE_MS,
    toMs: Math.max(...instants, view.atMs) + EDGE_MS,
    tankers
  }
}

function tankerRows(plan: Plan, view: View, tanker: TankerView): TankerRows {
  const planned = plan.tankers.find(({ id }) => id === tanker.tankerId)
  const onStationAtMs = planned?.onStationAtMs ?? view.atMs
  const slots = view.slots.filter(({ tankerId }) => tankerId === tanker.tankerId)
  return {
    tanker,
    onStationAtMs,
    stations: tanker.stations.map(({ stationId, name }) => {
      const window = planned?.windows?.find((one) => one.stationId === stationId)
      return {
        stationId,
        name,
        opensAtMs: Math.max(onStationAtMs, window?.opensAtMs ?? onStationAtMs),
        closesAtMs: Math.min(tanker.leavesAtMs, window?.closesAtMs ?? tanker.leavesAtMs),
        rows: rowsOf(slots.filter((slot) => slot.stationId === stationId))
      }
    }),
    give: giveOf(tanker, onStationAtMs, slots)
  }
}

function rowsOf(slots: readonly SlotView[]): SlotRow[] {
  let freeFromMs: number | undefined
  return slots
    .toSorted((a, b) => a.index - b.index)
    .map((slot) => {
      const row = { slot, freeFromMs }
      if (isServed(slot)) freeFromMs = slot.disconnectAtMs
      return row
    })
}

/** Steps of what a tanker can still give, from its coming to its leaving, in order of disconnect. */
export function giveOf(tanker: TankerView, onStationAtMs: number, slots: readonly SlotView[]): TankerRows['give'] {
  const steps = slots
    .filter((slot) => slot.tankerId === tanker.tankerId && isServed(slot) && slot.state !== 'done')
    .toSorted((a, b) => a.disconnectAtMs - b.disconnectAtMs)
    .map((slot) => ({
      atMs: slot.disconnectAtMs,
      leftKg: giveLeftKg(slot, slots, tanker),
      slotId: slot.slotId
    }))
  return [{ atMs: onStationAtMs, leftKg: tanker.giveKg + tanker.flowedKg, slotId: undefined }, ...steps]
}
