import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { sharedBrowser } from '../browser.ts'
import { DESKTOP, openEvent, PHONE, placeOf, signedIn } from './event.ts'

/* By keyboard alone, on the demonstration: asked back, a near miss picked, undone by one key, a call from another time. */

const told = (page: Page) => page.locator('[data-told]').innerText()

async function say(page: Page, line: string) {
  await page.keyboard.type(line)
  await page.waitForFunction((typed) => document.querySelector<HTMLInputElement>('#entry-line')?.value === typed, line)
}
const recorded = async (page: Page, sentence: string) => {
  await page.keyboard.press('Enter')
  await page.locator('[data-told]', { hasText: `Recorded: ${sentence}` }).waitFor()
}

interface Logged {
  facts: {
    kind: string
    atMs: number
    shipId?: string
    fuel?: { value: number; unit: string }
    withdrawnSeq?: number
  }[]
}

describe('the entry line of the board', () => {
  const browser = sharedBrowser()

  it('takes calls by ear, asks back, and takes back a slip', async () => {
    const event = await openEvent(40)
    const log = async () => {
      const { facts } = (await event.ask('GET', `/events/${event.eventId}/log`)) as Logged
      return facts.filter(({ kind }) => kind === 'fuelCalled' || kind === 'factWithdrawn')
    }
    const page = await signedIn(await browser, event.address, event.secret, DESKTOP, 'board')
    await page.waitForSelector('[data-ship] [data-figure="margin"]')

    // Letters go to the line wherever the focus is.
    await say(page, 'a1 72')
    await page.locator('.told.understood', { hasText: 'Alder 1 has 7,200 lb total.' }).waitFor()
    expect(await page.locator('[data-when]').innerText()).toBe('now')
    await recorded(page, 'Alder 1 has 7,200 lb total.')
    expect(await told(page)).toMatch(/\d\d:\d\d:\d\dZ$/)

    // Ambiguous: however often Enter is pressed nothing is recorded; a digit picks, Enter records.
    await say(page, 's1 84')
    for (let times = 0; times < 3; times++) await page.keyboard.press('Enter')
    expect(await told(page)).toBe(
      'Nothing is recorded. Which one? Pick one by its number, or with the arrows and Enter.'
    )
    expect(await log()).toHaveLength(1)
    await page.keyboard.press('2')
    expect(await page.inputValue('#entry-line')).toBe('squall 1 84')
    await recorded(page, 'Squall 1 has 8,400 lb total.')

    // Near to something: marked by an arrow, taken by Enter, recorded by another.
    await say(page, 'kepl 2 81')
    await page.locator('[role="option"]').first().waitFor()
    await page.keyboard.press('ArrowDown')
    await page.keyboard.press('Enter')
    expect(await page.inputValue('#entry-line')).toBe('kelp 2 81')
    await recorded(page, 'Kelp 2 has 8,100 lb total.')

    // A slip is undone by one key, and told.
    await page.keyboard.press('Control+z')
    await page
      .locator('[data-told]', { hasText: 'Your last entry is withdrawn. It was: Kelp 2 has 8,100 lb total.' })
      .waitFor()

    // From another time, with its time.
    await say(page, 'a2 75 3 min ago')
    await page.locator('.told.understood', { hasText: 'Alder 2 has 7,500 lb total, 3 min ago.' }).waitFor()
    await recorded(page, 'Alder 2 has 7,500 lb total, 3 min ago.')

    const calls = await log()
    expect(calls.map(({ kind, shipId, fuel }) => [kind, shipId, fuel?.value])).toEqual([
      ['fuelCalled', 'alder-1', 7200],
      ['fuelCalled', 'squall-1', 8400],
      ['fuelCalled', 'kelp-2', 8100],
      ['factWithdrawn', undefined, undefined],
      ['fuelCalled', 'alder-2', 7500]
    ])
    const [first, last] = [calls[0]?.atMs ?? 0, calls.at(-1)?.atMs ?? 0]
    expect(last).toBeLessThan(first)

    // A page loaded anew undoes the same, and says what.
    await page.reload()
    await page.waitForSelector('[data-ship] [data-figure="margin"]')
    await page.keyboard.press('Control+z')
    await page
      .locator('[data-told]', { hasText: 'Your last entry is withdrawn. It was: Alder 2 fuel 7,500 lb total.' })
      .waitFor()
  })
  it('says so where what reads a line does not come, as the slot page does, until the page is loaded again', async () => {
    const event = await openEvent(5)
    for (const [place, field, line] of [
      ['board', '#entry-line', 'alder 1 8.4'],
      ['slot/alder-1', '#own-fuel', '8.3']
    ] as const) {
      const page = await signedIn(await browser, event.address, event.secret, PHONE)
      await page.context().route('**/assets/understand-*', (route) => route.abort())
      await page.goto(placeOf(page, place))
      await page.fill(field, line)
      await page.press(field, 'Enter')
      await page.locator('[data-told]', { hasText: 'Not read: a part of this page did not come.' }).waitFor()
      expect(await page.inputValue(field)).toBe(line)
      await page.context().unroute('**/assets/understand-*')
      await page.reload()
      await page.fill(field, line)
      await page.press(field, 'Enter')
      await page.locator('[data-told]', { hasText: /(Recorded|Sent): Alder 1 has 8,[34]00 lb/ }).waitFor()
    }
  })
})
