import type {
  LogAnswer,
  MemberList,
  Membership,
  PlanAnswer,
  RecordedAnswer,
  createdLinkAnswer,
  createdPlanAnswer,
  linkListAnswer,
  planListAnswer,
  revisionListAnswer,
  savedPlanAnswer
} from '../shared/contracts/answers.ts'
import type { Role } from '../shared/contracts/kinds.ts'
import type { Fault, ProblemBody, ProblemCode } from '../shared/contracts/problem.ts'
import { pathOf, ROUTES, type RouteName } from '../shared/contracts/routes.ts'
import type { Plan } from '../shared/contracts/plan.ts'
import type { SearchView } from '../shared/contracts/search.ts'
import type { View } from '../shared/contracts/view.ts'
import type { Unsent } from '../shared/entry/understanding.ts'
import type { z } from 'zod'

/** What the service refused, by its code; without a code no answer came at all. */
export class Refusal extends Error {
  readonly code: ProblemCode | undefined
  readonly faults: readonly Fault[]
  readonly faultCount: number

  constructor(body: Partial<ProblemBody> | undefined, cause?: unknown) {
    super(body?.detail ?? body?.title ?? 'no answer', { cause })
    this.code = body?.code
    this.faults = body?.errors ?? []
    this.faultCount = body?.errorCount ?? this.faults.length
  }
}

/** Whether the service says that the link opens nothing, or not any more. */
export const isEnded = (problem: unknown): boolean => problem instanceof Refusal && problem.code === 'no-membership'

interface Call {
  /** The link this page acts under. */
  as?: string
  parameters?: Readonly<Record<string, string | number>>
  query?: Readonly<Record<string, string | number>>
  body?: unknown
}

/** A request without an answer for this long has none. */
const ANSWER_MS = 15_000

async function call<Answer>(name: RouteName, { as, parameters, query, body }: Call = {}): Promise<Answer> {
  const headers: Record<string, string> = { accept: 'application/json' }
  if (as !== undefined) headers['ullage-as'] = as
  if (body !== undefined) headers['content-type'] = 'application/json'
  const search =
    query === undefined
      ? ''
      : `?${new URLSearchParams(Object.entries(query).map(([key, value]) => [key, String(value)])).toString()}`
  let response: Response
  let text: string
  try {
    response = await fetch(pathOf(name, parameters) + search, {
      method: ROUTES[name].method,
      headers,
      signal: AbortSignal.timeout(ANSWER_MS),
      ...(body === undefined ? {} : { body: typeof body === 'string' ? body : JSON.stringify(body) })
    })
    text = await response.text()
  } catch (cause) {
    throw new Refusal(undefined, cause)
  }
  const answer = text === '' ? undefined : jsonIn(text)
  if (response.ok && answer !== NOT_JSON) return answer as Answer
  throw new Refusal(problemIn(answer))
}

const NOT_JSON = Symbol('not JSON')
function jsonIn(text: string): unknown {
  try {
    return JSON.parse(text)
  } catch {
    return NOT_JSON
  }
}

/**
 * What the service refused: each of its refusals has a code in words. Whatever else comes, of a proxy that cannot reach
 * it, or a network that wants a sign-in, forbids or slows down, is no answer of the service.
 */
function problemIn(answer: unknown): Partial<ProblemBody> | undefined {
  const { code, title } = Object(answer) as { code?: unknown; title?: unknown }
  return typeof code === 'string' && typeof title === 'string' ? (answer as Partial<ProblemBody>) : undefined
}

export type CreatedLink = z.infer<typeof createdLinkAnswer>
export type CreatedPlan = z.infer<typeof createdPlanAnswer>
export type PlanList = z.infer<typeof planListAnswer>
export type LinkList = z.infer<typeof linkListAnswer>
export type RevisionList = z.infer<typeof revisionListAnswer>
type SavedPlan = z.infer<typeof savedPlanAnswer>

export const signIn = (secret: string): Promise<Membership> => call('signIn', { body: { secret } })
export const readMembership = (linkId: string): Promise<Membership> =>
  call('membership', { as: linkId, parameters: { linkId } })

/** Takes the link out of this browser. */
export const signOut = (linkId: string): Promise<unknown> => call('signOut', { parameters: { linkId } })

export const listPlans = (as: string): Promise<PlanList> => call('listPlans', { as })
export const readPlan = (as: string, eventId: string): Promise<PlanAnswer> =>
  call('readPlan', { as, parameters: { eventId } })
/** The file goes as it is: the service finds its faults, all of them. It takes the place of the revision that was seen. */
export const importPlan = (as: string, eventId: string, file: string, revisionSeen: number): Promise<SavedPlan> =>
  call('importPlan', { as, parameters: { eventId }, query: { revisionSeen }, body: file })
/** A repeat after an unknown outcome carries the same id, so that one event is made and no second. */
export const createPlan = (as: string, file: string, requestId: string): Promise<CreatedPlan> =>
  call('createPlan', { as, body: `{"requestId":"${requestId}","plan":${file}}` })
export const listRevisions = (as: string, eventId: string): Promise<RevisionList> =>
  call('listRevisions', { as, parameters: { eventId } })
export const readRevision = (as: string, eventId: string, revision: number): Promise<PlanAnswer> =>
  call('readRevision', { as, parameters: { eventId, revision } })
export const savePlan = (as: string, eventId: string, revisionSeen: number, plan: Plan): Promise<SavedPlan> =>
  call('savePlan', { as, parameters: { eventId }, body: { revisionSeen, plan } })
/** Only while it is the newest: where somebody saved a newer one, it is refused as stale. */
export const publishPlan = (as: string, eventId: string, revision: number): Promise<RecordedAnswer> =>
  call('publishPlan', {
    as,
    parameters: { eventId },
    body: { requestId: newRequestId(), revision, revisionSeen: revision }
  })
export const computeOrder = (plan: Plan): Promise<View> => call('computeOrder', { body: { plan } })

/** The event as the service sees it now. */
export const readState = (as: string, eventId: string): Promise<View> =>
  call('readState', { as, parameters: { eventId } })
/** All facts after a number, page by page. */
export async function readLog(as: string, eventId: string, after: number): Promise<Pick<LogAnswer, 'facts'>> {
  const facts: LogAnswer['facts'] = []
  for (let next = after; ;) {
    const page = await call<LogAnswer>('readLog', { as, parameters: { eventId }, query: { after: next } })
    facts.push(...page.facts)
    if (!page.more) return { facts }
    next = page.to
  }
}
/** A repeat after an unknown outcome carries the same id, so that nothing is recorded twice. */
export const record = (
  as: string,
  eventId: string,
  request: Unsent,
  requestId = newRequestId()
): Promise<RecordedAnswer> => call('record', { as, parameters: { eventId }, body: { requestId, ...request } })

/** A better order looked for by the service, with what no order can better. */
export const startSearch = (as: string, eventId: string): Promise<SearchView> =>
  call('startSearch', { as, parameters: { eventId }, body: { kind: 'proof' } })
export const stopSearch = (as: string, eventId: string): Promise<unknown> =>
  call('stopSearch', { as, parameters: { eventId } })

export const listMembers = (as: string, eventId: string): Promise<MemberList> =>
  call('listMembers', { as, parameters: { eventId } })

export const listLinks = (as: string, eventId: string): Promise<LinkList> =>
  call('listLinks', { as, parameters: { eventId } })
/** A field that is undefined is left out. */
export const createLink = (
  as: string,
  eventId: string,
  wanted: { role: Role; shipId: string | undefined; expiresAtMs: number | undefined }
): Promise<CreatedLink> => call('createLink', { as, parameters: { eventId }, body: wanted })
/** Null: it holds until it is ended. */
export const renewLink = (
  as: string,
  eventId: string,
  linkId: string,
  expiresAtMs: number | null
): Promise<CreatedLink> => call('renewLink', { as, parameters: { eventId, linkId }, body: { expiresAtMs } })
export const revokeLink = (as: string, eventId: string, linkId: string): Promise<unknown> =>
  call('revokeLink', { as, parameters: { eventId, linkId } })

/**
 * Begins with the time: what one page asks for stands together in the index of requests, so that many of them are few
 * pages of the disk. Eighty bits of chance follow. Works on plain HTTP too, where crypto.randomUUID does not.
 */
export function newRequestId(): string {
  const chance = Array.from(crypto.getRandomValues(new Uint8Array(10)), (byte) => byte.toString(16).padStart(2, '0'))
  return Date.now().toString(16).padStart(12, '0') + chance.join('')
}
