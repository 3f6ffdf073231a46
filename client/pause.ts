/** Asks again, of each kind no sooner than a pause after the last time. */
export interface Again<Kind> {
  ask: (kind: Kind) => void
  stop: () => void
}

/** What is asked within its pause is asked once when that ends, so that nothing asked is forgotten; ms. */
export function askAgain<Kind>(ask: (kind: Kind) => void, pauseMs: number): Again<Kind> {
  const pauses = new Map<Kind, ReturnType<typeof setTimeout>>()
  const waiting = new Set<Kind>()
  function askNow(kind: Kind) {
    const pause = setTimeout(() => {
      pauses.delete(kind)
      if (waiting.delete(kind)) askNow(kind)
    }, pauseMs)
    pauses.set(kind, pause)
    ask(kind)
  }
  return {
    ask: (kind) => {
      if (pauses.has(kind)) waiting.add(kind)
      else askNow(kind)
    },
    stop: () => {
      for (const pause of pauses.values()) clearTimeout(pause)
      pauses.clear()
      waiting.clear()
    }
  }
}
