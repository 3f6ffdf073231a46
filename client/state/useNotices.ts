import { computed, onScopeDispose, ref, type ComputedRef } from 'vue'
import type { Trouble } from '../../shared/contracts/stream.ts'
import { BEGUN_ANEW } from '../words/contact.ts'
import { codeSentence, NOT_WHOLE, refusalSentence } from '../words/refusal.ts'

/** It is told long enough to be found by whoever looked away. */
const ANEW_MS = 10 * 60_000

export interface Notices {
  /** What is wrong with the page as a whole; empty while nothing is. */
  said: ComputedRef<string>
  /** The service refused or did not answer; told until it answers. */
  refused: (problem: unknown) => Promise<void>
  answered: () => void
  /** Until it is over the page says why nothing can be recorded. */
  trouble: (code: Trouble | null) => Promise<void>
  begunAnew: () => void
  notWhole: () => void
}

/** What a page has to say of itself, each for as long as it holds. */
export function useNotices(): Notices {
  const refusal = ref('')
  const troubled = ref('')
  const anew = ref('')
  const broken = ref('')
  let refusals = 0
  let anewTimer: ReturnType<typeof setTimeout> | undefined
  onScopeDispose(() => {
    clearTimeout(anewTimer)
  })
  let code: Trouble | null = null
  return {
    // A page that is not whole is so for good: it hides nothing of what comes later.
    said: computed(() =>
      [broken.value, troubled.value || refusal.value || anew.value].filter((one) => one !== '').join(' ')
    ),
    refused: async (problem) => {
      refusals += 1
      const turn = refusals
      const sentence = await refusalSentence(problem)
      // An answer may have come before the words.
      if (turn === refusals) refusal.value = sentence
    },
    answered: () => {
      refusals += 1
      refusal.value = ''
    },
    trouble: async (next) => {
      code = next
      const sentence = next === null ? '' : await codeSentence(next, next)
      if (code === next) troubled.value = sentence
    },
    begunAnew: () => {
      anew.value = BEGUN_ANEW
      clearTimeout(anewTimer)
      anewTimer = setTimeout(() => {
        anew.value = ''
      }, ANEW_MS)
    },
    notWhole: () => {
      broken.value = NOT_WHOLE
    }
  }
}
