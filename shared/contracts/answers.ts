import { z } from 'zod'
import { anyFact } from './facts.ts'
import { ROLES } from './kinds.ts'
import { plan } from './plan.ts'
import { PROBLEM_CODES } from './problem.ts'

/** Bodies the service answers with. The view of an event stands in view.ts. */
export const fault = z.object({ path: z.string(), value: z.string(), limit: z.string(), message: z.string() })
export const problem = z.object({
  type: z.string(),
  title: z.string(),
  status: z.int(),
  code: z.enum(PROBLEM_CODES as [string, ...string[]]),
  detail: z.string().optional(),
  errors: z.array(fault).optional(),
  errorCount: z.int().optional(),
  requestId: z.string().optional()
})

export const healthAnswer = z.object({ status: z.literal('ok'), version: z.string(), uptimeS: z.number() })
export const membershipAnswer = z.object({
  linkId: z.string(),
  role: z.enum(ROLES),
  eventId: z.string().nullable(),
  shipId: z.string().nullable()
})
export type Membership = z.infer<typeof membershipAnswer>
export const planAnswer = z.object({
  eventId: z.string(),
  revision: z.int(),
  publishedRevision: z.int().nullable(),
  savedAtMs: z.int(),
  plan
})
export type PlanAnswer = z.infer<typeof planAnswer>
export const planListAnswer = z.array(
  z.object({ eventId: z.string(), name: z.string(), revision: z.int(), publishedRevision: z.int().nullable() })
)
/** A new event comes with its commander's link. */
export const createdPlanAnswer = z.object({
  eventId: z.string(),
  revision: z.int(),
  linkId: z.string(),
  secret: z.string()
})
export const savedPlanAnswer = z.object({ eventId: z.string(), revision: z.int() })
export const recordedAnswer = z.object({ from: z.int(), to: z.int(), facts: z.array(anyFact), repeated: z.boolean() })
export type RecordedAnswer = z.infer<typeof recordedAnswer>
export const logAnswer = z.object({ eventId: z.string(), from: z.int(), to: z.int(), facts: z.array(anyFact) })
export type LogAnswer = z.infer<typeof logAnswer>
export const linkAnswer = z.object({
  linkId: z.string(),
  role: z.enum(ROLES),
  shipId: z.string().nullable(),
  createdAtMs: z.int(),
  revokedAtMs: z.int().nullable()
})
export const linkListAnswer = z.array(linkAnswer)
export const createdLinkAnswer = linkAnswer.extend({ secret: z.string(), path: z.string() })

export const onLoadAnswer = z.object({
  minutesMin: z.number(),
  onLoadKg: z.number(),
  fuelAtContactKg: z.number(),
  fuelAtDisconnectKg: z.number(),
  endedBy: z.enum(['target', 'full', 'window', 'give', 'called']),
  kneeIndex: z.int().nullable(),
  /** The whole curve to full, a point per breakpoint; linear between. */
  points: z.array(z.object({ atS: z.number(), onLoadKg: z.number(), fuelKg: z.number(), closes: z.array(z.string()) }))
})
export type OnLoadAnswer = z.infer<typeof onLoadAnswer>
