import { onScopeDispose, shallowRef, watch, type ShallowRef } from 'vue'
import type { Fact } from '../../shared/contracts/facts.ts'
import { reduce } from '../../shared/live/reduce.ts'
import { emptyState, seenOf, type LiveState } from '../../shared/live/state.ts'
import { slotChanges } from '../slot-changes.ts'
import type { LiveEvent } from './useEvent.ts'

/** Two pictures are worked out for it: not with every fact of a busy minute. */
const LOOK_MS = 3_000

/** What has changed of the slot of a ship since somebody said that it was read; empty where nobody has. */
export function useChanged(event: LiveEvent, shipId: () => string | undefined): ShallowRef<readonly string[]> {
  const changes = shallowRef<readonly string[]>([])
  let then: LiveState | undefined
  /** The fact it ends with: another one where the log was begun anew. */
  let thenFact: Fact | undefined
  let timer: ReturnType<typeof setTimeout> | undefined

  function look() {
    timer = undefined
    const [id, labels, now] = [shipId(), event.labels.value, event.view.value]
    const estimate = event.moving.value?.estimate
    const seen = id === undefined ? undefined : seenOf(event.state.value, id)
    if (id === undefined || seen === undefined || !labels || !now || !estimate) {
      changes.value = []
      return
    }
    const seenFact = event.log[seen.seenSeq - 1]
    if (then === undefined || seenFact !== thenFact) {
      thenFact = seenFact
      then = event.log.slice(0, seen.seenSeq).reduce(reduce, emptyState(event.state.value.eventId))
    }
    const before = estimate(then, now.atMs)
    changes.value = before === undefined ? [] : slotChanges(id, { before, now, labels })
  }
  watch([event.state, event.moving, shipId, () => event.view.value === undefined], ([state], [last]) => {
    const id = shipId()
    // Said to be seen it goes at once.
    const isRead = id !== undefined && seenOf(state, id) !== seenOf(last, id)
    if (isRead) look()
    else timer ??= setTimeout(look, LOOK_MS)
  })
  onScopeDispose(() => {
    clearTimeout(timer)
  })
  return changes
}
