import { computed, onScopeDispose, ref, shallowRef } from 'vue'
import type { FactOf } from '../../shared/contracts/facts.ts'
import type { EventClock, FrameOut } from '../../shared/contracts/stream.ts'
import { eventTime, REAL_CLOCK } from '../../shared/live/clock.ts'
import { isEnded, readMembership } from '../api.ts'
import { isOutdated } from '../build.ts'
import { skewMeter } from '../skew.ts'
import { openStream } from '../stream.ts'
import { clockWords } from '../words/clock.ts'
import type { ContactState } from '../words/contact.ts'
import { useNow } from './useNow.ts'
import { useSignOut } from './useSignOut.ts'

/** Past every fact: a page that shows a document is told of no fact that was before. */
const PAST_ALL = 1_000_000_000

/** What the top line shows on a page that folds no facts: contact, and the clock of the event where it is not plain. */
export function useEventClock(as: string, eventId: string) {
  const clock = shallowRef<EventClock>(REAL_CLOCK)
  const contact = ref<ContactState>('connecting')
  const lastFrameAtMs = ref<number>()
  const skewMs = ref(0)
  const outdated = ref(false)
  const meter = skewMeter()
  const { now } = useNow(skewMs)

  function hear(frame: FrameOut) {
    if (frame.kind === 'hello' || frame.kind === 'beat') skewMs.value = meter.heard(frame.realAtMs)
    lastFrameAtMs.value = Date.now() + skewMs.value
    if (frame.kind === 'hello') {
      outdated.value = isOutdated(frame.serverVersion)
      clock.value = frame.clock
    }
    if (frame.kind !== 'facts') return
    const set = frame.facts.findLast((fact): fact is FactOf<'clockSet'> => fact.kind === 'clockSet')
    if (set !== undefined) clock.value = set
  }
  const connect = () =>
    openStream({
      ...{ as, eventId, seq: () => PAST_ALL },
      onFrame: hear,
      onState: (next) => {
        contact.value = next
      },
      hasEnded: () => readMembership(as).then(() => false, isEnded)
    })
  let close = connect()
  onScopeDispose(() => {
    close()
  })

  return computed(() => {
    const eventClock = clockWords(clock.value, now.value)
    return {
      contact: contact.value,
      lastFrameAtMs: lastFrameAtMs.value,
      lastKnown: contact.value !== 'live',
      skewMs: skewMs.value,
      outdated: outdated.value,
      eventClock,
      atMs: eventClock === '' ? undefined : eventTime(clock.value, now.value),
      onAgain: () => {
        close()
        close = connect()
      },
      onSignOut: useSignOut().ask
    }
  })
}
