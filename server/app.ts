import compress from '@fastify/compress'
import websocket from '@fastify/websocket'
import { randomBytes } from 'node:crypto'
import Fastify, {
  LogController,
  type FastifyBaseLogger,
  type FastifyInstance,
  type FastifyServerOptions,
  type RawReplyDefaultExpression,
  type RawRequestDefaultExpression,
  type RawServerDefault
} from 'fastify'
import { serializerCompiler, type ZodTypeProvider } from 'fastify-type-provider-zod'
import { registerGuard } from './auth/guard.ts'
import { Revocations } from './auth/revocations.ts'
import { Uses } from './auth/uses.ts'
import type { Clock } from './clock.ts'
import { headersOf, registerHeaders } from './headers.ts'
import { Limits } from './limits.ts'
import { registerJson } from './json.ts'
import { Rooms } from './live/rooms.ts'
import { Metrics, registerWatching } from './metrics.ts'
import { registerPages } from './pages.ts'
import { frameworkProblems, registerProblems } from './problem.ts'
import { registerCompute } from './routes/compute.ts'
import { registerDocument, registerHealth, registerMetrics } from './routes/about.ts'
import { registerEvents } from './routes/events.ts'
import { registerLinks } from './routes/links.ts'
import { registerMemberships } from './routes/memberships.ts'
import { registerPlans } from './routes/plans.ts'
import { registerSearch } from './routes/search.ts'
import type { MostSockets } from './sockets.ts'
import type { Store } from './store/store.ts'
import type { MostUnread } from './unread.ts'
import { bySchema } from './validation.ts'
import { Computer } from './work/computer.ts'
import { Pool, type PoolParts } from './work/pool.ts'

export interface Parts {
  store: Store
  clock: Clock
  version: string
  /** Origin under which people reach the service; undefined: whatever host they asked for. */
  publicUrl?: string | undefined
  /** Folder of the built pages; undefined: none are served. */
  clientDir?: string | undefined
  /** Threads that search; one, and two minutes at most, where it is not said. */
  search?: Partial<Pick<PoolParts, 'threads' | 'limitMs' | 'entry'>>
  logger?: FastifyServerOptions['logger']
  /** Whether links and addresses are held to their rates; they are where it is not said. */
  isLimited?: boolean | undefined
  /** Live sockets that may be open at once; those of the contract where it is not said. */
  mostSockets?: MostSockets | undefined
  /** What may wait to be read of large answers; that of the contract where it is not said. */
  mostUnread?: MostUnread | undefined
  /** The longest that a request may take to arrive, ms; half a minute where it is not said. */
  requestTimeoutMs?: number | undefined
  /** Proxies whose word for the address of a caller is taken: addresses, networks, or names of such. */
  trustedProxies?: readonly string[] | undefined
}

/** What the routes are made of. */
export interface Door extends Parts {
  rooms: Rooms
  limits: Limits | undefined
  computer: Computer
  /** Reads the plans of members, who do not wait behind what anyone has computed. */
  reader: Computer
  uses: Uses
  revocations: Revocations
}

/** A proxy on the same machine. */
const TRUSTED = ['loopback']
const SEARCH = { threads: 1, limitMs: 120_000 }

export type App = FastifyInstance<
  RawServerDefault,
  RawRequestDefaultExpression,
  RawReplyDefaultExpression,
  FastifyBaseLogger,
  ZodTypeProvider
>

const KIB = 1024
const REQUEST_ID_BYTES = 9
const IDS_AT_ONCE = 256
const BODY_BYTES = 64 * KIB
const MESSAGE_BYTES = 16 * KIB
const TICK_MS = 1_000
/** The framework's own default is to wait for ever. */
const REQUEST_TIMEOUT_MS = 30_000
/** How often in that time it is looked for requests that are late. */
const LOOKS = 6
const CONNECTION_TIMEOUT_MS = 60_000

/** Ids under which the log knows requests: chance, drawn for some hundred at a time. A count would tell how busy others are. */
function requestIds(): () => string {
  let pool = randomBytes(0)
  let at = 0
  return () => {
    if (at === pool.length) {
      pool = randomBytes(REQUEST_ID_BYTES * IDS_AT_ONCE)
      at = 0
    }
    at += REQUEST_ID_BYTES
    return pool.toString('base64url', at - REQUEST_ID_BYTES, at)
  }
}

/** The whole service but for listening: everything that is registered stands here, in order. */
export async function app(parts: Parts): Promise<{ app: App; rooms: Rooms; pool: Pool }> {
  const { requestTimeoutMs = REQUEST_TIMEOUT_MS } = parts
  const fastify = Fastify({
    bodyLimit: BODY_BYTES,
    requestTimeout: requestTimeoutMs,
    http: { connectionsCheckingInterval: requestTimeoutMs / LOOKS, headersTimeout: requestTimeoutMs },
    connectionTimeout: CONNECTION_TIMEOUT_MS,
    logger: parts.logger ?? false,
    // Our own line for each answer, without the address, whose query is nobody's business.
    logController: new LogController({ disableRequestLogging: true }),
    genReqId: requestIds(),
    trustProxy: [...(parts.trustedProxies ?? TRUSTED)],
    frameworkErrors: frameworkProblems(headersOf(parts.publicUrl))
  }).withTypeProvider<ZodTypeProvider>()
  const pool = new Pool({
    ...SEARCH,
    ...parts.search,
    onFault: (error) => {
      fastify.log.error(error)
    }
  })
  const rooms = new Rooms({ ...parts, pool })
  const limits = parts.isLimited === false ? undefined : new Limits(() => parts.clock.elapsedMs(), parts)
  const onFault = (error: Error): void => {
    fastify.log.error(error)
  }
  const computer = new Computer({ onFault })
  const reader = new Computer({ onFault })
  const uses = new Uses(parts.store)
  const revocations = new Revocations({
    store: parts.store,
    dropLink: (eventId, linkId) => {
      rooms.dropLink(eventId, linkId)
    }
  })
  const door = { ...parts, rooms, limits, computer, reader, uses, revocations }

  fastify.setValidatorCompiler(bySchema)
  fastify.setSerializerCompiler(serializerCompiler)
  const metrics = new Metrics({ ...parts, rooms })
  registerWatching(fastify, metrics)
  registerJson(fastify)
  registerProblems(fastify)
  registerHeaders(fastify, parts.publicUrl)
  // Answers alone: nobody packs a request, and one that unpacks to megabytes need not be looked at.
  await fastify.register(compress, { encodings: ['gzip'], threshold: KIB, globalDecompression: false })
  await fastify.register(websocket, {
    options: { maxPayload: MESSAGE_BYTES, perMessageDeflate: false },
    // Sockets first: the server would wait for them.
    preClose: (done: () => void) => {
      void rooms.close().finally(done)
    }
  })
  await registerDocument(fastify, door)
  registerGuard(fastify, door)

  registerHealth(fastify, door)
  registerMetrics(fastify, metrics)
  await registerCompute(fastify, door)
  registerMemberships(fastify, door)
  await registerPlans(fastify, door)
  registerEvents(fastify, door)
  registerSearch(fastify, door)
  registerLinks(fastify, door)
  await registerPages(fastify, parts.clientDir)

  const ticking = setInterval(() => {
    rooms.tick()
    revocations.tick()
    uses.tick(parts.clock.elapsedMs())
  }, TICK_MS)
  fastify.addHook('onClose', async () => {
    clearInterval(ticking)
    await Promise.all([computer.close(), reader.close(), uses.keep()])
  })
  await fastify.ready()
  return { app: fastify, rooms, pool }
}
