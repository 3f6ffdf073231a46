import { mkdtempSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { onTestFinished } from 'vitest'
import { app, type App, type Parts } from '../../server/app.ts'
import { addLink } from '../../server/auth/links.ts'
import type { Rooms } from '../../server/live/rooms.ts'
import { openSqlite } from '../../server/store/sqlite/file.ts'
import type { Link, Store } from '../../server/store/store.ts'
import type { Pool } from '../../server/work/pool.ts'
import { shipId as shipIdOf, type EventId } from '../../shared/contracts/ids.ts'
import type { Role } from '../../shared/contracts/kinds.ts'
import { REAL_CLOCK } from '../../shared/live/clock.ts'
import { pathOf, ROUTES, type RouteName } from '../../shared/contracts/routes.ts'
import { OPENS_AT_MS, smallPlan } from './plan.ts'
import { FOLDERS } from './process.ts'

export type MadeLink = Link & { secret: string }

/** A clock that stands still until it is set on. */
export class HandClock {
  #nowMs = OPENS_AT_MS + 60_000
  nowMs = (): number => this.#nowMs
  elapsedMs = (): number => this.#nowMs
  forward(byMs: number): void {
    this.#nowMs += byMs
  }
}

/** What a stream that stands alone is made of. */
export const streamParts = () => ({
  ...{ eventId: 'e-1', version: '0', clock: new HandClock() },
  trouble: () => null,
  eventClock: () => REAL_CLOCK
})

interface Span {
  from: number
  to: number
}

/** A log that stands alone, of the facts it is given as a JSON list. */
export const logWith = <Log extends { facts: (span: Span) => string }>(log: Log) =>
  Object.assign(log, {
    factsWithin: (span: Span, before: string, after: string) =>
      Buffer.from(before + log.facts(span).slice(1, -1) + after)
  })

export interface Service {
  app: App
  rooms: Rooms
  pool: Pool
  store: Store
  clock: HandClock
  file: string
  owner: MadeLink
  link: (eventId: EventId | null, role: Role, shipId?: string) => Promise<MadeLink>
  /** A small event with its commander: saved, not published. */
  event: () => Promise<{ eventId: EventId; commander: MadeLink }>
  /** The same, published and opened: two facts. */
  openEvent: () => Promise<{ eventId: EventId; commander: MadeLink }>
  call: (
    name: RouteName,
    options?: CallOptions
  ) => Promise<{ status: number; body: Json; text: string; headers: Record<string, unknown> }>
}

/** What any answer of the service may hold; tests look at the field they are about. */
export interface Json {
  code?: string
  errors?: { path: string; value: string; limit: string; message: string }[]
  errorCount?: number
  [field: string]: unknown
}

export interface CallOptions {
  as?: MadeLink | undefined
  parameters?: Record<string, string | number>
  query?: string
  body?: unknown
  headers?: Record<string, string>
}

let asked = 0
/** A request id that no other has. */
export const freshId = (): string => `request-${String(++asked).padStart(6, '0')}`

export function newFolder(): string {
  const dir = mkdtempSync(join(FOLDERS, 'ullage-server-'))
  onTestFinished(() => {
    rmSync(dir, { recursive: true, force: true })
  })
  return dir
}

/** The whole service without a port, on an empty database of its own; closed when the test is over. */
export async function service(extra: Partial<Parts> & { file?: string } = {}): Promise<Service> {
  const file = extra.file ?? join(newFolder(), 'ullage.sqlite')
  const store = extra.store ?? openSqlite(file)
  const clock = new HandClock()
  const { app: made, rooms, pool } = await app({ store, clock, version: '0.0.0-test', ...extra })
  onTestFinished(async () => {
    await made.close()
    await store.close()
  })
  const link: Service['link'] = (eventId, role, shipId) =>
    addLink(store, { role, eventId, shipId: shipId === undefined ? undefined : shipIdOf.parse(shipId) }, clock.nowMs())
  const owner = await link(null, 'owner')

  const call: Service['call'] = async (name, options = {}) => {
    const { as, parameters, query, body, headers } = options
    const answer = await made.inject({
      method: ROUTES[name].method,
      url: pathOf(name, parameters) + (query ?? ''),
      headers: {
        ...(as === undefined ? {} : { authorization: `Bearer ${as.secret}` }),
        ...(body === undefined ? {} : { 'content-type': 'application/json' }),
        ...headers
      },
      ...(body === undefined ? {} : { payload: typeof body === 'string' ? body : JSON.stringify(body) })
    })
    const isJson =
      String(answer.headers['content-type']).includes('json') && answer.headers['content-encoding'] === undefined
    return {
      status: answer.statusCode,
      body: isJson ? answer.json<Json>() : {},
      text: answer.payload,
      headers: answer.headers
    }
  }

  const event: Service['event'] = async () => {
    const { status, body } = await call('createPlan', { as: owner, body: { plan: smallPlan() } })
    if (status !== 201) throw new Error(`the small plan was refused: ${JSON.stringify(body)}`)
    const eventId = body['eventId'] as EventId
    const secret = body['secret'] as string
    const commander = (await store.links(eventId))[0]
    if (commander === undefined) throw new Error('no commander link was made')
    return { eventId, commander: { ...commander, secret } }
  }

  const openEvent: Service['openEvent'] = async () => {
    const made = await event()
    const { eventId, commander } = made
    const published = { requestId: freshId(), revision: 1 }
    for (const answer of [
      await call('publishPlan', { as: commander, parameters: { eventId }, body: published }),
      await call('record', {
        as: commander,
        parameters: { eventId },
        body: { requestId: freshId(), kind: 'openEvent' }
      })
    ]) {
      if (answer.status !== 200) throw new Error(`the small event did not open: ${JSON.stringify(answer.body)}`)
    }
    return made
  }

  return { app: made, rooms, pool, store, clock, file, owner, link, event, openEvent, call }
}

/** A fuel call of a ship of the small event. */
export const fuelCall = (shipId: string, fuelKg: number, requestId = freshId()) => ({
  requestId,
  kind: 'callFuel' as const,
  shipId,
  fuel: { value: fuelKg, unit: 'kg' as const },
  covers: 'total' as const
})
