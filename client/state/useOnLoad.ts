import { computed, onScopeDispose, ref, watch, type ComputedRef, type Ref } from 'vue'
import { answerTo, type Answered } from '../onload.ts'
import { questionOf, searchOf, type Question } from '../question.ts'
import type { Fault } from '../../shared/contracts/problem.ts'

/** Browsers allow an address to change only so often: it follows the typing at this distance. */
const REST_MS = 150

/** The question in the address and its answer, worked out anew at each stroke. */
export function useOnLoad(): {
  question: Ref<Question>
  outcome: ComputedRef<Answered | { faults: readonly Fault[] }>
} {
  const question = ref(questionOf(location.search))
  let timer: ReturnType<typeof setTimeout> | undefined
  const tell = () => {
    timer = undefined
    history.replaceState(history.state, '', location.pathname + searchOf(question.value))
  }
  tell()
  watch(question, () => {
    timer ??= setTimeout(tell, REST_MS)
  })
  onScopeDispose(() => {
    clearTimeout(timer)
  })
  return { question, outcome: computed(() => answerTo(question.value)) }
}
