import type { SlotView, View } from '../../shared/contracts/view.ts'

/** Demand against give over time: what is promised as contacts begin, what each push asks for, what there is. */

export interface GivePicture {
  /** Undefined for the whole package. */
  tankerId: string | undefined
  /** Place among the tankers from 1; 0 for the whole package. */
  index: number
  giveKg: number
  /** Promised so far, from each instant on. */
  promised: { atMs: number; kg: number; slot: SlotView | undefined }[]
  /** Asked for by each planned push and those before it. */
  asked: { atMs: number; kg: number; pushGroupId: string }[]
}

const counts = ({ state }: SlotView): boolean => state === 'planned' || state === 'in contact'

export function givePictures(view: View): GivePicture[] {
  const one = (tankerId: string | undefined, index: number): GivePicture => {
    const slots = view.slots.filter((slot) => tankerId === undefined || slot.tankerId === tankerId)
    const tankers = view.tankers.filter((tanker) => tankerId === undefined || tanker.tankerId === tankerId)
    let promisedKg = 0
    const begun = slots
      .filter(counts)
      .toSorted((a, b) => a.contactAtMs - b.contactAtMs)
      .map((slot) => ({ atMs: slot.contactAtMs, kg: (promisedKg += slot.onLoadKg), slot }))
    const due = [...new Set(slots.map(({ plannedPushAtMs }) => plannedPushAtMs))].toSorted((a, b) => a - b)
    return {
      tankerId,
      index,
      giveKg: tankers.reduce((kg, tanker) => kg + tanker.giveKg + tanker.flowedKg, 0),
      promised: [{ atMs: view.atMs, kg: 0, slot: undefined }, ...begun],
      asked: due.map((atMs) => ({
        atMs,
        kg: slots.reduce((kg, slot) => kg + (slot.plannedPushAtMs <= atMs ? slot.neededKg : 0), 0),
        pushGroupId: slots.find((slot) => slot.plannedPushAtMs === atMs)?.pushGroupId ?? ''
      }))
    }
  }
  return [one(undefined, 0), ...view.tankers.map(({ tankerId }, place) => one(tankerId, place + 1))]
}

/** What breaks first, in time: a push or a latest contact that is not met, or a tanker with nothing left. */
export type Binding =
  | { kind: 'push'; atMs: number; pushGroupId: string; lateS: number }
  | { kind: 'past'; atMs: number; slot: SlotView }
  | { kind: 'dry'; atMs: number; tankerId: string; shortKg: number; slot: SlotView }

/** Of all that the tankers cannot do, the earliest; undefined where neither time nor give binds. */
export function bindsFirst(view: View): Binding | undefined {
  const late = view.pushes.flatMap(({ plannedAtMs, lateS, pushGroupId }): Binding[] =>
    lateS >= 6 ? [{ kind: 'push', atMs: plannedAtMs, pushGroupId, lateS }] : []
  )
  const past = view.slots.flatMap((slot): Binding[] =>
    slot.state === 'missed' && slot.latestContactAtMs !== null
      ? [{ kind: 'past', atMs: slot.latestContactAtMs, slot }]
      : []
  )
  const dry = view.tankers.flatMap(({ tankerId, shortKg, dryAtSlotId }): Binding[] => {
    const slot = view.slots.find(({ slotId }) => slotId === dryAtSlotId)
    return slot && shortKg >= 5 ? [{ kind: 'dry', atMs: slot.contactAtMs, tankerId, shortKg, slot }] : []
  })
  return [...late, ...past, ...dry].toSorted((a, b) => a.atMs - b.atMs)[0]
}

/** Of the pushes that are met, the one with least time to spare: its last disconnect is nearest to it. */
export function nearestPush(view: View): View['pushes'][number] | undefined {
  const spareMs = (push: View['pushes'][number]): number =>
    push.plannedAtMs -
    Math.max(
      ...view.slots.flatMap((slot) =>
        slot.pushGroupId === push.pushGroupId && counts(slot) ? slot.disconnectAtMs : []
      )
    )
  return view.pushes.filter((push) => spareMs(push) < Infinity).toSorted((a, b) => spareMs(a) - spareMs(b))[0]
}

/** How long before its planned push a group could go; below 0 where it is late. */
export function pushSpareS(view: View, pushGroupId: string, reformMin: number): number | undefined {
  const push = view.pushes.find((one) => one.pushGroupId === pushGroupId)
  const offs = view.slots.flatMap((slot) =>
    slot.pushGroupId === pushGroupId && counts(slot) ? [slot.disconnectAtMs] : []
  )
  if (!push || offs.length === 0) return undefined
  return (push.plannedAtMs - Math.max(...offs)) / 1000 - reformMin * 60
}
