import { onMounted, onScopeDispose, ref, watch, type Ref } from 'vue'

/** Shares of a line that are told apart: the last is a line that a part of a pixel is cut off from. */
const SHARES = [0, 0.5, 0.9, 0.96, 1]

/**
 * How many lines of a list that scrolls end below what is in sight of it. `of` is what its lines hang on. The browser says
 * when that changes, after it has laid the page out: to ask it at each picture would make it do so twice.
 */
export function useBelow(
  list: Readonly<Ref<HTMLElement | null>>,
  of: () => unknown
): { below: Ref<number>; look: () => void } {
  const below = ref(0)
  const linesOf = (seen: HTMLElement) => [...seen.querySelectorAll(':scope > [data-line]')]
  function look() {
    const seen = list.value
    if (seen === null) {
      below.value = 0
      return
    }
    const end = seen.getBoundingClientRect().bottom
    below.value = linesOf(seen).filter((line) => line.getBoundingClientRect().bottom > end + 1).length
  }

  const sized = typeof ResizeObserver === 'undefined' ? undefined : new ResizeObserver(look)
  let watcher: IntersectionObserver | undefined
  let watched: readonly Element[] = []
  /** Lines that come or go are looked at anew with all others. */
  function follow() {
    if (list.value === null || watcher === undefined) {
      look()
      return
    }
    const lines = linesOf(list.value)
    if (lines.length === watched.length && lines.every((line, place) => line === watched[place])) return
    watcher.disconnect()
    watched = lines
    for (const line of lines) watcher.observe(line)
  }
  onMounted(() => {
    watch(
      list,
      (now, before) => {
        if (before) sized?.unobserve(before)
        if (now) sized?.observe(now)
        watcher?.disconnect()
        watched = []
        watcher =
          now && 'IntersectionObserver' in globalThis
            ? new IntersectionObserver(look, { root: now, threshold: SHARES })
            : undefined
        follow()
      },
      { immediate: true }
    )
    watch(of, follow, { flush: 'post' })
  })
  onScopeDispose(() => {
    sized?.disconnect()
    watcher?.disconnect()
  })
  return { below, look }
}
