import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { openEvent } from './event.ts'
import { callsOf, lineTo, logOf, portOf, sendEach, slot } from './hands.ts'
import { barriers } from './screen.ts'

/* Kept calls where it is not the line alone that is bad: two pages of a link, clocks that are set, networks that forbid. */
const LONG_MS = 120_000

const kept = (page: Page, count: number): Promise<void> =>
  page.locator('[data-kept]', { hasText: `${String(count)} ${count === 1 ? 'call' : 'calls'} kept here` }).waitFor()
const noneKept = (page: Page): Promise<void> => page.locator('[data-kept]').waitFor({ state: 'detached' })

describe('two pages of one link', () => {
  it(
    'send once what one of them kept, nothing that was taken back, and neither tells a refusal',
    async () => {
      const event = await openEvent(5)
      const line = await lineTo(() => portOf(event.address))
      const one = await slot(line.address, await event.link('crew', 'alder-1'))
      const other = await one.context().newPage()
      await other.goto(one.url())
      await other.waitForSelector('[data-contact="live"]')
      line.down()
      for (const page of [one, other]) await page.waitForSelector('[data-contact="retrying"]')
      await one.getByRole('button', { name: 'Read revision 1', exact: true }).click()
      await kept(one, 1)
      expect(await one.getByRole('button', { name: 'Read revision 1', exact: true }).count()).toBe(0)
      await sendEach(one, ['8.5', '8.4', '8.3'])
      await kept(other, 4)
      await one.getByRole('button', { name: 'Drop: Alder 1 has 8,400 lb total.' }).click()
      await kept(other, 3)
      line.mend()
      for (const page of [one, other]) {
        await page.waitForSelector('[data-contact="live"]')
        await noneKept(page)
      }
      expect((await callsOf(event, 'alder-1')).map(({ fuel }) => fuel.value)).toEqual([8_500, 8_300])
      expect((await logOf(event)).filter(({ kind }) => kind === 'slotSeen')).toHaveLength(1)
      await one.locator('[data-told]', { hasText: 'Sent: Alder 1 has 8,300 lb' }).waitFor()
    },
    LONG_MS
  )
})

describe('a device', () => {
  it(
    'whose clock is off and is set right: each call has its true time, whatever the page knew when it was made',
    async () => {
      const event = await openEvent(30)
      const line = await lineTo(() => portOf(event.address))
      const pilot = await slot(line.address, await event.link('crew', 'alder-1'))
      await pilot.addInitScript(`{
        const Real = Date, off = () => Number(localStorage.getItem('off'))
        globalThis.Date = class extends Real {
          constructor(...given) { if (given.length) super(...given); else super(Real.now() + off()) }
          static now() { return Real.now() + off() }
        }
      }`)
      const setOff = (offMs: number) =>
        pilot.evaluate((ms) => {
          localStorage.setItem('off', String(ms))
        }, offMs)
      await setOff(-900_000)
      await pilot.reload()
      await pilot.locator('[data-figure="contact"]').waitFor()
      await pilot.waitForSelector('[data-contact="live"]')
      line.plain()
      await pilot.waitForSelector('[data-contact="retrying"]')
      const madeAtMs = await sendEach(pilot, ['8.5'])
      // Set, and loaded anew while no socket passes: nothing is known of the clock, and nothing is sent by it.
      await setOff(600_000)
      await pilot.reload()
      await pilot.locator('#own-fuel').waitFor()
      madeAtMs.push(...(await sendEach(pilot, ['8.4'])))
      expect(await callsOf(event, 'alder-1')).toEqual([])
      line.mend()
      await pilot.waitForSelector('[data-contact="live"]')
      // Only once it is there: nobody can time what was made by a clock that nobody has seen.
      await expect.poll(async () => (await callsOf(event, 'alder-1')).length).toBe(2)
      await noneKept(pilot)
      // Set while contact is good: the next call is neither refused nor late.
      await setOff(0)
      madeAtMs.push(Date.now())
      await pilot.fill('#own-fuel', '8.3')
      await pilot.press('#own-fuel', 'Enter')
      await pilot.locator('[data-told]', { hasText: 'Sent: Alder 1 has 8,300 lb' }).waitFor()
      const calls = await callsOf(event, 'alder-1')
      expect(calls.map(({ fuel }) => fuel.value)).toEqual([8_500, 8_400, 8_300])
      calls.forEach(({ atMs }, at) => {
        expect(Math.abs(atMs - (madeAtMs[at] ?? NaN)), String(at)).toBeLessThan(1_500)
      })
    },
    LONG_MS
  )

  it(
    'whose network forbids, and whose line falls silent: what is sent is said to be on its way, shown as kept, and sent once',
    async () => {
      const event = await openEvent(5)
      const line = await lineTo(() => portOf(event.address))
      const pilot = await slot(line.address, await event.link('crew', 'alder-1'))
      const send = pilot.getByRole('button', { name: 'Send', exact: true })
      await pilot
        .context()
        .route('**/api/v1/events/*/facts', (route) =>
          route.fulfill({ status: 403, contentType: 'text/html', body: '<html>Sign in to this network</html>' })
        )
      await pilot.fill('#own-fuel', '8.5')
      await send.click()
      await kept(pilot, 1)
      expect(await pilot.locator('[data-contact]').first().getAttribute('data-contact')).toBe('live')
      expect(await pilot.locator('[data-kept]').textContent()).toContain('no need to enter it again')
      expect(await barriers(pilot, 'slot-kept-live')).toEqual([])
      await pilot.context().unroute('**/api/v1/events/*/facts')
      await noneKept(pilot)
      await pilot.locator('[data-told]', { hasText: 'Sent: Alder 1 has 8,500 lb' }).waitFor()

      line.block()
      await pilot.fill('#own-fuel', '8.4')
      await send.click()
      await pilot.locator('[data-told]', { hasText: 'On its way, no answer yet' }).waitFor()
      expect(await send.isDisabled()).toBe(true)
      await pilot.press('#own-fuel', 'Enter')
      await kept(pilot, 1)
      line.mend()
      await pilot.waitForSelector('[data-contact="live"]')
      await noneKept(pilot)
      expect((await callsOf(event, 'alder-1')).map(({ fuel }) => fuel.value)).toEqual([8_500, 8_400])
    },
    LONG_MS
  )
})
