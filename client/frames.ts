/*
 * What a new picture changes on a large page is put on it in pieces, one a frame: all at once it would hold up a key that
 * is typed meanwhile.
 */

export interface Frames {
  /** What is asked again before its turn is done once. `next` puts it before all that may wait. */
  ask: (piece: () => void, next?: boolean) => void
  drop: (piece: () => void) => void
}

/** So many that may not wait are done in a row while others do. */
const IN_A_ROW = 2

/** Pieces in turn, one a frame: none waits for others that are asked again and again. */
export function inFrames(nextFrame: (work: () => void) => void): Frames {
  let first: (() => void)[] = []
  let waiting: (() => void)[] = []
  let inARow = 0
  let isAsked = false

  function work() {
    isAsked = false
    const isFirst = first.length > 0 && (inARow < IN_A_ROW || waiting.length === 0)
    const piece = (isFirst ? first : waiting).shift()
    const isMore = first.length + waiting.length > 0
    inARow = isFirst && isMore ? inARow + 1 : 0
    if (isMore) want()
    piece?.()
  }
  function want() {
    if (isAsked) return
    isAsked = true
    nextFrame(work)
  }
  return {
    ask: (piece, next = false) => {
      if (next) waiting = waiting.filter((one) => one !== piece)
      if (![...first, ...waiting].includes(piece)) (next ? first : waiting).push(piece)
      want()
    },
    drop: (piece) => {
      first = first.filter((one) => one !== piece)
      waiting = waiting.filter((one) => one !== piece)
    }
  }
}

/** Those of this page. */
export const FRAMES = inFrames((work) => requestAnimationFrame(work))
