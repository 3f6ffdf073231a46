import { onScopeDispose, shallowRef, watch, type Ref, type ShallowRef } from 'vue'
import type { RecordedAnswer } from '../../shared/contracts/answers.ts'
import { isEnded, record } from '../api.ts'
import { madeHere, type MadeHere } from '../made-here.ts'
import { openOutbox, type Outbox } from '../outbox.ts'
import { browserShelf, type KeptCall } from '../outbox-shelf.ts'
import type { ContactState } from '../words/contact.ts'
import { refusalWords } from '../words/refusal.ts'

/** The calls of one link on their way to one event: kept while the line is down, sent when it is back. */
export function useOutbox(parts: {
  as: string
  eventId: string
  /** How far this device's clock is behind the service's, ms, where that is known. */
  skewMs: () => number | undefined
  /** Event time at an instant of this device's clock, ms. */
  eventMs: (made: { atMs: number; skewMs: number | undefined }) => number
  isRecorded: (requestId: string) => boolean
  contact: Ref<ContactState>
  /** The log here ends before what the service has: its clock may have been set since. */
  behind: () => boolean
  /** The line is known to be down. */
  lost: Ref<boolean>
  onAnswer: (answer: RecordedAnswer) => void
  /** The link opens nothing any more. */
  onEnded: () => void
}): Omit<Outbox, 'letGo' | 'look'> & { kept: ShallowRef<readonly KeptCall[]>; made: MadeHere } {
  const { as, eventId, skewMs, eventMs, isRecorded, contact, lost } = parts
  const made = madeHere(as, eventId)
  const kept = shallowRef<readonly KeptCall[]>([])
  const { letGo, look, ...outbox } = openOutbox({
    shelf: browserShelf(as, eventId),
    send: async (request, requestId) => {
      made.note(requestId)
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
    skewMs,
    eventMs,
    isRecorded,
    // Before the first word of the service neither its time nor its log is known to be of now.
    lost: () => contact.value !== 'live' || parts.behind(),
    alone: aloneUnder(`ullage calls ${as} ${eventId}`),
    inWords: refusalWords,
    onChange: (calls) => {
      kept.value = calls
    }
  })
  watch(contact, (next) => {
    if (lost.value) letGo()
    else if (next === 'live') void outbox.flush()
  })
  const onStorage = ({ key }: StorageEvent) => {
    if (key === null || key.startsWith('ullage call ')) look()
  }
  window.addEventListener('storage', onStorage)
  onScopeDispose(() => {
    window.removeEventListener('storage', onStorage)
  })
  return { ...outbox, kept, made }
}

/** A page that sleeps may hold the lock: then the others go on without it, since a repeat does no harm. */
const LOCKED_MS = 2_000

/** One page at a time, where the browser has locks, which is where TLS is. */
function aloneUnder(name: string): ((act: () => Promise<void>) => Promise<void>) | undefined {
  const locks = (navigator as Partial<Navigator>).locks
  return locks === undefined
    ? undefined
    : async (act) => {
        let run: Promise<void> | undefined
        const once = () => (run ??= act())
        try {
          await locks.request(name, { signal: AbortSignal.timeout(LOCKED_MS) }, once)
        } catch {
          await once()
        }
      }
}
