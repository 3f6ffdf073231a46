import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { contactText, latestContactText, marginText, onLoadText } from '../../client/figures.ts'
import type { View } from '../../shared/contracts/view.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { emptyState } from '../../shared/live/state.ts'
import { sharedBrowser } from '../browser.ts'
import { DESKTOP, openEvent, PHONE, placeOf, signedIn, type OpenEvent } from './event.ts'

/*
 * One view: board, slot page, state route, order route and a direct call of shared/ show the same figures at the same
 * event time, to the shown digit. No outside source; this is the promise that no two screens differ on the radio.
 */

const FIGURES = ['contact', 'on-load', 'latest-contact', 'margin'] as const
type Shown = Record<(typeof FIGURES)[number], string>

/** What a view says of each ship, as screens show it. */
function shownOf(view: View): Map<string, Shown> {
  const slots = new Map(view.slots.map((slot) => [slot.slotId, slot]))
  return new Map(
    view.ships.map((ship) => {
      const slot = slots.get(ship.slotId ?? '')
      if (!slot) throw new Error(`${ship.shipId} has no slot`)
      const shown: Shown = {
        contact: contactText(slot),
        'on-load': onLoadText(slot, 'lb'),
        'latest-contact': latestContactText(slot),
        margin: marginText(ship)
      }
      return [ship.shipId, shown] as const
    })
  )
}

/** Figures and event time in one look, so that the clock cannot move between them. */
const look = (page: Page) =>
  page.evaluate((figures) => {
    const at = document.querySelector('[data-at-ms]')?.getAttribute('data-at-ms') ?? ''
    const ships = [...document.querySelectorAll('[data-ship]')].map((row): [string, Record<string, string>] => [
      row.getAttribute('data-ship') ?? '',
      Object.fromEntries(
        figures.map((name) => [name, row.querySelector(`[data-figure="${name}"]`)?.textContent.trim() ?? 'absent'])
      )
    ])
    return { atMs: Number(at), ships }
  }, FIGURES)

/** Every ship's figures at one event time, from the three places that are not a screen: they must agree. */
async function expected({ ask, eventId, plan }: OpenEvent, atMs: number): Promise<Map<string, Shown>> {
  const state = (await ask('GET', `/events/${eventId}/state?atMs=${String(atMs)}`)) as View
  const order = (await ask('POST', '/compute/order', { plan, atMs })) as View
  const direct = estimate({ ...emptyState(eventId), plan, revision: 1 }, atMs)
  if (!direct) throw new Error('no view')
  expect(shownOf(state)).toEqual(shownOf(direct))
  expect(shownOf(order)).toEqual(shownOf(direct))
  return shownOf(direct)
}

describe('one view', () => {
  const browser = sharedBrowser()
  it('stands on the board, for all 24 ships', async () => {
    const event = await openEvent(5)
    const page = await signedIn(await browser, event.address, event.secret, DESKTOP, 'board')
    await page.waitForSelector('[data-ship] [data-figure="margin"]')
    const seen = await look(page)
    expect(seen.ships).toHaveLength(24)
    expect(new Map(seen.ships)).toEqual(await expected(event, seen.atMs))
  })

  it('stands on the slot page of each of the 24 ships', async () => {
    const event = await openEvent(5)
    const page = await signedIn(await browser, event.address, event.secret, PHONE)
    const ships = event.plan.flights.flatMap((flight) => flight.ships)
    for (const [place, { id }] of ships.entries()) {
      // The first by its address, as a pilot comes; the others chosen on the page.
      if (place === 0) await page.goto(placeOf(page, `slot/${id}`))
      else await page.locator('select').first().selectOption(id)
      await page.waitForSelector(`[data-ship="${id}"] [data-figure="margin"]`)
      const seen = await look(page)
      const want = (await expected(event, seen.atMs)).get(id)
      expect(seen.ships).toEqual([[id, want]])
    }
  }, 120_000)
})
