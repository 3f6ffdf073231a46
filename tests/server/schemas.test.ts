import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { z } from 'zod'
import type { EventId } from '../../shared/contracts/ids.ts'
import { plan } from '../../shared/contracts/plan.ts'
import { PROBLEMS, type ProblemCode } from '../../shared/contracts/problem.ts'
import {
  anyRequest,
  createLinkBody,
  createPlanBody,
  onLoadBody,
  orderBody,
  publishBody,
  renewLinkBody,
  savePlanBody,
  signInBody
} from '../../shared/contracts/requests.ts'
import { API, pathOf, ROUTES, type RouteName } from '../../shared/contracts/routes.ts'
import { searchBody } from '../../shared/contracts/search.ts'
import { fitting } from '../make/by-schema.ts'
import { anyCharacter, places, replaced, strange } from '../make/strange.ts'
import { SHIPS, smallPlan } from './plan.ts'
import { freshId, service, type MadeLink, type Service } from './service.ts'

/** Requests in all; an environment variable asks for more. */
const RUNS = Number(process.env['FUZZ_REQUESTS'] ?? 800)
const LIMIT_MS = 1_200_000 + 60 * RUNS
/** Requests to one event, before one of them closes it for good. */
const TO_ONE_EVENT = 100
/** Of the processor, whatever else the machine does meanwhile; a fault would take all of it. */
const MOST_CPU_MS = 1_000

/** What exists in the small event, under any kind of id. */
const KNOWN = [
  ...Object.values(SHIPS),
  ...['rasp', 'left', 'right', 'slot-1', 'slot-2', 'slot-3', 'alder', 'kelp', 'north', 'type-a', 'body', 'push-one'],
  ...['alder-visit', 'kelp-visit', 'track-one', 'giver']
]

/** What the contract says of the body of each route. */
const BODIES: Partial<Record<RouteName, z.ZodType>> = {
  computeOnLoad: onLoadBody,
  computeOrder: orderBody,
  signIn: signInBody,
  createPlan: createPlanBody,
  savePlan: savePlanBody,
  importPlan: plan,
  publishPlan: publishBody,
  record: anyRequest,
  startSearch: searchBody,
  createLink: createLinkBody,
  renewLink: renewLinkBody
}
const PLAN_ROUTES: Partial<Record<RouteName, (plan: unknown) => unknown>> = {
  computeOrder: (whole) => ({ plan: whole }),
  createPlan: (whole) => ({ plan: whole }),
  savePlan: (whole) => ({ plan: whole, revisionSeen: 1 }),
  importPlan: (whole) => whole
}

/** What came of all of them, for whoever runs this at length. */
export interface Fuzzed {
  requests: number
  byStatus: Record<string, number>
  slowestCpuMs: number
}

declare module 'vitest' {
  interface TaskMeta {
    fuzzed?: Fuzzed
  }
}

interface Sent {
  name: RouteName
  body: string | undefined
  where: 'own' | 'foreign' | 'nowhere' | 'odd'
  query: string
  as: number
  type: string
}

/** What an event under way takes nearly always: of what only fits the schema it takes one in some dozen. */
const taken = fc.record({
  requestId: fc.constant('request-000000'),
  kind: fc.constant('callFuel'),
  shipId: fc.constantFrom(...Object.values(SHIPS)),
  fuel: fc.record({ value: fc.integer({ min: 1_000, max: 3_000 }), unit: fc.constant('kg') }),
  covers: fc.constantFrom('total', 'internal')
})

const valid = new Map<RouteName, fc.Arbitrary<unknown>>()
for (const [name, schema] of Object.entries(BODIES) as [RouteName, z.ZodType][]) {
  const made =
    name === 'record'
      ? fc.oneof(
          { weight: 2, arbitrary: fc.oneof(...anyRequest.options.map((one) => fitting(one, KNOWN))) },
          { weight: 1, arbitrary: taken }
        )
      : fitting(schema, KNOWN)
  const around = PLAN_ROUTES[name]
  valid.set(
    name,
    around ? fc.oneof({ weight: 1, arbitrary: made }, { weight: 5, arbitrary: fc.constant(around(smallPlan())) }) : made
  )
}

/** Fits the schema; is wrong in one place; or is anything. */
function bodyOf(name: RouteName): fc.Arbitrary<string | undefined> {
  const fits = valid.get(name)
  if (fits === undefined) return fc.option(fc.string(), { nil: undefined, freq: 10 })
  const wrong = fits.chain((body) =>
    fc.tuple(fc.constantFrom(...places(body)), strange).map(([at, by]) => replaced(body, at, by))
  )
  const text = (arbitrary: fc.Arbitrary<unknown>) => arbitrary.map((body) => JSON.stringify(body))
  return fc.oneof(
    { weight: 5, arbitrary: text(fits) },
    { weight: 3, arbitrary: text(wrong) },
    { weight: 1, arbitrary: fc.oneof(text(strange), fc.string({ unit: anyCharacter }), fc.constant(undefined)) }
  )
}

const sent: fc.Arbitrary<Sent> = fc
  .oneof(
    { weight: 3, arbitrary: fc.constant<RouteName>('record') },
    { weight: 1, arbitrary: fc.constantFrom<RouteName[]>('computeOrder', 'listLinks') },
    {
      weight: 7,
      arbitrary: fc.constantFrom(...(Object.keys(ROUTES) as RouteName[]).filter((name) => name !== 'stream'))
    }
  )
  .chain((name) =>
    fc.record({
      name: fc.constant(name),
      body: bodyOf(name),
      where: fc.oneof(
        { weight: 8, arbitrary: fc.constant('own' as const) },
        { weight: 2, arbitrary: fc.constantFrom('foreign' as const, 'nowhere' as const, 'odd' as const) }
      ),
      query: fc.oneof(
        { weight: 6, arbitrary: fc.constant('') },
        { weight: 1, arbitrary: fc.webQueryParameters().map((text) => `?${text}`) },
        { weight: 1, arbitrary: strange.map((value) => `?after=${encodeURIComponent(String(value))}`) },
        {
          weight: 1,
          arbitrary: fc.integer({ min: 0, max: 2e12 }).map((atMs) => `?atMs=${String(atMs)}&revisionSeen=1`)
        }
      ),
      as: fc.oneof(fc.constantFrom(1, 2), fc.nat(7)),
      type: fc.oneof(
        { weight: 9, arbitrary: fc.constant('application/json') },
        { weight: 1, arbitrary: fc.constant('text/plain') }
      )
    })
  )

/** One small event, running, and a link of each kind. */
async function scene(made: Service) {
  const { eventId, commander } = await made.openEvent()
  const other = await made.event()
  const links: (MadeLink | undefined)[] = [
    undefined,
    made.owner,
    commander,
    commander,
    await made.link(eventId, 'coordinator'),
    await made.link(eventId, 'crew', SHIPS.alder1),
    await made.link(eventId, 'viewer'),
    await made.link(eventId, 'feed')
  ]
  return { eventId, other: other.eventId, links }
}

/** All that a refusal must leave as it was. */
async function kept({ store, rooms }: Service, eventIds: EventId[]): Promise<string> {
  const of = async (eventId: EventId) => [
    (await rooms.of(eventId)).seq,
    await store.event(eventId),
    (await store.links(eventId)).map((link) => ({ ...link, lastUsedAtMs: null }))
  ]
  return JSON.stringify([await Promise.all(eventIds.map(of)), (await store.events()).length])
}

describe('any request', () => {
  it(
    `by any link, with any body: never a fault of ours, and a refusal changes nothing (${String(RUNS)})`,
    async ({ task }) => {
      const made = await service({ isLimited: false })
      await made.call('computeOrder', { body: {} })
      const { paths } = (await made.call('openapi')).body as {
        paths: Record<string, Record<string, { responses?: object }>>
      }
      let place = await scene(made)
      const fuzzed: Fuzzed = { requests: 0, byStatus: {}, slowestCpuMs: 0 }
      task.meta.fuzzed = fuzzed
      const seen = new Set<string>()
      await fc.assert(
        fc.asyncProperty(sent, async ({ name, body, where, query, as, type }) => {
          fuzzed.requests += 1
          if (fuzzed.requests % TO_ONE_EVENT === 0) place = await scene(made)
          const { eventId, other, links } = place
          const before = await kept(made, [eventId, other])
          const link = links[as]
          const parameters = {
            eventId: { own: eventId, foreign: other, nowhere: 'e-nowhere', odd: "e-' OR 1=1 --" }[where],
            linkId: links[6]?.linkId ?? '',
            revision: 1
          }
          const cpu = process.cpuUsage()
          const answer = await made.app.inject({
            method: ROUTES[name].method,
            url: pathOf(name, parameters) + query,
            headers: {
              ...(link === undefined ? {} : { authorization: `Bearer ${link.secret}` }),
              ...(body === undefined ? {} : { 'content-type': type })
            },
            ...(body === undefined ? {} : { payload: withFreshId(body) })
          })
          const spent = process.cpuUsage(cpu)
          const spentMs = (spent.user + spent.system) / 1000
          const status = answer.statusCode
          fuzzed.slowestCpuMs = Math.max(fuzzed.slowestCpuMs, spentMs)
          fuzzed.byStatus[status] = (fuzzed.byStatus[status] ?? 0) + 1
          expect(spentMs, name).toBeLessThan(MOST_CPU_MS)
          const told = `${name} as ${String(link?.role)}: ${answer.payload.slice(0, 300)}`
          expect(status, told).toBeLessThan(500)
          seen.add(`${name} ${String(Math.floor(status / 100))}`)
          if (status < 400) {
            const operation =
              paths[(API + ROUTES[name].path).replace(/:(\w+)/g, '{$1}')]?.[ROUTES[name].method.toLowerCase()]
            const declared = Object.keys(operation?.responses ?? {})
            if (name !== 'metrics' && name !== 'openapi') expect(declared, told).toContain(String(status))
            return
          }
          expect(PROBLEMS[answer.json<{ code: ProblemCode }>().code][0], told).toBe(status)
          expect(await kept(made, [eventId, other]), told).toBe(before)
        }),
        { numRuns: RUNS }
      )
      // It must have been both, wherever both can be.
      for (const name of ['record', 'computeOrder', 'listLinks'] as const) {
        expect([seen.has(`${name} 2`), seen.has(`${name} 4`)], name).toEqual([true, true])
      }
      expect([...seen.keys()].filter((key) => key.endsWith(' 2')).length).toBeGreaterThan(12)
    },
    LIMIT_MS
  )

  it('that fits the schema of recording is one of every kind, and near to what the event knows', () => {
    const kinds = new Set<string>()
    for (const option of anyRequest.options) {
      for (const made of fc.sample(fitting(option, KNOWN), { numRuns: 20, seed: 1 })) {
        const read = anyRequest.safeParse(made)
        expect(read.error?.issues, JSON.stringify(made)).toBeUndefined()
        if (read.success) kinds.add(read.data.kind)
      }
    }
    expect(kinds.size).toBe(anyRequest.options.length)
  })
})

/** A request under an id of before would be a repeat, or a reuse. */
function withFreshId(body: string): string {
  return body.replace(/"requestId":"[A-Za-z0-9-]{8,64}"/, `"requestId":"${freshId()}"`)
}
