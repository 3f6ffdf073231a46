import type { MassUnit } from '../shared/contracts/kinds.ts'
import type { SlotView } from '../shared/contracts/view.ts'
import { clockText, contactText, latestContactText, onLoadText, pastText } from './figures.ts'
import { laneSlot, type LaneFrame } from './lane.ts'

/** All that a lane shows, but for how far its strip has moved. */
export interface LanePicture {
  frame: LaneFrame
  slot: SlotView | undefined
  later: readonly SlotView[]
  unit: MassUnit
  station: string
  /** Its slot is of an order that is not in force. */
  draft: boolean
}

/** Places are told apart to this part of the lane: a fifth of a pixel of a wide one. */
const FINEST = 5_000

/** Two pictures with one key look alike: their words are the same, and their marks in the same places. */
export function pictureKey({ frame, slot, later, unit, station, draft }: LanePicture): string {
  const { nowMs, originMs, spanMs } = frame
  return [
    nowMs,
    originMs,
    spanMs,
    station,
    draft,
    ...(slot === undefined ? [] : [placesOf(slot, frame), ...wordsOf(slot, unit)]),
    ...later.map((other) => placesOf(other, frame))
  ].join('|')
}

const wordsOf = (slot: SlotView, unit: MassUnit): string[] => [
  slot.state,
  slot.pinned ? 'pinned' : '',
  contactText(slot),
  onLoadText(slot, unit),
  latestContactText(slot),
  slot.pastS > 0 ? pastText(slot) : '',
  slot.state === 'done' && slot.latestPushAtMs !== null ? clockText(slot.latestPushAtMs) : ''
]

function placesOf(slot: SlotView, frame: LaneFrame): string {
  const { startsAt, contactAt, endsAt, latestAt, pushAt, beyond, latestPast } = laneSlot(slot, frame)
  const places = [startsAt, contactAt, endsAt, latestAt, pushAt]
  const rounded = places.map((share) => (share === undefined ? '' : Math.round(share * FINEST)))
  return [slot.slotId, beyond, latestPast, ...rounded].join(' ')
}
