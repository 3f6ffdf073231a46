import { createRequire } from 'node:module'
import type decoder from 'jsqr'
import { getDocument } from 'pdfjs-dist/legacy/build/pdf.mjs'
import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import {
  atPushText,
  clockText,
  contactText,
  dayMark,
  dayText,
  disconnectText,
  fuelText,
  latestContactText,
  onLoadText,
  pushText,
  requiredText
} from '../../client/figures.ts'
import { CAUTION } from '../../client/words/caution.ts'
import { SIZES } from '../../shared/contracts/bounds.ts'
import type { Plan } from '../../shared/contracts/plan.ts'
import type { SlotView, View } from '../../shared/contracts/view.ts'
import { sharedBrowser } from '../browser.ts'
import { DESKTOP, openEvent, PHONE, placeOf, signedIn, type OpenEvent } from './event.ts'
import { barriers, shoot } from './screen.ts'

/* The brief on paper: what stands on the cards is what the slots say, it fits the paper, and the codes lead back. */

const LONG_MS = 120_000
/** A5 less its margins of 8 mm, in CSS px. */
const PAPER = { width: Math.floor((132 / 25.4) * 96), height: Math.floor((194 / 25.4) * 96) }
const PAGE_PX = PAPER.height

const cardsOf = async (event: OpenEvent, secret = event.secret, size = DESKTOP): Promise<Page> => {
  const page = await signedIn(await sharedBrowser(), event.address, secret, size, 'cards')
  await page.waitForSelector('.card .codes path')
  return page
}

/** Cards with their text, and the instant they are of, in one look. */
const look = (page: Page) =>
  page.evaluate(() => {
    const text = (node: Element | null) => node?.textContent.trim() ?? ''
    const cards = [...document.querySelectorAll('.card')].map((card) => ({
      id: card.getAttribute('data-card') ?? '',
      text: text(card),
      heightPx: card.getBoundingClientRect().height,
      blocks: [...card.querySelectorAll('[data-block]')].map((block) => ({
        visitId: block.getAttribute('data-block')?.split(' ')[0] ?? '',
        ships: [...block.querySelectorAll('th.ship')].map((one) => one.firstChild?.textContent?.trim() ?? ''),
        rows: Object.fromEntries(
          [...block.querySelectorAll('[data-row]')].map((row) => [
            row.getAttribute('data-row') ?? '',
            [...row.querySelectorAll('td')].map((cell) => text(cell.querySelector('[data-text]')))
          ])
        )
      })),
      slots: [...card.querySelectorAll('[data-slot]')].map((row) => ({
        slotId: row.getAttribute('data-slot') ?? '',
        cells: Object.fromEntries(
          [...row.querySelectorAll('[data-at]')].map((one) => [one.getAttribute('data-at') ?? '', text(one)])
        )
      }))
    }))
    return { atMs: Number(document.querySelector('main')?.getAttribute('data-at-ms')), cards }
  })

/** The text of each page of paper as its own letters have it, line by line from the top. */
async function paperOf(pdf: Buffer): Promise<string[][]> {
  const read = await getDocument({ data: new Uint8Array(pdf), verbosity: 0 }).promise
  const pages: string[][] = []
  for (let number = 1; number <= read.numPages; number += 1) {
    const { items } = await (await read.getPage(number)).getTextContent()
    const byHeight = new Map<number, { x: number; text: string }[]>()
    for (const item of items) {
      if (!('str' in item) || item.str.trim() === '') continue
      const [x, y] = (item.transform as number[]).slice(4)
      const height = Math.round(y ?? 0)
      byHeight.set(height, [...(byHeight.get(height) ?? []), { x: x ?? 0, text: item.str }])
    }
    pages.push(
      [...byHeight]
        .toSorted(([a], [b]) => b - a)
        .map(([, parts]) =>
          parts
            .toSorted((a, b) => a.x - b.x)
            .map(({ text }) => text)
            .join(' ')
        )
    )
  }
  await read.destroy()
  return pages
}

const pagesOf = (pdf: Buffer): number => pdf.toString('latin1').match(/\/Type\s*\/Page(?!s)/g)?.length ?? 0

const { default: decode } = createRequire(import.meta.url)('jsqr') as { default: typeof decoder }

const UNREADABLE = 'unreadable'
/** What a decoder reads in a picture; `reader` is a page that unpacks it. */
async function readIn(reader: Page, png: Buffer): Promise<string> {
  const { pixels, width, height } = await reader.evaluate(async (data) => {
    const image = await createImageBitmap(await (await fetch(`data:image/png;base64,${data}`)).blob())
    const pen = new OffscreenCanvas(image.width, image.height).getContext('2d')
    pen?.drawImage(image, 0, 0)
    const drawn = pen?.getImageData(0, 0, image.width, image.height)
    return { pixels: [...(drawn?.data ?? [])], width: image.width, height: image.height }
  }, png.toString('base64'))
  return decode(Uint8ClampedArray.from(pixels), width, height)?.data ?? UNREADABLE
}

/** What the codes of a page hold, read by a decoder off a picture of them. */
async function codesOf(page: Page, part: string): Promise<Map<string, string>> {
  const reader = await page.context().newPage()
  const codes = new Map<string, string>()
  for (const code of await page.locator(`${part} [data-code]`).all()) {
    const name = (await code.getAttribute('data-code')) ?? ''
    // One that is just drawn anew is read the next time.
    await expect
      .poll(async () => codes.set(name, await readIn(reader, await code.locator('svg').screenshot())).get(name), {
        message: `the code of ${name}`
      })
      .not.toBe(UNREADABLE)
  }
  await reader.close()
  return codes
}

/** What a card must say of a slot, straight from the view. */
const said = (slot: SlotView, plan: Plan) => ({
  after: slot.aheadShipId === null ? 'first' : nameOf(plan, slot.aheadShipId),
  start: clockText(slot.startAtMs, 'up') + dayMark(slot.startAtMs, plan.opensAtMs, 'up'),
  contact: contactText(slot) + dayMark(slot.contactAtMs, plan.opensAtMs, 'up'),
  latest: latestContactText(slot) + dayMark(slot.latestContactAtMs ?? NaN, plan.opensAtMs),
  onLoad: onLoadText(slot, 'lb'),
  atContact: fuelText(slot.fuelAtContactKg, 'lb', 'down'),
  abort: fuelText(slot.abortKg ?? NaN, 'lb', 'up'),
  required: requiredText(slot, 'lb'),
  atPush: atPushText(slot, 'lb'),
  push: pushText(slot) + dayMark(slot.pushAtMs, plan.opensAtMs, 'up')
})
const nameOf = (plan: Plan, shipId: string): string =>
  plan.flights.flatMap(({ ships }) => ships).find(({ id }) => id === shipId)?.callSign ?? ''

describe('cards and pages of tankers', () => {
  it('say what the slots say, one page each, black on white', { timeout: LONG_MS }, async () => {
    const event = await openEvent(5)
    const page = await cardsOf(event)
    await page.emulateMedia({ media: 'print', colorScheme: 'dark' })
    await page.setViewportSize(PAPER)
    const { atMs, cards } = await look(page)
    const view = (await event.ask('GET', `/events/${event.eventId}/state?atMs=${String(atMs)}`)) as View
    const { plan } = event

    const contacts = cards.flatMap(({ blocks }) =>
      blocks.flatMap(({ visitId, ships, rows }) =>
        ships.map((callSign, place) => {
          const slot = view.slots.find((one) => nameOf(plan, one.shipId) === callSign && one.visitId === visitId)
          if (!slot) throw new Error(`${callSign} has no slot in ${visitId}`)
          const shown = Object.fromEntries(
            Object.keys(said(slot, plan)).map((name) => [name, rows[name]?.[place] ?? rows[name]?.[0]])
          )
          expect(shown, `${callSign} ${visitId}`).toEqual(said(slot, plan))
          return slot.slotId
        })
      )
    )
    expect(new Set(contacts).size).toBe(view.slots.length)

    const coming = cards.flatMap(({ id, slots }) =>
      slots.map(({ slotId, cells }) => {
        const slot = view.slots.find((one) => one.slotId === slotId)
        if (!slot) throw new Error(`${slotId} is no slot`)
        expect(slot.tankerId).toBe(id)
        const { shipId } = slot
        expect(cells).toMatchObject({
          contact: said(slot, plan).contact,
          ship: nameOf(plan, shipId),
          off: disconnectText(slot) + dayMark(slot.disconnectAtMs, plan.opensAtMs, 'up')
        })
        expect(cells).toMatchObject({ onLoad: onLoadText(slot, 'lb'), push: said(slot, plan).push })
        return slotId
      })
    )
    expect(new Set(coming)).toEqual(new Set(contacts))
    // What is left after the last contact is what the tanker gives less what it promises.
    for (const tanker of view.tankers) {
      const last = cards.find(({ id }) => id === tanker.tankerId)?.slots.at(-1)
      expect(last?.cells['left']).toBe(fuelText(tanker.giveKg - tanker.promisedKg, 'lb', 'down'))
    }

    for (const { text } of cards) {
      expect(text).toContain(CAUTION)
      expect(text).toContain('Revision 1, published ')
      expect(text).toContain(`as of ${dayText(atMs)} ${clockText(atMs)}`)
      expect(text).toContain(`, ${dayText(plan.opensAtMs)}. Revision 1`)
    }
    expect(cards.find(({ id }) => id === 'alder')?.text).toContain('block FL 240 to 260 · wait FL 240, on its left')
    expect(cards.find(({ id }) => id === 'thistle')?.text).toContain('Flail Strip, no fuel there, open from')
    expect(cards.map(({ heightPx }) => heightPx <= PAGE_PX)).toEqual(cards.map(() => true))
    const colours = await page
      .locator('.card')
      .first()
      .evaluate((card) => {
        const paper = getComputedStyle(document.documentElement)
        return [getComputedStyle(card).color, paper.backgroundColor]
      })
    expect(colours).toEqual(['rgb(0, 0, 0)', 'rgb(255, 255, 255)'])
    const pdf = await page.pdf({ preferCSSPageSize: true })
    expect(pagesOf(pdf)).toBe(plan.flights.length + plan.tankers.length)

    // The paper itself says the same, each line once.
    const paper = await paperOf(pdf)
    expect(paper).toHaveLength(cards.length)
    for (const [number, lines] of paper.entries()) {
      const card = cards[number]
      const text = lines.join(' ').replaceAll(/\s+/g, ' ')
      const figures = view.slots
        .filter(({ flightId, tankerId }) => flightId === card?.id || tankerId === card?.id)
        .flatMap((slot) => [said(slot, plan).contact, said(slot, plan).onLoad, said(slot, plan).push])
      expect(figures.length).toBeGreaterThan(0)
      expect(
        figures.filter((figure) => !text.includes(figure)),
        card?.id
      ).toEqual([])
      expect(text.split('Revision 1, published').length - 1, card?.id).toBe(1)
      expect(
        lines.filter((line, place) => line === lines[place - 1]),
        card?.id
      ).toEqual([])
    }
  })

  it(
    'fit a page with the longest names there may be, and go on on a second one with twelve ships',
    { timeout: LONG_MS },
    async () => {
      const event = await openEvent(5, { change: lengthen })
      const page = await cardsOf(event)
      await page.emulateMedia({ media: 'print' })
      await page.setViewportSize(PAPER)
      await page.setViewportSize(PAPER)
      await shoot(page, 'cards-longest')
      const { cards } = await look(page)
      const flights = cards.filter(({ blocks }) => blocks.length > 0)
      expect(flights.map(({ id, heightPx }) => [id, heightPx <= PAGE_PX])).toEqual(flights.map(({ id }) => [id, true]))
      const pages = event.plan.flights.map(({ id }) => [id, flights.filter((card) => card.id === id).length])
      expect(pages).toEqual(event.plan.flights.map(({ id, ships }) => [id, ships.length > 6 ? 2 : 1]))
      // Those of the tankers may be longer: their tables go on.
      const tankerPages = cards
        .filter(({ slots }) => slots.length > 0)
        .map(({ heightPx }) => Math.ceil(heightPx / PAGE_PX))
      const least = flights.length + tankerPages.length
      const printed = pagesOf(await page.pdf({ preferCSSPageSize: true }))
      expect(printed).toBeGreaterThanOrEqual(least)
      expect(printed).toBeLessThanOrEqual(flights.length + tankerPages.reduce((sum, count) => sum + count + 1, 0))
    }
  )

  it('have no barriers, wide and narrow', { timeout: LONG_MS }, async () => {
    const event = await openEvent(5)
    const page = await cardsOf(event)
    expect(await barriers(page, 'cards')).toEqual([])
    await page.setViewportSize(PHONE)
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(PHONE.width)
    expect(await barriers(page, 'cards-narrow')).toEqual([])
  })
})

/** Every name as long as it may be, and a flight of as many ships as there may be. */
function lengthen(plan: Plan): void {
  const name = (base: string) =>
    `${base} between the shallows and the long eastern breakwater light`.slice(0, SIZES.nameLength)
  const sign = (base: string) => `${base} Quartermaster Weathervane`.slice(0, SIZES.callSignLength)
  const words = (base: string) => `${base} as told by the flight deck and heard`.slice(0, SIZES.plainWordsLength)
  plan.name = name(plan.name)
  for (const one of [...plan.bases, ...plan.tracks, ...plan.receiverTypes, ...plan.tankerTypes, ...plan.pushGroups])
    one.name = name(one.name)
  for (const { stations } of plan.tankerTypes) for (const station of stations) station.name = name(station.name)
  for (const tanker of plan.tankers) {
    tanker.callSign = sign(tanker.callSign)
    const { rendezvousAtMs = tanker.onStationAtMs, waitSide = 'left' } = tanker.join ?? {}
    tanker.join = {
      rendezvous: words('rendezvous'),
      rendezvousAtMs,
      block: words('block'),
      waitLevel: words('wait'),
      waitSide,
      frequency: words('frequency')
    }
  }
  for (const flight of plan.flights) {
    flight.callSign = sign(flight.callSign)
    for (const ship of flight.ships) ship.callSign = sign(ship.callSign)
  }
  const chisel = plan.flights.find(({ id }) => id === 'chisel')
  const [first] = chisel?.ships ?? []
  if (!chisel || !first) throw new Error('the demonstration has a flight Chisel')
  while (chisel.ships.length < SIZES.shipsPerFlight) {
    const number = String(chisel.ships.length + 1)
    chisel.ships.push({ ...first, id: `chisel-${number}` as typeof first.id, callSign: sign(`Chisel ${number}`) })
  }
}

describe('codes', () => {
  it(
    'lead to the slot of a browser that has joined, and with links of their own to the slot of anybody',
    { timeout: LONG_MS },
    async () => {
      const event = await openEvent(5)
      const page = await cardsOf(event)
      const plain = await codesOf(page, '[data-card="rasp"]')
      expect([...plain.keys()]).toEqual(['rasp-1', 'rasp-2', 'rasp-3', 'rasp-4', 'rasp'])
      expect(plain.get('rasp-2')).toBe(placeOf(page, 'slot/rasp-2'))
      expect(plain.get('rasp')).toBe(placeOf(page, 'cards/rasp'))

      await page.getByRole('button', { name: 'Make crew links for the brief' }).click()
      await page.waitForSelector('[data-made="true"]')
      const linked = await codesOf(page, '[data-card="rasp"]')
      for (const code of linked.values())
        expect(code).toMatch(new RegExp(`^${event.address}/join#[\\w-]{22}(/cards/rasp)?$`))
      expect(new Set(linked.values()).size).toBe(5)
      // The same as text, a line each, of every ship and role.
      await page.getByText('Links as text').click()
      const lines = (await page.getByRole('textbox', { name: 'Links as text' }).inputValue()).split('\n')
      expect(lines).toHaveLength(26)
      for (const ship of [1, 2, 3, 4]) expect(lines).toContain(`Rasp ${ship}: ${linked.get(`rasp-${ship}`) ?? ''}`)

      const context = await (await sharedBrowser()).newContext({ locale: 'en-GB', viewport: PHONE })
      const phone = await context.newPage()
      await phone.goto(linked.get('rasp-2') ?? '')
      await phone.waitForSelector('[data-ship="rasp-2"]')
      expect(phone.url()).toMatch(/\/as\/[\w-]+\/slot$/)
      expect(phone.url()).not.toContain('#')
      await phone.goto(linked.get('rasp') ?? '')
      await phone.waitForSelector('[data-card="rasp"]')
      expect(await phone.locator('[data-card]').count()).toBe(1)
      expect(await phone.getByRole('button', { name: 'Make crew links for the brief' }).count()).toBe(0)
      const roles = await codesOf(page, '.links')
      expect([...roles.keys()]).toEqual(['viewer', 'coordinator'])
      await context.close()
    }
  )
})

describe('read by', () => {
  it('is told in one touch, and asked again when another revision is published', { timeout: LONG_MS }, async () => {
    const event = await openEvent(5)
    const crew = await signedIn(await sharedBrowser(), event.address, await event.link('crew', 'rasp-2'), PHONE)
    const state = crew.locator('[data-read]')
    await crew.waitForSelector('[data-read="false"]')
    expect(await state.textContent()).toContain('Revision 1: not read yet.')
    await crew.locator('[data-read] summary').click()
    await crew.getByText('wait FL 200, on its left').waitFor()
    // A finger's width below the middle of the button is still the button.
    const box = await crew.getByRole('button', { name: 'Read revision 1' }).boundingBox()
    if (!box) throw new Error('the button is not to be seen')
    const middle = { x: box.x + box.width / 2, y: box.y + box.height / 2 }
    const hit = await crew.evaluate(({ x, y }) => document.elementFromPoint(x, y + 21)?.textContent.trim(), middle)
    expect(hit).toBe('Read')
    await crew.getByRole('button', { name: 'Read revision 1' }).click()
    await crew.waitForSelector('[data-read="true"]')

    const commander = await signedIn(await sharedBrowser(), event.address, event.secret, DESKTOP)
    await commander.waitForSelector('[data-reader="rasp-2"][data-read="true"]')
    expect(await commander.locator('[data-reader][data-read="true"]').count()).toBe(1)
    expect(await commander.locator('[data-reader="rasp-2"]').textContent()).toMatch(/read \d\d:\d\d:\d\dZ/)
    await commander.getByRole('button', { name: /^Mark as read.*Rasp 1$/ }).click()
    await commander.waitForSelector('[data-reader="rasp-1"][data-read="true"]')

    const { eventId, plan } = event
    await event.ask('PUT', `/plans/${eventId}`, { revisionSeen: 1, plan: { ...plan, name: 'Four Shores again' } })
    await event.ask('POST', `/plans/${eventId}/publish`, { requestId: 'publish-twice', revision: 2 })
    await crew.waitForSelector('[data-read="false"]')
    expect(await state.textContent()).toContain('Changed since you read it: revision 2 is published, you read 1.')
    await commander.getByRole('button', { name: 'Look again' }).click()
    await commander.waitForSelector('[data-reader="rasp-2"][data-read="false"]')
    expect(await commander.locator('[data-reader][data-read="true"]').count()).toBe(0)
  })
})
