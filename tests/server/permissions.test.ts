import Fastify from 'fastify'
import { describe, expect, it } from 'vitest'
import { registerGuard } from '../../server/auth/guard.ts'
import { REQUEST_KINDS, type RequestKind } from '../../shared/contracts/kinds.ts'
import { pathOf, ROUTES, type RouteName } from '../../shared/contracts/routes.ts'
import { OPENS_AT_MS, SHIPS, smallPlan } from './plan.ts'
import { freshId, fuelCall, service, type CallOptions, type MadeLink } from './service.ts'

const CALLERS = [
  'none',
  'revoked',
  'viewer',
  'crew',
  'otherCrew',
  'coordinator',
  'commander',
  'owner',
  'feed',
  'foreign',
  'foreignViewer',
  'foreignCrew',
  'foreignCoordinator',
  'foreignFeed'
] as const
type Caller = (typeof CALLERS)[number]

/**
 * What each caller gets, in the order of CALLERS; `crew` is of the ship asked about, `foreign` commands another event, and the
 * other roles of that event are answered as its commander is. */
const EXPECTED: Record<RouteName, string> = {
  health: /*        */ '200 200 200 200 200 200 200 200 200 200',
  ready: /*         */ '200 200 200 200 200 200 200 200 200 200',
  metrics: /*       */ '401 401 403 403 403 403 403 200 403 403',
  openapi: /*       */ '200 200 200 200 200 200 200 200 200 200',
  computeOnLoad: /* */ '200 200 200 200 200 200 200 200 200 200',
  computeOrder: /*  */ '200 200 200 200 200 200 200 200 200 200',
  signIn: /*        */ '401 401 200 200 200 200 200 200 403 200 200 200 200 403',
  membership: /*    */ '401 401 200 200 200 200 200 200 403 200 200 200 200 403',
  signOut: /*       */ '204 204 204 204 204 204 204 204 204 204',
  createPlan: /*    */ '401 401 403 403 403 403 403 201 403 403',
  listPlans: /*     */ '401 401 403 403 403 403 403 200 403 403',
  readPlan: /*      */ '401 401 200 200 200 200 200 200 403 404',
  listRevisions: /* */ '401 401 200 200 200 200 200 200 403 404',
  readRevision: /*  */ '401 401 200 200 200 200 200 200 403 404',
  savePlan: /*      */ '401 401 403 403 403 403 200 200 403 404',
  importPlan: /*    */ '401 401 403 403 403 403 200 200 403 404',
  exportPlan: /*    */ '401 401 200 200 200 200 200 200 403 404',
  publishPlan: /*   */ '401 401 403 403 403 403 200 200 403 404',
  readState: /*     */ '401 401 200 200 200 200 200 200 403 404',
  readLog: /*       */ '401 401 200 200 200 200 200 200 403 404',
  record: /*        */ '401 401 403 200 403 200 200 200 403 404',
  takeReadings: /*  */ '401 401 403 403 403 403 403 200 200 404 404 404 404 404',
  startSearch: /*   */ '401 401 403 403 403 202 202 202 403 404',
  readSearch: /*    */ '401 401 200 200 200 200 200 200 403 404',
  stopSearch: /*    */ '401 401 403 403 403 200 200 200 403 404',
  stream: /*        */ '401 401 101 101 101 101 101 101 403 404',
  listMembers: /*   */ '401 401 200 200 200 200 200 200 403 404',
  listLinks: /*     */ '401 401 403 403 403 403 200 200 403 404',
  createLink: /*    */ '401 401 403 403 403 403 201 201 403 404',
  renewLink: /*     */ '401 401 403 403 403 403 200 200 403 404',
  revokeLink: /*    */ '401 401 403 403 403 403 204 204 403 404'
}

/** Who may ask for what, crew of another ship never: everybody else of the event gets `not-allowed`. */
const RUNNERS: readonly Caller[] = ['coordinator', 'commander', 'owner']
const COMMANDERS: readonly Caller[] = ['commander', 'owner']
const SHIP: readonly Caller[] = ['crew', ...RUNNERS]
const ASKS: Record<Exclude<RequestKind, 'adoptPlan'>, { body: Record<string, unknown>; may: readonly Caller[] }> = {
  openEvent: { body: {}, may: COMMANDERS },
  closeEvent: { body: {}, may: COMMANDERS },
  setClock: { body: { eventAtMs: OPENS_AT_MS, rateFactor: 1 }, may: COMMANDERS },
  joinShip: { body: { shipId: SHIPS.alder1 }, may: SHIP },
  callFuel: { body: { shipId: SHIPS.alder1, fuel: { value: 3000, unit: 'kg' }, covers: 'total' }, may: SHIP },
  callTankerFuel: { body: { tankerId: 'rasp', fuel: { value: 50_000, unit: 'kg' } }, may: RUNNERS },
  makeContact: { body: { shipId: SHIPS.alder1 }, may: SHIP },
  startFlow: { body: { shipId: SHIPS.alder1 }, may: SHIP },
  disconnect: { body: { shipId: SHIPS.alder1, how: 'whole' }, may: SHIP },
  push: { body: { shipIds: [SHIPS.alder1] }, may: SHIP },
  leave: { body: { shipId: SHIPS.alder1 }, may: SHIP },
  land: { body: { shipId: SHIPS.alder1 }, may: SHIP },
  setStation: { body: { tankerId: 'rasp', stationId: 'left', status: 'suspect' }, may: RUNNERS },
  setExternals: { body: { shipId: SHIPS.alder1, externals: 'off' }, may: SHIP },
  setTrouble: { body: { shipId: SHIPS.alder1, groupId: 'body', trouble: 'not giving' }, may: SHIP },
  jettison: { body: { shipId: SHIPS.alder1 }, may: SHIP },
  setLimit: { body: { shipId: SHIPS.alder1, limit: 'bingo' }, may: COMMANDERS },
  setPin: { body: { slotId: 'slot-1', pinned: true, serveAnyway: false }, may: RUNNERS },
  setOrder: { body: { orders: smallPlan().orders, basedOnSeq: 2 }, may: RUNNERS },
  setReady: { body: { shipId: SHIPS.alder1, readyAtMs: OPENS_AT_MS + 40 * 60_000 }, may: SHIP },
  setNoShow: { body: { shipId: SHIPS.alder1, noShow: true }, may: SHIP },
  setPriority: { body: { flightId: 'alder', priority: 1 }, may: RUNNERS },
  setOnLoad: { body: { shipId: SHIPS.alder1, onLoad: { kind: 'full' } }, may: RUNNERS },
  setTankerTimes: { body: { tankerId: 'rasp', leavesAtMs: OPENS_AT_MS + 90 * 60_000 }, may: RUNNERS },
  setGive: { body: { tankerId: 'rasp', mostTransferable: { value: 20_000, unit: 'kg' } }, may: RUNNERS },
  setBase: { body: { baseId: 'north', open: false }, may: RUNNERS },
  addReceiver: {
    body: { callSign: 'Sleet 1', receiverTypeId: 'type-a', fuel: { value: 2000, unit: 'kg' }, tankerId: 'rasp' },
    may: RUNNERS
  },
  seeSlot: { body: { shipId: SHIPS.alder1, revision: 1, seenSeq: 1 }, may: SHIP },
  holdTanker: { body: { tankerId: 'rasp', held: true }, may: RUNNERS },
  withdrawFact: { body: { withdrawnSeq: 1 }, may: ['crew', 'otherCrew', ...RUNNERS] }
}

async function cast() {
  const made = await service()
  const { eventId, commander } = await made.openEvent()
  const { eventId: elsewhere, commander: foreign } = await made.openEvent()
  const revoked = await made.link(eventId, 'commander')
  await made.store.revokeLink({ eventId, linkId: revoked.linkId, atMs: 1 })
  const links: Record<Caller, MadeLink | undefined> = {
    none: undefined,
    revoked,
    viewer: await made.link(eventId, 'viewer'),
    crew: await made.link(eventId, 'crew', SHIPS.alder1),
    otherCrew: await made.link(eventId, 'crew', SHIPS.kelp1),
    coordinator: await made.link(eventId, 'coordinator'),
    commander,
    owner: made.owner,
    feed: await made.link(eventId, 'feed'),
    foreign,
    foreignViewer: await made.link(elsewhere, 'viewer'),
    foreignCrew: await made.link(elsewhere, 'crew', SHIPS.alder1),
    foreignCoordinator: await made.link(elsewhere, 'coordinator'),
    foreignFeed: await made.link(elsewhere, 'feed')
  }
  return { ...made, eventId, links }
}
type Cast = Awaited<ReturnType<typeof cast>>

/** An event somebody has asked for a search in. */
async function searched({ eventId, call, links }: Cast): Promise<CallOptions> {
  await call('startSearch', { as: links.coordinator, parameters: { eventId }, body: { kind: 'repair' } })
  return { parameters: { eventId } }
}

/** A request that everybody who may call the route gets through with, as often as it is made. */
const CALLS: Record<RouteName, (cast: Cast, as: MadeLink | undefined) => CallOptions | Promise<CallOptions>> = {
  health: () => ({}),
  ready: () => ({}),
  metrics: () => ({}),
  openapi: () => ({}),
  computeOnLoad: () => ({
    body: {
      receiverType: smallPlan().receiverTypes[0],
      fuelDensity: smallPlan().fuelDensity,
      fitted: [],
      fuelNow: { value: 2000, unit: 'kg' },
      externals: 'off',
      stationRate: { value: 500, unit: 'kg/min' },
      onLoad: { kind: 'full' }
    }
  }),
  computeOrder: () => ({ body: { plan: smallPlan() } }),
  signIn: (_, as) => ({ body: { secret: as?.secret ?? 'a-secret-nobody-has' } }),
  membership: (_, as) => ({ parameters: { linkId: as?.linkId ?? 'l-nobody' } }),
  signOut: (_, as) => ({ parameters: { linkId: as?.linkId ?? 'l-nobody' } }),
  createPlan: () => ({ body: { plan: smallPlan() } }),
  listPlans: () => ({}),
  readPlan: ({ eventId }) => ({ parameters: { eventId } }),
  listRevisions: ({ eventId }) => ({ parameters: { eventId } }),
  readRevision: ({ eventId }) => ({ parameters: { eventId, revision: 1 } }),
  savePlan: async ({ eventId, store }) => ({
    parameters: { eventId },
    body: { revisionSeen: (await store.event(eventId))?.revision, plan: smallPlan() }
  }),
  importPlan: ({ eventId }) => ({ parameters: { eventId }, body: smallPlan() }),
  exportPlan: ({ eventId }) => ({ parameters: { eventId } }),
  publishPlan: ({ eventId }) => ({ parameters: { eventId }, body: { requestId: freshId(), revision: 1 } }),
  readState: ({ eventId }) => ({ parameters: { eventId } }),
  readLog: ({ eventId }) => ({ parameters: { eventId } }),
  record: ({ eventId }) => ({ parameters: { eventId }, body: fuelCall(SHIPS.alder1, 3000) }),
  takeReadings: ({ eventId }) => ({
    parameters: { eventId },
    body: {
      requestId: freshId(),
      readings: [
        { shipId: SHIPS.alder1, atMs: OPENS_AT_MS + 60_000, fuel: { value: 3000, unit: 'kg' }, covers: 'total' }
      ]
    }
  }),
  startSearch: ({ eventId }) => ({ parameters: { eventId }, body: { kind: 'repair' } }),
  readSearch: searched,
  stopSearch: searched,
  stream: ({ eventId }) => ({ parameters: { eventId } }),
  listMembers: ({ eventId }) => ({ parameters: { eventId } }),
  listLinks: ({ eventId }) => ({ parameters: { eventId } }),
  createLink: ({ eventId }) => ({ parameters: { eventId }, body: { role: 'viewer' } }),
  renewLink: async ({ eventId, link }) => ({
    parameters: { eventId, linkId: (await link(eventId, 'viewer')).linkId },
    body: {}
  }),
  revokeLink: async ({ eventId, link }) => ({ parameters: { eventId, linkId: (await link(eventId, 'viewer')).linkId } })
}

async function statusOf(cast: Cast, name: RouteName, caller: Caller): Promise<number> {
  const as = cast.links[caller]
  const options = { ...(await CALLS[name](cast, as)), as }
  if (name !== 'stream') return (await cast.call(name, options)).status
  const headers = as === undefined ? {} : { authorization: `Bearer ${as.secret}` }
  try {
    const socket = await cast.app.injectWS(pathOf(name, options.parameters), { headers })
    socket.terminate()
    return 101
  } catch (error) {
    return Number(/\d{3}$/.exec(String(error))?.[0])
  }
}

describe('every route', () => {
  const names = Object.keys(ROUTES) as RouteName[]

  it('has a line in this walk', () => {
    expect(Object.keys(EXPECTED).sort()).toEqual([...names].sort())
    expect(names.length).toBeGreaterThan(0)
  })

  it('stands in the table, or the service does not start', async () => {
    const app = Fastify()
    const { store, clock } = await service()
    registerGuard(app, { store, clock })
    expect(() => app.get('/api/v1/extra', () => 'unguarded')).toThrow('/api/v1/extra is not in the table of routes')
    await app.close()
  })

  it('lets nobody pass where nobody can tell who asks, whatever the store failed with', async () => {
    const scene = await cast()
    for (const failure of [undefined, null, 0, 'broken', new Error('broken')]) {
      // eslint-disable-next-line @typescript-eslint/prefer-promise-reject-errors -- what a store should not do is tried
      scene.store.linkOf = () => Promise.reject(failure)
      for (const name of ['listPlans', 'listLinks', 'metrics'] as const) {
        const { status } = await scene.call(name, { headers: { authorization: 'Bearer nonsense' } })
        expect(status, `${name} after ${String(failure)}`).toBe(500)
      }
    }
  })

  it.each(names)('%s answers each role as the table says', async (name) => {
    const scene = await cast()
    const found: string[] = []
    for (const caller of CALLERS) found.push(`${caller} ${String(await statusOf(scene, name, caller))}`)
    const told = EXPECTED[name].split(' ')
    expect(told.length).toBeGreaterThanOrEqual(CALLERS.indexOf('feed') + 1)
    const expected = CALLERS.map((caller, index) => `${caller} ${told[index] ?? told.at(-1) ?? '?'}`)
    expect(found).toEqual(expected)
  })

  it('hides another event by the same answer as one that does not exist', async () => {
    const scene = await cast()
    const there = await scene.call('readPlan', { as: scene.links.foreign, parameters: { eventId: scene.eventId } })
    const nowhere = await scene.call('readPlan', { as: scene.links.foreign, parameters: { eventId: 'e-nowhere' } })
    expect(there.body).toEqual(nowhere.body)
    const byOwner = await scene.call('readPlan', { as: scene.owner, parameters: { eventId: 'e-nowhere' } })
    expect(byOwner.body).toEqual(nowhere.body)
  })
})

describe('every request', () => {
  it('has a line in this walk', () => {
    expect(Object.keys(ASKS).sort()).toEqual(REQUEST_KINDS.filter((kind) => kind !== 'adoptPlan').sort())
  })

  it.each(Object.keys(ASKS) as (keyof typeof ASKS)[])('%s is asked by those alone who may', async (kind) => {
    const { body, may } = ASKS[kind]
    const scene = await cast()
    const allowed: string[] = []
    for (const caller of CALLERS) {
      const { status, body: answer } = await scene.call('record', {
        as: scene.links[caller],
        parameters: { eventId: scene.eventId },
        body: { requestId: freshId(), kind, ...body }
      })
      // Whatever else is in the way of it, it is not who asks.
      if (![401, 403, 404].includes(status)) allowed.push(caller)
      else expect(['no-membership', 'not-allowed', 'not-found', 'not-your-fact']).toContain(answer.code)
      expect(status).toBeLessThan(500)
    }
    expect(allowed).toEqual(CALLERS.filter((caller) => may.includes(caller)))
  })
})
