/** One ship at one instant, with everything its figures are made from; and what it is doing. */
import type { ShipStatus } from '../../contracts/view.ts'
import type { SlotOut } from '../../order/times.ts'
import type { Brief, VisitBrief } from '../../plan/brief.ts'
import { isTask } from '../../plan/limits.ts'
import type { TankState } from '../../tanks/sheet.ts'
import { wayAhead, type ContactAhead, type WayAhead } from '../ahead.ts'
import { atFactor, legAt, legsOf, type Leg } from '../course.ts'
import { keep, type Crew, type Order, type PlacedSlot } from '../slots.ts'

/** Everything the figures of one ship are made from, at one instant. */
export interface Scene {
  plan: Brief
  nowMs: number
  crew: Crew
  /** Legs with the pushes of the order. */
  legs: readonly Leg[]
  leg: Leg
  tanks: TankState
  /** From the last call on; what lies before now is in it as well. */
  way: WayAhead
  /** This ship's slots, in order of visit. */
  slots: readonly { placed: PlacedSlot; out: SlotOut }[]
  /** Tells this course from others that follow from the same calls. */
  key: string
}

export function sceneOf(
  plan: Brief,
  crew: Crew,
  order: Order,
  outs: ReadonlyMap<string, SlotOut>,
  pushAtMs: (visit: VisitBrief) => number | undefined,
  nowMs: number
): Scene {
  const { ship, flight, its, folded } = crew
  const slots: { placed: PlacedSlot; out: SlotOut }[] = []
  for (const placed of order.slots.values()) {
    const out = placed.shipId === ship.id ? outs.get(placed.id) : undefined
    if (out) slots.push({ placed, out })
  }
  slots.sort((a, b) => a.placed.visit.index - b.placed.visit.index || a.out.contactAtMs - b.out.contactAtMs)
  const contacts = slots
    .filter(({ out }) => out.state === 'planned' || out.state === 'in contact')
    .map(({ placed, out }): ContactAhead => ({
      slotId: placed.id,
      stationRateKgPerS: placed.station.rateKgPerS,
      contactAtMs: out.contactAtMs,
      disconnectAtMs: out.disconnectAtMs,
      onLoadKg: out.onLoadKg
    }))
  const fresh = atFactor(legsOf(plan, flight, ship, its, nowMs, pushAtMs), folded.burnFactor)
  const key = courseKey(fresh, contacts)
  const { legs, way } = keep(folded.kept, `way ${key}`, () => {
    const endMs = Math.max(fresh.at(-1)?.fromAtMs ?? nowMs, folded.anchor.atMs)
    return { legs: fresh, way: wayAhead(ship, fresh, folded.anchor, endMs, contacts, its.externals) }
  })
  return { plan, nowMs, crew, legs, leg: legAt(legs, nowMs), tanks: crew.tanks, way, slots, key }
}

/** A course ahead is the same for as long as its legs and contacts are: it need not be worked out each second. */
function courseKey(legs: readonly Leg[], contacts: readonly ContactAhead[]): string {
  let key = ''
  for (const leg of legs) key += `${String(leg.phaseIndex)}:${String(leg.toAtMs)} `
  for (const one of contacts)
    key += `${one.slotId}:${String(one.contactAtMs)}:${String(one.disconnectAtMs)}:${String(one.onLoadKg)}:${String(one.stationRateKgPerS)} `
  return key
}

/** The slot that counts now: in contact, else the next to come, else the last one flown. */
export function slotNow({ slots }: Scene): { placed: PlacedSlot; out: SlotOut } | undefined {
  return (
    slots.find(({ out }) => out.state === 'in contact') ??
    slots.find(({ out }) => out.state === 'planned' || out.state === 'missed') ??
    slots.findLast(({ out }) => out.state === 'done')
  )
}

/** Slots of the visit a ship is at or on its way to. */
export const currentSlots = ({ crew, slots }: Scene) =>
  slots.filter(({ placed }) => placed.visit.id === crew.current?.id)

export function statusOf(scene: Scene, nextAt: ReadonlyMap<string, string>): ShipStatus {
  const { crew, leg, nowMs } = scene
  const { its, current, flight } = crew
  if (its.landed) return 'landed'
  if (its.left) return 'left'
  if (its.noShow) return 'no-show'
  if (its.inContact) return 'in contact'
  if (leg.kind === 'planned') return 'planned'
  if (current && its.joined.has(current.id)) {
    const here = currentSlots(scene)
    const open = here.filter(({ out }) => out.state === 'planned' || out.state === 'missed')
    if (open.length === 0 && here.some(({ out }) => out.state === 'done')) return 'done'
    const first = open[0]
    if (first?.out.state === 'missed' || (first?.out.latestContactAtMs ?? Infinity) < nowMs) return 'must leave'
    return first && nextAt.get(first.placed.station.key) === first.placed.id ? 'next' : 'waiting'
  }
  const visitAt = current ? flight.phases.findIndex((phase) => phase.visit?.id === current.id) : flight.phases.length
  const taskAhead = flight.phases.some((phase, index) => index >= leg.phaseIndex && index < visitAt && isTask(phase))
  if (taskAhead) return 'on task'
  return current ? 'inbound' : 'recovering'
}
