import { onScopeDispose } from 'vue'
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

/**
 * Has proposals seen beside the page: one look at a time, and the newest wish next. What does so is fetched when there is
 * first something to see; `fail` is told when nothing is to come of it; the next look begins anew.
 */
export function useSights(
  event: LiveEvent,
  parts: { seen: (looked: Looked) => void; fail: () => void }
): { look: (asIs: View, of: CameOf) => void; isLooking: () => boolean } {
  let unsaid = unsaidOf(event.log)
  /** The pictures told last, whatever became of them: what is told next is told against them. */
  const views = new Map<SightKind, View>()
  let worker: Worker | undefined
  let underway: Omit<Looked, 'outcomes'> | undefined
  let wanted: Omit<Looked, 'outcomes'> | undefined

  const say = (to: Worker, message: ToSights) => {
    to.postMessage(message)
  }
  function begin(): Worker {
    const begun = new Worker(new URL('../sight-worker.ts', import.meta.url), { type: 'module' })
    say(begun, { eventId: event.state.value.eventId })
    begun.addEventListener('message', ({ data }: MessageEvent<readonly Sight[]>) => {
      const outcomes = data.map(outcomeOf)
      const looked = underway
      underway = undefined
      send()
      if (looked !== undefined) parts.seen({ ...looked, outcomes })
    })
    begun.addEventListener('error', () => {
      begun.terminate()
      worker = underway = wanted = undefined
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
  function send() {
    if (wanted === undefined || underway !== undefined) return
    underway = wanted
    wanted = undefined
    worker ??= begin()
    const { anew, facts } = unsaid()
    if (anew) say(worker, { eventId: event.state.value.eventId })
    if (facts.length > 0) say(worker, { facts })
    const proposals = [...underway.of].map(([kind, came]) => ({ kind, ...came }))
    say(worker, { look: { atMs: underway.asIs.atMs, proposals } })
  }
  onScopeDispose(() => worker?.terminate())

  return {
    look: (asIs, of) => {
      wanted = { asIs, of }
      send()
    },
    isLooking: () => underway !== undefined
  }
}
