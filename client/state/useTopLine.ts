import { computed } from 'vue'
import type { Membership } from '../../shared/contracts/answers.ts'
import { clockWords } from '../words/clock.ts'
import type { Place } from '../words/places.ts'
import type { LiveEvent } from './useEvent.ts'
import { useSignOut } from './useSignOut.ts'

/** What the top line of a page with a stream shows. */
export const useTopLine = (event: LiveEvent, membership: Membership, eventId: string, place: Place) =>
  computed(() => ({
    eventName: event.labels.value?.eventName ?? '',
    membership,
    eventId,
    place,
    atMs: event.view.value?.atMs,
    lastKnown: event.lastKnown.value,
    contact: event.contact.value,
    lastFrameAtMs: event.lastFrameAtMs.value,
    skewMs: event.skewMs.value,
    // By the service's time; what the view is of may be a second old.
    eventClock: clockWords(event.clock.value, Date.now() + event.skewMs.value),
    outdated: event.outdated.value,
    onAgain: event.again,
    onSignOut: useSignOut().ask
  }))
