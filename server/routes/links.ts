import { z } from 'zod'
import { createdLinkAnswer, linkListAnswer, memberListAnswer } from '../../shared/contracts/answers.ts'
import type { Fact } from '../../shared/contracts/facts.ts'
import { eventId, linkId, type EventId, type ShipId } from '../../shared/contracts/ids.ts'
import type { Role } from '../../shared/contracts/kinds.ts'
import { createLinkBody, renewLinkBody } from '../../shared/contracts/requests.ts'
import { planInForce } from '../../shared/live/inforce.ts'
import type { App, Door } from '../app.ts'
import { at } from '../auth/guard.ts'
import { addLink } from '../auth/links.ts'
import { joinPath, mintSecret } from '../auth/secret.ts'
import { Problem } from '../problem.ts'
import { REFUSALS } from './answers.ts'

const ofEvent = z.object({ eventId })
const ofLink = z.object({ eventId, linkId })
/** Facts of one link that its list shows. */
const SHOWN = 3

export function registerLinks(app: App, { store, rooms, clock, uses, revocations }: Door): void {
  app.route({
    ...at('listLinks'),
    schema: { params: ofEvent, response: { 200: linkListAnswer, ...REFUSALS } },
    handler: async (request) => {
      const { eventId } = request.params
      await checkEvent(eventId)
      const { facts } = await store.log(eventId)
      const links = await store.links(eventId)
      return links.map((link) => ({
        ...link,
        revokedAtMs: revocations.atMs(link.linkId) ?? link.revokedAtMs,
        lastUsedAtMs: uses.lastMs(link.linkId) ?? link.lastUsedAtMs,
        ...doneBy(link.linkId, facts)
      }))
    }
  })

  app.route({
    ...at('listMembers'),
    schema: { params: ofEvent, response: { 200: memberListAnswer, ...REFUSALS } },
    handler: async (request) => {
      const { eventId } = request.params
      await checkEvent(eventId)
      const links = (await store.links(eventId)).toSorted((a, b) => a.createdAtMs - b.createdAtMs)
      return links.map(({ linkId, role, shipId }) => ({ linkId, role, shipId }))
    }
  })

  app.route({
    ...at('createLink'),
    schema: { params: ofEvent, body: createLinkBody, response: { 201: createdLinkAnswer, ...REFUSALS } },
    handler: async (request, reply) => {
      const { eventId } = request.params
      const { role, shipId, expiresAtMs } = request.body
      await checkEvent(eventId)
      checkExpiry(expiresAtMs)
      await checkShip(eventId, role, shipId)
      const link = await addLink(store, { role, eventId, shipId, expiresAtMs }, clock.nowMs())
      return reply.code(201).send({ ...link, path: joinPath(link.secret) })
    }
  })

  app.route({
    ...at('renewLink'),
    schema: { params: ofLink, body: renewLinkBody, response: { 200: createdLinkAnswer, ...REFUSALS } },
    handler: async (request) => {
      const { eventId, linkId } = request.params
      const link = (await store.links(eventId)).find((one) => one.linkId === linkId && one.revokedAtMs === null)
      if (link === undefined || revocations.has(linkId)) throw new Problem('not-found')
      const { expiresAtMs = link.expiresAtMs } = request.body
      checkExpiry(expiresAtMs)
      const { secret, secretHash } = mintSecret()
      const renewed = await store.renewLink({ eventId, linkId, secretHash, expiresAtMs })
      if (!renewed) throw new Problem('not-found')
      rooms.dropLink(eventId, linkId)
      return { ...link, expiresAtMs, secret, path: joinPath(secret) }
    }
  })

  app.route({
    ...at('revokeLink'),
    schema: { params: ofLink, response: { 204: z.undefined(), ...REFUSALS } },
    handler: async (request, reply) => {
      const revoked = await revocations.revoke({ ...request.params, atMs: clock.nowMs() })
      if (!revoked) throw new Problem('not-found')
      return reply.code(204).send()
    }
  })

  async function checkEvent(eventId: EventId): Promise<void> {
    if ((await store.event(eventId)) === undefined) throw new Problem('not-found')
  }

  /** A link that has expired before it is told would be of no use. */
  function checkExpiry(expiresAtMs: number | null | undefined): void {
    const nowMs = clock.nowMs()
    if (expiresAtMs === undefined || expiresAtMs === null || expiresAtMs > nowMs) return
    const limit = `later than now, ${String(nowMs)} ms`
    const fault = { path: '/expiresAtMs', value: String(expiresAtMs), limit, message: `expected ${limit}` }
    throw new Problem('out-of-bounds', { errors: [fault], errorCount: 1 })
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

/** What was recorded under a link, newest first. */
function doneBy(linkId: string, facts: readonly Fact[]) {
  const own = facts.filter(({ by }) => by === linkId)
  const lastFacts = own
    .slice(-SHOWN)
    .reverse()
    .map((fact) => ({
      seq: fact.seq,
      kind: fact.kind,
      atMs: fact.atMs,
      ...('shipId' in fact ? { shipId: fact.shipId } : {})
    }))
  return { factCount: own.length, lastFacts }
}
