import type { Locator, Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { sharedBrowser } from '../browser.ts'
import { DESKTOP, openEvent, PHONE, placeOf, signedIn } from './event.ts'
import { barriers } from './screen.ts'

/*
 * Every figure of board, plan and slot page opens to its working, and the working comes to the figure shown. The event's
 * clock and a document's figures are no figures that are worked out: what is read off a clock has no working.
 */

const LONG_MS = 180_000

/** Figures that hold digits and no mark over them, by their text. */
const bare = (page: Page): Promise<string[]> =>
  page.evaluate(() => {
    const found: string[] = []
    for (const figure of document.querySelectorAll('main .figure:not(.clock)')) {
      const walker = document.createTreeWalker(figure, NodeFilter.SHOW_TEXT)
      for (let node = walker.nextNode(); node !== null; node = walker.nextNode()) {
        const text = node.textContent ?? ''
        const named = node.parentElement?.closest('[data-working]')
        // Names of bases, stations and ships stand beside figures and may hold a number.
        const name = node.parentElement?.closest('.links, [data-made-link], dt')
        if (/\d/.test(text) && !named && !name) found.push(`${figure.outerHTML.slice(0, 120)}: ${text}`)
      }
    }
    return found
  })

/** A mark by what it opens: parts of a page come later than others, and places move. */
interface Mark {
  working: string
  of: string
  index: string
  orders: string | null
}

/** The first mark of each kind, or all, below a part of the page. */
const marksIn = (page: Page, scope: string, every: boolean): Promise<Mark[]> =>
  page.evaluate(
    ([below, all]) => {
      const seen = new Set<string>()
      return [...document.querySelectorAll<HTMLElement>(`${below} [data-working]`)].flatMap((mark) => {
        const { working = '', of = '', index = '' } = mark.dataset
        const orders = mark.closest<HTMLElement>('[data-orders]')?.dataset['orders'] ?? null
        const named = { working, of, index, orders }
        const name = all ? JSON.stringify(named) : working
        if (seen.has(name)) return []
        seen.add(name)
        return [named]
      })
    },
    [scope, every] as const
  )

/** Where a mark is now: as time goes on another ship may stand there, or nothing of its kind any more. */
async function placeOfMark(page: Page, scope: string, mark: Mark): Promise<Locator | undefined> {
  const { working, of, index, orders } = mark
  const within = orders === null ? '' : `[data-orders="${orders}"] `
  const kind = `[data-working="${working}"]`
  const named = `${kind}${of && `[data-of="${of}"]`}${index && `[data-index="${index}"]`}`
  for (const wanted of [`${within}${named}`, kind]) {
    const found = page.locator(scope).locator(wanted).first()
    if ((await found.count()) > 0) return found
  }
  return undefined
}

/** Opens a mark, reads mark and last line in one look, and closes again. */
async function opened(
  page: Page,
  found: Locator
): Promise<{ kind: string; shown: string | undefined; result: string }> {
  // A mark in a picture is no element of HTML, which alone can click itself.
  await found.dispatchEvent('click', { bubbles: true })
  await page.locator('dialog.working [data-result]').waitFor()
  const read = await found.evaluate((element) => ({
    kind: element.getAttribute('data-working') ?? '',
    // A bar or a line of a picture stands for its figure and does not write it out.
    shown: element instanceof HTMLElement ? element.textContent.trim() : undefined,
    result: document.querySelector('dialog.working [data-result]')?.textContent.trim() ?? ''
  }))
  expect(await page.locator('dialog.working [data-line]').count()).toBeGreaterThan(0)
  await page.keyboard.press('Escape')
  await page.locator('dialog.working').waitFor({ state: 'detached' })
  return read
}

async function openAll(page: Page, scope: string, every = false): Promise<Set<string>> {
  const kinds = new Set<string>()
  for (const mark of await marksIn(page, scope, every)) {
    const found = await placeOfMark(page, scope, mark)
    if (found === undefined) continue
    const { kind, shown, result } = await opened(page, found)
    expect(`${kind} ${result}`).toBe(`${kind} ${shown ?? result}`)
    kinds.add(kind)
  }
  return kinds
}

describe('the working of a figure', () => {
  const browser = sharedBrowser()
  it(
    'opens behind every figure of the slot page and comes to it',
    async () => {
      const event = await openEvent(5)
      const call = { kind: 'callFuel', shipId: 'alder-1', fuel: { value: 8_000, unit: 'lb' }, covers: 'total' }
      await event.record(call)
      const page = await signedIn(await browser, event.address, event.secret, PHONE, 'slot/alder-1')
      await page.locator('[data-working="age of the call"]').waitFor()
      expect(await bare(page)).toEqual([])
      const kinds = await openAll(page, '.slot', true)
      for (const kind of [
        'contact',
        'until contact',
        'on-load',
        'fuel at contact',
        'gauge at contact',
        'latest contact'
      ])
        expect(kinds).toContain(kind)
      for (const kind of ['slack', 'abort', 'required', 'push', 'fuel', 'age of the call', 'margin'])
        expect(kinds).toContain(kind)
      const fuel = page.locator('[data-working="fuel"]')
      await fuel.click()
      await page.locator('dialog.working', { hasText: /called \d\d:\d\d:\d\dZ, 8,?000 lb/ }).waitFor()
    },
    LONG_MS
  )

  it(
    'opens from a row, a tanker and the chosen ship of the board, and leaves the line its focus',
    async () => {
      const event = await openEvent(32)
      const page = await signedIn(await browser, event.address, await event.link('coordinator'), DESKTOP)
      await page.locator('.row[data-ship]').first().waitFor()
      expect(await bare(page)).toEqual([])
      await page.locator('#entry-line').focus()
      // By pointer from a row that is not chosen: it opens, chooses nobody, and the line keeps the focus.
      await page.locator('.row[data-ship] [data-working="margin"]').first().click()
      await page.locator('dialog.working [data-result]').waitFor()
      await page.keyboard.press('Escape')
      await page.locator('dialog.working').waitFor({ state: 'detached' })
      expect(await page.locator('.row[aria-current="true"]').count()).toBe(0)
      expect(await page.evaluate(() => document.activeElement?.id)).toBe('entry-line')

      const rows = await openAll(page, '.rows .place:first-child')
      for (const kind of ['rank', 'fuel', 'margin', 'contact', 'on-load']) expect(rows).toContain(kind)
      const tanker = await openAll(page, '.tanker')
      for (const kind of ['give', 'promised']) expect(tanker).toContain(kind)
      await openAll(page, '.attention')

      // By keyboard: a row that is not chosen has no stop; of the chosen one each figure is one.
      expect(await page.locator('.row[data-ship] [data-working]:not([tabindex="-1"])').count()).toBe(0)
      await page.keyboard.press('ArrowDown')
      await page.locator('.actions').waitFor()
      expect(await bare(page)).toEqual([])
      const chosen = await openAll(page, '.actions')
      for (const kind of ['abort', 'slack', 'required']) expect(chosen).toContain(kind)
      const mark = page.locator('.actions [data-working="abort"]')
      await mark.focus()
      await page.keyboard.press('Enter')
      await page.locator('dialog.working [data-result]').waitFor()
      await page.keyboard.press('Escape')
      await page.locator('dialog.working').waitFor({ state: 'detached' })
      expect(await mark.evaluate((button) => document.activeElement === button)).toBe(true)
      await page.locator('.actions').waitFor()
      await page.keyboard.type('kel')
      expect(await page.inputValue('#entry-line')).toBe('kel')
    },
    LONG_MS
  )

  it(
    'opens from the tables of the plan and comes to what they show',
    async () => {
      const event = await openEvent(5)
      const page = await signedIn(await browser, event.address, event.secret, DESKTOP, 'plan')
      await page.locator('.verdict').waitFor()
      // What stands behind a contact is drawn once it is opened.
      await page.locator('[data-stops] summary').first().click()
      await page.locator('[data-stops] table').waitFor()
      await page.locator('.slot-curve').waitFor()
      expect(await bare(page)).toEqual([])
      const kinds = await openAll(page, 'main')
      const wanted = [
        'ready',
        'disconnect',
        'fuel at push',
        'last disconnect',
        'leaves',
        'weakest margin',
        'weakest at'
      ]
      const early = ['stop after', 'stop on-load', 'stop usable', 'stop saves', 'stop leaves', 'stop forgoes']
      for (const kind of ['hold from', 'hold saves', 'holds save', 'hold count', 'gauge at disconnect', ...early])
        expect(kinds).toContain(kind)
      for (const kind of ['abort', 'bingo', 'joker']) expect(kinds).toContain(kind)
      for (const kind of [...wanted, 'ladder at', 'ladder fuel', 'ladder counted', 'ladder recovery', 'total on-load'])
        expect(kinds).toContain(kind)
    },
    LONG_MS
  )

  it.each([
    ['desktop', DESKTOP],
    ['phone', PHONE]
  ] as const)(
    'is free of barriers that a machine can find, light and dark, on a %s',
    async (name, size) => {
      const event = await openEvent(32)
      const page = await signedIn(await browser, event.address, event.secret, size)
      for (const [place, figure] of [
        ['board', 'margin'],
        ['slot/alder-1', 'on-load'],
        ['plan', 'required']
      ] as const) {
        await page.goto(placeOf(page, place))
        // Tables beside pictures may be closed, and a mark in a picture lie under another.
        await page.locator(`button[data-working="${figure}"]:visible`).first().click()
        await page.locator('dialog.working [data-result]').waitFor()
        expect(await barriers(page, `working-${figure}-${name}`, 'dialog.working')).toEqual([])
      }
    },
    LONG_MS
  )
})
