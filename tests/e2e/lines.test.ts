import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import type { FactOf } from '../../shared/contracts/facts.ts'
import { sharedBrowser } from '../browser.ts'
import { DESKTOP, openEvent, signedIn, type OpenEvent } from './event.ts'
import { board, callsOf, enter, lineTo, logOf, portOf, sendEach, slot } from './hands.ts'
import { barriers } from './screen.ts'

/* Lines that fail in ways of their own, links that end, and a device that is handed on. */
const LONG_MS = 180_000
const HOUR_MS = 3_600_000
const browser = sharedBrowser()

const linkIdOf = (page: Page): string => /\/as\/([^/]+)/.exec(page.url())?.[1] ?? ''
const kept = (page: Page, count: number): Promise<void> =>
  page.locator('[data-kept]', { hasText: `${String(count)} ${count === 1 ? 'call' : 'calls'} kept here` }).waitFor()
const setClock = (event: OpenEvent, ahead: number, rateFactor: number): Promise<unknown> =>
  event.record({ kind: 'setClock', eventAtMs: Date.now() + ahead, rateFactor })

/** The worker has the page, the browser the slot. */
async function keepsSlot(pilot: Page): Promise<void> {
  await pilot.evaluate(() => navigator.serviceWorker.ready.then(() => undefined))
  await expect
    .poll(() => pilot.evaluate(async () => (await (await caches.open('ullage-page-1')).keys()).length), {
      timeout: 20_000
    })
    .toBeGreaterThan(5)
  await pilot.waitForFunction(() => Object.keys(localStorage).some((key) => key.startsWith('ullage slot')))
}

describe('a proxy that passes requests on, but no web socket', () => {
  it(
    'is a lost connection: nothing is said to be of now, calls are kept, and go out once when sockets pass again',
    async () => {
      const event = await openEvent(5)
      const line = await lineTo(() => portOf(event.address))
      const one = await board(line.address, await event.link('coordinator'))
      line.plain()
      await one.waitForSelector('[data-contact="retrying"]')
      expect(await one.evaluate(async () => (await fetch('/api/v1/health')).status)).toBe(200)
      expect(await one.textContent('[data-contact]')).toMatch(/no contact since \d\d:\d\d:\d\dZ/)
      for (const margin of await one.locator('[data-ship] .margin').allTextContents())
        expect(margin).toContain('last known')
      await enter(one, 'kelp 1 9.0')
      await kept(one, 1)

      // Loaded anew it has the newest figures by request, and still calls none of them live.
      await one.reload()
      await one.waitForSelector('.row[data-ship]')
      await kept(one, 1)
      await one.waitForSelector('[data-contact="retrying"]')
      await enter(one, 'kelp 2 8.9')
      await kept(one, 2)
      expect(await callsOf(event, 'kelp-1')).toEqual([])
      line.mend()
      await one.waitForSelector('[data-contact="live"]')
      const called = async () =>
        (await logOf(event)).filter((fact): fact is FactOf<'fuelCalled'> => fact.kind === 'fuelCalled')
      await expect.poll(async () => (await called()).length, { timeout: 30_000 }).toBe(2)
      const calls = await called()
      await one.locator('[data-kept]').waitFor({ state: 'detached' })
      expect(calls.map(({ shipId, fuel }) => [shipId, fuel.value])).toEqual([
        ['kelp-1', 9_000],
        ['kelp-2', 8_900]
      ])
    },
    LONG_MS
  )
})

describe('the clock of the event', () => {
  it(
    'set while a line is cut: the board comes back to it, and each kept call has the time by the clock it was made under',
    async () => {
      const event = await openEvent(5)
      const line = await lineTo(() => portOf(event.address))
      const one = await board(line.address, await event.link('coordinator'))
      line.down()
      await one.waitForSelector('[data-contact="retrying"]')
      const firstAtMs = Date.now()
      await enter(one, 'kelp 1 9.0')
      await kept(one, 1)
      await setClock(event, 2 * HOUR_MS, 1)
      // Made after it was set, on a page that cannot know: by more than a page may be off that has heard but one frame.
      await one.waitForTimeout(2_000)
      const secondAtMs = Date.now()
      await enter(one, 'kelp 2 8.9')
      await kept(one, 2)
      line.mend()
      await one.waitForSelector('[data-contact="live"]')
      // The picture of before is not said to be of now, for however short a time.
      const shown = () =>
        one.evaluate(() => ({
          aheadMs: Number(document.querySelector<HTMLElement>('[data-at-ms]')?.dataset['atMs']) - Date.now(),
          isOfNow: document.querySelector('[data-ship] .margin')?.textContent.includes('last known') === false
        }))
      const looks = [await shown()]
      while (looks.at(-1)?.isOfNow !== true) looks.push(await shown())
      for (const { aheadMs, isOfNow } of looks) if (isOfNow) expect(Math.abs(aheadMs - 2 * HOUR_MS)).toBeLessThan(3_000)
      await one.locator('[data-clock]', { hasText: 'exercise clock, 2 h ahead' }).waitFor()
      await expect.poll(async () => (await callsOf(event, 'kelp-2')).length, { timeout: 30_000 }).toBe(1)
      const [first] = await callsOf(event, 'kelp-1')
      const [second] = await callsOf(event, 'kelp-2')
      expect(Math.abs((first?.atMs ?? NaN) - firstAtMs)).toBeLessThan(1_500)
      expect(Math.abs((second?.atMs ?? NaN) - secondAtMs - 2 * HOUR_MS)).toBeLessThan(1_500)
    },
    LONG_MS
  )

  it(
    'is told on every screen, in the log and on paper where it is not plain, and nowhere where it is',
    async () => {
      const event = await openEvent(5)
      const page = await signedIn(await browser, event.address, event.secret, DESKTOP)
      const places = ['Slot', 'Brief', 'Board', 'Plan'] as const
      const goTo = async (place: (typeof places)[number]) => {
        await page.getByRole('link', { name: place, exact: true }).click()
        await page.locator('nav [aria-current="page"]', { hasText: place }).waitFor()
        await page.waitForSelector('[data-contact="live"]')
      }
      for (const place of places) {
        await goTo(place)
        expect(await page.locator('[data-clock]').count(), place).toBe(0)
      }
      // The plan page, which folds no facts, is told as well, and of each change.
      await setClock(event, 3 * HOUR_MS, 1)
      await page.locator('[data-clock]', { hasText: 'exercise clock, 3 h ahead' }).waitFor()
      await event.record({ kind: 'setClock', rateFactor: 0 })
      await page.locator('[data-clock]', { hasText: 'exercise clock, paused' }).waitFor()
      expect(await barriers(page, 'plan-clock')).toEqual([])
      await event.record({ kind: 'setClock', rateFactor: 2 })
      for (const place of places) {
        await goTo(place)
        await page.locator('[data-clock]', { hasText: 'exercise clock, 2 times as fast' }).waitFor()
        if (place === 'Brief')
          await page.locator('.card-head', { hasText: 'by the exercise clock, 2 times as fast' }).first().waitFor()
        if (place !== 'Board') continue
        await page.keyboard.press('F7')
        await page.locator('dialog [data-clock]', { hasText: 'exercise clock, 2 times as fast' }).waitFor()
        await page.keyboard.press('Escape')
      }
    },
    LONG_MS
  )
})

describe('the slot page without contact', () => {
  it(
    'takes tank troubles and fuel, says that they are kept, and sends them once, in order, when contact is back',
    async () => {
      const event = await openEvent(5)
      await setClock(event, 2 * HOUR_MS, 1)
      const line = await lineTo(() => portOf(event.address))
      const pilot = await slot(line.address, await event.link('crew', 'alder-1'))
      await keepsSlot(pilot)
      const before = (await logOf(event)).length
      line.down()
      await pilot.reload()
      await pilot.locator('[data-last-known]').waitFor()
      await pilot.locator('[data-clock]', { hasText: 'exercise clock, 2 h ahead' }).waitFor()
      for (const tank of ['Wing tank 2 not giving', 'Wing tank 1 not taking', 'Wing tank 1 gone']) {
        await pilot.getByRole('button', { name: 'Tank trouble' }).click()
        await pilot.getByRole('button', { name: tank }).click()
        await pilot.locator('[data-told]', { hasText: `Kept, not sent yet: Alder 1 ${tank}` }).waitFor()
      }
      const [calledAtMs = NaN] = await sendEach(pilot, ['8.5'])
      await kept(pilot, 4)
      expect(await barriers(pilot, 'slot-offline')).toEqual([])
      expect((await logOf(event)).length).toBe(before)
      line.mend()
      await pilot.waitForSelector('[data-contact="live"]')
      await expect.poll(async () => (await logOf(event)).length, { timeout: 30_000 }).toBe(before + 4)
      const sent = (await logOf(event)).slice(before)
      expect(
        sent.map((fact) =>
          fact.kind === 'troubleSet' ? [fact.groupId, fact.tankNumber, fact.trouble] : [fact.kind, undefined, undefined]
        )
      ).toEqual([
        ['larch-wing-tank', 2, 'not giving'],
        ['larch-wing-tank', 1, 'not taking'],
        ['larch-wing-tank', 1, 'gone'],
        ['fuelCalled', undefined, undefined]
      ])
      expect(sent.map(({ atMs }) => atMs)).toEqual(sent.map(({ atMs }) => atMs).toSorted((a, b) => a - b))
      expect(Math.abs((sent.at(-1)?.atMs ?? NaN) - calledAtMs - 2 * HOUR_MS)).toBeLessThan(1_500)
    },
    LONG_MS
  )
})

describe('a link that ends', () => {
  it(
    'is told on the open page, which tries no more, keeps what is called, and goes on when the link is renewed',
    async () => {
      const event = await openEvent(5)
      const one = await board(event.address, await event.link('coordinator'))
      const linkId = linkIdOf(one)
      const links = `/events/${event.eventId}/links/${linkId}`
      let sockets = 0
      one.on('websocket', () => (sockets += 1))
      const { secret } = (await event.ask('POST', `${links}/secret`, { expiresAtMs: null })) as { secret: string }
      await one.waitForSelector('[data-contact="ended"]')
      await one.getByRole('alert').filter({ hasText: 'This link has ended' }).waitFor()
      await enter(one, 'kelp 1 9.0')
      await kept(one, 1)
      expect(await barriers(one, 'board-ended')).toEqual([])
      for (const margin of await one.locator('[data-ship] .margin').allTextContents())
        expect(margin).toContain('last known')
      // Time enough for several tries, of which there is none.
      expect(sockets).toBe(0)
      await one.getByRole('button', { name: 'Look again' }).click()
      await expect.poll(() => sockets).toBe(1)
      await one.waitForSelector('[data-contact="ended"]')

      // Loaded anew it shows what was called and nothing else.
      await one.reload()
      await one.locator('[data-ended]').waitFor()
      await kept(one, 1)
      await one.locator('[data-kept]', { hasText: 'Kelp 1' }).waitFor()
      expect(await one.locator('[data-ship]').count()).toBe(0)
      expect(await barriers(one, 'ended')).toEqual([])

      // The same link, renewed and opened in the same browser.
      const other = await one.context().newPage()
      await other.goto(`${event.address}/join#${secret}`)
      await other.waitForSelector('[data-contact="live"]')
      await expect.poll(async () => (await callsOf(event, 'kelp-1')).length).toBe(1)
      await one.getByRole('button', { name: 'Look again' }).click()
      await one.waitForSelector('[data-contact="live"]')
      expect((await callsOf(event, 'kelp-1')).map(({ fuel }) => fuel.value)).toEqual([9_000])
      expect(await one.locator('[data-kept]').count()).toBe(0)
    },
    LONG_MS
  )

  it(
    'while the line was cut is told when the line is back',
    async () => {
      const event = await openEvent(5)
      const line = await lineTo(() => portOf(event.address))
      const pilot = await slot(line.address, await event.link('crew', 'alder-1'))
      line.down()
      await pilot.waitForSelector('[data-contact="retrying"]')
      await sendEach(pilot, ['8.9'])
      const answer = await fetch(`${event.address}/api/v1/events/${event.eventId}/links/${linkIdOf(pilot)}`, {
        method: 'DELETE',
        headers: { authorization: `Bearer ${event.secret}` }
      })
      expect(answer.status).toBe(204)
      line.mend()
      await pilot.waitForSelector('[data-contact="ended"]')
      await kept(pilot, 1)
      expect(await barriers(pilot, 'slot-ended')).toEqual([])
      expect(await callsOf(event, 'alder-1')).toEqual([])
    },
    LONG_MS
  )
})

describe('a device that is handed on', () => {
  it(
    'is signed out after a question that names what is lost: no link, no slot, no call stays, in no window',
    async () => {
      const event = await openEvent(5)
      const line = await lineTo(() => portOf(event.address))
      const pilot = await slot(line.address, await event.link('crew', 'alder-1'))
      const [linkId, address, context] = [linkIdOf(pilot), pilot.url(), pilot.context()]
      const other = await context.newPage()
      await other.goto(address)
      await other.waitForSelector('[data-contact="live"]')
      await pilot.waitForFunction(() => Object.keys(localStorage).some((key) => key.startsWith('ullage slot')))
      line.plain()
      await pilot.waitForSelector('[data-contact="retrying"]')
      await sendEach(pilot, ['8.9'])

      await pilot.getByRole('button', { name: 'Sign out' }).click()
      const sheet = pilot.locator('[data-sign-out]')
      await sheet.getByText('1 call was never answered, and is lost here:').waitFor()
      await sheet.getByText('Alder 1 has 8,900 lb total.').waitFor()
      expect(await barriers(pilot, 'slot-sign-out')).toEqual([])
      await sheet.getByRole('button', { name: 'Stay' }).click()
      await kept(pilot, 1)

      // Without contact the cookie cannot be taken away, and so nothing is.
      line.down()
      await pilot.getByRole('button', { name: 'Sign out' }).click()
      await sheet.getByRole('button', { name: 'Sign out all the same' }).click()
      await sheet.getByRole('alert').filter({ hasText: 'Nothing was taken away' }).waitFor()
      line.plain()
      await sheet.getByRole('button', { name: 'Sign out all the same' }).click()
      await pilot.getByText('Signed out: this browser has neither that link nor anything kept of it.').waitFor()
      expect(await context.cookies()).toEqual([])
      await expect
        .poll(() => pilot.evaluate((id) => JSON.stringify([localStorage, sessionStorage]).includes(id), linkId))
        .toBe(false)
      line.mend()
      await other.locator('[data-ended]').waitFor()
      await pilot.goto(address)
      await pilot.locator('[data-ended]').waitFor()
      expect(await pilot.locator('[data-kept]').count()).toBe(0)
      expect(await callsOf(event, 'alder-1')).toEqual([])
    },
    LONG_MS
  )
})
