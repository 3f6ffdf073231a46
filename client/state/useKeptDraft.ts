import { onScopeDispose, ref, watch, type Ref } from 'vue'
import type { Draft } from '../../shared/tables/table.ts'
import type { DraftShelf, FirstTry, KeptDraft } from '../plan/shelf.ts'

/** So long after a change the draft is kept at the latest. */
const REST_MS = 1000

/**
 * Keeps a draft in this browser while it differs from what is saved: shortly after each change, and when the page goes. What
 * is saved needs no keeping.
 */
export function useKeptDraft(parts: {
  shelf: DraftShelf
  draft: Readonly<Ref<Draft>>
  /** The revision it began from. */
  revision: Readonly<Ref<number>>
  unsaved: Readonly<Ref<boolean>>
  /** What was asked of the service already, where the event is still to be made. */
  firstTry: Readonly<Ref<FirstTry | undefined>>
}): {
  keptAtMs: Ref<number | undefined>
  failed: Ref<boolean>
  /** Keeps it without waiting for a rest. */
  keepNow: () => Promise<void>
} {
  const { shelf, draft, revision, unsaved, firstTry } = parts
  const keptAtMs = ref<number>()
  const failed = ref(false)
  let timer: ReturnType<typeof setTimeout> | undefined

  const now = (): KeptDraft => ({
    v: 1,
    revision: revision.value,
    draft: draft.value,
    keptAtMs: Date.now(),
    ...(firstTry.value !== undefined && { firstTry: firstTry.value })
  })
  async function keep() {
    timer = undefined
    if (!unsaved.value) {
      keptAtMs.value = undefined
      await shelf.drop()
      return
    }
    const kept = now()
    failed.value = !(await shelf.put(kept))
    keptAtMs.value = failed.value ? undefined : kept.keptAtMs
  }
  async function keepNow() {
    clearTimeout(timer)
    await keep()
  }
  function keepAtOnce() {
    if (timer === undefined) return
    clearTimeout(timer)
    timer = undefined
    if (unsaved.value) shelf.putAtOnce(now())
  }
  watch([draft, revision], () => {
    timer ??= setTimeout(() => void keep(), REST_MS)
  })
  window.addEventListener('pagehide', keepAtOnce)
  onScopeDispose(() => {
    window.removeEventListener('pagehide', keepAtOnce)
    if (timer === undefined) return
    clearTimeout(timer)
    void keep()
  })
  return { keptAtMs, failed, keepNow }
}
