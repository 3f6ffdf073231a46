import type { TraceEvent } from './trace.ts'

/*
 * What an edit costs the processor, from a trace of the browser: the tasks of the page and of the worker beside it between
 * two marks. Both may run at once, so it is the most the edit can take on a machine that does nothing else; unlike time on
 * the wall it does not grow with what the machine does besides.
 */

/** The categories of the browser that this needs. */
export const WORK_CATEGORIES = ['toplevel', 'blink.user_timing', '__metadata']

const THREADS = new Set(['CrRendererMain', 'DedicatedWorker thread'])
const MS_PER_US = 1 / 1000

/** Processor time of each stretch from a mark of the one name to the next of the other, ms. */
export function workBetween(events: readonly TraceEvent[], began: string, ended: string): number[] {
  const ends = events.filter(({ name }) => name === ended).map(({ ts }) => ts)
  const begins = events.filter(({ name }) => name === began)
  const threads = new Set(
    events
      .filter(({ name, args }) => name === 'thread_name' && THREADS.has(args?.name ?? ''))
      .map(({ pid, tid }) => `${String(pid)} ${String(tid)}`)
  )
  const tasks = events.filter(
    ({ name, ph, pid, tid }) => name.endsWith('RunTask') && ph === 'X' && threads.has(`${String(pid)} ${String(tid)}`)
  )
  return begins.map(({ ts: from, pid }) => {
    const to = Math.min(...ends.filter((ts) => ts >= from))
    // The task of the key began before its mark, and the one that shows it ends after.
    const its = tasks.filter((task) => task.pid === pid && task.ts <= to && task.ts + (task.dur ?? 0) >= from)
    return outermost(its).reduce((sum, { tdur = 0 }) => sum + tdur, 0) * MS_PER_US
  })
}

/** Without those that lie inside another one of their thread. */
function outermost(tasks: readonly TraceEvent[]): TraceEvent[] {
  const untilByThread = new Map<number, number>()
  return tasks
    .toSorted((a, b) => a.ts - b.ts || (b.dur ?? 0) - (a.dur ?? 0))
    .filter(({ tid, ts, dur = 0 }) => {
      if (ts < (untilByThread.get(tid) ?? -Infinity)) return false
      untilByThread.set(tid, ts + dur)
      return true
    })
}
