import { onScopeDispose } from 'vue'
import { FRAMES } from '../frames.ts'

/** So many rows may have come into sight or gone out of it before they are marked. */
const UNMARKED = 16

/**
 * Which rows can be seen; `come` is told of each that comes into sight. Where a browser cannot tell, all of them. They have
 * the class `seen`, a little later: it is for moves of rows, and to give it has its price.
 */
export function useSeen(come: (id: string) => void): {
  isSeen: (id: string) => boolean
  /** For a row's `ref`: watches its element, and forgets it when it is gone. */
  row: (id: string, element: HTMLElement | undefined) => void
  elementOf: (id: string) => HTMLElement | undefined
  /** Marks a row that is about to come into sight or near to it. */
  mark: (id: string) => void
} {
  const elements = new Map<string, HTMLElement>()
  const ids = new WeakMap<Element, string>()
  const seen = new Set<string>()
  const unmarked = new Set<string>()
  function markAll() {
    for (const id of unmarked) elements.get(id)?.classList.toggle('seen', seen.has(id))
    unmarked.clear()
  }
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
            if (target.classList.contains('seen') === isIntersecting) unmarked.delete(id)
            else unmarked.add(id)
          }
          if (unmarked.size >= UNMARKED) FRAMES.ask(markAll)
        })
      : undefined
  onScopeDispose(() => {
    watcher?.disconnect()
    FRAMES.drop(markAll)
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
        unmarked.delete(id)
        return
      }
      elements.set(id, element)
      ids.set(element, id)
      watcher?.observe(element)
    },
    elementOf: (id) => elements.get(id),
    mark: (id) => {
      elements.get(id)?.classList.add('seen')
      if (!seen.has(id)) unmarked.add(id)
    }
  }
}
