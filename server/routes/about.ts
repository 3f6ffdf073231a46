import swagger from '@fastify/swagger'
import { jsonSchemaTransform, jsonSchemaTransformObject } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { healthAnswer, problem, readyAnswer } from '../../shared/contracts/answers.ts'
import { anyFact } from '../../shared/contracts/facts.ts'
import { plan } from '../../shared/contracts/plan.ts'
import { anyRequest } from '../../shared/contracts/requests.ts'
import { ROUTES, type Route } from '../../shared/contracts/routes.ts'
import { view } from '../../shared/contracts/view.ts'
import type { App, Door } from '../app.ts'
import { at } from '../auth/guard.ts'
import type { Metrics } from '../metrics.ts'
import { Problem } from '../problem.ts'
import { REFUSALS } from './answers.ts'

/** Shapes that stand once in the document, under a name. */
const NAMED = { Plan: plan, Fact: anyFact, Request: anyRequest, View: view, Problem: problem }

export async function registerDocument(app: App, { version }: Door): Promise<void> {
  for (const [id, schema] of Object.entries(NAMED)) z.globalRegistry.add(schema, { id })
  await app.register(swagger, {
    openapi: {
      openapi: '3.1.0',
      info: {
        title: 'Ullage',
        version,
        description:
          'Planning and running of air-to-air refuelling: a planning aid. Crews, their gauges, their flight manuals ' +
          'and the controlling authority take precedence. Figures in SI; instants in milliseconds of event time, UTC.'
      },
      components: {
        securitySchemes: {
          link: { type: 'http', scheme: 'bearer', description: 'The secret of a role link.' }
        }
      }
    },
    transform: (input) => {
      const { schema, url } = jsonSchemaTransform(input)
      const { name } = input.route.config ?? {}
      if (name === undefined) return { schema: { ...schema, hide: true }, url }
      const route: Route = ROUTES[name]
      const security = route.who.includes('anyone') ? {} : { security: [{ link: [] }] }
      return { schema: { ...schema, operationId: name, summary: route.summary, ...security }, url }
    },
    transformObject: jsonSchemaTransformObject
  })
}

export function registerMetrics(app: App, metrics: Metrics): void {
  app.route({
    ...at('metrics'),
    handler: (_request, reply) =>
      reply.header('content-type', 'text/plain; version=0.0.4; charset=utf-8').send(metrics.text())
  })
}

export function registerHealth(app: App, { version, clock, store }: Door): void {
  const startedAtMs = clock.elapsedMs()
  app.route({
    ...at('health'),
    schema: { response: { 200: healthAnswer } },
    handler: () => ({ status: 'ok' as const, version, uptimeS: (clock.elapsedMs() - startedAtMs) / 1000 })
  })

  app.route({
    ...at('ready'),
    schema: { response: { 200: readyAnswer, ...REFUSALS } },
    handler: () => {
      if (store.trouble === 'store-broken') throw new Problem('store-broken')
      return { records: store.trouble ?? ('yes' as const) }
    }
  })

  let document: string | undefined
  app.route({
    ...at('openapi'),
    handler: (_request, reply) => {
      document ??= JSON.stringify(app.swagger())
      return reply.header('content-type', 'application/json; charset=utf-8').send(document)
    }
  })
}
