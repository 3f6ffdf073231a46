import { computed, shallowRef, watch, type ComputedRef } from 'vue'
import type { View } from '../../shared/contracts/view.ts'
import { askAfter } from '../ask.ts'
import type { Labels } from '../labels.ts'
import { ASK } from '../words/ask.ts'

/** The ship to ask for fuel next, and how the entry line says so. */
export interface NextAsk {
  shipId: string
  sentence: string
}

export function useAsk(view: () => View, labels: () => Labels): ComputedRef<NextAsk | undefined> {
  const ask = shallowRef<View['asks'][number]>()
  watch(
    view,
    (seen) => {
      ask.value = askAfter(ask.value?.shipId, seen.asks)
    },
    { immediate: true }
  )
  return computed(() => {
    if (ask.value === undefined) return undefined
    const { shipId, why } = ask.value
    return { shipId, sentence: ASK.next(labels().ship(shipId), why) }
  })
}
