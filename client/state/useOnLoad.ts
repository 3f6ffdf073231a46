import { computed, onScopeDispose, ref, shallowRef, watch, type ComputedRef, type ShallowRef } from 'vue'
import type { Asked, Outcome, Told } from '../onload-worker.ts'
import { questionOf, searchOf, type Question } from '../question.ts'

/** Browsers allow an address to change only so often: it follows the typing at this distance. */
const REST_MS = 150

/** The question in the address and its answer, worked out anew at each stroke. */
export function useOnLoad(): {
  question: ShallowRef<Question>
  /** Undefined until the first answer. */
  outcome: ShallowRef<Outcome | undefined>
  /** The answer is still that of an earlier question. */
  busy: ComputedRef<boolean>
  /** Nothing works answers out: its part of the page did not come. */
  failed: ShallowRef<boolean>
} {
  const question = shallowRef(questionOf(location.search))
  const outcome = shallowRef<Outcome>()
  const failed = shallowRef(false)
  const asked = ref(0)
  const answered = ref(0)

  const worker = new Worker(new URL('../onload-worker.ts', import.meta.url), { type: 'module' })
  worker.addEventListener('message', ({ data }: MessageEvent<Told>) => {
    if (data.turn !== asked.value) return
    outcome.value = data.outcome
    answered.value = data.turn
  })
  worker.addEventListener('error', () => {
    failed.value = true
    outcome.value = undefined
  })
  const ask = () => {
    const next: Asked = { turn: ++asked.value, question: question.value }
    worker.postMessage(next)
  }

  let timer: ReturnType<typeof setTimeout> | undefined
  const tell = () => {
    timer = undefined
    history.replaceState(history.state, '', location.pathname + searchOf(question.value))
  }
  tell()
  ask()
  watch(
    question,
    () => {
      ask()
      timer ??= setTimeout(tell, REST_MS)
    },
    { flush: 'sync' }
  )
  onScopeDispose(() => {
    clearTimeout(timer)
    worker.terminate()
  })
  return { question, outcome, busy: computed(() => asked.value !== answered.value), failed }
}
