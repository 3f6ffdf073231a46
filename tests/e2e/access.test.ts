import axe from 'axe-core'
import { afterAll, describe, expect, it, onTestFinished } from 'vitest'
import { launch } from '../browser.ts'
import { DESKTOP, openEvent, PHONE, placeOf } from './event.ts'

/* axe-core's rules (WCAG 2.2 A and AA among them) on every view, light and dark, desktop and phone. */

const VIEWS = [
  ['board', DESKTOP],
  ['board', PHONE],
  ['slot/alder-1', PHONE],
  ['slot/alder-1', DESKTOP],
  ['plan', DESKTOP],
  ['plan', PHONE]
] as const

describe('axe finds nothing', () => {
  const browser = launch()
  afterAll(async () => (await browser).close())

  it.each(['light', 'dark'] as const)('on board, slot and plan in %s', async (colorScheme) => {
    const event = await openEvent(30)
    // States worth looking at: joined, in contact, done, left, a stale and an impossible slot.
    await event.record({ kind: 'joinShip', shipId: 'sleet-1' })
    await event.record({ kind: 'makeContact', shipId: 'sleet-2' })
    await event.record({ kind: 'callFuel', shipId: 'kelp-1', fuel: { value: 2_100, unit: 'lb' }, covers: 'total' })
    await event.record({ kind: 'leave', shipId: 'rasp-1' })
    await event.record({ kind: 'setStation', tankerId: 'sorrel', stationId: 'left', status: 'suspect' })
    const context = await (
      await browser
    ).newContext({ locale: 'en-GB', colorScheme, bypassCSP: true, reducedMotion: 'reduce' })
    onTestFinished(() => context.close())
    const page = await context.newPage()
    await page.goto(`${event.address}/join#${event.secret}`)
    await page.waitForURL(/\/as\//)
    for (const [place, size] of VIEWS) {
      await page.setViewportSize(size)
      await page.goto(placeOf(page, place))
      await page.waitForSelector('[data-ship]')
      await page.evaluate(axe.source)
      const found = await page.evaluate(async () => {
        const { violations } = await (window as unknown as { axe: typeof axe }).axe.run()
        return violations.map(({ id, nodes }) => `${id}: ${nodes.map((node) => node.html.slice(0, 120)).join(' | ')}`)
      })
      expect(found, `${place} at ${String(size.width)} wide`).toEqual([])
    }
  })
})
