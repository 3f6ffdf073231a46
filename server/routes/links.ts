import { z } from 'zod'
import { createdLinkAnswer, linkListAnswer } from '../../shared/contracts/answers.ts'
import { eventId, linkId, type EventId, type ShipId } from '../../shared/contracts/ids.ts'
import type { Role } from '../../shared/contracts/kinds.ts'
import { createLinkBody } from '../../shared/contracts/requests.ts'
import { planInForce } from '../../shared/live/inforce.ts'
import type { App, Door } from '../app.ts'
import { at } from '../auth/guard.ts'
import { addLink } from '../auth/links.ts'
import { joinPath } from '../auth/secret.ts'
import { Problem } from '../problem.ts'
import { REFUSALS } from './answers.ts'

const ofEvent = z.object({ eventId })
const ofLink = z.object({ eventId, linkId })

export function registerLinks(app: App, { store, rooms, clock }: Door): void {
  app.route({
    ...at('listLinks'),
    schema: { params: ofEvent, response: { 200: linkListAnswer, ...REFUSALS } },
    handler: async (request) => {
      await checkEvent(request.params.eventId)
      return store.links(request.params.eventId)
    }
  })

  app.route({
    ...at('createLink'),
    schema: { params: ofEvent, body: createLinkBody, response: { 201: createdLinkAnswer, ...REFUSALS } },
    handler: async (request, reply) => {
      const { eventId } = request.params
      const { role, shipId } = request.body
      await checkEvent(eventId)
      await checkShip(eventId, role, shipId)
      const link = await addLink(store, { role, eventId, shipId }, clock.nowMs())
      return reply.code(201).send({ ...link, path: joinPath(link.secret) })
    }
  })

  app.route({
    ...at('revokeLink'),
    schema: { params: ofLink, response: { 204: z.undefined(), ...REFUSALS } },
    handler: async (request, reply) => {
      const revoked = await store.revokeLink({ ...request.params, atMs: clock.nowMs() })
      if (!revoked) throw new Problem('not-found')
      rooms.dropLink(request.params.eventId, request.params.linkId)
      return reply.code(204).send()
    }
  })

  async function checkEvent(eventId: EventId): Promise<void> {
    if ((await store.event(eventId)) === undefined) throw new Problem('not-found')
  }

  /** A crew link is bound to a ship of the newest plan, or to one the event has taken in since; no other link is. */
  async function checkShip(eventId: EventId, role: Role, shipId: ShipId | undefined): Promise<void> {
    if ((role === 'crew') !== (shipId !== undefined)) {
      const limit = role === 'crew' ? 'a ship' : 'nothing: only a crew link is bound to a ship'
      const fault = { path: '/shipId', value: shipId ?? 'nothing', limit, message: `expected ${limit}` }
      throw new Problem('bad-request', { errors: [fault], errorCount: 1 })
    }
    if (shipId === undefined) return
    const newest = await store.revision(eventId)
    const inForce = planInForce((await rooms.of(eventId)).state)
    const flights = [...(newest?.plan.flights ?? []), ...(inForce?.flights ?? [])]
    if (!flights.some(({ ships }) => ships.some((ship) => ship.id === shipId))) throw new Problem('unknown-ship')
  }
}
