import { watch, type Ref } from 'vue'
import { Kept, TakenBack, type KeptCall } from '../outbox.ts'
import type { Outcome } from './useEntry.ts'

/**
 * What came of a call that has no answer, for `outcome`; undefined for any other problem. Once it has come through, `told`
 * is it that it is recorded; where it was refused the list of kept calls says so.
 */
export function useKept(outcome: Ref<Outcome | undefined>, kept: Ref<readonly KeptCall[]>) {
  watch(kept, (calls) => {
    const { keptId, sentence = '' } = outcome.value ?? {}
    if (keptId === undefined) return
    const call = calls.find(({ requestId }) => requestId === keptId)
    if (call === undefined) outcome.value = { recorded: true, sentence }
    else if (call.refusal !== undefined) outcome.value = undefined
  })
  return (problem: unknown, sentence: string): Outcome | 'taken back' | undefined => {
    if (problem instanceof TakenBack) return 'taken back'
    return problem instanceof Kept ? { recorded: false, keptId: problem.requestId, sentence } : undefined
  }
}
