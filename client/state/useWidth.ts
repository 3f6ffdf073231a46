import { onBeforeUnmount, onMounted, ref, type Ref } from 'vue'

/** How wide an element is, px, as it changes; as said until it is known. */
export function useWidth(element: Readonly<Ref<HTMLElement | null>>, unknown: number): Ref<number> {
  const widthPx = ref(unknown)
  let watcher: ResizeObserver | undefined
  onMounted(() => {
    if (element.value === null || typeof ResizeObserver === 'undefined') return
    watcher = new ResizeObserver(([entry]) => {
      if (entry !== undefined && entry.contentRect.width > 0) widthPx.value = Math.round(entry.contentRect.width)
    })
    watcher.observe(element.value)
  })
  onBeforeUnmount(() => {
    watcher?.disconnect()
  })
  return widthPx
}
