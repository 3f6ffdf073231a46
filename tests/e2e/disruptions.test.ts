import type { Browser, Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { contactText, onLoadText, pushText, slackText } from '../../client/figures.ts'
import type { Fact } from '../../shared/contracts/facts.ts'
import type { Plan } from '../../shared/contracts/plan.ts'
import type { SlotView, View } from '../../shared/contracts/view.ts'
import { clock, minutesAfter } from '../../shared/entry/moment.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { reduce } from '../../shared/live/reduce.ts'
import { emptyState, ordersInForce, type LiveState } from '../../shared/live/state.ts'
import { compareJudgements, STEP_MS } from '../../shared/order/judgement.ts'
import { labelsOf } from '../../client/labels.ts'
import { planInForce } from '../../shared/live/inforce.ts'
import { planWithReceivers } from '../../shared/live/receivers.ts'
import { sharedBrowser } from '../browser.ts'
import { DESKTOP, openEvent, PHONE, signedIn, type OpenEvent, type Size } from './event.ts'
import { barriers } from './screen.ts'

/*
 * Each disruption from its key to the order that answers it, in a real browser against the built service. Constructed:
 * the demonstration plan, with a push or a fact more where an order is to be found that is better. What the page tells is
 * compared with what the estimate makes of the log.
 */

const LONG_MS = 60_000
const MIN = 60_000

const read = async (event: OpenEvent): Promise<LiveState> => {
  const { facts } = (await event.ask('GET', `/events/${event.eventId}/log?after=0`)) as { facts: Fact[] }
  return facts.reduce<LiveState>((state, fact) => reduce(state, fact), emptyState(event.eventId))
}
function seen(state: LiveState, atMs: number, orders = ordersInForce(state)): View {
  const view = estimate(state, atMs, orders)
  if (!view) throw new Error('there is no plan')
  return view
}
const slotOf = (view: View, shipId: string): SlotView => {
  const ship = view.ships.find((one) => one.shipId === shipId)
  const slot = view.slots.find((one) => one.slotId === ship?.slotId)
  if (!slot) throw new Error(`${shipId} has no slot`)
  return slot
}

async function board(browser: Browser, event: OpenEvent, size: Size = DESKTOP): Promise<Page> {
  const page = await signedIn(browser, event.address, await event.link('coordinator'), size, 'board')
  await page.locator('[data-ship] [data-figure="margin"]').first().waitFor()
  return page
}
const line = (page: Page) => page.inputValue('#entry-line')
const choose = async (page: Page, shipId: string) => {
  await page.locator(`.row[data-ship="${shipId}"] .ship`).click()
  await page.locator('[data-otherwise] button').first().waitFor()
}

/** What the page says the line means, before it is entered. */
async function understood(page: Page): Promise<string> {
  const told = page.locator('.told.understood')
  await told.waitFor()
  return (await told.innerText()).trim()
}

/** Enters the line; better orders come without being asked for. */
async function enter(page: Page, sentence: string) {
  await page.keyboard.press('Enter')
  await page.getByText(`Recorded: ${sentence}`).waitFor()
  await page.locator('[data-proposal]').waitFor()
  await page.waitForFunction(() => {
    const cells = [...document.querySelectorAll('[data-cell="repair lost"], [data-cell="anew lost"]')]
    return cells.length === 2 && cells.every((one) => !one.textContent.includes('looking'))
  })
}

interface Told {
  slotId: string
  shipId: string
  cells: string[]
}
const told = (page: Page): Promise<Told[]> =>
  page.locator('[data-change]').evaluateAll((rows) =>
    rows.map((row) => ({
      slotId: row.dataset['change'] ?? '',
      shipId: row.dataset['changedShip'] ?? '',
      cells: [...row.children].map((cell) => (cell as HTMLElement).innerText.replaceAll(/\s+/g, ' ').trim())
    }))
  )

/** Less is no news: 6 s. */
/** It gets nothing: past its latest contact, or never to come. */
const unserved = (slot: SlotView) => slot.state === 'missed' || slot.state === 'gone'

/** The same words; a span may differ by the second in which the page had worked it out. */
function expectNear(shown: string | undefined, wanted: string) {
  const seconds = (text: string) =>
    [...text.matchAll(/(\d+):(\d\d)/g)].map(([, min, s]) => Number(min) * 60 + Number(s))
  const [was, is] = [seconds(wanted), seconds(shown ?? '')]
  expect(shown?.replace(/\d/g, '')).toBe(wanted.replace(/\d/g, ''))
  for (const [index, one] of was.entries())
    expect(Math.abs((is[index] ?? NaN) - one), `${shown} ${wanted}`).toBeLessThan(2)
}

/**
 * Accepts the order that the page shows, and compares what it told with the log: every ship told, with stations, turns and
 * times as the estimate has them, nobody left out, and the order in force the one that was shown.
 */
async function accept(page: Page, event: OpenEvent): Promise<{ before: View; then: View; ships: string[] }> {
  await page.locator('[data-pending]').waitFor()
  const state = await read(event)
  const rows = await told(page)
  const atMs = Number(await page.locator('main').getAttribute('data-at-ms'))
  await page.keyboard.press('Alt+Enter')
  await page.locator('[data-pending]').waitFor({ state: 'detached' })
  await page.locator('[data-proposal]').waitFor({ state: 'detached' })

  const accepted = await read(event)
  const [orderFact] = (await log(event)).filter((fact) => fact.seq > state.seq)
  expect(orderFact?.kind).toBe('orderSet')
  const before = seen(state, atMs)
  const then = seen(state, atMs, ordersInForce(accepted))
  const plan = planWithReceivers(state)
  if (!plan) throw new Error('there is no plan')
  const labels = labelsOf(plan)
  const [was, becomes] = [before, then].map(({ slots }) => new Map(slots.map((slot) => [slot.slotId, slot])))
  expect(rows.length).toBeGreaterThan(0)
  for (const { slotId, shipId, cells } of rows) {
    const [a, b] = [was?.get(slotId), becomes?.get(slotId)]
    if (!a || !b) throw new Error(`there is no slot ${slotId}`)
    const [ship, what = '', from, to, contact, slack, onLoad, push] = cells
    expect(ship).toBe(labels.ship(shipId))
    expect(from).toBe(`${labels.station(a.tankerId, a.stationId)}, turn ${a.index + 1}`)
    if (to !== '') expect(to).toBe(`${labels.station(b.tankerId, b.stationId)}, turn ${b.index + 1}`)
    if (a.stationId !== b.stationId || a.tankerId !== b.tankerId) expect(to).not.toBe('')
    const at = (slot: SlotView) => (unserved(slot) ? 'no contact' : contactText(slot))
    expect(contact).toBe(`${at(a)} ${at(b)}`)
    const spare = (slot: SlotView) => (unserved(slot) ? 'no contact' : slackText(slot))
    expectNear(slack, `${spare(a)} ${spare(b)}`)
    if (!unserved(b)) expect([onLoad, push]).toEqual([onLoadText(b, plan.massUnit), pushText(b)])
    if (a.state === 'missed' && !unserved(b)) expect(what).toMatch(/^saved/)
    if (!unserved(a) && b.state === 'missed') expect(what).toMatch(/^lost/)
  }
  const listed = new Set(rows.map((row) => row.slotId))
  for (const [slotId, a] of was ?? []) {
    const b = becomes?.get(slotId)
    const changes =
      b !== undefined &&
      (a.stationId !== b.stationId ||
        unserved(a) !== unserved(b) ||
        (!unserved(a) && Math.abs(b.contactAtMs - a.contactAtMs) >= STEP_MS))
    if (changes) expect(listed, `${slotId} is told`).toContain(slotId)
  }
  expect(compareJudgements(then.judgement, before.judgement)).toBeLessThan(0)
  return { before, then, ships: rows.map((row) => row.shipId) }
}
/** One word for each entry, the last first: all is as it was. */
async function takeBack(page: Page, event: OpenEvent, was: LiveState, entryCount: number) {
  for (let count = 0; count < entryCount; count++) {
    const { seq } = await read(event)
    await page.keyboard.type('undo')
    await page.keyboard.press('Enter')
    await page.waitForFunction((last) => Number(document.querySelector('main')?.dataset['seq']) > last, seq)
  }
  const back = await read(event)
  expect(ordersInForce(back)).toEqual(ordersInForce(was))
  expect(planInForce(back)).toEqual(planInForce(was))
  const atMs = event.plan.opensAtMs + 31 * MIN
  const [now, then] = [seen(back, atMs), seen(was, atMs)]
  expect(now.slots).toEqual(then.slots)
  expect(now.ships).toEqual(then.ships)
}
const log = async (event: OpenEvent): Promise<Fact[]> =>
  ((await event.ask('GET', `/events/${event.eventId}/log?after=0`)) as { facts: Fact[] }).facts

const pushAt = (pushGroupId: string, minute: number) => (plan: Plan) => {
  for (const group of plan.pushGroups) if (group.id === pushGroupId) group.pushAtMs = plan.opensAtMs + minute * MIN
}
const lostIn = (view: View) => view.slots.filter((slot) => slot.state === 'missed').map((slot) => slot.shipId)

const browser = sharedBrowser()
const open = (openMin: number, change?: (plan: Plan) => void): Promise<OpenEvent> =>
  openEvent(openMin, change && { change })

describe('a disruption, from its key to the order that answers it', () => {
  it(
    'a ship late by minutes: who waited behind it is saved',
    async () => {
      const event = await open(5)
      const page = await board(await browser, event)
      const was = await read(event)
      await choose(page, 'rasp-1')
      await page.keyboard.press('Alt+KeyL')
      expect(await line(page)).toBe('rasp 1 late ')
      await page.keyboard.type('8')
      const state = await read(event)
      const readyAtMs = minutesAfter(slotOf(seen(state, event.plan.opensAtMs + 5 * MIN), 'rasp-1').readyAtMs, 8)
      const sentence = `Rasp 1 is ready at ${clock(readyAtMs)}, 8 min later.`
      expect(await understood(page)).toBe(sentence)
      expect((await read(event)).seq).toBe(state.seq)
      await enter(page, sentence)
      const { before, then } = await accept(page, event)
      expect(lostIn(before)).toEqual(['rasp-4'])
      expect(lostIn(then)).toEqual([])
      await takeBack(page, event, was, 2)
    },
    LONG_MS
  )

  it(
    'a no-show: its turn is another ship’s',
    async () => {
      const event = await open(5, pushAt('main', 56))
      const page = await board(await browser, event)
      const was = await read(event)
      await choose(page, 'rasp-1')
      await page.keyboard.press('Alt+KeyN')
      expect(await line(page)).toBe('rasp 1 no-show')
      expect(await understood(page)).toBe('Rasp 1 does not come.')
      await enter(page, 'Rasp 1 does not come.')
      const { before, then } = await accept(page, event)
      expect(before.judgement.lateness).toBeGreaterThan(0)
      expect(then.judgement.lateness).toBe(0)
      await takeBack(page, event, was, 2)
    },
    LONG_MS
  )

  it(
    'a partial on-load: the station is free earlier',
    async () => {
      const event = await open(30.5, pushAt('main', 56))
      const atMin = (minute: number) => Math.round(event.plan.opensAtMs + minute * MIN)
      await event.record({ kind: 'makeContact', shipId: 'sleet-2', atMs: atMin(24.9) })
      await event.record({ kind: 'disconnect', shipId: 'sleet-2', how: 'whole', atMs: atMin(28.2) })
      for (const shipId of ['rasp-1', 'rasp-2', 'rasp-3'])
        await event.record({ kind: 'makeContact', shipId, atMs: atMin(29.7) })
      await event.record({ kind: 'makeContact', shipId: 'sleet-1', atMs: atMin(30.2) })
      const page = await board(await browser, event)
      const was = await read(event)
      await page.keyboard.type('rasp 3')
      await page.keyboard.press('Alt+KeyO')
      expect(await line(page)).toBe('rasp 3 partial ')
      await page.keyboard.type('600 lb')
      expect(await understood(page)).toBe('Rasp 3 disconnects early with 600 lb.')
      await enter(page, 'Rasp 3 disconnects early with 600 lb.')
      const { before, then } = await accept(page, event)
      expect(then.judgement.shortage).toBeLessThan(before.judgement.shortage)
      await takeBack(page, event, was, 2)
    },
    LONG_MS
  )

  it(
    'a station suspect: whoever stood there goes to another',
    async () => {
      const event = await open(5)
      const page = await board(await browser, event)
      const was = await read(event)
      await choose(page, 'rasp-2')
      await page.keyboard.press('Alt+KeyU')
      expect(await line(page)).toBe('auger left pod suspect')
      expect(await understood(page)).toBe('Auger Left pod is suspect.')
      await enter(page, 'Auger Left pod is suspect.')
      const { before, then, ships } = await accept(page, event)
      expect(lostIn(before)).toEqual(['rasp-2', 'kelp-4', 'kelp-3'])
      expect(lostIn(then)).toEqual([])
      expect(ships).toEqual(expect.arrayContaining(['rasp-2', 'kelp-4', 'kelp-3']))
      await takeBack(page, event, was, 2)
    },
    LONG_MS
  )

  it(
    'a station failed, and good again',
    async () => {
      const event = await open(5)
      const page = await board(await browser, event)
      const was = await read(event)
      await page.keyboard.type('auger centre')
      await page.keyboard.press('Alt+KeyX')
      expect(await line(page)).toBe('auger centre failed')
      await enter(page, 'Auger Centreline hose is failed.')
      const failed = await accept(page, event)
      expect(lostIn(failed.before)).toEqual(['rasp-1', 'rasp-4', 'kelp-1'])
      expect(lostIn(failed.then)).toEqual([])

      await page.keyboard.type('auger centre')
      await page.keyboard.press('Alt+KeyG')
      expect(await understood(page)).toBe('Auger Centreline hose is good.')
      await enter(page, 'Auger Centreline hose is good.')
      const good = await accept(page, event)
      expect(good.before.judgement.lateness).toBeGreaterThan(0)
      expect(good.then.judgement.lateness).toBe(0)
      await takeBack(page, event, was, 4)
    },
    LONG_MS
  )

  it(
    'a tanker late',
    async () => {
      const event = await open(5)
      const page = await board(await browser, event)
      const was = await read(event)
      await choose(page, 'sleet-2')
      await page.keyboard.press('Alt+KeyA')
      expect(await line(page)).toBe('mallet late ')
      const onStationAtMs = minutesAfter(event.plan.opensAtMs + 8 * MIN, 22)
      await page.keyboard.type('22')
      const sentence = `Mallet is on station at ${clock(onStationAtMs)}, 22 min later.`
      expect(await understood(page)).toBe(sentence)
      await enter(page, sentence)
      const { before, then } = await accept(page, event)
      expect(then.judgement.shortage).toBeLessThan(before.judgement.shortage)
      await takeBack(page, event, was, 2)
    },
    LONG_MS
  )

  it(
    'a tanker that leaves early: whoever comes last goes to another',
    async () => {
      const event = await open(5)
      const page = await board(await browser, event)
      const was = await read(event)
      await choose(page, 'chisel-1')
      await page.keyboard.press('Alt+KeyQ')
      expect(await line(page)).toBe('sorrel leaves ')
      await page.keyboard.type('61')
      // In, or early: asked about, and never recorded.
      await page.locator('.told.ask', { hasText: 'in 61 minutes, or 61 minutes early?' }).waitFor()
      await page.keyboard.press('Enter')
      await page.keyboard.type(' early')
      const leavesAtMs = minutesAfter(event.plan.opensAtMs + 105 * MIN, -61)
      const sentence = `Sorrel leaves at ${clock(leavesAtMs)}, not at ${clock(event.plan.opensAtMs + 105 * MIN)}.`
      expect(await understood(page)).toBe(sentence)
      await enter(page, sentence)
      const { before, then } = await accept(page, event)
      expect(lostIn(before).toSorted()).toEqual(['chisel-1', 'chisel-2'])
      expect(lostIn(then)).toEqual([])
      await takeBack(page, event, was, 2)
    },
    LONG_MS
  )

  it(
    'a tanker that will give only so much',
    async () => {
      const event = await open(5)
      const page = await board(await browser, event)
      const was = await read(event)
      await choose(page, 'kelp-1')
      await page.keyboard.press('Alt+KeyI')
      expect(await line(page)).toBe('auger gives ')
      await page.keyboard.type('15.0')
      expect(await understood(page)).toBe('Auger gives at most 15,000 lb in all.')
      await enter(page, 'Auger gives at most 15,000 lb in all.')
      const { before, then } = await accept(page, event)
      expect(lostIn(before).toSorted()).toEqual(['kelp-1', 'kelp-2', 'kelp-3', 'kelp-4'])
      expect(lostIn(then)).toEqual([])
      await takeBack(page, event, was, 2)
    },
    LONG_MS
  )

  it(
    'a priority: who is served when there is too little to give',
    async () => {
      const event = await open(5)
      await event.record({ kind: 'setGive', tankerId: 'mallet', mostTransferable: { value: 30_000, unit: 'lb' } })
      const page = await board(await browser, event)
      const was = await read(event)
      await choose(page, 'sleet-1')
      await page.keyboard.press('Alt+KeyR')
      expect(await line(page)).toBe('sleet 1 priority ')
      await page.keyboard.type('5')
      expect(await understood(page)).toBe('Sleet, all 4: priority 5.')
      await enter(page, 'Sleet, all 4: priority 5.')
      const { before, then } = await accept(page, event)
      expect(then.judgement.lostWeight).toBeLessThan(before.judgement.lostWeight)
      expect(lostIn(before)).toEqual(['alder-2'])
      expect(lostIn(then).every((shipId) => shipId.startsWith('sleet'))).toBe(true)
      await takeBack(page, event, was, 2)
    },
    LONG_MS
  )

  it(
    'a receiver nobody planned, in one line',
    async () => {
      const event = await open(5)
      const page = await board(await browser, event)
      const was = await read(event)
      await page.locator('#entry-line').focus()
      await page.keyboard.press('Alt+KeyY')
      expect(await line(page)).toBe('stray ')
      await page.keyboard.type('burr 71 maple 6.0 mallet priority 1')
      const sentence =
        'Burr 71, Maple with 6,000 lb, comes to Mallet unplanned, to fill its internal tanks, priority 1.'
      expect(await understood(page)).toBe(sentence)
      await enter(page, sentence)
      const { before, then, ships } = await accept(page, event)
      const burr = before.ships.find((ship) => ship.callSign === 'Burr 71')?.shipId
      expect(lostIn(before)).toEqual([burr])
      expect(lostIn(then)).toEqual([])
      expect(ships).toContain(burr)
      await takeBack(page, event, was, 2)
    },
    LONG_MS
  )

  it(
    'a base closed, and open again',
    async () => {
      const event = await open(5)
      const page = await board(await browser, event)
      const was = await read(event)
      await page.keyboard.type('elder')
      await page.keyboard.press('Alt+KeyC')
      expect(await line(page)).toBe('elder closed')
      expect(await understood(page)).toBe('Elder Strip is closed for landing.')
      await enter(page, 'Elder Strip is closed for landing.')
      const { before, then } = await accept(page, event)
      expect(then.judgement.shortage).toBeLessThan(before.judgement.shortage)

      await page.keyboard.type('elder')
      await page.keyboard.press('Alt+KeyJ')
      await enter(page, 'Elder Strip is open for landing.')
      expect((await read(event)).bases.get('elder')?.at(-1)?.open).toBe(true)
      await takeBack(page, event, was, 3)
    },
    LONG_MS
  )

  it(
    'a top-off: it comes once more',
    async () => {
      const event = await open(5)
      const page = await board(await browser, event)
      const was = await read(event)
      await choose(page, 'rasp-1')
      await page.keyboard.press('Alt+KeyM')
      expect(await line(page)).toBe('rasp 1 top-off')
      expect(await understood(page)).toBe('Rasp 1 comes once more, behind its flight.')
      await enter(page, 'Rasp 1 comes once more, behind its flight.')
      const { before, then } = await accept(page, event)
      expect(before.slots.filter((slot) => slot.shipId === 'rasp-1')).toHaveLength(2)
      expect(lostIn(before).length).toBeGreaterThan(0)
      expect(lostIn(then)).toEqual([])
      await takeBack(page, event, was, 2)
    },
    LONG_MS
  )
})

describe('what can be changed, on the screen', () => {
  const changeOf = (page: Page, tanker: string) => page.getByRole('button', { name: `Change ${tanker}`, exact: true })

  it(
    'stands as buttons too, of the chosen ship and on the line of a tanker, and says whom it is of',
    async () => {
      const event = await open(5)
      const page = await board(await browser, event)
      await page.keyboard.press('Alt+KeyL')
      await page.getByText('Not recorded: Choose a ship, or begin the line with a name').waitFor()
      expect(await line(page)).toBe('')
      await choose(page, 'rasp-1')
      await page.getByRole('button', { name: 'Rasp 1: Late' }).click()
      expect(await line(page)).toBe('rasp 1 late ')
      expect(await page.evaluate(() => document.activeElement?.id)).toBe('entry-line')
      await page.keyboard.press('Escape')
      await changeOf(page, 'Auger').click()
      await page.getByRole('button', { name: 'Auger Left pod: Failed' }).click()
      expect(await understood(page)).toBe('Auger Left pod is failed.')
      expect((await read(event)).stations.size).toBe(0)
    },
    LONG_MS
  )

  it.each([
    ['desktop', DESKTOP],
    ['phone', PHONE]
  ] as const)(
    'is free of barriers that a machine can find, and fits, light and dark, on a %s',
    async (name, size) => {
      const event = await open(5)
      const page = await board(await browser, event, size)
      await choose(page, 'rasp-1')
      if (size === PHONE) await page.getByRole('button', { name: 'More of Auger' }).click()
      await changeOf(page, 'Auger').click()
      await page.getByRole('button', { name: 'Auger: Gives' }).waitFor()
      await page.fill('#entry-line', 'rasp 1 late 8')
      await understood(page)
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(size.width)
      expect(await barriers(page, `disruption-${name}`)).toEqual([])
    },
    LONG_MS
  )
})
