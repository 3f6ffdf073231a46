import type { Reason, ShipView, SlotView } from '../../contracts/view.ts'
import { hasAbortBase, isOpenAt } from '../../plan/abort.ts'
import type { Brief } from '../../plan/brief.ts'
import { slotNow, type Scene } from './scene.ts'

/** Until they have had their contact these count to abort fuel. */
const BEFORE_CONTACT: ReadonlySet<ShipView['status']> = new Set(['planned', 'inbound', 'waiting', 'next', 'must leave'])

/** A ship without an abort base has no abort fuel, and no margin to it: whoever still counts to it ranks above all. */
export function withoutAbortBase(ship: ShipView, scene: Scene): ShipView {
  if (ship.abortBaseId === null || hasOne(scene)) return ship
  const margin = BEFORE_CONTACT.has(ship.status) ? null : ship.margin
  const abortWhy = ship.abortWhy ?? 'not open'
  return { ...ship, limits: { ...ship.limits, abort: null }, abortKg: null, abortBaseId: null, abortWhy, margin }
}

/** Whether a ship has an abort base for the contact ahead, or for its visit where it has no slot. */
function hasOne(scene: Scene): boolean {
  const { plan, crew, nowMs } = scene
  const slot = slotNow(scene)
  const ofVisit = slot?.placed.visit.id === crew.current?.id ? slot : undefined
  const trackId = ofVisit?.placed.tanker.trackId ?? plan.tankers.get(crew.current?.tankerId ?? '')?.trackId
  const contactAtMs = ofVisit?.out.contactAtMs ?? Math.max(nowMs, crew.current?.readyAtMs ?? nowMs)
  return trackId === undefined || hasAbortBase(plan, crew.flight, trackId, contactAtMs)
}

const NO_ABORT = {
  abortBaseId: null,
  abortKg: null,
  abortGaugeKg: null,
  latestContactAtMs: null,
  leaveWaitByMs: null,
  slackS: null
} as const

/** The same of a slot to come: what counts to abort fuel has no answer either. */
export function slotWithoutAbortBase(slot: SlotView, { plan, crew }: Scene): SlotView {
  const trackId = plan.tankers.get(slot.tankerId)?.trackId ?? ''
  return hasAbortBase(plan, crew.flight, trackId, slot.contactAtMs)
    ? slot
    : { ...slot, ...NO_ABORT, abortWhy: slot.abortWhy ?? 'not open' }
}

/**
 * Ships that bases leave without: those with a contact to come, or in contact, on a track without an abort base that is
 * open and fit; those that recover at a closed base and have no other that is named, open and within reach; and those
 * that come to a base outside its times. `blank` is a reason of nothing.
 */
export function baseReasons(
  blank: Omit<Reason, 'kind' | 'severity'>,
  plan: Brief,
  scenes: ReadonlyMap<string, Scene>,
  { ships, slots }: { ships: readonly ShipView[]; slots: readonly SlotView[] }
): Reason[] {
  const noAbort = slots.flatMap((slot): Reason[] => {
    const baseId = plan.tracks.get(plan.tankers.get(slot.tankerId)?.trackId ?? '')?.abortBaseId
    if ((slot.state !== 'planned' && slot.state !== 'in contact') || slot.abortBaseId !== null) return []
    const { slotId, shipId, tankerId, contactAtMs: atMs, abortWhy } = slot
    const about = { shipId, slotId, tankerId, atMs, ...(baseId !== undefined && { baseId }) }
    return [{ ...blank, kind: 'no abort base', severity: 'now', ...about, ...(abortWhy && { why: abortWhy }) }]
  })
  const noBase = ships.flatMap((ship): Reason[] => {
    const { status, left, recoveryBaseId, shipId, slotId } = ship
    if (status === 'landed' || status === 'no-show') return []
    const baseId = left?.baseId ?? recoveryBaseId
    if (baseId === null) return []
    if (plan.landings.get(baseId)?.closed === true)
      return [{ ...blank, kind: 'no open base', severity: 'now', shipId, slotId, baseId }]
    const atMs = left ? left.arrivesAtMs : landsAtMs(scenes.get(shipId))
    if (atMs === null || isOpenAt(plan, baseId, atMs)) return []
    return [{ ...blank, kind: 'base not open', severity: 'soon', shipId, slotId, baseId, atMs }]
  })
  return [...noAbort, ...noBase]
}

/** When its way ahead ends, at its recovery base. */
const landsAtMs = (scene: Scene | undefined): number | null =>
  scene?.legs.find((leg) => leg.kind === 'ended')?.fromAtMs ?? null
