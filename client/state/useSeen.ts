import { onScopeDispose } from 'vue'

/** Which rows can be seen; `come` is told of each that comes into sight. Where a browser cannot tell, all of them. */
export function useSeen(come: (id: string) => void): {
  isSeen: (id: string) => boolean
  /** For a row's `ref`: watches its element, and forgets it when it is gone. */
  row: (id: string, element: HTMLElement | undefined) => void
  elementOf: (id: string) => HTMLElement | undefined
} {
  const elements = new Map<string, HTMLElement>()
  const ids = new WeakMap<Element, string>()
  const seen = new Set<string>()
  const watcher =
    'IntersectionObserver' in globalThis
      ? new IntersectionObserver((entries) => {
          for (const { target, isIntersecting } of entries) {
            const id = ids.get(target)
            if (id === undefined) continue
            if (isIntersecting) {
              seen.add(id)
              come(id)
            } else seen.delete(id)
          }
        })
      : undefined
  onScopeDispose(() => {
    watcher?.disconnect()
  })

  return {
    isSeen: (id) => watcher === undefined || seen.has(id),
    row: (id, element) => {
      const had = elements.get(id)
      if (had === element) return
      if (had !== undefined) watcher?.unobserve(had)
      if (element === undefined) {
        elements.delete(id)
        seen.delete(id)
        return
      }
      elements.set(id, element)
      ids.set(element, id)
      watcher?.observe(element)
    },
    elementOf: (id) => elements.get(id)
  }
}
