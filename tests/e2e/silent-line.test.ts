import { connect, createServer, type AddressInfo, type Socket } from 'node:net'
import { describe, expect, it, onTestFinished } from 'vitest'
import type { Fact } from '../../shared/contracts/facts.ts'
import type { FrameOut } from '../../shared/contracts/stream.ts'
import { sharedBrowser } from '../browser.ts'
import { DESKTOP, openEvent, placeOf, signedIn } from './event.ts'

/** A line that can stop passing bytes without closing, as a radio link in a valley does. */
async function lineTo(address: string): Promise<{ address: string; hold: () => void; release: () => void }> {
  const target = new URL(address)
  const sockets = new Set<Socket>()
  let held = false
  const join = (from: Socket, to: Socket): void => {
    sockets.add(from)
    from.on('data', (bytes) => to.write(bytes))
    from.on('close', () => {
      sockets.delete(from)
      to.destroy()
    })
    from.on('error', () => to.destroy())
    if (held) from.pause()
  }
  const server = createServer((near) => {
    const far = connect(Number(target.port), target.hostname)
    join(near, far)
    join(far, near)
  })
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  onTestFinished(() => {
    for (const socket of sockets) socket.destroy()
    server.close()
  })
  return {
    address: `http://127.0.0.1:${String((server.address() as AddressInfo).port)}`,
    hold: () => {
      held = true
      for (const socket of sockets) socket.pause()
    },
    release: () => {
      held = false
      for (const socket of sockets) socket.resume()
    }
  }
}

describe('a line that lies', () => {
  const browser = sharedBrowser()
  it('is told within 5 s, margins are last known, and nothing is missing once it passes bytes again', async () => {
    const event = await openEvent(20)
    const line = await lineTo(event.address)
    const page = await signedIn(await browser, line.address, event.secret, DESKTOP)

    // Everything the page is told, by socket and by HTTP.
    const told = new Set<number>()
    const tell = (facts: readonly Fact[]): void => {
      for (const fact of facts) told.add(fact.seq)
    }
    let beaten: () => void = () => undefined
    page.on('websocket', (socket) =>
      socket.on('framereceived', ({ payload }) => {
        const frame = JSON.parse(String(payload)) as FrameOut
        if (frame.kind === 'facts') tell(frame.facts)
        if (frame.kind === 'beat') beaten()
      })
    )
    page.on('response', (response) => {
      if (!/\/log(\?|$)/.test(response.url())) return
      void response.json().then((body: { facts: Fact[] }) => {
        tell(body.facts)
      })
    })
    const beat = (): Promise<void> => new Promise((resolve) => (beaten = resolve))

    await page.goto(placeOf(page, 'board'))
    await page.waitForSelector('[data-contact="live"]')
    const call = (shipId: string, value: number): Promise<unknown> =>
      event.record({ kind: 'callFuel', shipId, fuel: { value, unit: 'lb' }, covers: 'total' })
    const fuel = (shipId: string): Promise<string | null> =>
      page.textContent(`[data-ship="${shipId}"] [data-figure="fuel"]`)
    await call('thistle-1', 5_000)
    await page.waitForFunction(
      () => document.querySelector('[data-ship="thistle-1"] [data-figure="fuel"]')?.textContent.includes('4,9') ?? false
    )

    await beat()
    line.hold()
    const heldAtMs = Date.now()
    await page.waitForSelector('[data-contact="silent"], [data-contact="retrying"]')
    expect(Date.now() - heldAtMs).toBeLessThanOrEqual(5_000)
    expect(await page.textContent('[data-contact]')).toMatch(/no contact since \d\d:\d\d:\d\dZ/)
    const margins = await page.locator('[data-ship] .margin').allTextContents()
    expect(margins).toHaveLength(24)
    for (const margin of margins) expect(margin).toContain('last known')

    // Said to the service meanwhile; the board still shows the last picture.
    await call('thistle-2', 4_000)
    await call('thistle-3', 4_100)
    await call('thistle-4', 4_200)
    const before = await fuel('thistle-2')

    line.release()
    await page.waitForSelector('[data-contact="live"]')
    await page.waitForFunction(
      (was) => document.querySelector('[data-ship="thistle-2"] [data-figure="fuel"]')?.textContent !== was,
      before
    )
    const { seq } = (await event.ask('GET', `/events/${event.eventId}/state`)) as { seq: number }
    await page.waitForSelector(`[data-seq="${String(seq)}"]`)
    expect([...told].sort((a, b) => a - b)).toEqual(Array.from({ length: seq }, (_, index) => index + 1))
    expect(await page.locator('[data-ship] .margin', { hasText: 'last known' }).count()).toBe(0)
  })
})
