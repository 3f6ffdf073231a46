import type { FastifyError, FastifyInstance, FastifyReply, FastifyRequest } from 'fastify'
import type { z } from 'zod'
import { faultsOf } from '../shared/contracts/faults.ts'
import { PROBLEMS, type Fault, type ProblemBody, type ProblemCode } from '../shared/contracts/problem.ts'
import { StoreBroken, StoreFull } from './store/store.ts'

interface Details {
  detail?: string
  errors?: Fault[]
  errorCount?: number
  requestId?: string
}

/** A refusal on its way out: the only kind of error that a caller is told the cause of. */
export class Problem extends Error {
  readonly statusCode: number

  constructor(
    readonly code: ProblemCode,
    readonly details: Details = {},
    /** When it is worth asking again. */
    readonly retryAfterS?: number
  ) {
    super(details.detail ?? PROBLEMS[code][1])
    this.statusCode = PROBLEMS[code][0]
  }

  get body(): ProblemBody {
    const [status, title] = PROBLEMS[this.code]
    return { type: `urn:ullage:problem:${this.code}`, title, status, code: this.code, ...this.details }
  }
}

/** A refusal that lists what a schema found. */
export function misfit(error: z.core.$ZodError, input: unknown, code: ProblemCode = 'bad-request'): Problem {
  const { faults, count } = faultsOf(error, input)
  return new Problem(code, { errors: faults, errorCount: count })
}

export function sendProblem(reply: FastifyReply, problem: Problem): FastifyReply {
  if (problem.retryAfterS !== undefined) reply.header('retry-after', String(problem.retryAfterS))
  return reply
    .code(problem.statusCode)
    .header('content-type', 'application/problem+json; charset=utf-8')
    .header('cache-control', 'no-store')
    .send(JSON.stringify(problem.body))
}

/** Every error becomes a problem of the closed list; of an unforeseen one the caller learns nothing more. */
export function registerProblems(app: FastifyInstance): void {
  app.setErrorHandler<FastifyError | Problem>((error, request, reply) => {
    const problem = problemOf(error)
    if (problem.code === 'internal') request.log.error(error)
    return sendProblem(reply, problem)
  })
}

/** What the framework refused before any route was found, such as a path with a broken escape: no hook is asked then. */
export function frameworkProblems(
  always: Readonly<Record<string, string>>
): (error: FastifyError, request: FastifyRequest, reply: FastifyReply) => void {
  return (error, request, reply) => {
    void sendProblem(reply.headers(always).header('request-id', request.id), problemOf(error))
  }
}

function problemOf(error: FastifyError | Problem): Problem {
  if (error instanceof Problem) return error
  if (error instanceof StoreFull) return new Problem('store-full')
  if (error instanceof StoreBroken) return new Problem(error.isUnknown ? 'outcome-unknown' : 'store-broken')
  if (error.statusCode === 413) return new Problem('too-large')
  if (error.code === 'FST_ERR_CTP_INVALID_MEDIA_TYPE') {
    return new Problem('not-json', { detail: 'The content type must be application/json.' })
  }
  if (error.statusCode !== undefined && error.statusCode >= 400 && error.statusCode < 500) {
    return new Problem('bad-request', { detail: error.message })
  }
  return new Problem('internal')
}
