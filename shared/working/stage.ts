/** An event at one instant, as its figures are made from it: ships, the order judged, each ship's course. */
import type { TankerOrder } from '../contracts/plan.ts'
import type { View } from '../contracts/view.ts'
import { estimate } from '../live/estimate.ts'
import { planInForce } from '../live/inforce.ts'
import { crewsOf, orderIn, type Crew, type Order, type PlacedSlot } from '../live/slots.ts'
import type { LiveState } from '../live/state.ts'
import { sceneOf, type Scene } from '../live/view/scene.ts'
import { judge, type SlotOut } from '../order/times.ts'
import { brief, type Brief, type FlightBrief } from '../plan/brief.ts'

type Judging = ReturnType<typeof orderIn>['input']
export type SlotJudged = Judging['slots'][number]

export interface Stage {
  readonly state: LiveState
  readonly nowMs: number
  /** Given in place of those in force. */
  readonly orders: readonly TankerOrder[] | undefined
  readonly plan: Brief
  readonly crews: ReadonlyMap<string, Crew>
  readonly input: Judging
  readonly order: Order
  readonly outs: ReadonlyMap<string, SlotOut>
  readonly scene: (shipId: string) => Scene | undefined
  /** The whole picture, for what only all ships together tell. */
  readonly view: () => View | undefined
}

export function stageOf(state: LiveState, nowMs: number, orders?: readonly TankerOrder[]): Stage | undefined {
  const inForce = planInForce(state)
  if (!inForce) return undefined
  const plan = brief(inForce)
  const crews = crewsOf(state, plan, nowMs)
  const { input, slots } = orderIn(state, plan, crews, nowMs, orders)
  const order: Order = { judged: judge(input), slots }
  const outs = new Map(order.judged.slots.map((out) => [out.slotId, out]))
  const pushes = new Map(order.judged.pushes.map((push) => [push.pushGroupId, push.pushAtMs]))
  const scenes = new Map<string, Scene>()
  let view: View | undefined
  return {
    state,
    nowMs,
    orders,
    plan,
    crews,
    input,
    order,
    outs,
    scene: (shipId) => {
      const crew = crews.get(shipId)
      if (!crew) return undefined
      const known =
        scenes.get(shipId) ?? sceneOf(plan, crew, order, outs, (visit) => pushes.get(visit.pushGroupId), nowMs)
      scenes.set(shipId, known)
      return known
    },
    view: () => (view ??= estimate(state, nowMs, orders))
  }
}

/** One slot with all that is known of it. */
export interface SlotScene {
  readonly stage: Stage
  readonly placed: PlacedSlot
  readonly out: SlotOut
  readonly crew: Crew
  readonly flight: FlightBrief
  readonly judged: SlotJudged
}

export function slotScene(stage: Stage, slotId: string): SlotScene | undefined {
  const placed = stage.order.slots.get(slotId)
  const out = stage.outs.get(slotId)
  const judged = stage.input.slots.find((one) => one.id === slotId)
  if (!placed || !out || !judged) return undefined
  return { stage, placed, out, crew: placed.crew, flight: placed.crew.flight, judged }
}

type Ready = ReturnType<SlotJudged['ready']>

/** The ship as it becomes ready for a slot: from its calls, or from what its earlier slot left. */
export function readyOf(slot: SlotScene): Ready {
  const before = earlierOf(slot)
  const station = slot.stage.input.stations.find((one) => one.id === slot.out.stationId)
  if (!before) return slot.judged.ready(undefined, station)
  const { left, state } = before
  const topOff = before.slot.judged.pushGroupId === slot.judged.pushGroupId
  return slot.judged.ready({ ...left, pushAtMs: topOff ? undefined : left.pushAtMs, state }, station)
}

/** The ship's earlier slot that this one waits for, with what it leaves behind. */
export function earlierOf({ stage, judged }: SlotScene):
  | {
      slot: SlotScene
      left: { disconnectAtMs: number; pushAtMs: number }
      state: Ready['state']
    }
  | undefined {
  const slot = judged.afterSlotId === undefined ? undefined : slotScene(stage, judged.afterSlotId)
  if (!slot) return undefined
  const { out } = slot
  const left = { disconnectAtMs: out.disconnectAtMs, pushAtMs: out.pushAtMs }
  const fixed = slot.judged.fixed?.state
  if (fixed) return { slot, left, state: fixed }
  const station = stage.input.stations.find((one) => one.id === out.stationId)
  if (!station) return undefined
  const limitKg = out.endedBy === 'give' ? out.onLoadKg : undefined
  return { slot, left, state: slot.judged.serve(station, readyOf(slot), out.contactAtMs, limitKg).state }
}
