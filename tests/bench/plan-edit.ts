import { COLUMNS } from '../../shared/tables/columns.ts'
import { launch } from '../browser.ts'
import { openEvent, pause, startOurs } from './child.ts'
import { hundredShips } from './fleet.ts'
import { latencies, medianOf, rowOf, shareOf, type Row } from './timing.ts'

const SIZE = { width: 1440, height: 900 }
const LOADS = 5
const EDITS = 30
/** Until what follows a load or an edit at a distance is done too. */
const SETTLE_MS = 4_000
const REST_MS = 2_500
const START_FUEL = COLUMNS.ships.findIndex(({ name }) => name === 'startFuel')

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
    const watched = () => page.evaluate(() => (window as unknown as { watched: Watched }).watched)
    const openMs: number[] = []
    for (let load = 0; load < LOADS; load++) {
      await page.goto(plan)
      await page.locator('[data-bar-verdict]').waitFor()
      openMs.push((await watched()).openMs)
      await pause(SETTLE_MS)
    }
    await page.click('[data-tab="ships"]')
    for (let edit = 0; edit < EDITS; edit++) {
      await page.click(`td[data-row="${String(edit % 10)}"][data-column="${String(START_FUEL)}"]`)
      await page.keyboard.type(String(9_000 + 10 * edit))
      await page.keyboard.press('Enter')
      await pause(REST_MS)
    }
    const { editMs } = await watched()
    if (editMs.length !== EDITS) throw new Error(`${String(editMs.length)} of ${String(EDITS)} edits were worked out`)
    const edits = { median: medianOf(editMs), p95: shareOf(editMs, 0.95), most: Math.max(...editMs) }
    return [
      rowOf('plan of 100 ships: from its address to its answer', 'ms', LOADS, latencies(openMs), null),
      rowOf('plan of 100 ships: from an edited cell to its consequences', 'ms', EDITS, edits, null)
    ]
  } finally {
    await browser.close()
    await server.stop()
  }
}

/** In the page, before anything else. */
function watchPlan(): void {
  const watched: Watched = { openMs: NaN, editMs: [] }
  ;(window as unknown as { watched: Watched }).watched = watched
  let takenMs: number | undefined
  addEventListener(
    'keydown',
    ({ key, target }) => {
      if (key === 'Enter' && target instanceof HTMLInputElement) takenMs = performance.now()
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
    })
  }).observe(document, { subtree: true, childList: true, attributes: true })
}
