import type { FastifyReply, FastifyRequest } from 'fastify'
import { z } from 'zod'
import {
  createdPlanAnswer,
  planAnswer,
  planListAnswer,
  recordedAnswer,
  revisionListAnswer,
  savedPlanAnswer
} from '../../shared/contracts/answers.ts'
import { eventId, type EventId } from '../../shared/contracts/ids.ts'
import { plan } from '../../shared/contracts/plan.ts'
import { seqCount } from '../../shared/contracts/quantities.ts'
import { createPlanBody, publishBody, savePlanBody } from '../../shared/contracts/requests.ts'
import type { App, Door } from '../app.ts'
import { at, callerOf } from '../auth/guard.ts'
import { addLink } from '../auth/links.ts'
import { eventIdFor, mintEventId } from '../auth/secret.ts'
import { whoOf } from '../auth/who.ts'
import { takeText } from '../json.ts'
import { asBody } from '../live/bodies.ts'
import { Problem } from '../problem.ts'
import type { Revision } from '../store/store.ts'
import { asText } from '../validation.ts'
import { readPlanBody, type PlanBody } from '../work/reading.ts'
import { REFUSALS, sendText } from './answers.ts'
import { unlessBusy } from './busy.ts'
import { largeBody, sendLarge } from './large.ts'

/** The largest plan document, its envelope included. */
export const PLAN_BYTES = 4 * 1024 * 1024
/** Characters that are read where calls are answered: what any other body may have too. */
const READ_HERE = 64 * 1024

const ofEvent = z.object({ eventId })
const ofRevision = z.object({ eventId, revision: z.coerce.number().pipe(seqCount) })
/** Where a file replaces the plan: the revision it is meant to replace; left out, whichever is the newest. */
const importQuery = z.object({ revisionSeen: z.coerce.number().pipe(seqCount).optional() })

export async function registerPlans(app: App, { store, rooms, clock, reader, limits }: Door): Promise<void> {
  /** Puts what the body says in place of its text. */
  const reading = (kind: PlanBody) => async (request: FastifyRequest) => {
    const text = typeof request.body === 'string' ? request.body : ''
    request.body = await bodyOf(kind, text, callerOf(request).linkId)
  }

  async function bodyOf(what: PlanBody, text: string, by: string): Promise<unknown> {
    if (text.length <= READ_HERE) return readPlanBody(what, text)
    return JSON.parse(await unlessBusy(reader.ask({ what, text }, by)))
  }

  // These take the text as it comes, and read what is large on the reading thread.
  await app.register((texts: App) => {
    takeText(texts)

    texts.route({
      ...at('createPlan'),
      bodyLimit: PLAN_BYTES,
      validatorCompiler: asText,
      preHandler: reading('createPlan'),
      schema: { body: createPlanBody, response: { 201: createdPlanAnswer, ...REFUSALS } },
      handler: async (request, reply) => {
        const { requestId, plan } = request.body
        const nowMs = clock.nowMs()
        const { linkId: savedBy } = callerOf(request)
        const eventId = requestId === undefined ? mintEventId() : eventIdFor(savedBy, requestId)
        // Whoever repeats a request did not hear its answer, and the secret in it is kept nowhere: they get another link.
        const before = requestId === undefined ? undefined : await store.event(eventId)
        if (before === undefined) await store.createEvent({ eventId, plan, savedAtMs: nowMs, savedBy })
        const { linkId, secret } = await addLink(store, { role: 'commander', eventId }, nowMs)
        const repeated = before !== undefined
        return reply.code(201).send({ eventId, revision: before?.revision ?? 1, linkId, secret, repeated })
      }
    })

    texts.route({
      ...at('savePlan'),
      bodyLimit: PLAN_BYTES,
      validatorCompiler: asText,
      preHandler: reading('savePlan'),
      schema: { params: ofEvent, body: savePlanBody, response: { 200: savedPlanAnswer, ...REFUSALS } },
      handler: async (request) => {
        const { revisionSeen, plan } = request.body
        return save(request.params.eventId, { revisionSeen, plan, savedBy: callerOf(request).linkId })
      }
    })

    texts.route({
      ...at('importPlan'),
      bodyLimit: PLAN_BYTES,
      validatorCompiler: asText,
      preHandler: reading('importPlan'),
      schema: {
        params: ofEvent,
        querystring: importQuery,
        body: plan,
        response: { 200: savedPlanAnswer, ...REFUSALS }
      },
      handler: async (request) => {
        const { eventId } = request.params
        const revisionSeen = request.query.revisionSeen ?? (await newest(eventId)).revision
        return save(eventId, { revisionSeen, plan: request.body, savedBy: callerOf(request).linkId })
      }
    })
  })

  app.route({
    ...at('listPlans'),
    schema: { response: { 200: planListAnswer, ...REFUSALS } },
    handler: () => store.events()
  })

  app.route({
    ...at('readPlan'),
    schema: { params: ofEvent, response: { 200: planAnswer, ...REFUSALS } },
    handler: async (request, reply) => sendJson(request, reply, await planAt(request.params.eventId))
  })

  app.route({
    ...at('listRevisions'),
    schema: { params: ofEvent, response: { 200: revisionListAnswer, ...REFUSALS } },
    handler: async (request) => {
      const revisions = await store.revisions(request.params.eventId)
      // An event has one from its beginning.
      if (revisions.length === 0) throw new Problem('not-found')
      return revisions
    }
  })

  app.route({
    ...at('readRevision'),
    schema: { params: ofRevision, response: { 200: planAnswer, ...REFUSALS } },
    handler: async (request, reply) => {
      const { eventId, revision } = request.params
      return sendJson(request, reply, await planAt(eventId, revision))
    }
  })

  app.route({
    ...at('exportPlan'),
    schema: { params: ofEvent, response: { 200: plan, ...REFUSALS } },
    handler: async (request, reply) => {
      const { eventId, revision, plan } = await newest(request.params.eventId)
      const name = `ullage-${eventId}-${String(revision)}.json`
      reply.header('content-disposition', `attachment; filename="${name}"`)
      return sendJson(request, reply, plan)
    }
  })

  app.route({
    ...at('publishPlan'),
    schema: { params: ofEvent, body: publishBody, response: { 200: recordedAnswer, ...REFUSALS } },
    handler: async (request, reply) => {
      const { eventId } = request.params
      const { requestId, revision, revisionSeen } = request.body
      const room = await rooms.of(eventId)
      // What was asked before and recorded is answered again, whatever was saved since.
      if (revisionSeen !== undefined && !room.knows(requestId)) await refuseOlder(eventId, revisionSeen, requestId)
      const saved = await store.revision(eventId, revision)
      if (saved === undefined) throw new Problem('unknown-revision', { requestId })
      const adoption = { kind: 'adoptPlan' as const, requestId, revision, plan: saved.plan }
      return sendText(reply, await room.ask(adoption, whoOf(callerOf(request))))
    }
  })

  /** A plan was checked when it was kept, and may have megabytes: it goes out as it is, counted until it was read. */
  function sendJson(request: FastifyRequest, reply: FastifyReply, answer: object): Promise<FastifyReply> {
    const body = largeBody(request, limits, () => asBody(JSON.stringify(answer)))
    return sendLarge(request, reply, { limits, body })
  }

  async function newest(eventId: EventId, revision?: number): Promise<Revision> {
    const found = await store.revision(eventId, revision)
    if (found === undefined) throw new Problem('not-found')
    return found
  }

  async function refuseOlder(eventId: EventId, revisionSeen: number, requestId: string): Promise<void> {
    if ((await newest(eventId)).revision > revisionSeen) throw new Problem('stale-revision', { requestId })
  }

  async function planAt(eventId: EventId, revision?: number) {
    const found = await newest(eventId, revision)
    const event = await store.event(eventId)
    return { ...found, publishedRevision: event?.publishedRevision ?? null }
  }

  async function save(
    eventId: EventId,
    next: Pick<Revision, 'plan'> & { revisionSeen: number; savedBy: string }
  ): Promise<{ eventId: EventId; revision: number }> {
    await newest(eventId)
    const revision = await store.saveRevision({ eventId, ...next, savedAtMs: clock.nowMs() })
    if (revision === undefined) throw new Problem('stale-revision')
    return { eventId, revision }
  }
}
