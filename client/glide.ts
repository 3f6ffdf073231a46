import { nextTick } from 'vue'

/** Motion only explains a change of place. */
const MOVE_MS = 200
/** So many rows beyond those in sight a browser makes ready for it. */
const NEAR = 32

/**
 * Before rows stand in another order: those that can be seen glide to their new places; nothing moves with reduced motion.
 * What changes place out of sight is not measured: that would lay out the whole page.
 */
export async function glide(
  now: readonly string[],
  before: readonly string[],
  parts: {
    isSeen: (id: string) => boolean
    rowOf: (id: string) => HTMLElement | undefined
    /** Told of each row that moves to a place in sight or near to it. */
    comes: (id: string) => void
  }
): Promise<void> {
  const places = new Map(before.map((id, place) => [id, place]))
  const by = (id: string, place: number) => Math.abs(place - (places.get(id) ?? place))
  const from = now.findIndex(parts.isSeen) - NEAR
  const to = now.findLastIndex(parts.isSeen) + NEAR
  const moving = now.filter((id, place) => by(id, place) > 0 && parts.isSeen(id))
  // Those that it moves past only shift by a place.
  const least = now.some((id, place) => by(id, place) > 1) ? 2 : 1
  const coming = now.filter((id, place) => place >= from && place <= to && by(id, place) >= least)
  if (moving.length === 0) coming.forEach(parts.comes)
  if (moving.length === 0 || matchMedia('(prefers-reduced-motion: reduce)').matches) return
  const stood = moving.flatMap((id) => {
    const row = parts.rowOf(id)
    return row === undefined ? [] : [{ id, top: row.getBoundingClientRect().top }]
  })
  coming.forEach(parts.comes)
  await nextTick()
  const moved = stood.flatMap(({ id, top }) => {
    const row = parts.rowOf(id)
    const by = row === undefined ? 0 : top - row.getBoundingClientRect().top
    return row === undefined || by === 0 ? [] : [{ row, by }]
  })
  for (const { row, by } of moved) {
    row.animate([{ transform: `translateY(${by}px)` }, { transform: 'none' }], {
      duration: MOVE_MS,
      easing: 'ease-out'
    })
  }
}
