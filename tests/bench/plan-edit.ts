import type { Browser, Page } from 'playwright-core'
import { COLUMNS } from '../../shared/tables/columns.ts'
import type { TableName } from '../../shared/tables/table.ts'
import { launch } from '../browser.ts'
import { openEvent, pause, startOurs } from './child.ts'
import { hundredShips } from './fleet.ts'
import { workBetween, WORK_CATEGORIES } from './plan-edit-work.ts'
import { latencies, medianOf, rowOf, shareOf, type Row, type Spread } from './timing.ts'
import type { TraceEvent } from './trace.ts'

const SIZE = { width: 1440, height: 900 }
const LOADS = 5
/** Until what follows a load or an edit at a distance is done too. */
const SETTLE_MS = 4_000
const REST_MS = 2_500

/** Figures that are typed into a column, one row after the other, each a little from what stood there. */
interface Edits {
  name: string
  table: TableName
  column: string
  count: number
  step: number
}
const EDITS: readonly Edits[] = [
  { name: 'start fuel', table: 'ships', column: 'startFuel', count: 30, step: -10 },
  { name: 'minutes of a phase', table: 'route', column: 'span.durationMin', count: 10, step: 0.1 },
  { name: 'fuel of a tanker', table: 'tankers', column: 'fuelOnStation', count: 10, step: -10 },
  { name: 'the wind, on which every ship hangs,', table: 'event', column: 'rules.windSpeed', count: 10, step: 1 },
  { name: 'start fuel beyond the tanks', table: 'ships', column: 'startFuel', count: 10, step: 90_000 }
]
const ROWS = 10
/** Marks in a trace. */
const [BEGAN, SHOWN] = ['edit began', 'edit shown']

interface Watched {
  /** From the opening of the address until the answer stands on the page, ms. */
  openMs: number
  /** From the key that takes a cell to the paint of what it comes to, ms. */
  editMs: number[]
}

/** The plan of a hundred ships in a real browser: how long it takes to open, and to show what an edited cell comes to. */
export async function planEditRows(): Promise<Row[]> {
  const server = await startOurs('off')
  const browser = await launch()
  try {
    const target = await openEvent(server, hundredShips)
    const context = await browser.newContext({ locale: 'en-GB', viewport: SIZE })
    await context.addInitScript(watchPlan)
    const page = await context.newPage()
    const secret = target.headers['authorization']?.replace('Bearer ', '') ?? ''
    await page.goto(`http://127.0.0.1:${String(server.port)}/join#${secret}`)
    await page.waitForURL(/\/as\//)
    const plan = page.url().replace(/(\/as\/[^/]+)\/.*$/, '$1/plan')
    const openMs: number[] = []
    for (let load = 0; load < LOADS; load++) {
      await page.goto(plan)
      await page.locator('[data-bar-verdict]').waitFor()
      openMs.push((await watchedOn(page)).openMs)
      await pause(SETTLE_MS)
    }
    const rows = [rowOf('plan of 100 ships: from its address to its answer', 'ms', LOADS, latencies(openMs), null)]
    for (const edits of EDITS) rows.push(...(await editRows(browser, page, edits)))
    return rows
  } finally {
    await browser.close()
    await server.stop()
  }
}

const watchedOn = (page: Page): Promise<Watched> =>
  page.evaluate(() => (window as unknown as { watched: Watched }).watched)

async function editRows(browser: Browser, page: Page, edits: Edits): Promise<Row[]> {
  const { name, table, column, count, step } = edits
  const before = (await watchedOn(page)).editMs.length
  const place = COLUMNS[table].findIndex((one) => one.name === column)
  await page.click(`[data-tab="${table}"]`)
  // The event stands upright.
  const cells = page.locator(
    table === 'event' ? `td[data-row="${String(place)}"]` : `td[data-column="${String(place)}"]`
  )
  const texts = await cells.allInnerTexts()
  const places = texts.flatMap((text, at) => (/\d/.test(text) ? [at] : [])).slice(0, ROWS)
  await browser.startTracing(page, { categories: WORK_CATEGORIES })
  for (let edit = 0; edit < count; edit++) {
    const cell = cells.nth(places[edit % places.length] ?? 0)
    await cell.click()
    await page.keyboard.type(String(parseFloat(await cell.innerText()) + step))
    await page.keyboard.press('Enter')
    await pause(REST_MS)
  }
  const editMs = (await watchedOn(page)).editMs.slice(before)
  if (editMs.length !== count) throw new Error(`${String(editMs.length)} of ${String(count)} edits were worked out`)
  const trace = JSON.parse((await browser.stopTracing()).toString()) as { traceEvents: TraceEvent[] }
  const workMs = workBetween(trace.traceEvents, BEGAN, SHOWN)
  return [
    rowOf(`plan of 100 ships: ${name} edited, to its consequences`, 'ms', count, spread(editMs), null),
    rowOf(`plan of 100 ships: ${name} edited, processor time of page and worker`, 'ms', count, spread(workMs), null)
  ]
}

const spread = (values: readonly number[]): Spread => ({
  median: medianOf(values),
  p95: shareOf(values, 0.95),
  most: Math.max(...values)
})

/** In the page, before anything else. */
function watchPlan(): void {
  const watched: Watched = { openMs: NaN, editMs: [] }
  ;(window as unknown as { watched: Watched }).watched = watched
  let takenMs: number | undefined
  addEventListener(
    'keydown',
    ({ key, target }) => {
      if (key !== 'Enter' || !(target instanceof HTMLInputElement)) return
      takenMs = performance.now()
      performance.mark('edit began')
    },
    true
  )
  new MutationObserver(() => {
    if (Number.isNaN(watched.openMs) && document.querySelector('[data-bar-verdict]') !== null)
      watched.openMs = performance.now()
    if (takenMs === undefined || document.querySelector('[data-tables]')?.ariaBusy !== 'false') return
    const beganMs = takenMs
    takenMs = undefined
    requestAnimationFrame(() => {
      watched.editMs.push(performance.now() - beganMs)
      performance.mark('edit shown')
    })
  }).observe(document, { subtree: true, childList: true, attributes: true })
}
