/**
 * The view of an event at one instant of event time: pure, worked out anew each time from the state and the plan.
 * Board, slot page, state route and order route all show what this gives.
 */
import type { TankerOrder } from '../contracts/plan.ts'
import type { View } from '../contracts/view.ts'
import { brief, type Brief } from '../plan/brief.ts'
import { typeWarnings } from '../plan/warnings.ts'
import { planInForce } from './inforce.ts'
import { ranked } from './ranking.ts'
import { crewsOf, judgeOrder } from './slots.ts'
import type { LiveState } from './state.ts'
import { sceneOf, type Scene } from './view/scene.ts'
import { shipView } from './view/ship.ts'
import { slotView } from './view/slot.ts'
import { holdsOf } from './view/hold.ts'
import { asksOf } from './view/ask.ts'
import { slotWithoutAbortBase, withoutAbortBase } from './view/bases.ts'
import { flightView } from './view/flight.ts'
import { nextSlots, tankerViews } from './view/tanker.ts'
import { reasonsOf } from './view/reasons.ts'

/** The view, or undefined while no plan is adopted. Orders given replace those in force. */
export function estimate(state: LiveState, nowMs: number, orders?: readonly TankerOrder[]): View | undefined {
  const inForce = planInForce(state)
  if (!inForce) return undefined
  const plan = brief(inForce)
  const crews = crewsOf(state, plan, nowMs)
  const order = judgeOrder(state, plan, crews, nowMs, orders)
  const pushes = new Map(order.judged.pushes.map((push) => [push.pushGroupId, push]))
  const outs = new Map(order.judged.slots.map((out) => [out.slotId, out]))
  const scenes = new Map<string, Scene>()
  for (const crew of crews.values()) {
    scenes.set(
      crew.ship.id,
      sceneOf(plan, crew, order, outs, (visit) => pushes.get(visit.pushGroupId)?.pushAtMs, nowMs)
    )
  }
  const nextAt = nextSlots(plan, order, outs)
  const ships = ranked([...scenes.values()].map((scene) => withoutAbortBase(shipView(scene, nextAt), scene))).map(
    (ship, index) => ({
      ...ship,
      rank: index + 1
    })
  )
  const slots = order.judged.slots.flatMap((out) => {
    const placed = order.slots.get(out.slotId)
    const scene = placed && scenes.get(placed.shipId)
    return scene ? [slotWithoutAbortBase(slotView(scene, placed, out, order), scene)] : []
  })
  const flights = [...plan.flights.values()].map((flight) => flightView(plan, flight, scenes))
  const tankers = tankerViews(state, plan, crews, order, outs, nextAt, nowMs)
  return {
    eventId: state.eventId,
    seq: state.seq,
    atMs: nowMs,
    revision: state.revision,
    open: state.opened && !state.closed,
    closed: state.closed,
    clock: state.clock,
    ships,
    slots,
    tankers,
    pushes: order.judged.pushes.map((push) => ({
      pushGroupId: push.pushGroupId,
      name: plan.pushGroups.get(push.pushGroupId)?.name ?? push.pushGroupId,
      plannedAtMs: push.plannedAtMs,
      pushAtMs: push.pushAtMs,
      lateS: push.lateMs / 1000
    })),
    flights,
    judgement: order.judged.judgement,
    reasons: reasonsOf(plan, order, { ships, slots, tankers, flights, scenes, nowMs }),
    asks: asksOf(ships, scenes, nowMs),
    holds: holdsOf(slots),
    warnings: warningsOf(plan)
  }
}

const warned = new WeakMap<Brief, View['warnings']>()

function warningsOf(plan: Brief): View['warnings'] {
  let known = warned.get(plan)
  if (!known) {
    known = plan.plan.receiverTypes.flatMap((type) =>
      typeWarnings(type, plan.fuelKgPerM3).map((warning) => ({ ...warning, receiverTypeId: type.id }))
    )
    warned.set(plan, known)
  }
  return known
}
