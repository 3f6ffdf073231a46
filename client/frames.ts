/*
 * What a new picture changes on a large page is put on it in pieces, one a frame: all at once it would hold up a key that
 * is typed meanwhile.
 */

export interface Frames {
  /** What is asked again before its turn is done once. `next` puts it before all that waits. */
  ask: (piece: () => void, next?: boolean) => void
  drop: (piece: () => void) => void
}

/** Pieces in turn, one a frame: none waits for another that is asked again and again. */
export function inFrames(nextFrame: (work: () => void) => void): Frames {
  let waiting: (() => void)[] = []
  let isAsked = false

  function work() {
    isAsked = false
    const piece = waiting.shift()
    if (waiting.length > 0) want()
    piece?.()
  }
  function want() {
    if (isAsked) return
    isAsked = true
    nextFrame(work)
  }
  return {
    ask: (piece, next = false) => {
      if (next) waiting = [piece, ...waiting.filter((one) => one !== piece)]
      else if (!waiting.includes(piece)) waiting.push(piece)
      want()
    },
    drop: (piece) => {
      waiting = waiting.filter((one) => one !== piece)
    }
  }
}

/** Those of this page. */
export const FRAMES = inFrames((work) => requestAnimationFrame(work))
