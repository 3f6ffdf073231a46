import { computed, shallowRef, watch, type ComputedRef, type Ref } from 'vue'
import type { View } from '../../shared/contracts/view.ts'
import { askAfter } from '../ask.ts'
import type { Labels } from '../labels.ts'
import { ENTRY } from '../words/entry.ts'

/** The ship to ask for fuel next, and how the entry line says so. */
export interface NextAsk {
  shipId: string
  sentence: string
}

export function useAsk(view: Ref<View | undefined>, labels: Ref<Labels | undefined>): ComputedRef<NextAsk | undefined> {
  const ask = shallowRef<View['asks'][number]>()
  watch(
    view,
    (seen) => {
      ask.value = askAfter(ask.value?.shipId, seen?.asks ?? [])
    },
    { immediate: true }
  )
  return computed(() => {
    if (ask.value === undefined || labels.value === undefined) return undefined
    const { shipId, why } = ask.value
    return { shipId, sentence: ENTRY.askNext(labels.value.ship(shipId), why) }
  })
}
