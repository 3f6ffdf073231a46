/*
 * What was, what is, what was taken back. A step keeps the value whole: drafts share all rows that a step left alone, so
 * that a thousand steps cost little more than what they changed.
 */

export interface History<Value extends object> {
  readonly past: readonly Value[]
  readonly now: Value
  readonly future: readonly Value[]
}

/** Steps kept at most; the oldest go first. */
export const MOST_STEPS = 500

export const begun = <Value extends object>(now: Value): History<Value> => ({ past: [], now, future: [] })

/** A step further; what had been taken back is gone. Nothing happens where nothing changes. */
export function stepped<Value extends object>(history: History<Value>, next: Value): History<Value> {
  if (Object.is(next, history.now)) return history
  return { past: [...history.past, history.now].slice(-MOST_STEPS), now: next, future: [] }
}

/** A step back, or the same where there is none. */
export function undone<Value extends object>(history: History<Value>): History<Value> {
  const before = history.past.at(-1)
  if (before === undefined) return history
  return { past: history.past.slice(0, -1), now: before, future: [history.now, ...history.future] }
}

export function redone<Value extends object>(history: History<Value>): History<Value> {
  const [next, ...future] = history.future
  if (next === undefined) return history
  return { past: [...history.past, history.now], now: next, future }
}
