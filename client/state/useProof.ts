import { computed, shallowRef, type ComputedRef } from 'vue'
import { startSearch, stopSearch } from '../api.ts'
import { searchSentence } from '../words/proposal.ts'
import { refusalSentence } from '../words/refusal.ts'
import type { LiveEvent } from './useEvent.ts'

export interface Proof {
  /** How it stands, in words; empty while nobody has asked. */
  sentence: ComputedRef<string>
  proving: ComputedRef<boolean>
  prove: () => Promise<void>
  stop: () => Promise<void>
}

/** A proof is the service's work: asked for here, heard by the stream. */
export function useProof(as: string, eventId: string, { search, labels }: LiveEvent): Proof {
  const refusal = shallowRef('')
  async function attempt(act: () => Promise<unknown>) {
    refusal.value = ''
    try {
      await act()
    } catch (problem) {
      refusal.value = await refusalSentence(problem)
    }
  }
  return {
    sentence: computed(() => {
      if (refusal.value !== '') return refusal.value
      if (search.value?.kind !== 'proof') return ''
      return searchSentence(search.value, labels.value?.massUnit ?? 'kg')
    }),
    proving: computed(() => search.value?.status === 'queued' || search.value?.status === 'running'),
    prove: () =>
      attempt(async () => {
        search.value = await startSearch(as, eventId)
      }),
    stop: () => attempt(() => stopSearch(as, eventId))
  }
}
