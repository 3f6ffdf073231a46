import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { sharedBrowser } from '../browser.ts'
import { DESKTOP, openEvent, PHONE, signedIn } from './event.ts'
import { shoot } from './screen.ts'

/* What the plan asks for, and what is left of it without one thing, as the plan page and the board say it. */

const LONG_MS = 120_000

/** The cells of a row, as they are read. */
const cells = (page: Page, row: string): Promise<string[]> =>
  page
    .locator(`${row} > *`)
    .evaluateAll((all) => all.map((cell) => (cell as HTMLElement).innerText.replace(/\s+/g, ' ').trim()))

describe('the answers of the plan page', () => {
  const browser = sharedBrowser()
  it(
    'say who still pushes on time without each tanker, station and base, worst first',
    async () => {
      const event = await openEvent(5)
      const page = await signedIn(await browser, event.address, event.secret, DESKTOP, 'plan')
      await page.locator('.lost [data-loss]').first().waitFor()

      // 3 tankers, 6 stations, 6 bases, and the row in which nothing is lost.
      expect(await page.locator('.lost [data-loss]').count()).toBe(1 + 3 + 6 + 6)
      expect(await cells(page, '.lost [data-loss="nothing lost"]')).toEqual([
        'nothing lost',
        '24',
        'nobody',
        'nobody',
        'nobody'
      ])
      const [, first] = await page
        .locator('.lost [data-loss]')
        .evaluateAll((rows) => rows.map((row) => (row as HTMLElement).dataset['loss']))
      expect(first).toBe('Adze Field')
      const boom = await cells(page, '.lost [data-loss="Mallet Boom"]')
      expect(boom).toEqual(['Mallet Boom station', '14', 'nobody', 'all Alder, all Sleet, all Squall', 'nobody'])
      const adze = await cells(page, '.lost [data-loss="Adze Field"]')
      expect(adze.at(-1)).toContain('Track Yarrow has no abort base: no abort fuel for all Alder, all Kelp')
      expect(adze.at(-1)).toContain('Elder Strip instead for all Alder.')
      const flail = await cells(page, '.lost [data-loss="Flail Strip"]')
      expect(flail).toEqual(['Flail Strip base', '24', 'nobody', 'nobody', 'nobody'])
      await shoot(page, 'lost-desktop', '.lost')

      // By keyboard: the table is a stop, and so is each of its figures.
      await page.locator('.lost .wide').focus()
      await page.keyboard.press('Tab')
      expect(await page.evaluate(() => (document.activeElement as HTMLElement).dataset['working'])).toBe('on time')
      await page.keyboard.press('Enter')
      await page.locator('dialog.working [data-result]', { hasText: '24' }).waitFor()
      await page.keyboard.press('Escape')
    },
    LONG_MS
  )

  it(
    'say what each method asks of its tankers before any order, on a phone and on paper too',
    async () => {
      const event = await openEvent(5)
      const page = await signedIn(await browser, event.address, event.secret, PHONE, 'plan')
      await page.locator('.lost [data-loss]').first().waitFor()
      const boom = await cells(page, '.demand [data-method="boom"]')
      expect(boom.slice(0, 2)).toEqual(['boom', '14'])
      expect(boom.slice(-5)).toEqual(['1', '1', '1', '1', 'neither'])
      expect((await cells(page, '.demand [data-method="drogue"]')).slice(0, 2)).toEqual(['drogue', '18'])
      expect(await page.locator('.demand [data-group]').count()).toBe(event.plan.pushGroups.length)
      // Wide tables move in themselves, the page does not.
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(PHONE.width)
      await shoot(page, 'demand-phone', '.demand')
      await page.emulateMedia({ media: 'print' })
      expect(await page.locator('.demand [data-method="boom"]').isVisible()).toBe(true)
      expect(await page.locator('.lost [data-loss="Mallet Boom"]').isVisible()).toBe(true)
    },
    LONG_MS
  )

  it(
    'say on the board how a short give may be shared, and record nothing by it',
    async () => {
      const event = await openEvent(20)
      // Auger keeps 19,500 lb and burns on until it leaves: little is left to give.
      await event.record({ kind: 'callTankerFuel', tankerId: 'auger', fuel: { value: 52_000, unit: 'lb' } })
      const page = await signedIn(await browser, event.address, await event.link('coordinator'), DESKTOP)
      const share = page.locator('.tanker [data-share="auger"]')
      await share.locator('summary').click()
      await share.locator('p').first().waitFor()
      const text = (await share.innerText()).replace(/\s+/g, ' ')
      expect(text).toMatch(/Shared: .*\d lb/)
      expect(text).toMatch(/Served in order: .+ goe?s? home\./)
      expect(text).toMatch(/\d lb more give would mend it\./)
      const seq = await page.locator('.page-board').getAttribute('data-seq')
      await share.locator('[data-working="give lacking"]').click()
      await page.locator('dialog.working [data-result]').waitFor()
      expect(await page.locator('dialog.working [data-result]').innerText()).toMatch(/^[\d,]+ lb$/)
      await shoot(page, 'share-desktop')
      expect(await page.locator('.page-board').getAttribute('data-seq')).toBe(seq)
    },
    LONG_MS
  )
})
