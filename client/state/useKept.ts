import type { Ref } from 'vue'
import { Kept, TakenBack } from '../outbox.ts'
import type { Outcome } from './useEntry.ts'

/**
 * What came of a call that has no answer, for `outcome`; undefined for any other problem. Once it is recorded, `outcome`
 * tells so; where it was refused the list of kept calls does, and of one that was taken back there is nothing to tell.
 */
export function useKept(outcome: Ref<Outcome | undefined>) {
  return (problem: unknown, sentence: string): Outcome | 'taken back' | undefined => {
    if (problem instanceof TakenBack) return 'taken back'
    if (!(problem instanceof Kept)) return undefined
    const { requestId: keptId, end } = problem
    void end.then((came) => {
      // Something else may be told by then.
      if (outcome.value?.keptId === keptId) {
        outcome.value = came === 'recorded' ? { recorded: true, sentence } : undefined
      }
    })
    return { recorded: false, keptId, sentence }
  }
}
