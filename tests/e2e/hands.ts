import { onTestFinished, expect } from 'vitest'
import type { Page } from 'playwright-core'
import type { LogAnswer } from '../../shared/contracts/answers.ts'
import type { Fact, FactOf } from '../../shared/contracts/facts.ts'
import { sharedBrowser } from '../browser.ts'
import { proxyTo, type Proxy } from '../long/proxy.ts'
import { DESKTOP, PHONE, signedIn, type OpenEvent } from './event.ts'

/* What coordinators and pilots do in browsers, each over a line of their own that can really be cut. */
const browser = sharedBrowser()

export const portOf = (address: string): number => Number(new URL(address).port)
export async function lineTo(port: () => number): Promise<Proxy & { address: string }> {
  const line = await proxyTo(port)
  onTestFinished(() => line.close())
  return { ...line, address: `http://127.0.0.1:${String(line.port)}` }
}

export const logOf = async (event: OpenEvent): Promise<Fact[]> =>
  ((await event.ask('GET', `/events/${event.eventId}/log?after=0`)) as LogAnswer).facts
export const callsOf = async (event: OpenEvent, shipId: string): Promise<FactOf<'fuelCalled'>[]> =>
  (await logOf(event)).filter(
    (fact): fact is FactOf<'fuelCalled'> => fact.kind === 'fuelCalled' && fact.shipId === shipId
  )

/** What reads a line comes after the page is painted; a line that is cut before has none of it. */
const readsLines = (page: Page) =>
  page.waitForFunction(() =>
    ['understand-', 'flowed-'].every((part) =>
      performance.getEntriesByType('resource').some(({ name }) => name.includes(`/assets/${part}`))
    )
  )

export async function board(address: string, secret: string): Promise<Page> {
  const page = await signedIn(await browser, address, secret, DESKTOP, 'board')
  await page.waitForSelector('[data-contact="live"]')
  await page.waitForSelector('.row[data-ship]')
  await readsLines(page)
  return page
}
export async function slot(address: string, secret: string): Promise<Page> {
  const page = await signedIn(await browser, address, secret, PHONE)
  await page.locator('[data-figure="contact"]').waitFor()
  await page.waitForSelector('[data-contact="live"]')
  await readsLines(page)
  return page
}
export const enter = async (page: Page, line: string): Promise<void> => {
  await page.fill('[data-entry] input', line)
  await page.keyboard.press('Enter')
}

/** Sends figures by touch, without waiting for an answer; gives when. */
export async function sendEach(page: Page, figures: readonly string[]): Promise<number[]> {
  const atMs: number[] = []
  for (const figure of figures) {
    await page.fill('#own-fuel', figure)
    atMs.push(Date.now())
    await page.press('#own-fuel', 'Enter')
    await page.locator('[data-told]', { hasText: 'Kept, not sent yet' }).waitFor()
  }
  return atMs
}
/** Each once, in the order they were made, with the time they were made at. */
export function expectInOrder(
  calls: readonly FactOf<'fuelCalled'>[],
  figures: readonly number[],
  atMs: readonly number[]
): void {
  expect(calls.map(({ fuel }) => fuel.value)).toEqual(figures)
  expect(calls.map((call) => call.seq)).toEqual(calls.map((call) => call.seq).toSorted((a, b) => a - b))
  calls.forEach((call, index) => {
    expect(Math.abs(call.atMs - (atMs[index] ?? NaN))).toBeLessThan(1_500)
    if (index > 0) expect(call.atMs).toBeGreaterThan(calls[index - 1]?.atMs ?? Infinity)
  })
}
