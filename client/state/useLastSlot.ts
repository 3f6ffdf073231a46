import { computed, shallowRef, watchEffect, type ComputedRef, type Ref } from 'vue'
import type { ShipView, SlotView } from '../../shared/contracts/view.ts'
import { keepSlot, keptSlot, labelsOfNames, namesIn, type LastSlot } from '../last-slot.ts'
import type { Labels } from '../labels.ts'
import type { LiveEvent } from './useEvent.ts'
import { useNow } from './useNow.ts'

/** Written no more often than this. */
const KEEP_MS = 5_000

export interface Shown extends Omit<LastSlot, 'names'> {
  labels: Labels
  /** How old it is, s. */
  ageS: number
}

/** Keeps the slot of a ship while it is of now; gives the last one kept while nothing is known yet. */
export function useLastSlot(parts: {
  as: string
  event: LiveEvent
  shipId: () => string | undefined
  slot: {
    ship: Ref<ShipView | undefined>
    slotView: Ref<SlotView | undefined>
    next: Ref<SlotView | undefined>
    trackName: Ref<string>
    soonS: Ref<number>
  }
}): ComputedRef<Shown | undefined> {
  const { as, event, shipId, slot } = parts
  const { now } = useNow(event.skewMs)
  const last = shallowRef<LastSlot>()
  let keptAtMs = -Infinity

  watchEffect(() => {
    const id = shipId()
    if (id === undefined) return
    last.value = keptSlot(as, id)
    event.clockBefore.value = last.value?.clock
  })
  watchEffect(() => {
    const [view, labels, ship] = [event.view.value, event.labels.value, slot.ship.value]
    if (!view || !labels || !ship || event.contact.value !== 'live' || now.value - keptAtMs < KEEP_MS) return
    keptAtMs = now.value
    const spoken = { ship, slotView: slot.slotView.value, next: slot.next.value }
    const join = event.state.value.plan?.tankers.find(({ id }) => id === spoken.slotView?.tankerId)?.join
    keepSlot(as, {
      ...{ savedAtMs: now.value, atMs: view.atMs, clock: event.clock.value, ...spoken, join },
      ...{ trackName: slot.trackName.value, soonS: slot.soonS.value, names: namesIn(spoken, labels) }
    })
  })
  return computed(() => {
    if (event.view.value !== undefined || last.value === undefined) return undefined
    const { names, ...rest } = last.value
    return { ...rest, labels: labelsOfNames(names), ageS: (now.value - rest.savedAtMs) / 1000 }
  })
}
