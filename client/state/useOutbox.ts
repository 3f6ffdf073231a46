import { shallowRef, watch, type Ref, type ShallowRef } from 'vue'
import type { RecordedAnswer } from '../../shared/contracts/answers.ts'
import { isEnded, record } from '../api.ts'
import { browserShelf, openOutbox, type KeptCall, type Outbox } from '../outbox.ts'
import type { ContactState } from '../words/contact.ts'
import { refusalWords } from '../words/refusal.ts'

/** The calls of one link on their way to one event: kept while the line is down, sent when it is back. */
export function useOutbox(parts: {
  as: string
  eventId: string
  /** Event time at an instant of this device's clock, ms. */
  eventMs: (madeAtMs: number) => number
  contact: Ref<ContactState>
  /** The line is known to be down. */
  lost: Ref<boolean>
  onAnswer: (answer: RecordedAnswer) => void
  /** The link opens nothing any more. */
  onEnded: () => void
}): Omit<Outbox, 'letGo'> & { kept: ShallowRef<readonly KeptCall[]> } {
  const { as, eventId, eventMs, contact, lost } = parts
  const kept = shallowRef<readonly KeptCall[]>([])
  const { letGo, ...outbox } = openOutbox({
    shelf: browserShelf(as, eventId),
    send: async (request, requestId) => {
      try {
        const answer = await record(as, eventId, request, requestId)
        parts.onAnswer(answer)
        return answer
      } catch (problem) {
        if (isEnded(problem)) parts.onEnded()
        throw problem
      }
    },
    nowMs: () => Date.now(),
    eventMs,
    lost: () => lost.value,
    inWords: refusalWords,
    onChange: (calls) => {
      kept.value = calls
    }
  })
  watch(contact, (next) => {
    if (lost.value) letGo()
    else if (next === 'live') void outbox.flush()
  })
  return { ...outbox, kept }
}
