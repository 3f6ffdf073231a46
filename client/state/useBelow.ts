import { onMounted, onScopeDispose, ref, watch, type Ref } from 'vue'

/** How many lines of a list that scrolls end below what is in sight of it. `of` is what it hangs on beside its size. */
export function useBelow(
  list: Readonly<Ref<HTMLElement | null>>,
  of: () => unknown
): { below: Ref<number>; look: () => void } {
  const below = ref(0)
  function look() {
    const seen = list.value
    if (seen === null) {
      below.value = 0
      return
    }
    const end = seen.getBoundingClientRect().bottom
    const lines = [...seen.querySelectorAll(':scope > [data-line]')]
    below.value = lines.filter((line) => line.getBoundingClientRect().bottom > end + 1).length
  }
  const sized = typeof ResizeObserver === 'undefined' ? undefined : new ResizeObserver(look)
  onMounted(() => {
    watch(
      list,
      (now, before) => {
        if (before) sized?.unobserve(before)
        if (now) sized?.observe(now)
        look()
      },
      { immediate: true }
    )
    watch(of, look, { flush: 'post' })
  })
  onScopeDispose(() => sized?.disconnect())
  return { below, look }
}
