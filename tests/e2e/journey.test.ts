import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { contactText, onLoadText } from '../../client/figures.ts'
import type { View } from '../../shared/contracts/view.ts'
import { sharedBrowser } from '../browser.ts'
import { DESKTOP, openEvent, PHONE, placeOf, signedIn, type OpenEvent } from './event.ts'
import { barriers } from './screen.ts'

/* What the three people do, once, in real browsers against the built service. */

const figure = (page: Page, shipId: string, name: string): Promise<string> =>
  page.locator(`[data-ship="${shipId}"] [data-figure="${name}"]`).first().innerText()

/** Types a line as a coordinator does; resolves when it is on its way and the line is empty again. */
async function say(page: Page, text: string): Promise<void> {
  await page.fill('#entry-line', text)
  await page.press('#entry-line', 'Enter')
  await page.waitForFunction(() => document.querySelector<HTMLInputElement>('#entry-line')?.value === '')
}

const stateOf = async ({ ask, eventId }: OpenEvent): Promise<View> =>
  (await ask('GET', `/events/${eventId}/state`)) as View

const shownFuel = (page: Page, shipId: string, has: string): Promise<unknown> =>
  page.waitForFunction(
    ([id, text]) =>
      document.querySelector(`[data-ship="${id ?? ''}"] [data-figure="fuel"]`)?.textContent.includes(text ?? '') ??
      false,
    [shipId, has]
  )

describe('the commander', () => {
  const browser = sharedBrowser()
  it('imports a plan, is told every fault of a bad one, and publishes the good one', async () => {
    const event = await openEvent(5)
    const page = await signedIn(await browser, event.address, event.secret, DESKTOP, 'plan')
    await page.waitForSelector('input[type="file"]')
    const file = (name: string, plan: unknown) => ({
      name,
      mimeType: 'application/json',
      buffer: Buffer.from(JSON.stringify(plan))
    })

    const bad = structuredClone(event.plan)
    const [first, second] = bad.flights
    if (!first?.ships[0] || !second) throw new Error('the plan has flights')
    first.ships[0].startFuel = { value: 99_000, unit: 'lb' }
    second.callSign = first.callSign
    await page.setInputFiles('input[type="file"]', file('bad.json', bad))
    await page.waitForSelector('text=nothing was taken')
    const told = await page.locator('[data-import]').innerText()
    expect(told).toContain('2 faults')
    expect(told).toContain('/flights/0/ships/0/startFuel/value')
    expect(told).toContain('99000')
    expect(told).toContain('/flights/1/callSign')
    expect(await page.locator('[data-take-import]').count()).toBe(0)
    await page.click('[data-drop-import]')

    // Looked at first; dropped, nothing is saved.
    const good = file('good.json', { ...event.plan, name: 'Second thoughts' })
    const ships = event.plan.flights.flatMap((flight) => flight.ships).length
    for (const act of ['drop', 'take']) {
      await page.setInputFiles('input[type="file"]', good)
      await page.waitForSelector('[data-import]:has-text("Second thoughts")')
      const shown = await page.innerText('[data-import]')
      expect(shown).toContain(`${String(ships)} ships`)
      expect(shown).toContain('1 change to the newest revision')
      if (act === 'drop') expect(await barriers(page, 'plan-import')).toEqual([])
      await page.click(`[data-${act}-import]`)
      await page.waitForSelector('[data-import]', { state: 'detached' })
      if (act === 'drop') expect(await page.locator('main').innerText()).not.toContain('Revision 2')
    }
    await page.getByRole('button', { name: 'Publish revision 2' }).click()
    await page.waitForSelector('text=Revision 2 is published.')
    expect(await page.locator('main').innerText()).toContain('Second thoughts')
    expect((await stateOf(event)).revision).toBe(2)
  })
})

describe('the coordinator', () => {
  const browser = sharedBrowser()
  it('sees the worst state first, and a call typed in one browser moves the row in another', async () => {
    const event = await openEvent(22)
    const page = await signedIn(await browser, event.address, await event.link('coordinator'), DESKTOP)
    const other = await signedIn(await browser, event.address, await event.link('viewer'), DESKTOP)
    for (const one of [page, other]) {
      await one.goto(placeOf(one, 'board'))
      await one.waitForSelector('[data-ship] [data-figure="margin"]')
    }
    const rows = (one: Page) =>
      one.locator('[data-ship]').evaluateAll((all) => all.map((row) => row.getAttribute('data-ship')))
    expect(await rows(page)).toEqual((await stateOf(event)).ships.map((ship) => ship.shipId))

    // Understood before it is recorded.
    await page.keyboard.type('thistle 4 3.9')
    await page.waitForFunction(() => document.querySelector('[data-entry]')?.textContent.includes('3,900') ?? false)
    expect((await stateOf(event)).ships.every((ship) => ship.lastCall === null)).toBe(true)
    await page.keyboard.press('Enter')
    await shownFuel(other, 'thistle-4', '3,')
    await other.waitForFunction(() => document.querySelector('[data-ship]')?.getAttribute('data-ship') === 'thistle-4')
    expect((await rows(other))[0]).toBe('thistle-4')
    // A viewer has no line to type into, and the service would refuse.
    expect(await other.locator('#entry-line').count()).toBe(0)
  })

  it('moves a slot by keys, sees what that leads to, and accepts it for everybody', async () => {
    const event = await openEvent(22)
    const page = await signedIn(await browser, event.address, await event.link('coordinator'), DESKTOP)
    const other = await signedIn(await browser, event.address, await event.link('viewer'), DESKTOP)
    for (const one of [page, other]) {
      await one.goto(placeOf(one, 'board'))
      await one.waitForSelector('[data-ship] [data-figure="margin"]')
    }
    const places = async (): Promise<string[]> =>
      (await stateOf(event)).slots.filter((slot) => slot.tankerId === 'mallet').map((slot) => slot.shipId)
    const before = await places()
    const moving = before.indexOf('alder-3')
    await page.locator('[data-ship="alder-3"]').click()
    await page.keyboard.press('Alt+ArrowDown')
    await page.waitForSelector('[data-pending]')
    // Pending is the page's own: nobody else sees it yet.
    expect(await places()).toEqual(before)
    const shown = await figure(other, 'alder-3', 'contact')
    await page.keyboard.press('Alt+Enter')
    await page.waitForSelector('[data-pending]', { state: 'detached' })
    const after = await places()
    expect(after[moving]).toBe(before[moving + 1])
    expect(after[moving + 1]).toBe('alder-3')
    await other.waitForFunction(
      (was) => document.querySelector('[data-ship="alder-3"] [data-figure="contact"]')?.textContent.trim() !== was,
      shown
    )
  })

  it('runs a contact from join to push, and the pilot sees each step on the phone', async () => {
    const event = await openEvent(24)
    const page = await signedIn(await browser, event.address, await event.link('coordinator'), DESKTOP)
    const phone = await signedIn(await browser, event.address, await event.link('crew', 'sleet-1'), PHONE)
    await page.goto(placeOf(page, 'board'))
    await page.waitForSelector('#entry-line')
    await phone.waitForSelector('[data-ship="sleet-1"] [data-figure="contact"]')
    expect(await phone.locator('main').innerText()).toContain('after Sleet 2')
    const status = (has: string): Promise<unknown> =>
      phone.waitForFunction((text) => document.querySelector('main h2')?.textContent.includes(text) ?? false, has)

    await say(page, 'sleet 2 contact')
    await say(page, 'sleet 2 flowing')
    // More than has flowed by then: said to be what it took, it is not asked about.
    await say(page, 'sleet 2 partial took 1.2')
    await say(page, 'sleet 1 joined')
    await status('next')
    // Its contact slides with the clock while it waits: compare at the phone's own instant.
    await phone.waitForSelector(`[data-seq="${String((await stateOf(event)).seq)}"]`)
    const seen = await phone.evaluate(() => ({
      atMs: document.querySelector('[data-at-ms]')?.getAttribute('data-at-ms') ?? '',
      contact: document.querySelector('[data-figure="contact"]')?.textContent.trim(),
      onLoad: document.querySelector('[data-figure="on-load"]')?.textContent.trim()
    }))
    const then = (await event.ask('GET', `/events/${event.eventId}/state?atMs=${seen.atMs}`)) as View
    const slot = then.slots.find((one) => one.shipId === 'sleet-1')
    if (!slot) throw new Error('Sleet 1 has a slot')
    expect(seen.contact).toBe(contactText(slot))
    expect(seen.onLoad).toBe(onLoadText(slot, 'lb'))

    await say(page, 'sleet 1 contact')
    await status('in contact')
    // The page that it is said on may hear of the contact after the phone does.
    await page.locator('.row[data-ship="sleet-1"] .status', { hasText: 'in contact' }).waitFor()
    await say(page, 'sleet 1 disconnect took 5.1')
    await status('done')
    expect(await figure(phone, 'sleet-1', 'on-load')).toBe('5,100 lb')
    await say(page, 'sleet 1 pushed')
    await status('on task')

    // The pilot's own call, and what the phone may not do.
    await phone.fill('#own-fuel', '8.8')
    await phone.press('#own-fuel', 'Enter')
    const called = async (): Promise<number | undefined> =>
      (await stateOf(event)).ships.find((ship) => ship.shipId === 'sleet-1')?.lastCall?.figureKg
    await expect.poll(called, { timeout: 10_000 }).toBeCloseTo(8_800 * 0.45359237, 6)
    await page.waitForSelector('[data-ship="sleet-1"] [data-figure="fuel"]:has-text("8,")')
  })

  it('undoes a slip with one word', async () => {
    const event = await openEvent(22)
    const page = await signedIn(await browser, event.address, await event.link('coordinator'), DESKTOP, 'board')
    await page.waitForSelector('#entry-line')
    const before = await figure(page, 'kelp-1', 'fuel')
    await say(page, 'kelp 1 2.2')
    await shownFuel(page, 'kelp-1', '2,')
    await say(page, 'undo')
    // What it burns meanwhile is less than 300 lb.
    await page.waitForFunction((was) => {
      const pounds = (text: string) => Number(text.replace(/\D/g, ''))
      const now = pounds(document.querySelector('[data-ship="kelp-1"] [data-figure="fuel"]')?.textContent ?? '')
      return Math.abs(pounds(was) - now) < 300
    }, before)
    expect((await stateOf(event)).ships.find((ship) => ship.shipId === 'kelp-1')?.lastCall).toBeNull()
  })
})
