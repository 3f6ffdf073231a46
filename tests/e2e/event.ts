import { mkdtempSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import type { Browser, Page } from 'playwright-core'
import { onTestFinished } from 'vitest'
import { demoPlan } from '../../server/demo/plan.ts'
import type { Plan } from '../../shared/contracts/plan.ts'
import { FOLDERS, start, type Ending } from '../server/process.ts'

export type Size = { width: number; height: number }
export const DESKTOP: Size = { width: 1440, height: 900 }
export const PHONE: Size = { width: 390, height: 844 }

export interface OpenEvent {
  /** Address of the service. */
  address: string
  eventId: string
  plan: Plan
  /** The commander's secret, and the owner's. */
  secret: string
  owner: string
  /** Asks the API as the commander, or as the given link; the parsed answer. */
  ask: (method: string, path: string, body?: unknown, secret?: string) => Promise<unknown>
  /** Asks for something to be recorded. */
  record: (request: { kind: string } & Record<string, unknown>, secret?: string) => Promise<unknown>
  /** A new link's secret. */
  link: (role: string, shipId?: string) => Promise<string>
}

/*
 * A browser test is cheap when it makes an event of its own on the service and in the browser that all files of a worker
 * share, walks to a state once, and there does all that is to be done: look at it light and dark (`barriers`), wide and
 * narrow. It waits for what is to be seen, never for a time.
 */

let requests = 0

export interface Service {
  address: string
  owner: string
}

/** A built server with a folder of its own. */
export async function openService(ending: Ending = onTestFinished): Promise<Service> {
  const folder = mkdtempSync(join(FOLDERS, 'ullage-e2e-'))
  ending(() => {
    rmSync(folder, { recursive: true, force: true })
  })
  const { address, secrets } = await start({ DATA_DIR: folder }, [], ending)
  return { address, owner: secrets.get('Owner of this service') ?? '' }
}

/** What a worker has started ends with it. */
const withWorker: Ending = (end) => {
  process.once('exit', end)
  process.once('SIGTERM', end)
}
let shared: Promise<Service> | undefined

/** The one built server of all test files of a worker. */
export const sharedService = (): Promise<Service> => (shared ??= openService(withWorker))

/**
 * The demonstration plan as an event of its own, published and open, on the server of all where no other is given; opened
 * so long ago. `change` is made to the plan first.
 */
export async function openEvent(
  openMin: number,
  { service, change }: { service?: Service; change?: (plan: Plan) => void } = {}
): Promise<OpenEvent> {
  const { address, owner } = service ?? (await sharedService())
  const askAs = async (secret: string, method: string, path: string, body?: unknown): Promise<unknown> => {
    const answer = await fetch(`${address}/api/v1${path}`, {
      method,
      headers: {
        authorization: `Bearer ${secret}`,
        ...(body === undefined ? {} : { 'content-type': 'application/json' })
      },
      ...(body === undefined ? {} : { body: JSON.stringify(body) })
    })
    const read: unknown = await answer.json()
    if (!answer.ok) throw new Error(`${method} ${path}: ${JSON.stringify(read)}`)
    return read
  }
  const plan = demoPlan(Date.now() - openMin * 60_000)
  change?.(plan)
  const made = (await askAs(owner, 'POST', '/plans', { plan })) as { eventId: string; secret: string }
  const { eventId, secret } = made
  const event: OpenEvent = {
    address,
    eventId,
    plan,
    secret,
    owner,
    ask: (method, path, body, as = secret) => askAs(as, method, path, body),
    record: (request, as = secret) =>
      askAs(as, 'POST', `/events/${eventId}/facts`, { requestId: `e2e-request-${String(++requests)}`, ...request }),
    link: async (role, shipId) => {
      const answer = await askAs(secret, 'POST', `/events/${eventId}/links`, { role, ...(shipId ? { shipId } : {}) })
      return (answer as { secret: string }).secret
    }
  }
  await event.ask('POST', `/plans/${eventId}/publish`, { requestId: 'publish-once', revision: 1 })
  await event.record({ kind: 'openEvent' })
  return event
}

/**
 * A page of its own browser context, signed in by a link; ends with the test. It opens the link as a person does, or,
 * where a `place` is named, signs in first and opens that place alone.
 */
export async function signedIn(
  browser: Browser,
  address: string,
  secret: string,
  size: Size,
  place?: string
): Promise<Page> {
  const context = await browser.newContext({ locale: 'en-GB', viewport: size, reducedMotion: 'reduce' })
  onTestFinished(() => context.close())
  const page = await context.newPage()
  if (place === undefined) {
    await page.goto(`${address}/join#${secret}`)
    await page.waitForURL(/\/as\//)
  } else {
    const answer = await context.request.post(`${address}/api/v1/memberships`, { data: { secret } })
    const { linkId } = (await answer.json()) as { linkId: string }
    await page.goto(`${address}/as/${linkId}/${place}`)
  }
  return page
}

/** The address of a place under the membership a page acts as. */
export const placeOf = (page: Page, place: string): string => page.url().replace(/(\/as\/[^/]+)\/.*$/, `$1/${place}`)
