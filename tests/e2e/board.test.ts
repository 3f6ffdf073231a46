import type { Page } from 'playwright-core'
import { beforeAll, describe, expect, it } from 'vitest'
import { sharedBrowser } from '../browser.ts'
import { DESKTOP, openEvent, PHONE, placeOf, signedIn, type OpenEvent } from './event.ts'
import { barriers, shoot } from './screen.ts'

/*
 * The board by keys alone and by ear, on one event: what needs attention is taken up by its key, lines are read out, a
 * ship that left is followed until it is down. Then what anybody must be able to do with it.
 */

const LONG_MS = 180_000
/** A window of 1280 by 1024 zoomed to 200 %. */
const ZOOMED = { width: 640, height: 512 }

describe('the board', () => {
  const browser = sharedBrowser()
  let event: OpenEvent
  beforeAll(async () => {
    event = await openEvent(32)
    await event.record({ kind: 'joinShip', shipId: 'sleet-1' })
    await event.record({ kind: 'makeContact', shipId: 'sleet-2' })
    await event.record({ kind: 'setStation', tankerId: 'sorrel', stationId: 'left', status: 'suspect' })
    await event.record({ kind: 'callFuel', shipId: 'rasp-1', fuel: { value: 1_500, unit: 'lb' }, covers: 'total' })
    await event.record({ kind: 'leave', shipId: 'rasp-1' })
  }, LONG_MS)

  const open = async (size: { width: number; height: number }): Promise<Page> => {
    const page = await signedIn(await browser, event.address, await event.link('coordinator'), size)
    await page.addInitScript(() => {
      const counted = window as unknown as { asked: number }
      counted.asked = 0
      type Post = (this: Worker, message: unknown) => void
      const post: Post = Reflect.get(Worker.prototype, 'postMessage')
      Worker.prototype.postMessage = function (message: unknown) {
        counted.asked += 1
        post.call(this, message)
      }
    })
    await page.goto(placeOf(page, 'board'))
    await page.locator('.row[data-ship]').first().waitFor()
    return page
  }
  const line = (page: Page) => page.inputValue('#entry-line')

  it(
    'is worked by keys alone',
    async () => {
      const page = await open(DESKTOP)
      // The worst first: a ship that may not reach its base.
      await page.locator('[data-line="short at base"]').waitFor()
      expect(await page.locator('.attention ol > li').first().getAttribute('data-line')).toBe('short at base')
      await page.keyboard.press('F9')
      expect(await line(page)).toBe('rasp 1 left ')
      expect(await page.locator('[data-left] [aria-current="true"]').getAttribute('data-ship')).toBe('rasp-1')
      await page.keyboard.press('Escape')

      // Whom to ask stands beside the line while nothing is typed; its key chooses the ship and begins its call.
      await page.keyboard.press('Escape')
      const ask = page.locator('[data-ask]')
      await ask.waitFor()
      const named = /^Ask ([A-Z][a-z]+ \d)/.exec((await ask.textContent())?.trim() ?? '')?.[1] ?? 'nobody'
      await page.keyboard.press('F10')
      expect(await line(page)).toBe(`${named.toLowerCase()} `)
      await ask.waitFor({ state: 'detached' })
      await page.keyboard.press('Escape')

      // With nobody chosen a key is meant for the worst that it deals with.
      await page.keyboard.press('Escape')
      await page.keyboard.press('Alt+g')
      expect(await line(page)).toBe('sorrel left pod good')
      await page.keyboard.press('Enter')
      await page.locator('[data-line="station suspect"]').waitFor({ state: 'detached' })

      // What is read out is at hand by Tab and opens by Enter.
      const read = page.getByRole('button', { name: 'Read out Mallet' })
      await read.focus()
      await page.keyboard.press('Enter')
      const said = page.locator('[data-tanker="mallet"] [data-aloud]')
      await said.first().waitFor()
      expect(await said.first().textContent()).toMatch(/^Sleet two, in contact on Mallet boom, expects disconnect at/i)
      await page.keyboard.press('Tab')
      expect(await page.evaluate(() => document.activeElement?.tagName)).toBe('BUTTON')
      await read.focus()
      await page.keyboard.press('Enter')
      await said.first().waitFor({ state: 'detached' })

      // A ship that left is down: its key fills the line.
      await page.locator('#entry-line').focus()
      await page.keyboard.press('Alt+z')
      expect(await line(page)).toBe('rasp 1 landed')
      // It is not expected yet: that is asked about first.
      await page.keyboard.press('Enter')
      await page.keyboard.press('1')
      expect(await line(page)).toBe('rasp 1 landed already')
      await page.keyboard.press('Enter')
      await page.locator('[data-left]').waitFor({ state: 'detached' })
      expect(await page.locator('.row[data-ship="rasp-1"] .status').textContent()).toContain('landed')

      // Every row is reached by arrows, and every step back.
      const count = await page.locator('.row[data-ship]').count()
      const chosen = new Set<string>()
      for (let step = 0; step < count; step += 1) {
        await page.keyboard.press('ArrowDown')
        chosen.add((await page.locator('[aria-current="true"][data-ship]').getAttribute('data-ship')) ?? '')
      }
      expect(chosen.size).toBe(count)
      await page.keyboard.press('Escape')
    },
    LONG_MS
  )

  it(
    'tells what is new once, politely, and moves lanes by nothing but a transform',
    async () => {
      const page = await open(DESKTOP)
      const fresh = page.locator('[data-fresh]')
      // What was there when the page came is on it already. As time goes on other things may be new, and are told.
      expect(await fresh.textContent()).not.toContain('Sorrel Left pod')
      await event.record({ kind: 'setStation', tankerId: 'auger', stationId: 'left', status: 'suspect' })
      await page.locator('[data-fresh]', { hasText: 'Auger Left pod is suspect' }).waitFor()
      expect(await fresh.getAttribute('aria-live')).toBe('polite')

      const asked = () => page.evaluate(() => (window as unknown as { asked: number }).asked)
      const askedBefore = await asked()
      const beganMs = performance.now()
      const watched = await page.evaluate(
        () =>
          new Promise<{ moved: number; drawn: number; told: number }>((done) => {
            const count = { moved: 0, drawn: 0, told: 0 }
            const strip = document.querySelector('.row[data-ship="alder-1"] .strip')
            const live = document.querySelector('[data-fresh]')
            const watch = (target: Element | null, hear: (records: MutationRecord[]) => void) => {
              if (target)
                new MutationObserver(hear).observe(target, {
                  attributes: true,
                  childList: true,
                  subtree: true,
                  characterData: true
                })
            }
            watch(live, () => {
              if (live?.textContent.includes('is suspect')) count.told += 1
            })
            watch(strip, (records) => {
              for (const { target } of records) count[target === strip ? 'moved' : 'drawn'] += 1
              if (count.moved >= 2) done(count)
            })
          })
      )
      expect(watched).toEqual({ moved: 2, drawn: watched.drawn, told: 0 })
      // It moves by what is seen, each two and a half seconds. A picture is asked for once a second, and of a fact: never
      // because one came.
      const askedMeanwhile = (await asked()) - askedBefore
      expect(askedMeanwhile).toBeGreaterThan(0)
      expect(askedMeanwhile).toBeLessThan(10 + (3 * (performance.now() - beganMs)) / 1_000)
      // In five seconds a lane is drawn anew at most once, when a step of ten seconds ends.
      expect(watched.drawn).toBeLessThan(40)
      await event.record({ kind: 'setStation', tankerId: 'auger', stationId: 'left', status: 'good' })
    },
    LONG_MS
  )

  it(
    'glides rows to their places, and moves none with reduced motion',
    async () => {
      const page = await open(DESKTOP)
      await page.evaluate(() => {
        type Animate = (this: Element, ...given: Parameters<Element['animate']>) => Animation
        const animate: Animate = Reflect.get(Element.prototype, 'animate')
        const counted = window as unknown as { glides: number }
        counted.glides = 0
        Element.prototype.animate = function (...given) {
          counted.glides += 1
          return animate.apply(this, given)
        }
      })
      const glides = () => page.evaluate(() => (window as unknown as { glides: number }).glides)
      /** Called so low that it is the worst of all. */
      const worst = async (shipId: string, value: number) => {
        await event.record({ kind: 'callFuel', shipId, fuel: { value, unit: 'lb' }, covers: 'total' })
        await page.waitForFunction(
          (id) => document.querySelector<HTMLElement>('.row[data-ship]')?.dataset['ship'] === id,
          shipId
        )
      }
      await worst('kelp-1', 2_100)
      expect(await glides()).toBe(0)
      await page.emulateMedia({ reducedMotion: 'no-preference' })
      await worst('sleet-4', 1_500)
      expect(await glides()).toBeGreaterThan(0)
    },
    LONG_MS
  )

  it(
    'loses nothing at 200 % and scrolls one way only, and has no barrier that a machine can find',
    async () => {
      await event.record({ kind: 'leave', shipId: 'rasp-2' })
      for (const [size, name] of [
        [DESKTOP, 'desktop'],
        [PHONE, 'phone'],
        [ZOOMED, 'zoomed']
      ] as const) {
        const page = await open(size)
        await page.locator('[data-left]').waitFor()
        const more = page.getByRole('button', { name: 'More of Mallet' })
        if (await more.isVisible()) await more.click()
        await page.getByRole('button', { name: 'Read out Mallet' }).click()
        await page.locator('[data-aloud]').first().waitFor()
        const group = page.locator('.attention .group').first()
        if ((await group.count()) > 0) await group.click()
        expect(await barriers(page, `board-states-${name}`), name).toEqual([])
        const over = await page.evaluate(
          () => document.documentElement.scrollWidth - document.documentElement.clientWidth
        )
        expect(over, `${name}: wider than the window by`).toBeLessThanOrEqual(0)
        // All that is told wide is told narrow.
        for (const part of [
          '.attention',
          '[data-tanker="mallet"]',
          '.row[data-ship="alder-1"]',
          '[data-left]',
          '#entry-line'
        ]) {
          await page.locator(part).first().scrollIntoViewIfNeeded()
          expect(await page.locator(part).first().isVisible(), `${name}: ${part}`).toBe(true)
        }
        await shoot(page, `board-end-${name}`)
        await page.close()
      }
    },
    LONG_MS
  )
})
