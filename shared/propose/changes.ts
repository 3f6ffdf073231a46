import { isServed } from '../live/served.ts'
import { STEP_KG, STEP_MS } from '../order/judgement.ts'
import type { SlotOut } from '../order/times.ts'

/** What another order changes for one slot; a span is new less old. */
export interface SlotChange {
  readonly slotId: string
  readonly shipId: string
  readonly was: Place | undefined
  readonly becomes: Place | undefined
  /** Of the contact, where it has one in both. */
  readonly contactLaterMs: number | undefined
  readonly moreOnLoadKg: number
  readonly pushLaterMs: number
  readonly moreShortKg: number
  /** Lost before and served now, or served before and lost now. */
  readonly turns: 'saved' | 'lost' | undefined
  /** Put elsewhere, not only later or earlier where it stood. */
  readonly moved: boolean
}

export interface Place {
  readonly stationId: string
  readonly index: number
  readonly contactAtMs: number
  readonly disconnectAtMs: number
  readonly onLoadKg: number
  readonly pushAtMs: number
  readonly shortageKg: number
  readonly served: boolean
}

/**
 * What one order changes against another for each slot still to be flown, worst first: who is lost, who is saved, who is
 * moved, who comes later. Slots for which nothing changes by a step of the judgement are left out. Spans ms, masses kg.
 */
export function changesOf(
  before: readonly SlotOut[],
  after: readonly SlotOut[],
  about: { readonly shipOf: (slotId: string) => string; readonly moved: readonly string[] }
): SlotChange[] {
  const was = new Map(before.map((slot) => [slot.slotId, slot]))
  const becomes = new Map(after.map((slot) => [slot.slotId, slot]))
  const ids = [...new Set([...becomes.keys(), ...was.keys()])]
  return ids
    .map((slotId) => changeOf(slotId, was.get(slotId), becomes.get(slotId), about))
    .filter((change) => change !== undefined)
    .sort((a, b) => urgency(a) - urgency(b) || (b.contactLaterMs ?? 0) - (a.contactLaterMs ?? 0))
}

/** Flown, or nothing comes of it in either order; a visit that is gone with the one before may come back. */
const over = (before: SlotOut | undefined, after: SlotOut | undefined): boolean =>
  before?.state === 'done' || after?.state === 'done' || (before?.state === 'gone' && after?.state === 'gone')

function changeOf(
  slotId: string,
  before: SlotOut | undefined,
  after: SlotOut | undefined,
  { shipOf, moved }: { readonly shipOf: (slotId: string) => string; readonly moved: readonly string[] }
): SlotChange | undefined {
  if (over(before, after)) return undefined
  const was = before && placeOf(before)
  const becomes = after && placeOf(after)
  const both = was?.served === true && becomes?.served === true
  const change: SlotChange = {
    slotId,
    shipId: shipOf(slotId),
    was,
    becomes,
    contactLaterMs: both ? becomes.contactAtMs - was.contactAtMs : undefined,
    moreOnLoadKg: (becomes?.onLoadKg ?? 0) - (was?.onLoadKg ?? 0),
    pushLaterMs: both ? becomes.pushAtMs - was.pushAtMs : 0,
    moreShortKg: (becomes?.shortageKg ?? 0) - (was?.shortageKg ?? 0),
    turns: was?.served === becomes?.served ? undefined : becomes?.served === true ? 'saved' : 'lost',
    moved: moved.includes(slotId) || was === undefined || was.stationId !== becomes?.stationId
  }
  const news =
    change.moved ||
    change.turns !== undefined ||
    Math.abs(change.contactLaterMs ?? 0) >= STEP_MS ||
    Math.abs(change.pushLaterMs) >= STEP_MS ||
    Math.abs(change.moreOnLoadKg) >= STEP_KG
  return news ? change : undefined
}

const placeOf = (slot: SlotOut): Place => ({
  stationId: slot.stationId,
  index: slot.index,
  contactAtMs: slot.contactAtMs,
  disconnectAtMs: slot.disconnectAtMs,
  onLoadKg: slot.onLoadKg,
  pushAtMs: slot.pushAtMs,
  shortageKg: slot.shortageKg,
  served: isServed(slot)
})

function urgency({ turns, moved, contactLaterMs }: SlotChange): number {
  if (turns === 'lost') return 0
  if (turns === 'saved') return 1
  if (moved) return 2
  return (contactLaterMs ?? 0) > 0 ? 3 : 4
}
