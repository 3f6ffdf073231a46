import { cpSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, it, onTestFinished } from 'vitest'
import { start, type Running } from '../server/process.ts'
import { openEvent } from './event.ts'
import { board, callsOf, enter, expectInOrder, lineTo, logOf, portOf, sendEach, slot } from './hands.ts'
import { barriers } from './screen.ts'

/*
 * Two coordinators and a pilot on one event, each over a line of their own that is really cut, and a service that is
 * really killed.
 */
const LONG_MS = 180_000

describe('two coordinators and a pilot', () => {
  it(
    'see who is there and who holds a tanker, take it over, take back what another recorded, and are told what a stale order missed',
    async () => {
      const event = await openEvent(5)
      const [one, two] = [
        await board(event.address, await event.link('coordinator')),
        await board(event.address, await event.link('coordinator'))
      ]
      const pilot = await slot(event.address, await event.link('crew', 'alder-1'))
      await one.locator('[data-presence]', { hasText: 'you, coordinator 2, crew of 1 ship' }).waitFor()
      await two.locator('[data-presence]', { hasText: 'you, coordinator 1, crew of 1 ship' }).waitFor()

      // Held by one, seen by the other, and taken over in sight of both.
      await one.getByRole('button', { name: 'Hold Mallet: you look after it' }).click()
      await one.locator('[data-tanker="mallet"] [data-held]', { hasText: 'held by you' }).waitFor()
      await two.getByRole('button', { name: 'Take over Mallet from coordinator 1' }).click()
      await one.locator('[data-tanker="mallet"] [data-held]', { hasText: 'held by coordinator 2' }).waitFor()

      // What the pilot said by mistake is taken back by a coordinator; the log says who did what.
      await pilot.fill('#own-fuel', '8.8')
      await pilot.press('#own-fuel', 'Enter')
      await pilot.locator('[data-told]', { hasText: 'Sent' }).waitFor()
      const [call] = await callsOf(event, 'alder-1')
      await one.keyboard.press('F7')
      const entry = one.locator(`dialog [data-fact="${String(call?.seq)}"]`)
      expect(await entry.textContent()).toContain('Alder 1 fuel 8,800 lb')
      expect(await entry.textContent()).toContain('by crew of Alder 1')
      expect(await barriers(one, 'board-log')).toEqual([])
      await entry.getByRole('button').click()
      await one.locator('dialog tr', { hasText: 'Withdrawn: Alder 1 fuel 8,800 lb' }).waitFor()
      await one.keyboard.press('Escape')
      await pilot.getByText('no call yet').waitFor()
      expect((await logOf(event)).at(-1)).toMatchObject({ kind: 'factWithdrawn', withdrawnSeq: call?.seq })

      // Both move at Mallet; who accepts second is told what the first has changed.
      await enter(one, 'alder 1 up')
      await one.locator('[data-pending]').waitFor()
      await enter(two, 'sleet 3 down')
      await two.locator('[data-pending]').waitFor()
      await two.keyboard.press('Alt+Enter')
      await two.locator('[data-pending]').waitFor({ state: 'detached' })
      // A fuel call between makes no order stale; the other order does.
      await event.record({ kind: 'callFuel', shipId: 'kelp-1', fuel: { value: 9_000, unit: 'lb' }, covers: 'total' })
      await one.keyboard.press('Alt+Enter')
      await one
        .getByText(
          /The order was changed since you read it\. .*Mallet was changed by coordinator 2 at .*Sleet 3 is now number/
        )
        .waitFor()
      const orders = (await logOf(event)).filter(({ kind }) => kind === 'orderSet')
      expect(orders).toHaveLength(1)
    },
    LONG_MS
  )
})

describe('a line that is cut', () => {
  it(
    'is unmistakable; what is called meanwhile goes out once, in order, with the times it was called at, also over a reload',
    async () => {
      const event = await openEvent(5)
      const line = await lineTo(() => portOf(event.address))
      const pilot = await slot(line.address, await event.link('crew', 'alder-1'))
      const coordinator = await board(event.address, await event.link('coordinator'))

      // Nothing passes, and nothing says so: as in a valley.
      line.block()
      await pilot.waitForSelector('[data-contact="silent"], [data-contact="retrying"]')
      const first = await sendEach(pilot, ['8.9', '8.8'])
      await pilot.getByText('2 calls kept here, not recorded yet').waitFor()
      expect(await callsOf(event, 'alder-1')).toEqual([])
      line.mend()
      await pilot.waitForSelector('[data-contact="live"]')
      await expect.poll(async () => (await callsOf(event, 'alder-1')).length, { timeout: 30_000 }).toBe(2)
      expectInOrder(await callsOf(event, 'alder-1'), [8_900, 8_800], first)

      // Broken, and every new try as well; the page is loaded anew meanwhile.
      line.down()
      await pilot.waitForSelector('[data-contact="retrying"]')
      const second = await sendEach(pilot, ['8.7', '8.6', '8.5'])
      await pilot.reload()
      await pilot.locator('[data-last-known]').waitFor()
      line.mend()
      await pilot.waitForSelector('[data-contact="live"]')
      await expect.poll(async () => (await callsOf(event, 'alder-1')).length, { timeout: 30_000 }).toBe(5)
      expectInOrder((await callsOf(event, 'alder-1')).slice(2), [8_700, 8_600, 8_500], second)

      // The coordinator, whose line was good all the time, has the same picture.
      const { seq } = (await event.ask('GET', `/events/${event.eventId}/state`)) as { seq: number }
      for (const page of [pilot, coordinator]) await page.waitForSelector(`[data-seq="${String(seq)}"]`)
    },
    LONG_MS
  )
})

describe('a service that is killed', () => {
  it(
    'comes back with all it has answered; what was called meanwhile is sent once, by everybody, in order',
    async () => {
      const folder = mkdtempSync(join(tmpdir(), 'ullage-hands-'))
      onTestFinished(() => {
        rmSync(folder, { recursive: true, force: true })
      })
      let running: Running = await start({ DATA_DIR: folder })
      const line = await lineTo(() => portOf(running.address))
      const owner = running.secrets.get('Owner of this service') ?? ''
      const event = await openEvent(5, { service: { address: line.address, owner } })
      const [one, two] = [
        await board(line.address, await event.link('coordinator')),
        await board(line.address, await event.link('coordinator'))
      ]
      const pilot = await slot(line.address, await event.link('crew', 'alder-1'))
      await enter(one, 'kelp 1 9.1')
      await one.getByText(/Recorded: .*Kelp 1/).waitFor()
      const before = (await logOf(event)).length

      await running.kill('SIGKILL')
      for (const page of [one, two, pilot]) await page.waitForSelector('[data-contact="retrying"]')
      await enter(one, 'kelp 1 9.0')
      await enter(two, 'kelp 2 8.9')
      await enter(two, 'kelp 2 8.8')
      const atMs = await sendEach(pilot, ['8.9', '8.8'])
      await two.getByText('2 calls kept here, not recorded yet').waitFor()
      running = await start({ DATA_DIR: folder })
      for (const page of [one, two, pilot]) await page.waitForSelector('[data-contact="live"]')

      await expect.poll(async () => (await logOf(event)).length, { timeout: 30_000 }).toBe(before + 5)
      expectInOrder(await callsOf(event, 'alder-1'), [8_900, 8_800], atMs)
      expect((await callsOf(event, 'kelp-1')).map(({ fuel }) => fuel.value)).toEqual([9_100, 9_000])
      expect((await callsOf(event, 'kelp-2')).map(({ fuel }) => fuel.value)).toEqual([8_900, 8_800])
      const log = await logOf(event)
      expect(log.map(({ seq }) => seq)).toEqual(log.map((_, index) => index + 1))
      expect(new Set(log.map(({ requestId }) => requestId)).size).toBe(log.length)
      for (const page of [one, two, pilot]) await page.waitForSelector(`[data-seq="${String(log.length)}"]`)
    },
    LONG_MS
  )
})

describe('a service that is restored', () => {
  it(
    'is not taken for the one that was there: an open board begins anew and says so, also where both count alike',
    async () => {
      const folder = mkdtempSync(join(tmpdir(), 'ullage-hands-'))
      const [data, copy] = [join(folder, 'data'), join(folder, 'copy')]
      onTestFinished(() => {
        rmSync(folder, { recursive: true, force: true })
      })
      let running: Running = await start({ DATA_DIR: data })
      const line = await lineTo(() => portOf(running.address))
      const owner = running.secrets.get('Owner of this service') ?? ''
      const event = await openEvent(5, { service: { address: line.address, owner } })
      const one = await board(line.address, await event.link('coordinator'))
      // Parts of the page come after its first picture: one that has not all of them says so, and is not live again.
      await one.waitForLoadState('networkidle')
      await running.kill('SIGTERM')
      cpSync(data, copy, { recursive: true })
      running = await start({ DATA_DIR: data })
      await one.waitForSelector('[data-contact="live"]')
      const before = (await logOf(event)).length
      const call = (shipId: string, value: number) =>
        event.record({ kind: 'callFuel', shipId, fuel: { value, unit: 'lb' }, covers: 'total' })
      for (const value of [9_100, 9_000, 8_900]) await call('kelp-1', value)
      await one.waitForSelector(`[data-seq="${String(before + 3)}"]`)

      // The copy comes back and has counted on as far, with other facts, before the board sees it.
      await running.kill('SIGTERM')
      await one.waitForSelector('[data-contact="retrying"]')
      await one.context().setOffline(true)
      rmSync(data, { recursive: true })
      cpSync(copy, data, { recursive: true })
      running = await start({ DATA_DIR: data })
      for (const value of [8_800, 8_700, 8_600]) await call('alder-1', value)
      await one.context().setOffline(false)
      await one.getByText(/The service was restored to an earlier record/).waitFor()
      await one.waitForSelector('[data-contact="live"]')
      await one.waitForSelector(`[data-seq="${String(before + 3)}"]`)
      await one.keyboard.press('F7')
      await one.locator('dialog [data-fact]', { hasText: 'Alder 1 fuel 8,600 lb' }).waitFor()
      const told = (await one.locator('dialog [data-fact]').allTextContents()).join(' ')
      expect(told).not.toContain('Kelp 1 fuel 8,900 lb')
    },
    LONG_MS
  )
})

describe('the slot page of a pilot', () => {
  it(
    'calls fuel and trouble in two touches and "seen" in one, and opens without any contact with the slot as it was',
    async () => {
      const event = await openEvent(5)
      const line = await lineTo(() => portOf(event.address))
      const pilot = await slot(line.address, await event.link('crew', 'alder-1'))

      await pilot.locator('[data-near]').nth(3).click()
      const typed = Number(await pilot.inputValue('#own-fuel')) * 1000
      await pilot.getByRole('button', { name: 'Send' }).click()
      await pilot.locator('[data-told]', { hasText: 'Sent' }).waitFor()
      expect((await callsOf(event, 'alder-1')).map(({ fuel }) => Math.round(fuel.value))).toEqual([Math.round(typed)])

      await pilot.getByRole('button', { name: 'Tank trouble' }).click()
      expect(await barriers(pilot, 'slot-trouble')).toEqual([])
      await pilot.getByRole('button', { name: 'Wing tank 2 not giving' }).click()
      await pilot.locator('[data-told]', { hasText: /Sent: .*Wing tank 2 not giving/ }).waitFor()
      expect((await logOf(event)).at(-1)).toMatchObject({
        kind: 'troubleSet',
        shipId: 'alder-1',
        tankNumber: 2,
        trouble: 'not giving'
      })

      // Read, changed by a coordinator, told what is new, seen.
      await pilot.locator('[data-read] button').click()
      await pilot.locator('[data-read="true"]').waitFor()
      await event.record({ kind: 'setOnLoad', shipId: 'alder-1', onLoad: { kind: 'full' } })
      await pilot.locator('[data-changed] li', { hasText: /^on-load [\d,]+ lb, was 2,700 lb$/ }).waitFor()
      expect(await barriers(pilot, 'slot-changed')).toEqual([])
      await pilot.locator('[data-changed] button').click()
      await pilot.locator('[data-changed]').waitFor({ state: 'detached' })
      expect((await logOf(event)).at(-1)).toMatchObject({ kind: 'slotSeen', shipId: 'alder-1', revision: 1 })

      // The worker has the page, the browser the slot.
      await pilot.evaluate(() => navigator.serviceWorker.ready.then(() => undefined))
      await expect
        .poll(() => pilot.evaluate(async () => (await (await caches.open('ullage-page-1')).keys()).length), {
          timeout: 20_000
        })
        .toBeGreaterThan(5)
      await pilot.waitForFunction(() => Object.keys(localStorage).some((key) => key.startsWith('ullage slot')))
      const contact = (await pilot.textContent('[data-figure="contact"]')) ?? ''
      line.down()
      await pilot.reload()
      await pilot
        .locator('[data-last-known]', { hasText: /No contact\. This is the slot as it was known at/ })
        .waitFor()
      expect((await pilot.textContent('[data-figure="contact"]'))?.slice(0, 7)).toBe(contact.slice(0, 7))
      // Of what it keeps nothing came from the interface of the service.
      const kept = await pilot.evaluate(async () =>
        (await (await caches.open('ullage-page-1')).keys()).map(({ url }) => new URL(url).pathname)
      )
      expect(kept.filter((path) => path !== '/' && path !== '/icon.svg' && !path.startsWith('/assets/'))).toEqual([])
      line.mend()
      await pilot.waitForSelector('[data-contact="live"]')
      await pilot.locator('[data-last-known]').waitFor({ state: 'detached' })
      expect(await pilot.getByRole('alert').count()).toBe(0)

      // In a tunnel nothing is answered, and nothing refused.
      line.block()
      await pilot.goto(pilot.url(), { waitUntil: 'commit' })
      await pilot.locator('[data-last-known]').waitFor({ timeout: 9_000 })
      const before = (await callsOf(event, 'alder-1')).length
      const [calledAtMs = NaN] = await sendEach(pilot, ['8.5'])
      await pilot.getByText('1 call kept here, not recorded yet').waitFor()
      line.mend()
      await pilot.waitForSelector('[data-contact="live"]')
      await expect.poll(async () => (await callsOf(event, 'alder-1')).length, { timeout: 30_000 }).toBe(before + 1)
      expectInOrder((await callsOf(event, 'alder-1')).slice(before), [8_500], [calledAtMs])
      await pilot.locator('[data-last-known]').waitFor({ state: 'detached' })
    },
    LONG_MS
  )

  it(
    'shows the base and the fuel on arrival once it has left, and on every screen that the clock is paused',
    async () => {
      const event = await openEvent(20)
      const pilot = await slot(event.address, await event.link('crew', 'kelp-1'))
      const commander = await board(event.address, event.secret)
      await event.record({ kind: 'leave', shipId: 'kelp-1' })
      await pilot.locator('[data-left] [data-figure="on arrival"]', { hasText: /lb/ }).waitFor()
      await commander.getByRole('button', { name: 'Clock', exact: true }).click()
      await commander.locator('[data-clock-form] select').selectOption({ label: 'not: paused' })
      expect(await barriers(commander, 'board-clock')).toEqual([])
      await commander.getByRole('button', { name: 'Set the clock' }).click()
      for (const page of [pilot, commander]) {
        await page.locator('[data-clock]', { hasText: 'exercise clock, paused' }).waitFor()
      }
    },
    LONG_MS
  )
})
