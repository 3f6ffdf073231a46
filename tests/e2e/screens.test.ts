import { gzipSync } from 'node:zlib'
import { describe, expect, it, onTestFinished } from 'vitest'
import { sharedBrowser } from '../browser.ts'
import { firstLoad } from '../house/bundle.ts'
import { DESKTOP, openEvent, openService, PHONE, placeOf, sharedService, signedIn } from './event.ts'
import { barriers, shoot } from './screen.ts'

/*
 * What holds for every screen, whatever is done on it: it moves nothing under a hand, is small enough to come at once,
 * and can be used by anybody.
 */

/** A dozen screens, each looked through by the checker. */
const LONG_MS = 180_000

const figureOf = (shipId: string, name: string) => `[data-ship="${shipId}"] [data-figure="${name}"]`
describe('a screen', () => {
  const browser = sharedBrowser()
  it.each(['alder-1', 'chisel-1', 'kelp-1'])(
    'shows the pilot of %s the whole slot without scrolling',
    async (shipId) => {
      const event = await openEvent(5)
      const pilot = await signedIn(await browser, event.address, await event.link('crew', shipId), PHONE)
      await pilot.locator('[data-figure="contact"]').waitFor()
      await shoot(pilot, `pilot-${shipId}`)
      expect(await pilot.evaluate(() => document.documentElement.scrollHeight)).toBeLessThanOrEqual(PHONE.height)
    },
    LONG_MS
  )

  it('lets a commander set a limit by hand and take it back, and tells field, value and limit of a refusal', async () => {
    const event = await openEvent(5)
    const page = await signedIn(await browser, event.address, event.secret, DESKTOP, 'board')
    await page.locator('.row[data-ship="alder-1"]').click()
    const form = page.locator('[data-limit-form]')
    await form.locator('select').selectOption('bingo')
    await form.locator('input').fill('1000')
    await form.locator('button[type="submit"]').click()
    await page.getByText(/Not recorded: .* fuel value: 1000 lb, may be at least \d{4} lb\./).waitFor()
    expect(await form.locator('input').inputValue()).toBe('1000')
    await form.locator('input').fill('9.1')
    await form.locator('button[type="submit"]').click()
    await page.locator('.actions', { hasText: /bingo 9,100 lb, by hand/ }).waitFor()
    expect(await form.locator('input').inputValue()).toBe('')
    await form.getByRole('button', { name: 'As computed' }).click()
    await page.locator('.actions', { hasNotText: /9,100 lb/ }).waitFor()

    // Words about a tank go into the line, which says what they mean before they are entered.
    await page.locator('[data-tank-words]').getByRole('button', { name: 'Not giving' }).click()
    expect(await page.inputValue('#entry-line')).toBe('alder 1 not giving')
    await page.getByText('Alder 1 Wing tank does not give.').waitFor()
    await page.keyboard.press('Enter')
    await page.locator('[data-tank-words]').getByRole('button', { name: 'Well' }).waitFor()
  })

  it('tells a refusal in words, and gives the line back to be mended', async () => {
    const event = await openEvent(32)
    const page = await signedIn(await browser, event.address, await event.link('coordinator'), DESKTOP)
    await page.locator('.row[data-ship]').first().waitFor()
    await page.keyboard.type('sleet 1 flowing')
    await page.keyboard.press('Enter')
    await page.getByText('Not recorded: The ship is not in contact.').waitFor()
    expect(await page.inputValue('#entry-line')).toBe('sleet 1 flowing')
  })

  it('moves no calm row while a call is typed or a ship is chosen, and moves slots by arrows', async () => {
    const event = await openEvent(5)
    const page = await signedIn(await browser, event.address, await event.link('coordinator'), DESKTOP)
    await page.locator('.row[data-ship]').first().waitFor()
    const order = () => page.locator('.row[data-ship]').evaluateAll((rows) => rows.map((row) => row.dataset['ship']))
    const before = await order()
    const last = before.at(-1) ?? ''
    const calls = (shipId: string, pounds: number) =>
      event.record({ kind: 'callFuel', shipId, fuel: { value: pounds, unit: 'lb' }, covers: 'total' })
    const hasMoved = (was: (string | undefined)[]) =>
      page.waitForFunction(
        (ids) =>
          [...document.querySelectorAll<HTMLElement>('.row[data-ship]')].some(
            (row, at) => row.dataset['ship'] !== ids[at]
          ),
        was
      )
    await page.keyboard.type('kel')
    const shown = (await page.textContent(figureOf(last, 'fuel'))) ?? ''
    const less = Number(shown.replace(/\D/g, '')) - 600
    await calls(last, less)
    await page.locator(figureOf(last, 'fuel'), { hasNotText: shown }).waitFor()
    // Longer than a difference must last.
    await page.waitForTimeout(4_500)
    expect(await order()).toEqual(before)
    await page.keyboard.press('Escape')
    await hasMoved(before)

    // What comes to "now" waits for nobody.
    await page.keyboard.type('kel')
    await calls('kelp-1', 3_000)
    await page.waitForFunction(
      () => document.querySelector<HTMLElement>('.row[data-ship]')?.dataset['ship'] === 'kelp-1'
    )
    expect(await page.inputValue('#entry-line')).toBe('kel')
    await page.keyboard.press('Escape')

    await page.keyboard.press('ArrowDown')
    await page.keyboard.press('ArrowDown')
    const chosen = await page.locator('[aria-current="true"]').getAttribute('data-ship')
    expect(chosen).toBe((await order())[1])
    await page.keyboard.press('Alt+ArrowDown')
    await page.locator('[data-pending]').waitFor()
    await page.keyboard.press('Escape')
    await page.locator('[data-pending]').waitFor({ state: 'detached' })
  })
})

describe('the first load', () => {
  const browser = sharedBrowser()
  it.each([
    ['board', 'BoardView', 'board'],
    ['slot', 'SlotView', 'slot/alder-1']
  ])(
    'of the %s is all that its first picture takes, at most 90 kB compressed, without fonts',
    async (_, view, place) => {
      const needed = new Set(firstLoad(['MemberView', view]).map(({ name }) => name))
      const event = await openEvent(5)
      const first = await signedIn(await browser, event.address, event.secret, DESKTOP)
      const page = await first.context().newPage()
      // What the built scripts ask for by import() alone never comes, nor does what works beside the page: how busy the
      // machine is then decides nothing.
      await page.addInitScript(() => {
        Reflect.deleteProperty(window, 'Worker')
      })
      const isFont = (name: string) => /\.woff2?$/.test(name)
      await page.route('**/assets/*', (route) => {
        const name = nameIn(route.request().url())
        return needed.has(name) || isFont(name) ? route.continue() : route.abort()
      })
      const sizes: Promise<[string, number]>[] = []
      page.on('response', (response) => {
        if (!['document', 'script', 'stylesheet'].includes(response.request().resourceType())) return
        sizes.push(response.body().then((body) => [nameIn(response.url()), gzipSync(body).byteLength]))
      })
      await page.goto(placeOf(first, place))
      await page.locator('[data-figure="contact"]').first().waitFor()
      const all = await Promise.all(sizes)
      expect(new Set(all.map(([name]) => name))).toEqual(new Set([...needed, nameIn(page.url())]))
      const sumBytes = all.reduce((sum, [, bytes]) => sum + bytes, 0)
      expect(sumBytes, JSON.stringify(all)).toBeLessThanOrEqual(90_000)
    }
  )
})

const nameIn = (address: string): string => new URL(address).pathname.split('/').at(-1) ?? ''

describe('every state of a screen', () => {
  const browser = sharedBrowser()

  it.each([
    ['desktop', DESKTOP],
    ['phone', PHONE]
  ] as const)(
    'is free of barriers that a machine can find, light and dark, on a %s',
    async (name, size) => {
      const event = await openEvent(32)
      // States worth looking at: joined, in contact, left, an impossible slot, a station nobody new may use.
      await event.record({ kind: 'joinShip', shipId: 'sleet-1' })
      await event.record({ kind: 'makeContact', shipId: 'sleet-2' })
      await event.record({ kind: 'callFuel', shipId: 'kelp-1', fuel: { value: 2_100, unit: 'lb' }, covers: 'total' })
      await event.record({ kind: 'leave', shipId: 'rasp-1' })
      await event.record({ kind: 'setStation', tankerId: 'sorrel', stationId: 'left', status: 'suspect' })
      const page = await signedIn(await browser, event.address, event.secret, size)
      const check = async (state: string) => {
        expect(await barriers(page, `${state}-${name}`)).toEqual([])
      }
      await page.locator('.verdict').waitFor()
      await check('plan')
      await page.goto(placeOf(page, 'board'))
      await page.locator('.row[data-ship]').first().waitFor()
      await check('board')
      await page.locator('.row[data-ship="alder-1"]').click()
      await page.locator('.actions').waitFor()
      await page.keyboard.press('Alt+ArrowDown')
      await page.locator('[data-pending]').waitFor()
      await page.keyboard.type('alder')
      await page.locator('.told.ask').waitFor()
      await check('moving')
      await page.keyboard.press('Escape')
      await page.keyboard.press('Escape')
      await page.locator('#entry-line').fill('help')
      await page.keyboard.press('Enter')
      await page.locator('dialog[open]').waitFor()
      await check('help')
      await page.goto(placeOf(page, 'slot/alder-1'))
      await page.locator('[data-figure="contact"]').waitFor()
      await check('slot')
      await page.goto(`${event.address}/`)
      await page.getByRole('heading', { name: 'Ullage' }).waitFor()
      await check('home')
    },
    LONG_MS
  )

  it(
    'is free of barriers that a machine can find, light and dark, for the owner of a service',
    async () => {
      const event = await openEvent(32, { service: await openService() })
      const owner = await signedIn(await browser, event.address, event.owner, DESKTOP)
      await owner.getByRole('link', { name: 'Board' }).first().waitFor()
      expect(await barriers(owner, 'events-desktop')).toEqual([])
    },
    LONG_MS
  )

  it('is searched so that a barrier put there is found, in dark alone too', async () => {
    const page = await (await browser).newPage({ locale: 'en-GB' })
    onTestFinished(() => page.close())
    await page.goto(`${(await sharedService()).address}/onload`)
    await page.locator('[data-sentence]').waitFor()
    await page.evaluate(() => {
      const sheet = new CSSStyleSheet()
      sheet.replaceSync('@media (prefers-color-scheme: dark) { h1 { color: #1d262c !important } }')
      document.adoptedStyleSheets = [sheet]
      document.querySelector('main')?.append(document.createElement('img'))
    })
    const found = await barriers(page, 'broken')
    expect(found.map((one) => one.split(' at ')[0])).toEqual([
      'broken, light: image-alt',
      'broken, dark: color-contrast'
    ])
  })
})
