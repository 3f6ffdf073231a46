import { ref, shallowRef } from 'vue'
import type { Unsent } from '../../shared/entry/understanding.ts'
import { reduce } from '../../shared/live/reduce.ts'
import { emptyState, type LiveState } from '../../shared/live/state.ts'
import { readLog, record } from '../api.ts'
import { refusalSentence } from '../words/refusal.ts'

/** What the log of an event says of who has read what; looked at anew when it is asked for. */
export function useReadBy(as: string, eventId: string) {
  const state = shallowRef<LiveState>(emptyState(eventId))
  const refusal = ref('')
  async function attempt(act: () => Promise<void>) {
    refusal.value = ''
    try {
      await act()
    } catch (problem) {
      refusal.value = await refusalSentence(problem)
    }
  }
  async function load() {
    const { facts } = await readLog(as, eventId, state.value.seq)
    state.value = facts.reduce((next, fact) => (fact.seq > next.seq ? reduce(next, fact) : next), state.value)
  }
  void attempt(load)
  return {
    state,
    refusal,
    load: () => attempt(load),
    /** For a crew that has said so by other means. */
    mark: (shipId: string) =>
      attempt(async () => {
        const { revision, seq: seenSeq } = state.value
        await record(as, eventId, { kind: 'seeSlot', shipId, revision, seenSeq } as Unsent)
        await load()
      })
  }
}
