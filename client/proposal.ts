import type { TankerOrder } from '../shared/contracts/plan.ts'
import type { SlotView, View } from '../shared/contracts/view.ts'
import { isShortAtPush } from '../shared/live/served.ts'
import { compareJudgements, STEP_MS } from '../shared/order/judgement.ts'
import type { SlotOut } from '../shared/order/times.ts'
import { changesOf, type SlotChange } from '../shared/propose/changes.ts'
import { movedBetween } from '../shared/propose/orders.ts'
import { heldMoved, type Orders } from './order.ts'

/* What an order leads to beside the order in force, both seen at one instant of one state. */

export interface Outcome {
  /** Slots past their latest contact, or never served. */
  lost: readonly SlotView[]
  short: readonly SlotView[]
  late: readonly View['pushes'][number][]
  worstLateS: number
  /** The last of all disconnects, and whose tanker. */
  last: { tankerId: string; atMs: number } | undefined
}

export function outcomeOf(view: View): Outcome {
  const late = view.pushes.filter((push) => push.lateS >= STEP_MS / 1000)
  let last: Outcome['last']
  for (const { tankerId, lastDisconnectAtMs: atMs } of view.tankers)
    if (atMs !== null && (last === undefined || atMs > last.atMs)) last = { tankerId, atMs }
  return {
    lost: view.slots.filter((slot) => slot.state === 'missed'),
    short: view.slots.filter(isShortAtPush),
    late,
    worstLateS: Math.max(0, ...late.map((push) => push.lateS)),
    last
  }
}

/** Slots still to come whose contact is within the late margin of its latest contact: they are served, and barely. */
export const closeIn = (view: View, soonS: number): SlotView[] => view.slots.filter((slot) => isClose(slot, soonS))

const isClose = ({ state, slackS }: SlotView, soonS: number): boolean =>
  state === 'planned' && slackS !== null && slackS >= 0 && slackS < soonS

/** A change with the slot as it is in both orders. */
export interface ChangeRow extends SlotChange {
  before: SlotView | undefined
  after: SlotView | undefined
  /** The other order brings it within the late margin, where it was not before. */
  broughtClose: boolean
}

/** What changes for whom, worst first: who is lost, then who is brought close to its latest contact, then the others. */
export function changeRows(
  changes: readonly SlotChange[],
  { asIs, view, soonS }: { asIs: View; view: View; soonS: number }
): ChangeRow[] {
  const [was, becomes] = [bySlot(asIs), bySlot(view)]
  const rows = changes.map((change): ChangeRow => {
    const [before, after] = [was.get(change.slotId), becomes.get(change.slotId)]
    const broughtClose =
      after !== undefined && isClose(after, soonS) && !(before !== undefined && isClose(before, soonS))
    return { ...change, before, after, broughtClose }
  })
  const rank = ({ turns, broughtClose }: ChangeRow) => (turns === 'lost' ? 0 : broughtClose ? 1 : 2)
  return rows.toSorted((a, b) => rank(a) - rank(b))
}

const bySlot = ({ slots }: View) => new Map(slots.map((slot) => [slot.slotId, slot]))

/** What goes wrong by the order as it is, as one word to compare; empty while nothing does. */
export function troubleOf(view: View): string {
  const { lost, short, late } = outcomeOf(view)
  return [
    ...lost.map((slot) => `lost ${slot.slotId}`),
    ...short.map((slot) => `short ${slot.slotId}`),
    ...late.map((push) => `late ${push.pushGroupId}`)
  ].join(', ')
}

/** An order proposed and seen on the present state. */
export interface Candidate {
  /** All tankers' orders with it. */
  orders: Orders
  view: View
  changes: readonly SlotChange[]
}

/** Why a proposal no longer stands. */
export type Lapse = 'order changed' | 'held' | 'not better'

/** The order proposed, on the present state, or why it does not stand there any more. */
export function candidateOf(
  { changed, basedOnSeq }: { changed: readonly TankerOrder[]; basedOnSeq: number },
  { asIs, inForce, see }: { asIs: View; inForce: Orders; see: (orders: Orders) => View | undefined }
): Candidate | Lapse {
  const seqs = new Map(asIs.tankers.map((tanker) => [tanker.tankerId, tanker.orderSeq]))
  if (changed.some((order) => (seqs.get(order.tankerId) ?? Infinity) > basedOnSeq)) return 'order changed'
  const orders = inForce.map((order) => changed.find((one) => one.tankerId === order.tankerId) ?? order)
  if (heldMoved(inForce, orders, asIs) !== undefined) return 'held'
  const view = see(orders)
  if (view === undefined || compareJudgements(view.judgement, asIs.judgement) >= 0) return 'not better'
  return { orders, view, changes: changesBetween(asIs, view, inForce, orders) }
}

/** What changes for whom between two views of one state: the order in force and another. */
export const changesBetween = (asIs: View, then: View, inForce: Orders, orders: Orders): SlotChange[] => {
  const ships = new Map(asIs.slots.map((slot) => [slot.slotId, slot.shipId]))
  return changesOf(asIs.slots.map(slotOut), then.slots.map(slotOut), {
    shipOf: (slotId) => ships.get(slotId) ?? slotId,
    moved: movedBetween(sequencesOf(inForce), sequencesOf(orders))
  })
}

/** Ships that are put elsewhere. */
export const movedShips = (changes: readonly SlotChange[]): string[] => [
  ...new Set(changes.flatMap((change) => (change.moved ? [change.shipId] : [])))
]

const sequencesOf = (orders: Orders): Map<string, readonly string[]> =>
  new Map(
    orders.flatMap(({ tankerId, sequences }) =>
      sequences.map(({ stationId, slots }) => [`${tankerId}/${stationId}`, slots.map((slot) => slot.id)] as const)
    )
  )

/** A slot of a view as the judge gave it. */
function slotOut(slot: SlotView): SlotOut {
  return {
    ...slot,
    stationId: `${slot.tankerId}/${slot.stationId}`,
    latestContactAtMs: slot.latestContactAtMs ?? undefined,
    slackMs: slot.slackS === null ? undefined : slot.slackS * 1000,
    pastMs: slot.pastS * 1000,
    latestPushAtMs: slot.latestPushAtMs ?? undefined,
    aheadSlotId: undefined,
    waitsForSlotId: undefined,
    toppedBySlotId: undefined
  }
}
