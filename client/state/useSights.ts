import { onScopeDispose, shallowRef, type ShallowRef } from 'vue'
import type { View } from '../../shared/contracts/view.ts'
import { pictureOf } from '../picture.ts'
import type { Candidate, Lapse } from '../proposal.ts'
import type { Came, Sight, SightKind, ToSights } from '../sights.ts'
import { unsaidOf } from '../unsaid.ts'
import type { LiveEvent } from './useEvent.ts'

export type CameOf = ReadonlyMap<SightKind, Came>

/** One look at what came, at a picture of the order in force. */
export interface Looked {
  asIs: View
  of: CameOf
  outcomes: readonly (readonly [SightKind, Candidate | Lapse])[]
}

/** What fails twice in a row may not be there at all: it is begun again after so long, each time twice as long, */
const PAUSE_MS = 2_000
/** and no longer. */
const LONGEST_PAUSE_MS = 60_000

/**
 * Has proposals seen beside the page: one look at a time, and the newest wish next. What does so is fetched when there is
 * first something to see; `fail` is told when nothing is to come of it. The next look begins anew, after a pause where
 * that failed as well.
 */
export function useSights(
  event: LiveEvent,
  parts: { seen: (looked: Looked) => void; fail: () => void }
): {
  look: (asIs: View, of: CameOf) => void
  /** Something is still to be seen. */
  isLooking: () => boolean
  /** What sees them failed, and none has seen anything since. */
  isFailing: ShallowRef<boolean>
} {
  let unsaid = unsaidOf(event.log)
  /** The pictures told last, whatever became of them: what is told next is told against them. */
  const views = new Map<SightKind, View>()
  let worker: Worker | undefined
  let underway: Omit<Looked, 'outcomes'> | undefined
  let wanted: Omit<Looked, 'outcomes'> | undefined
  let failedInARow = 0
  let pause: ReturnType<typeof setTimeout> | undefined
  const isFailing = shallowRef(false)

  const say = (to: Worker, message: ToSights) => {
    to.postMessage(message)
  }
  function begin(): Worker {
    const begun = new Worker(new URL('../sight-worker.ts', import.meta.url), { type: 'module' })
    say(begun, { eventId: event.state.value.eventId })
    begun.addEventListener('message', ({ data }: MessageEvent<readonly Sight[]>) => {
      if (worker !== begun) return
      const outcomes = data.map(outcomeOf)
      const looked = underway
      underway = undefined
      failedInARow = 0
      isFailing.value = false
      send()
      if (looked !== undefined) parts.seen({ ...looked, outcomes })
    })
    begun.addEventListener('error', () => {
      begun.terminate()
      // One that has ended may still say so once more.
      if (worker !== begun) return
      worker = underway = wanted = undefined
      failedInARow += 1
      isFailing.value = true
      if (failedInARow > 1) rest(Math.min(LONGEST_PAUSE_MS, PAUSE_MS * 2 ** (failedInARow - 2)))
      // The next one knows nothing of what this one was told and told.
      unsaid = unsaidOf(event.log)
      views.clear()
      parts.fail()
    })
    return begun
  }
  function outcomeOf({ kind, outcome }: Sight): [SightKind, Candidate | Lapse] {
    if (typeof outcome === 'string') return [kind, outcome]
    const { news, ...candidate } = outcome
    const view = pictureOf(views.get(kind), news)
    views.set(kind, view)
    return [kind, { ...candidate, view }]
  }
  function rest(forMs: number) {
    pause = setTimeout(() => {
      pause = undefined
      send()
    }, forMs)
  }
  function send() {
    if (wanted === undefined || underway !== undefined || pause !== undefined) return
    underway = wanted
    wanted = undefined
    worker ??= begin()
    const { anew, facts } = unsaid()
    if (anew) say(worker, { eventId: event.state.value.eventId })
    if (facts.length > 0) say(worker, { facts })
    const proposals = [...underway.of].map(([kind, came]) => ({ kind, ...came }))
    say(worker, { look: { atMs: underway.asIs.atMs, proposals } })
  }
  onScopeDispose(() => {
    clearTimeout(pause)
    worker?.terminate()
  })

  return {
    look: (asIs, of) => {
      wanted = { asIs, of }
      send()
    },
    isLooking: () => underway !== undefined || wanted !== undefined,
    isFailing
  }
}
