import { onScopeDispose, shallowRef, watch, type ShallowRef } from 'vue'
import { FRAMES } from '../frames.ts'

/** So many rows are drawn at once, whether they can be seen or not: more than any screen holds. */
export const AT_ONCE = 40
/** Of a longer board so many in one frame, those that can be seen first, */
const A_FRAME = 6
/** but for one place of the others, who would never come to it where pictures come as fast as frames, */
const FAR_IN_A_FRAME = 1
/** and those that cannot in turn, all within so long. */
const UNSEEN_MS = 4_000

/** Rows as a picture has them. */
export interface Wanted<Row> {
  /** In the order they stand. */
  ids: readonly string[]
  rowOf: (id: string) => Row | undefined
  /** What of a row may not wait for its turn. */
  pressingOf: (id: string) => unknown
}

/** A row as it is drawn now. */
export interface Holder<Row> {
  id: string
  row: ShallowRef<Row>
  pressing: unknown
}

/**
 * Rows as they are drawn. A board that fits a few screens follows a picture at once; of a longer one the order and what is
 * pressing follow in the next frames, the others that can be seen within a few, and those that cannot in turn within some
 * seconds, so that no frame is held up by it. `all` tells what every row must follow in any case.
 */
export function useRows<Row>(parts: {
  wanted: () => Wanted<Row>
  isSeen: (id: string) => boolean
  all: () => unknown
  /** Real time from anywhere, ms. */
  nowMs: () => number
}): { drawn: ShallowRef<readonly Holder<Row>[]>; follow: (id: string) => void } {
  const drawn = shallowRef<readonly Holder<Row>[]>([])
  /** In the order they were drawn, longest ago first. */
  const holders = new Map<string, Holder<Row>>()
  let wanted = parts.wanted()
  /** Rows that wait to be drawn: those that can be seen, or could when they came, and all others. */
  const near = new Set<string>()
  const far = new Set<string>()
  let unseenAtMs = parts.nowMs()
  let isToPress = false

  function draw(id: string) {
    near.delete(id)
    far.delete(id)
    const row = wanted.rowOf(id)
    if (row === undefined) return
    const pressing = wanted.pressingOf(id)
    const holder = holders.get(id) ?? { id, row: shallowRef(row), pressing }
    holder.row.value = row
    holder.pressing = pressing
    holders.delete(id)
    holders.set(id, holder)
  }
  /** The list itself changes only when rows come, go or change places. */
  function list() {
    drawn.value = listed()
  }
  function listed(): readonly Holder<Row>[] {
    const next = wanted.ids.flatMap((id) => holders.get(id) ?? [])
    const isSame = next.length === drawn.value.length && next.every((holder, place) => holder === drawn.value[place])
    return isSame ? drawn.value : next
  }
  function press() {
    isToPress = false
    for (const { id, pressing } of [...holders.values()]) if (wanted.pressingOf(id) !== pressing) draw(id)
    // Not in this frame: where rows change places all that are near are laid out again.
    if (listed() !== drawn.value) FRAMES.ask(list, true)
  }
  function work() {
    const first = [...near].slice(0, far.size > 0 ? A_FRAME - FAR_IN_A_FRAME : A_FRAME)
    const isNew = [...first, ...[...far].slice(0, A_FRAME - first.length)].filter((id) => {
      const held = holders.has(id)
      draw(id)
      return !held
    })
    if (isNew.length > 0) list()
    goOn()
  }
  function goOn() {
    if (near.size + far.size > 0) FRAMES.ask(work)
  }
  function rest() {
    // Nothing: the frame is taken.
  }
  function waitNear(ids: readonly string[]) {
    for (const id of ids) {
      far.delete(id)
      near.add(id)
    }
    goOn()
  }
  function waitFar(ids: readonly string[]) {
    for (const id of ids) if (!near.has(id)) far.add(id)
    goOn()
  }
  /** Of those that cannot be seen as many as the time since the last picture is of theirs, drawn longest ago first. */
  function inTurn(unseen: ReadonlySet<string>): string[] {
    const share = Math.min(1, (parts.nowMs() - unseenAtMs) / UNSEEN_MS)
    unseenAtMs = parts.nowMs()
    const idle = [...holders.keys()].filter((id) => unseen.has(id) && !near.has(id) && !far.has(id))
    return idle.slice(0, Math.ceil(share * unseen.size))
  }
  function forgetGone() {
    const known = new Set(wanted.ids)
    for (const id of holders.keys()) if (!known.has(id)) holders.delete(id)
    for (const waiting of [near, far]) for (const id of waiting) if (!known.has(id)) waiting.delete(id)
  }

  watch(
    [parts.wanted, parts.all] as const,
    ([now, all], [, before]) => {
      wanted = now
      forgetGone()
      const first = drawn.value.length === 0
      const isShort = now.ids.length <= AT_ONCE
      if (first || isShort) {
        now.ids.slice(0, AT_ONCE).forEach(draw)
        list()
      } else if (!isToPress) {
        // Not in the frame that has to do with the picture itself; where pictures come faster it waits for no other.
        FRAMES.ask(rest, true)
        FRAMES.ask(press, true)
        isToPress = true
      }
      if (isShort) return
      const unseen = now.ids.filter((id) => !parts.isSeen(id))
      // Nobody waits for its turn twice: what is behind already stays in front.
      waitNear(now.ids.filter((id) => parts.isSeen(id)))
      if (first || all !== before) waitFar(unseen)
      else {
        waitFar(unseen.filter((id) => !holders.has(id)))
        waitFar(inTurn(new Set(unseen)))
      }
    },
    { immediate: true }
  )
  onScopeDispose(() => {
    FRAMES.drop(press)
    FRAMES.drop(list)
    FRAMES.drop(rest)
    FRAMES.drop(work)
  })
  return {
    drawn,
    follow: (id) => {
      if (wanted.ids.length > AT_ONCE) waitNear([id])
    }
  }
}
