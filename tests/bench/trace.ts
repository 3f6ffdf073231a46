/*
 * What a page's main thread does, from a trace of the browser. Processor time, not time on the wall: other work on the
 * machine must not count.
 */

export interface TraceEvent {
  name: string
  ph: string
  pid: number
  tid: number
  /** Microseconds, on the wall. */
  ts: number
  dur?: number
  /** Microseconds of the processor. */
  tdur?: number
  args?: { name?: string }
}

/** Categories of the browser that the answers here need. */
export const CATEGORIES = ['toplevel', 'devtools.timeline', 'disabled-by-default-devtools.timeline', '__metadata']

/** Ends the work of each frame that is drawn. */
const FRAME = 'Commit'
/** What scripts, styles, layout and paint are made of; whatever lies inside another of them counts with it. */
const WORK = new Set([
  'EventDispatch',
  'HandlePostMessage',
  'EvaluateScript',
  'FunctionCall',
  'TimerFire',
  'FireAnimationFrame',
  'RunMicrotasks',
  'UpdateLayoutTree',
  'Layout',
  'PrePaint',
  'Paint',
  'Layerize',
  'Commit',
  'IntersectionObserverController::computeIntersections',
  'MinorGC',
  'MajorGC'
])

interface Threads {
  /** For each frame drawn the script, style, layout and paint since the one before, ms. */
  frameMs: number[]
  /** Tasks of the main thread, ms. */
  taskMs: number[]
}

const MS_PER_US = 1 / 1000

/** The main thread of the page that did most. */
export function mainThread(events: readonly TraceEvent[]): Threads {
  const mains = events.filter(({ name, args }) => name === 'thread_name' && args?.name === 'CrRendererMain')
  const busiest = mains
    .map((main) => events.filter((event) => event.pid === main.pid && event.tid === main.tid))
    .toSorted((a, b) => b.length - a.length)[0]
  if (busiest === undefined) throw new Error('the trace has no main thread of a page')
  const inTime = busiest.filter(({ ph }) => ph === 'X').toSorted((a, b) => a.ts - b.ts)
  const frameMs: number[] = []
  let endUs = -Infinity
  let sumMs = 0
  for (const { name, ts, dur = 0, tdur = dur } of inTime) {
    if (!WORK.has(name)) continue
    // What lies inside another counts with it, but a frame ends where it ends.
    if (ts >= endUs) {
      endUs = ts + dur
      sumMs += tdur * MS_PER_US
    }
    if (name === FRAME) {
      frameMs.push(sumMs)
      sumMs = 0
    }
  }
  const taskMs = inTime
    .filter(({ name }) => name === 'RunTask' || name === 'ThreadControllerImpl::RunTask')
    .map(({ dur = 0, tdur = dur }) => tdur * MS_PER_US)
  return { frameMs, taskMs }
}
