import type { FastifyReply, FastifyRequest } from 'fastify'
import type { Socket } from 'node:net'
import { callerOf } from '../auth/guard.ts'
import { addressOf, type Limits } from '../limits.ts'
import type { Body } from '../live/bodies.ts'

/**
 * The body of a large answer, unless too much waits for the same reader already.
 * @throws Problem `too-many-requests`
 */
export function largeBody(request: FastifyRequest, limits: Limits | undefined, body: () => Body): Body {
  limits?.unread.check(callerOf(request).linkId, addressOf(request))
  return body()
}

/** Sends what `largeBody` gave, compressed where that is taken, and counts it until it was read. */
export async function sendLarge(
  request: FastifyRequest,
  reply: FastifyReply,
  { limits, body }: { limits: Limits | undefined; body: Body }
): Promise<FastifyReply> {
  holdUntilRead(request, reply, { limits, bytes: body.plain })
  reply.header('vary', 'accept-encoding').header('content-type', 'application/json; charset=utf-8')
  const takesGzip = /\bgzip\b/.test(request.headers['accept-encoding'] ?? '')
  // Bytes, not text: of text each reader would have a copy.
  return takesGzip ? reply.header('content-encoding', 'gzip').send(await body.gzip()) : reply.send(body.plain)
}

/** Until the system has taken all of it, or the connection has ended. */
function holdUntilRead(
  request: FastifyRequest,
  { raw }: FastifyReply,
  { limits, bytes }: { limits: Limits | undefined; bytes: Buffer }
): void {
  const { socket } = request.raw
  if (limits === undefined || raw.destroyed || socket.destroyed) return
  const release = limits.unread.hold(callerOf(request).linkId, addressOf(request), bytes)
  const its = endsOf(socket)
  let isHeld = true
  const once = (): void => {
    if (isHeld) release()
    isHeld = false
    its.delete(once)
  }
  its.add(once)
  raw.once('finish', once)
  raw.once('close', once)
}

/** What is to be done when a connection ends. */
const ends = new WeakMap<Socket, Set<() => void>>()

/** An answer that waits behind others of its connection is not told that it ended: only the one under way is. */
function endsOf(socket: Socket): Set<() => void> {
  const known = ends.get(socket)
  if (known !== undefined) return known
  const its = new Set<() => void>()
  ends.set(socket, its)
  socket.once('close', () => {
    for (const end of [...its]) end()
  })
  return its
}
