import { onScopeDispose, shallowRef, watch, type ShallowRef } from 'vue'

/** So many rows are drawn at once, whether they can be seen or not: more than any screen holds. */
const AT_ONCE = 40
/** Of a longer board so many in one frame, those that can be seen first, */
const A_FRAME = 6
/** and of those that cannot so many for each picture, in turn. */
const UNSEEN = 40

/** A row as it is drawn now. */
export interface Holder<Row> {
  id: string
  row: ShallowRef<Row>
}

/**
 * Rows as they are drawn. Their order is always the one that is wanted. A board that fits a few screens follows as a
 * whole; of a longer one those that can be seen follow within a few frames and the others in turn within some seconds, so
 * that no frame is held up by it. `all` tells what every row must follow at once.
 */
export function useRows<Row>(parts: {
  wanted: () => readonly Row[]
  idOf: (row: Row) => string
  isSeen: (id: string) => boolean
  all: () => unknown
}): { drawn: ShallowRef<readonly Holder<Row>[]>; follow: (id: string) => void } {
  const drawn = shallowRef<readonly Holder<Row>[]>([])
  const holders = new Map<string, Holder<Row>>()
  let wanted = new Map<string, Row>()
  const waiting = new Set<string>()
  let turn = 0
  let frame: number | undefined

  function draw(id: string) {
    const row = wanted.get(id)
    if (row === undefined) return
    const holder = holders.get(id)
    if (holder === undefined) holders.set(id, { id, row: shallowRef(row) })
    else holder.row.value = row
  }
  /** The list itself changes only when rows come, go or change places. */
  function list() {
    const next = [...wanted.keys()].flatMap((id) => holders.get(id) ?? [])
    const isSame = next.length === drawn.value.length && next.every((holder, place) => holder === drawn.value[place])
    if (!isSame) drawn.value = next
  }
  function work() {
    frame = undefined
    let count = 0
    for (const id of waiting) {
      if (count++ === A_FRAME) break
      waiting.delete(id)
      draw(id)
    }
    list()
    if (waiting.size > 0) frame = requestAnimationFrame(work)
  }
  function wait(ids: readonly string[]) {
    for (const id of ids) waiting.add(id)
    // Not in the frame that drew what stands above the rows.
    if (waiting.size > 0) frame ??= requestAnimationFrame(() => (frame = requestAnimationFrame(work)))
  }

  watch(
    [parts.wanted, parts.all],
    ([rows, all], [, before]) => {
      wanted = new Map(rows.map((row) => [parts.idOf(row), row]))
      for (const id of holders.keys()) if (!wanted.has(id)) holders.delete(id)
      const ids = [...wanted.keys()]
      const first = drawn.value.length === 0
      if (first || ids.length <= AT_ONCE) ids.slice(0, AT_ONCE).forEach(draw)
      list()
      if (ids.length <= AT_ONCE) return
      const seen = ids.filter((id) => parts.isSeen(id))
      const unseen = ids.filter((id) => !parts.isSeen(id))
      // Nobody waits for its turn twice: what is behind already stays in front.
      wait(seen)
      if (first || all !== before) wait(unseen)
      else {
        wait([...unseen, ...unseen].slice(turn, turn + Math.min(UNSEEN, unseen.length)))
        turn = (turn + UNSEEN) % Math.max(1, unseen.length)
      }
    },
    { immediate: true }
  )
  onScopeDispose(() => {
    if (frame !== undefined) cancelAnimationFrame(frame)
  })
  return {
    drawn,
    follow: (id) => {
      if (wanted.size > AT_ONCE) wait([id])
    }
  }
}
