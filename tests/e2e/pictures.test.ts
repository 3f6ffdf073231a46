import { describe, expect, it } from 'vitest'
import type { Page } from 'playwright-core'
import type { Plan } from '../../shared/contracts/plan.ts'
import { sharedBrowser } from '../browser.ts'
import { DESKTOP, openEvent, PHONE, placeOf, sharedService, signedIn } from './event.ts'
import { barriers, shoot } from './screen.ts'

/* Pictures of the plan and of the library: by keys, without barriers, on paper, and where they break. */

/** Several screens, each looked through by the checker. */
const LONG_MS = 180_000
const PARTS = ['.timeline', '.give-demand', '.ladder', '.slot-curve', '.map'] as const

async function planPage(page: Page): Promise<void> {
  await page.goto(placeOf(page, 'plan'))
  for (const part of [...PARTS, '[data-answer]']) await page.locator(part).waitFor()
}
/** A tenth of the give, pushes earlier: time and give both bind. */
function starve(plan: Plan): void {
  for (const tanker of plan.tankers) tanker.mostTransferable.value *= 0.3
  for (const group of plan.pushGroups) group.pushAtMs -= 4 * 60_000
}

describe('the pictures of a plan', () => {
  const browser = sharedBrowser()

  it(
    'are passed by keys and open to their workings; a line of the answer takes one to its cause',
    async () => {
      const event = await openEvent(0)
      const page = await signedIn(await browser, event.address, await event.link('viewer'), DESKTOP)
      await planPage(page)

      // From mark to mark, and into the working of one.
      const focused = () => page.evaluate(() => document.activeElement?.getAttribute('aria-label') ?? '')
      await page.locator('.timeline [data-mark][tabindex="0"]').focus()
      const first = await focused()
      await page.keyboard.press('ArrowDown')
      expect(await focused()).toContain('Mallet, on station')
      await page.keyboard.press('ArrowDown')
      expect(await focused()).toContain('Sleet 2, Mallet Boom: contact ')
      expect(await page.textContent('.timeline .says')).toBe(await focused())
      expect(first).toContain('push')
      await page.keyboard.press('Enter')
      const sheet = page.locator('dialog.working[open]')
      await sheet.locator('[data-result]').waitFor()
      const told = await sheet.locator('[data-result]').innerText()
      expect(await page.locator('[data-ship="sleet-2"] [data-working="contact"]').first().innerText()).toBe(told)
      await page.keyboard.press('Escape')
      await sheet.waitFor({ state: 'detached' })

      // Every table beside a picture opens, and its figures do.
      for (const part of PARTS) {
        const summary = page.locator(`${part} summary`).first()
        await summary.focus()
        await page.keyboard.press('Enter')
        const figure = page.locator(`${part} details [data-working]`).first()
        await figure.focus()
        const shown = await figure.innerText()
        await page.keyboard.press('Enter')
        await sheet.locator('[data-result]').waitFor()
        expect(await sheet.locator('[data-result]').innerText(), part).toBe(shown)
        await page.keyboard.press('Escape')
        await sheet.waitFor({ state: 'detached' })
        await summary.focus()
        await page.keyboard.press('Enter')
      }

      // A ladder of another ship, and its rung.
      await page.selectOption('[data-ladder-ship]', { label: 'Chisel 2' })
      await page.getByRole('group', { name: 'Fuel ladder, Chisel 2' }).waitFor()
      const rung = page.locator('.ladder [data-working="leg fuel"]').first()
      await rung.focus()
      await page.keyboard.press('Enter')
      await sheet.locator('[data-result]').waitFor()
      expect(await rung.getAttribute('aria-label')).toContain(await sheet.locator('[data-result]').innerText())
      await page.keyboard.press('Escape')
      await sheet.waitFor({ state: 'detached' })

      // A line of the answer leads to its cause, with the focus.
      const links = page.locator('[data-answer] a')
      const count = await links.count()
      expect(count).toBeGreaterThan(14)
      for (let place = 0; place < count; place++) {
        const link = links.nth(place)
        const target = ((await link.getAttribute('href')) ?? '').slice(1)
        await link.focus()
        await page.keyboard.press('Enter')
        expect(await page.evaluate(() => document.activeElement?.id), target).toBe(target)
      }
    },
    LONG_MS
  )

  it.each([
    ['desktop', DESKTOP],
    ['phone', PHONE]
  ] as const)(
    'have no barrier that a machine can find and never push the page wider, well planned or not, on a %s',
    async (name, size) => {
      for (const change of [undefined, starve]) {
        const event = await openEvent(0, change ? { change } : {})
        const page = await signedIn(await browser, event.address, await event.link('viewer'), size)
        await planPage(page)
        for (const summary of await page.locator('.picture summary, .slot-curve summary').all()) await summary.click()
        const state = `${change ? 'starved' : 'pictures'}-${name}`
        expect(await barriers(page, state)).toEqual([])
        await page.emulateMedia({ colorScheme: 'light' })
        for (const part of PARTS) await shoot(page, `${state}${part.replace('.', '-')}`, part)
        await shoot(page, `${state}-verdict`, '.verdict')
        expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(size.width)
        if (!change) continue
        // What is bad has a word and a shape, in the picture and above it.
        expect(await page.textContent('[data-binds]')).toMatch(/(Time|Give) binds first, \d\d:\d\d:\d\dZ/)
        expect(await page.locator('.timeline [data-working="push late"]').count()).toBeGreaterThan(0)
        expect(await page.textContent('.timeline svg')).toMatch(/Escort \d\d:\d\dZ late \d\d:\d\d/)
      }
    },
    LONG_MS
  )

  it('stand on paper, black on white', async () => {
    const event = await openEvent(0)
    const page = await signedIn(await browser, event.address, await event.link('viewer'), DESKTOP)
    await planPage(page)
    await page.emulateMedia({ media: 'print', colorScheme: 'dark' })
    await shoot(page, 'pictures-paper-timeline', '.timeline')
    await shoot(page, 'pictures-paper-map', '.map')
    const colours = await page.evaluate(() => {
      const of = (selector: string, property: 'stroke' | 'backgroundColor') => {
        const element = document.querySelector(selector)
        return element === null ? '' : getComputedStyle(element)[property]
      }
      return [of('html', 'backgroundColor'), of('.timeline .line', 'stroke')]
    })
    expect(colours).toEqual(['rgb(255, 255, 255)', 'rgb(0, 0, 0)'])
    expect(await page.locator('.says').first().isVisible()).toBe(false)
    expect((await page.pdf({ format: 'A4', landscape: true })).byteLength).toBeGreaterThan(20_000)
  })
})

describe('the type sheets', () => {
  const browser = sharedBrowser()

  it(
    'are found from the plan, need no link, follow a slider of time, and have no barrier',
    async () => {
      const { address } = await sharedService()
      for (const [name, viewport] of [
        ['desktop', DESKTOP],
        ['phone', PHONE]
      ] as const) {
        const context = await (await browser).newContext({ locale: 'en-GB', viewport, reducedMotion: 'reduce' })
        try {
          const page = await context.newPage()
          await page.goto(`${address}/types`)
          await page.getByRole('heading', { name: 'Larch, one engine, receptacle' }).waitFor()
          await page.getByRole('link', { name: 'Maple, two engines, receptacle' }).click()
          await page.locator('[data-type="maple"]').waitFor()
          const aboard = page.locator('[data-group="maple-belly-tank"] [data-aboard]')
          expect(await aboard.innerText()).toBe('3,210 lb')
          await page.locator('input[type="range"]').focus()
          for (let minute = 0; minute < 5; minute++) await page.keyboard.press('ArrowRight')
          expect(await page.locator('[data-time]').innerText()).toBe('05:00')
          expect(await aboard.innerText()).not.toBe('3,210 lb')
          expect(await barriers(page, `types-maple-${name}`)).toEqual([])
          await page.getByRole('link', { name: 'Mattock, boom or two wing pods' }).click()
          await page.locator('[data-type="mattock"]').waitFor()
          expect(await barriers(page, `types-mattock-${name}`)).toEqual([])
          await page.goto(`${address}/types#rules`)
          await page.locator('[data-type="rules"]').waitFor()
          expect(await barriers(page, `types-rules-${name}`)).toEqual([])
          expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(viewport.width)
        } finally {
          await context.close()
        }
      }
      const event = await openEvent(0)
      const page = await signedIn(await browser, event.address, await event.link('viewer'), DESKTOP, 'plan')
      await page.locator('a[href="/types"]').click()
      await page.getByRole('heading', { name: 'Type sheets' }).waitFor()
    },
    LONG_MS
  )
})
