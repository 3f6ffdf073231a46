import type { Browser, Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { clockText, contactText, disconnectText, fuelText, onLoadText } from '../../client/figures.ts'
import type { SlotView, View } from '../../shared/contracts/view.ts'
import { sharedBrowser } from '../browser.ts'
import { DESKTOP, openEvent, PHONE, placeOf, signedIn, type OpenEvent, type Size } from './event.ts'
import { barriers, shoot } from './screen.ts'

/*
 * The order on the screens, in real browsers against the built service: a better one is asked for, compared, read,
 * accepted and taken back; a slot is dragged, pinned, and the order printed.
 */

const LONG_MS = 180_000

const stateOf = async ({ ask, eventId }: OpenEvent): Promise<View> =>
  (await ask('GET', `/events/${eventId}/state`)) as View
const lostIn = (view: View) => view.slots.filter((slot) => slot.state === 'missed').map((slot) => slot.shipId)
const failCentre = (event: OpenEvent) =>
  event.record({ kind: 'setStation', tankerId: 'auger', stationId: 'centre', status: 'failed' })
/** Station and turn of every slot, as one thing to compare. */
const placesIn = (view: View) =>
  Object.fromEntries(view.slots.map((slot) => [slot.slotId, `${slot.tankerId} ${slot.stationId} ${slot.index}`]))
const slotIn = (view: View, slotId: string): SlotView => {
  const slot = view.slots.find((one) => one.slotId === slotId)
  if (!slot) throw new Error(`there is no slot ${slotId}`)
  return slot
}

async function board(browser: Browser, event: OpenEvent, size: Size = DESKTOP): Promise<Page> {
  const page = await signedIn(browser, event.address, await event.link('coordinator'), size, 'board')
  await page.locator('[data-ship] [data-figure="margin"]').first().waitFor()
  return page
}

const cell = (page: Page, name: string) => page.locator(`[data-cell="${name}"]`)
const column = (page: Page, name: string) => page.locator('[data-proposal] thead').getByRole('button', { name })
const pressed = (page: Page, name: string) =>
  page.locator('[data-proposal] thead button[aria-pressed="true"]', { hasText: name }).waitFor()

/** Both instant proposals are there. */
const found = (page: Page) =>
  page.waitForFunction(() => {
    const cells = [...document.querySelectorAll('[data-cell="repair lost"], [data-cell="anew lost"]')]
    return cells.length === 2 && cells.every((one) => !one.textContent.includes('looking'))
  })

/** How many ships are whole in sight, between what stands above the rows and what stands below them. */
const inSight = (page: Page) =>
  page.evaluate(() => {
    const box = document.querySelector('.page-board > .rows')?.getBoundingClientRect()
    const below = document.querySelector('.page-board > .below')?.getBoundingClientRect()
    if (!box || !below) throw new Error('the board has no rows')
    const end = Math.min(box.bottom, below.top, innerHeight)
    return [...document.querySelectorAll('[data-ship]')].filter((row) => {
      const { top, bottom } = row.getBoundingClientRect()
      return top >= Math.max(0, box.top) && bottom <= end + 1
    }).length
  })
/** What the board says of the order in force, as words. */
const inForce = async (page: Page) => ({
  trouble: await page.locator('.attention [data-line]').allInnerTexts(),
  next: await page.locator('.tanker .stations').allInnerTexts()
})
/** Times run on, and are let go. */
const names = (texts: readonly string[]) => texts.map((text) => text.replace(/[\d:,]+|\s+/g, ' '))

/** Middle of a slot in the list, or of its grip. */
async function middle(page: Page, slotId: string, part = ''): Promise<{ x: number; y: number; height: number }> {
  const box = await page.locator(`[data-slot="${slotId}"] ${part}`.trim()).first().boundingBox()
  if (!box) throw new Error(`${slotId} is not shown`)
  return { x: box.x + box.width / 2, y: box.y + box.height / 2, height: box.height }
}
const turnsAt = (page: Page, station: string) =>
  page.locator(`[data-station="${station}"] [data-slot]`).evaluateAll((rows) => rows.map((row) => row.dataset['slot']))

describe('a better order', () => {
  const browser = sharedBrowser()
  it(
    'is offered when a station fails, compared, read, accepted for everybody, and taken back',
    async () => {
      const event = await openEvent(5)
      const page = await board(await browser, event)
      await page.locator('#entry-line').focus()
      await failCentre(event)
      const before = await stateOf(event)
      const lost = lostIn(before)
      expect(lost.length).toBeGreaterThan(0)

      // Offered in a line, and the hand stays where it was.
      await page.locator('[data-offer]', { hasText: /^\s*A repair is ready: \d+ ships? moves?, / }).waitFor()
      expect(await page.evaluate(() => document.activeElement?.id)).toBe('entry-line')
      await shoot(page, 'order-offer-desktop')

      const lasting = await inForce(page)
      await page.keyboard.press('F2')
      await page.locator('[data-proposal]').waitFor()
      await found(page)
      expect(await page.evaluate(() => document.activeElement?.id)).toBe('entry-line')
      expect(await cell(page, 'in force lost').innerText()).toContain(String(lost.length))
      expect(await cell(page, 'repair lost').innerText()).toMatch(/^\s*0\b/)
      expect(await cell(page, 'anew lost').innerText()).toMatch(/^\s*0\b/)
      // One of them is chosen, and drawn as pending.
      await page.locator('[data-pending]', { hasText: /(Repair|Anew), not yet accepted/ }).waitFor()
      await shoot(page, 'order-proposal-desktop')
      // What is proposed stands in lanes as a draft; who is lost and who is next stays as it is in force.
      await page.locator('[data-ship] .lane [data-draft]').first().waitFor()
      const then = await inForce(page)
      expect(names(then.trouble)).toEqual(names(lasting.trouble))
      expect(names(then.next)).toEqual(names(lasting.next))
      // With lines to read open as well the worst three are in sight, on a phone too.
      await page.getByRole('button', { name: 'Read out Auger' }).click()
      expect(await inSight(page)).toBeGreaterThanOrEqual(3)
      await page.setViewportSize(PHONE)
      await page.evaluate(() => {
        scrollTo(0, 0)
      })
      expect(await inSight(page)).toBeGreaterThanOrEqual(3)
      await page.setViewportSize(DESKTOP)
      // What changes is told of the chosen one, and covers all that it moves.
      for (const name of ['Repair', 'Anew']) {
        await column(page, name).click()
        await page.locator('[data-pending]', { hasText: `${name}, not yet accepted` }).waitFor()
        await pressed(page, name)
        const told = await page.locator('[data-change]').evaluateAll((rows) =>
          rows.map((row) => ({
            shipId: row.dataset['changedShip'],
            orders: [...row.querySelectorAll<HTMLElement>('[data-orders]')].map((part) => part.dataset['orders'])
          }))
        )
        const moved = Number(await cell(page, `${name.toLowerCase()} moved`).innerText())
        expect(moved).toBeGreaterThan(0)
        expect(new Set(told.map(({ shipId }) => shipId)).size).toBeGreaterThanOrEqual(moved)
        const named = told.flatMap(({ orders }) => orders).filter((one) => one !== 'in force')
        expect(new Set(named)).toEqual(new Set([name.toLowerCase()]))
      }
      // Who was lost is told as saved, with where it goes and when.
      for (const shipId of lost) {
        const row = page.locator(`[data-changed-ship="${shipId}"]`, { hasText: 'saved' })
        expect(await row.first().innerText()).toMatch(/no contact\s*\d\d:\d\d:\d\dZ/)
      }
      expect(placesIn(await stateOf(event))).toEqual(placesIn(before))

      const ids = await page
        .locator('[data-change]')
        .evaluateAll((rows) => rows.map((row) => row.dataset['change'] ?? ''))
      const texts = await page.locator('[data-change]').allInnerTexts()
      const told = new Map(ids.map((id, place) => [id, texts[place] ?? '']))
      const seqBefore = (await stateOf(event)).seq
      // Pressed twice it is set once, and nothing is refused.
      await page.keyboard.press('Alt+Enter')
      await page.keyboard.press('Alt+Enter')
      await page.locator('[data-pending]').waitFor({ state: 'detached' })
      await page.locator('[data-proposal]').waitFor({ state: 'detached' })
      const after = await stateOf(event)
      expect(after.seq - seqBefore).toBe(after.tankers.filter(({ orderSeq }) => orderSeq > seqBefore).length)
      expect(lostIn(after)).toEqual([])
      // What was told came: each moved slot stands where the page said.
      const movedIds = Object.keys(placesIn(after)).filter((id) => placesIn(after)[id] !== placesIn(before)[id])
      let movedCount = 0
      for (const slotId of movedIds) {
        const slot = slotIn(after, slotId)
        const was = slotIn(before, slotId)
        if (slot.stationId === was.stationId || was.state === 'gone') continue
        movedCount++
        expect(told.get(slotId)).toContain(`turn ${slot.index + 1}`)
        expect(told.get(slotId)).toContain(contactText(slot))
      }
      expect(movedCount).toBeGreaterThan(0)

      await page.fill('#entry-line', 'undo')
      await page.keyboard.press('Enter')
      await page.getByText('Recorded: Your last entry is withdrawn.').waitFor()
      expect(placesIn(await stateOf(event))).toEqual(placesIn(before))
    },
    LONG_MS
  )

  it(
    'is looked for again when the order was changed meanwhile, and when facts make it no better',
    async () => {
      const event = await openEvent(5)
      const page = await board(await browser, event)
      await failCentre(event)
      await page.fill('#entry-line', 'repair')
      await page.keyboard.press('Enter')
      await found(page)
      await pressed(page, 'Repair')

      // The other order is recorded while this one is on its way.
      const seq = (await stateOf(event)).seq
      const auger = event.plan.orders.find((order) => order.tankerId === 'auger')
      if (!auger) throw new Error('the plan has an order of this tanker')
      const orders = [
        {
          ...auger,
          sequences: auger.sequences.map((sequence) =>
            sequence.stationId === 'right' ? { ...sequence, slots: sequence.slots.toReversed() } : sequence
          )
        }
      ]
      let first = true
      await page.route('**/facts', async (route) => {
        if (first) {
          first = false
          await event.record({ kind: 'setOrder', orders, basedOnSeq: seq })
        }
        await route.continue()
      })
      await page.keyboard.press('Alt+Enter')
      await page.locator('[data-proposal-told]', { hasText: /looked for again/ }).waitFor()
      await found(page)
      await page.locator('[data-pending]').waitFor()

      // Nothing of it was recorded; with the station back it is no better any more.
      expect(placesIn(await stateOf(event))['rasp-visit.rasp-1']).toBe('auger centre 0')
      await event.record({ kind: 'setOrder', orders: [auger], basedOnSeq: (await stateOf(event)).seq })
      await event.record({ kind: 'setStation', tankerId: 'auger', stationId: 'centre', status: 'good' })
      await page.locator('[data-proposal-told]', { hasText: /looked for again/ }).waitFor()
      await page.waitForFunction(() => {
        const text = document.querySelector('[data-cell="repair lost"]')?.textContent ?? ''
        return text.includes('nothing better')
      })
      await page.keyboard.press('Escape')
      await page.locator('[data-proposal]').waitFor({ state: 'detached' })
    },
    LONG_MS
  )
})

describe('a proof', () => {
  const browser = sharedBrowser()
  it(
    'is asked of the service, can be stopped, and says in words what it proved',
    async () => {
      const event = await openEvent(5)
      const page = await board(await browser, event)
      await failCentre(event)
      await page.keyboard.press('F2')
      await found(page)
      await page.getByRole('button', { name: 'Prove it' }).click()
      await page.locator('[data-proof]', { hasText: 'is being looked for' }).waitFor()
      await page.locator('[data-proposal]').getByRole('button', { name: 'Stop' }).click()
      await page.locator('[data-proof]', { hasText: 'was stopped' }).waitFor()

      await page.getByRole('button', { name: 'Prove it' }).click()
      await page.locator('[data-proof]', { hasText: /Proved best|might/ }).waitFor({ timeout: 120_000 })
      await page.getByRole('button', { name: 'Prove it' }).waitFor()
      await column(page, 'Proof').click()
      await page.locator('[data-pending]', { hasText: 'Proof, not yet accepted' }).waitFor()
      await shoot(page, 'order-proof-desktop')
      expect(await cell(page, 'proof lost').innerText()).toMatch(/^\s*0\b/)
      await page.keyboard.press('Alt+Enter')
      await page.locator('[data-pending]').waitFor({ state: 'detached' })
      expect(lostIn(await stateOf(event))).toEqual([])
    },
    LONG_MS
  )
})

describe('the order as a list', () => {
  const browser = sharedBrowser()
  it(
    'is dragged with the judgement following, refuses with a reason, and pins',
    async () => {
      const event = await openEvent(5)
      const page = await board(await browser, event)
      await page.keyboard.press('F4')
      await page.locator('[data-station="auger/right"] [data-slot]').first().waitFor()
      const before = await turnsAt(page, 'auger/right')
      const [first, second] = before
      if (!first || !second) throw new Error('two slots are ordered there')
      await shoot(page, 'order-list-desktop')

      // To the first turn, away from the edges at which the list scrolls along: the judgement follows while the hand
      // still holds it.
      await page.locator('.rows').evaluate((rows) => {
        rows.scrollTop = 120
      })
      const from = await middle(page, second)
      const to = await middle(page, first)
      await page.mouse.move(from.x, from.y)
      await page.mouse.down()
      await page.mouse.move(to.x, to.y - to.height / 2 + 3, { steps: 6 })
      await page.locator('[data-hand]', { hasText: /to Auger Right pod, before/ }).waitFor()
      await page.locator('[data-pending]', { hasText: /Better|Worse|No difference/ }).waitFor()
      await shoot(page, 'order-drag-desktop')

      // A station of another method is marked with the reason, and nothing is pending over it.
      const boom = await page.locator('[data-station="mallet/boom"]').boundingBox()
      if (!boom) throw new Error('the boom is shown')
      expect(await page.locator('[data-station="mallet/boom"] [data-station-fault]').innerText()).toContain(
        'refuels by another method'
      )
      await page.mouse.move(boom.x + boom.width / 2, boom.y + boom.height / 2, { steps: 4 })
      await page.locator('[data-hand]', { hasText: 'refuels by another method' }).waitFor()
      await page.locator('[data-pending]').waitFor({ state: 'detached' })
      await shoot(page, 'order-drag-refused-desktop')

      await page.mouse.move(to.x, to.y - to.height / 2 + 3, { steps: 4 })
      await page.mouse.up()
      await page.locator('[data-hand]').waitFor({ state: 'detached' })
      expect((await turnsAt(page, 'auger/right')).slice(0, 2)).toEqual([second, first])
      expect(placesIn(await stateOf(event))[second]).toBe('auger right 1')
      await page.keyboard.press('Alt+Enter')
      await page.locator('[data-pending]').waitFor({ state: 'detached' })
      expect(placesIn(await stateOf(event))[second]).toBe('auger right 0')

      // Pinned by pointer, it stays under the hand; unpinned by key.
      await page.locator(`[data-slot="${second}"] [data-pin]`).click()
      await page.locator(`[data-slot="${second}"] [data-pin][aria-pressed="true"]`).waitFor()
      expect(slotIn(await stateOf(event), second).pinned).toBe(true)
      const pinned = await middle(page, second)
      const other = await middle(page, first)
      await page.mouse.move(pinned.x, pinned.y)
      await page.mouse.down()
      await page.mouse.move(other.x, other.y + other.height / 2 - 3, { steps: 4 })
      await page.locator('[data-hand]', { hasText: 'a pinned slot stays' }).waitFor()
      await page.mouse.up()
      expect(await page.locator('[data-pending]').count()).toBe(0)
      await page.locator(`[data-slot="${second}"] [data-select]`).click()
      await page.keyboard.press('Alt+p')
      await page.locator(`[data-slot="${second}"] [data-pin][aria-pressed="false"]`).waitFor()
      expect(slotIn(await stateOf(event), second).pinned).toBe(false)

      // Escape puts it back while it is held.
      const again = await middle(page, second)
      const down = await middle(page, first)
      await page.mouse.move(again.x, again.y)
      await page.mouse.down()
      await page.mouse.move(down.x, down.y + down.height / 2 - 3, { steps: 4 })
      await page.locator('[data-pending]').waitFor()
      await page.keyboard.press('Escape')
      await page.locator('[data-pending]').waitFor({ state: 'detached' })
      await page.mouse.up()
      expect((await turnsAt(page, 'auger/right')).slice(0, 2)).toEqual([second, first])
    },
    LONG_MS
  )

  it(
    'is dragged with a finger by its grip',
    async () => {
      const event = await openEvent(5)
      const context = await (
        await browser
      ).newContext({
        locale: 'en-GB',
        viewport: PHONE,
        hasTouch: true,
        isMobile: true,
        reducedMotion: 'reduce'
      })
      const page = await context.newPage()
      await page.goto(`${event.address}/join#${await event.link('coordinator')}`)
      await page.waitForURL(/\/as\//)
      await page.goto(placeOf(page, 'board'))
      await page.locator('[data-ship] [data-figure="margin"]').first().waitFor()
      await page.fill('#entry-line', 'order')
      await page.press('#entry-line', 'Enter')
      await page.locator('[data-station="auger/right"] [data-slot]').first().waitFor()
      const [first, second] = await turnsAt(page, 'auger/right')
      if (!first || !second) throw new Error('two slots are ordered there')
      await page.locator(`[data-slot="${first}"]`).evaluate((row) => {
        row.scrollIntoView({ block: 'center' })
      })
      const from = await middle(page, second, '[data-grip]')
      const to = await middle(page, first, '[data-grip]')
      const session = await context.newCDPSession(page)
      const touch = (type: 'touchStart' | 'touchMove' | 'touchEnd', x = 0, y = 0) =>
        session.send('Input.dispatchTouchEvent', { type, touchPoints: type === 'touchEnd' ? [] : [{ x, y }] })
      await touch('touchStart', from.x, from.y)
      for (let step = 1; step <= 5; step++)
        await touch('touchMove', from.x, from.y + ((to.y - to.height / 2 + 6 - from.y) * step) / 5)
      await page.locator('[data-pending]').waitFor()
      await shoot(page, 'order-list-phone')
      await touch('touchEnd')
      expect((await turnsAt(page, 'auger/right')).slice(0, 2)).toEqual([second, first])
      await context.close()
    },
    LONG_MS
  )
})

describe('the order on paper', () => {
  const browser = sharedBrowser()
  it(
    'is printed by one key, a page for each tanker and nothing else',
    async () => {
      const event = await openEvent(5)
      const page = await board(await browser, event)
      await page.evaluate(() => {
        const counted = window as unknown as { printCount: number }
        counted.printCount = 0
        window.print = () => {
          counted.printCount++
        }
      })
      await page.keyboard.press('F8')
      await page.waitForFunction(() => (window as unknown as { printCount: number }).printCount === 1)
      // Not on the screen.
      expect(await page.locator('[data-sheet]').isVisible()).toBe(false)

      await page.emulateMedia({ media: 'print' })
      await shoot(page, 'order-sheet')
      const seen = await page.evaluate(() =>
        [...document.querySelectorAll<HTMLElement>('body *')]
          .filter(
            (one) =>
              one.children.length === 0 && one.getClientRects().length > 0 && one.closest('[data-sheet]') === null
          )
          .map((one) => one.outerHTML)
      )
      expect(seen).toEqual([])
      const line = await page.locator('[data-paper="auger"]').innerText()
      const printed = /printed at (\d\d:\d\d:\d\dZ), as of fact (\d+)/.exec(line)
      expect(printed).not.toBeNull()
      expect(line).toContain('Planning aid.')
      // The state at the instant printed, to the second: the text equals its slots.
      const now = await stateOf(event)
      expect(Number(printed?.[2])).toBe(now.seq)
      const atMs = await page.locator('main').evaluate((main) => Number(main.dataset['atMs']))
      const instants = Array.from({ length: 30 }, (_, back) => Math.floor(atMs / 1000) * 1000 - back * 1000)
      const printedAtMs = instants.find((instant) => clockText(instant) === printed?.[1])
      expect(printedAtMs).toBeDefined()
      const view = (await event.ask('GET', `/events/${event.eventId}/state?atMs=${String(printedAtMs)}`)) as View
      const labelOf = (shipId: string) => view.ships.find((ship) => ship.shipId === shipId)?.callSign ?? shipId
      const open = view.slots.filter((slot) => slot.state === 'planned')
      expect(open.length).toBeGreaterThan(20)
      for (const slot of open) {
        const rows = await page
          .locator(`[data-paper="${slot.tankerId}"] [data-paper-slot="${slot.slotId}"]`)
          .innerText()
        const base = event.plan.bases.find((one) => one.id === slot.abortBaseId)?.name
        expect(rows.replace(/\s+/g, ' ').trim()).toBe(
          `${slot.index + 1} ${labelOf(slot.shipId)} ${contactText(slot)} ${onLoadText(slot, 'lb')} ${disconnectText(slot)} ` +
            `abort fuel ${fuelText(slot.abortKg ?? NaN, 'lb', 'up')} ${base ?? ''}`
        )
      }
      const pdf = (await page.pdf({ preferCSSPageSize: true })).toString('latin1')
      expect(pdf.match(/\/Type\s*\/Page\b/g)).toHaveLength(view.tankers.length)
    },
    LONG_MS
  )
})

describe('every state of the order', () => {
  const browser = sharedBrowser()
  it.each([
    ['desktop', DESKTOP],
    ['phone', PHONE]
  ] as const)(
    'is free of barriers that a machine can find, light and dark, on a %s',
    async (name, size) => {
      const event = await openEvent(5)
      await failCentre(event)
      const page = await board(await browser, event, size)
      await page.locator('[data-offer]').waitFor()
      expect(await barriers(page, `order-offer-${name}`)).toEqual([])
      await page.fill('#entry-line', 'suggest')
      await page.press('#entry-line', 'Enter')
      await found(page)
      await page.locator('[data-change]').first().waitFor()
      expect(await barriers(page, `order-proposal-${name}`)).toEqual([])
      await page.keyboard.press('Escape')
      await page.fill('#entry-line', 'order')
      await page.press('#entry-line', 'Enter')
      await page.locator('[data-slot]').first().waitFor()
      expect(await barriers(page, `order-list-${name}`)).toEqual([])
    },
    LONG_MS
  )
})
