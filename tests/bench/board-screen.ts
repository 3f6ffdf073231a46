import type { Page } from 'playwright-core'
import { launch } from '../browser.ts'
import { callBody, openEvent, pause, startOurs, type Target } from './child.ts'
import { twoHundredShips } from './fleet.ts'
import { jsonOf, Line } from './line.ts'
import { latencies, medianOf, rowOf, shareOf, type Row, type Spread } from './timing.ts'
import { CATEGORIES, mainThread, type TraceEvent } from './trace.ts'

const SHIPS = twoHundredShips(Date.UTC(2030, 2, 4, 12)).flights.flatMap(({ ships }) => ships)
const SIZE = { width: 1440, height: 900 }
/** Calls of fuel while the board is looked at. */
const CALLS_PER_S = 2
const LOOK_S = 20
/** Until the page works by itself, and what it fetched after its first picture is there. */
const SETTLE_MS = 6_000
const LOADS = 5
const LONG_TASK_MS = 50
/** In a shorter frame nothing of a board happens but that a row that glides goes on: such frames would lower every share. */
const BUSY_MS = 1
/** Keys of a call as it is typed. */
const TYPED = 'alder 1 6.4'

/** The board of two hundred ships with an hour's lanes in a real browser: frames, long tasks, first picture, typing. */
export async function boardScreenRows(): Promise<Row[]> {
  const server = await startOurs('off')
  const browser = await launch()
  try {
    const target = await openEvent(server, twoHundredShips)
    const context = await browser.newContext({ locale: 'en-GB', viewport: SIZE })
    await context.addInitScript(watchPaints)
    const address = `http://127.0.0.1:${String(server.port)}`
    const page = await context.newPage()
    await page.goto(`${address}/join#${target.headers['authorization']?.replace('Bearer ', '') ?? ''}`)
    await page.waitForURL(/\/as\//)
    const board = page.url().replace(/(\/as\/[^/]+)\/.*$/, '$1/board')
    const paintMs: number[] = []
    const shifts: number[] = []
    for (let load = 0; load < LOADS; load++) {
      await page.goto(board)
      await page.locator('.row[data-ship]').first().waitFor()
      await pause(load === LOADS - 1 ? SETTLE_MS : 1_500)
      const seen = await page.evaluate(() => (window as unknown as { seen: Seen }).seen)
      paintMs.push(seen.paintMs)
      shifts.push(seen.shift)
    }
    const rowCount = await page.locator('.row[data-ship]').count()
    if (rowCount !== SHIPS.length)
      throw new Error(`the board shows ${String(rowCount)} of ${String(SHIPS.length)} ships`)
    await browser.startTracing(page, { categories: CATEGORIES })
    await callsOn(target)
    const trace = JSON.parse((await browser.stopTracing()).toString()) as { traceEvents: TraceEvent[] }
    const { frameMs, taskMs } = mainThread(trace.traceEvents)
    if (frameMs.length < LOOK_S) throw new Error(`only ${String(frameMs.length)} frames in ${String(LOOK_S)} s`)
    const busyMs = frameMs.filter((ms) => ms >= BUSY_MS)
    const keyMs = await typed(page)
    return [
      rowOf(
        'board of 200 ships: script, style and paint of a drawn frame',
        'ms',
        frameMs.length,
        spread(frameMs),
        null
      ),
      rowOf('board of 200 ships: the same, of frames of 1 ms and more', 'ms', busyMs.length, spread(busyMs), null),
      rowOf('board of 200 ships: longest task', 'ms', taskMs.length, { median: Math.max(...taskMs) }, null),
      rowOf(
        'board of 200 ships: tasks over 50 ms',
        'tasks',
        taskMs.length,
        { median: taskMs.filter((ms) => ms > LONG_TASK_MS).length },
        null
      ),
      rowOf('board of 200 ships: largest paint after the address is opened', 'ms', LOADS, latencies(paintMs), null),
      rowOf('board of 200 ships: layout shift of the load', 'score', LOADS, latencies(shifts), null),
      rowOf('board of 200 ships: from a key to its paint', 'ms', keyMs.length, spread(keyMs), null)
    ]
  } finally {
    await browser.close()
    await server.stop()
  }
}

const spread = (values: readonly number[]): Spread => ({
  median: medianOf(values),
  p95: shareOf(values, 0.95),
  most: Math.max(...values)
})

interface Seen {
  paintMs: number
  shift: number
  keyMs: number[]
}

/** In the page, before anything else. */
function watchPaints(): void {
  const seen: Seen = { paintMs: NaN, shift: 0, keyMs: [] }
  ;(window as unknown as { seen: Seen }).seen = seen
  const watch = (type: string, hear: (entry: PerformanceEntry) => void, more: object = {}) => {
    new PerformanceObserver((list) => {
      list.getEntries().forEach(hear)
    }).observe({ type, buffered: true, ...more })
  }
  watch('largest-contentful-paint', ({ startTime }) => {
    seen.paintMs = startTime
  })
  watch('layout-shift', (entry) => {
    const { value, hadRecentInput } = entry as PerformanceEntry & { value: number; hadRecentInput: boolean }
    if (!hadRecentInput) seen.shift += value
  })
  watch(
    'event',
    ({ name, duration }) => {
      if (name === 'keydown') seen.keyMs.push(duration)
    },
    { durationThreshold: 16 }
  )
}

/** Calls while the board is open, spread over all ships. */
async function callsOn({ server, callPath, headers }: Target): Promise<void> {
  const line = await Line.to(server.port)
  const startedMs = performance.now()
  for (let index = 0; index < LOOK_S * CALLS_PER_S; index++) {
    jsonOf(await line.ask('POST', callPath, callBody(index * 7, SHIPS), headers))
    await pause(Math.max(0, startedMs + ((index + 1) * 1_000) / CALLS_PER_S - performance.now()))
  }
  line.close()
}

/** From each key of a call to the paint after it, ms; what took less than 16 ms is not told apart. */
async function typed(page: Page): Promise<number[]> {
  await page.evaluate(() => {
    ;(window as unknown as { seen: Seen }).seen.keyMs = []
  })
  for (let turn = 0; turn < 3; turn++) {
    await page.keyboard.type(TYPED, { delay: 120 })
    await page.keyboard.press('Escape')
  }
  await pause(500)
  const keyMs = await page.evaluate(() => (window as unknown as { seen: Seen }).seen.keyMs)
  const count = 3 * (TYPED.length + 1)
  return [...keyMs, ...Array.from({ length: Math.max(0, count - keyMs.length) }, () => 16)]
}
