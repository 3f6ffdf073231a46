import type { WebSocket } from '@fastify/websocket'
import type { FastifyReply, FastifyRequest } from 'fastify'
import type { Duplex } from 'node:stream'
import { z } from 'zod'
import { logAnswer, recordedAnswer } from '../../shared/contracts/answers.ts'
import { eventId } from '../../shared/contracts/ids.ts'
import { instantMs, seqCount } from '../../shared/contracts/quantities.ts'
import { readingsAnswer, readingsBody } from '../../shared/contracts/readings.ts'
import { anyRequest } from '../../shared/contracts/requests.ts'
import { view } from '../../shared/contracts/view.ts'
import { estimate } from '../../shared/live/estimate.ts'
import type { App, Door } from '../app.ts'
import { at, callerOf, linkOf } from '../auth/guard.ts'
import { whoOf } from '../auth/who.ts'
import { addressOf, type Limits } from '../limits.ts'
import type { Body } from '../live/bodies.ts'
import type { Room } from '../live/room.ts'
import { Problem } from '../problem.ts'
import { REFUSALS, sendText } from './answers.ts'
import { largeBody, sendLarge } from './large.ts'

const ofEvent = z.object({ eventId })
const afterQuery = z.object({ after: z.coerce.number().pipe(seqCount).default(0) })
/** Event time at which to see the event; left out, it is now, to the second. */
const stateQuery = z.object({ atMs: z.coerce.number().pipe(instantMs).optional() })
const STEP_MS = 1_000

export function registerEvents(app: App, door: Door): void {
  const { rooms, limits } = door
  app.route({
    ...at('readState'),
    schema: { params: ofEvent, querystring: stateQuery, response: { 200: view, ...REFUSALS } },
    handler: async (request, reply) => {
      // Everybody who looks at now shares one body a second; another time is worked out for this one alone.
      if (request.query.atMs !== undefined) limits?.spend('compute', callerOf(request).linkId)
      const room = await rooms.of(request.params.eventId)
      const atMs = request.query.atMs ?? Math.floor(room.eventMs / STEP_MS) * STEP_MS
      const tag = `"${logOf(room)}-${String(atMs)}"`
      return sendBody(request, reply, { tag, limits }, () => room.bodies.of(`state ${tag}`, () => viewOf(room, atMs)))
    }
  })

  app.route({
    ...at('readLog'),
    schema: { params: ofEvent, querystring: afterQuery, response: { 200: logAnswer, ...REFUSALS } },
    handler: async (request, reply) => {
      const { after } = request.query
      const room = await rooms.of(request.params.eventId)
      const tag = `"${logOf(room)}"`
      return sendBody(request, reply, { tag, limits }, () =>
        room.bodies.of(`log ${tag} after ${String(after)}`, () => room.logAfter(after))
      )
    }
  })

  app.route({
    ...at('record'),
    // A few hundred bytes, as often as the whole service can: not worth looking at.
    compress: false,
    schema: { params: ofEvent, body: anyRequest, response: { 200: recordedAnswer, ...REFUSALS } },
    handler: async (request, reply) => {
      const room = await rooms.of(request.params.eventId)
      const text = await room.ask(request.body, whoOf(callerOf(request)))
      // Not given back: an answer that is on its way would be waited for once more.
      sendText(reply, text)
    }
  })

  app.route({
    ...at('takeReadings'),
    schema: { params: ofEvent, body: readingsBody, response: { 200: readingsAnswer, ...REFUSALS } },
    handler: async (request) => {
      // Each may need an estimate, on the loop that answers everybody.
      limits?.spend('reading', callerOf(request).linkId, request.body.readings.length)
      const room = await rooms.of(request.params.eventId)
      return room.take(request.body, whoOf(callerOf(request)))
    }
  })

  app.route({
    ...at('stream'),
    schema: { params: ofEvent, querystring: afterQuery, response: REFUSALS },
    // While it can still be refused over HTTP, and so that the handler finds the room open.
    preHandler: async (request) => {
      await rooms.of(request.params.eventId)
      if (request.ws) countSocket(request, limits)
    },
    handler: () => {
      throw new Problem('bad-request', { detail: 'This address is a web socket.' })
    },
    wsHandler: async (socket: WebSocket, request: FastifyRequest) => {
      const { eventId } = request.params as z.infer<typeof ofEvent>
      const { after } = request.query as z.infer<typeof afterQuery>
      const room = await rooms.of(eventId)
      const { linkId, expiresAtMs } = callerOf(request)
      room.stream.add(socket, { after, linkId, expiresAtMs })
      // The link may have ended during its handshake, when there was nothing to close yet; the query has been read by then.
      if ((await linkOf(request, door, linkId)) === null) room.stream.dropLink(linkId)
    }
  })
}

/** Until its connection ends, however it does: opened, refused or given up. */
function countSocket(request: FastifyRequest, limits: Limits | undefined): void {
  const { socket } = request.raw as { socket?: Duplex }
  // Nobody is told of the end of one that has ended before; an injected one has none.
  if (limits === undefined || socket === undefined || socket.destroyed) return
  socket.once('close', limits.sockets.open(callerOf(request).linkId, addressOf(request)))
}

/** Which log it is and how long: a restored one may have counted on to the same number with other facts. */
const logOf = ({ seq, stream }: Room): string => `${String(seq)}-${(stream.markAt(seq) ?? '').replaceAll(' ', '.')}`

function viewOf({ state }: Room, atMs: number): string {
  const view = estimate(state, atMs)
  if (view === undefined) throw new Problem('event-not-begun')
  return JSON.stringify(view)
}

/** A large body with its tag: nothing at all when the caller has it, compressed once for all who ask for the same. */
async function sendBody(
  request: FastifyRequest,
  reply: FastifyReply,
  { tag, limits }: { tag: string; limits: Limits | undefined },
  make: () => Body
): Promise<FastifyReply> {
  const isKnown = request.headers['if-none-match']?.includes(tag) === true
  // Built first: where there is no body there is no tag either.
  const body = isKnown ? undefined : largeBody(request, limits, make)
  reply.header('etag', tag).header('cache-control', 'private, no-cache').header('vary', 'accept-encoding')
  return body === undefined ? reply.code(304).send() : sendLarge(request, reply, { limits, body })
}
