import { nextTick, watch } from 'vue'

/** Motion only explains a change of place. */
const MOVE_MS = 200

/** Rows glide to their new places when their order changes, those that can be seen; nothing moves with reduced motion. */
export function useGlide(order: () => readonly string[], rowOf: (id: string) => HTMLElement | undefined): void {
  watch(order, async (now, before) => {
    if (now.length === before.length && now.every((id, place) => id === before[place])) return
    if (matchMedia('(prefers-reduced-motion: reduce)').matches) return
    const stood = now.flatMap((id) => {
      const row = rowOf(id)
      return row === undefined ? [] : [{ id, top: row.getBoundingClientRect().top }]
    })
    await nextTick()
    const moved = stood.flatMap(({ id, top }) => {
      const row = rowOf(id)
      const by = row === undefined ? 0 : top - row.getBoundingClientRect().top
      return row === undefined || by === 0 ? [] : [{ row, by }]
    })
    for (const { row, by } of moved) {
      row.animate([{ transform: `translateY(${by}px)` }, { transform: 'none' }], {
        duration: MOVE_MS,
        easing: 'ease-out'
      })
    }
  })
}
