import { z } from 'zod'
import { anyFact } from './facts.ts'
import { FACT_KINDS, HOLD_REFUSALS, ROLES } from './kinds.ts'
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
/** `records`: whether something can be recorded now; a service that never will again answers 503 `store-broken`. */
export const readyAnswer = z.object({ records: z.enum(['yes', 'store-full']) })
/** A feed has none: it shows its secret with each request. */
export const membershipAnswer = z.object({
  linkId: z.string(),
  role: z.enum(ROLES).exclude(['feed']),
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
  z.object({
    eventId: z.string(),
    name: z.string(),
    opensAtMs: z.int(),
    revision: z.int(),
    publishedRevision: z.int().nullable()
  })
)
/** Newest first. The role is null where the link is no longer known, as in an event that came from elsewhere. */
export const revisionListAnswer = z.array(
  z.object({
    revision: z.int(),
    savedAtMs: z.int(),
    savedBy: z.string(),
    role: z.enum(ROLES).nullable(),
    name: z.string()
  })
)
/** A new event comes with its commander's link; one that the same request made before, with another one. */
export const createdPlanAnswer = z.object({
  eventId: z.string(),
  revision: z.int(),
  linkId: z.string(),
  secret: z.string(),
  repeated: z.boolean()
})
export const savedPlanAnswer = z.object({ eventId: z.string(), revision: z.int() })
export const recordedAnswer = z.object({ from: z.int(), to: z.int(), facts: z.array(anyFact), repeated: z.boolean() })
export type RecordedAnswer = z.infer<typeof recordedAnswer>
/** A page of the log; `more`: there are facts after `to`. */
export const logAnswer = z.object({
  eventId: z.string(),
  from: z.int(),
  to: z.int(),
  more: z.boolean(),
  facts: z.array(anyFact)
})
export type LogAnswer = z.infer<typeof logAnswer>
export const linkAnswer = z.object({
  linkId: z.string(),
  role: z.enum(ROLES),
  shipId: z.string().nullable(),
  createdAtMs: z.int(),
  expiresAtMs: z.int().nullable(),
  revokedAtMs: z.int().nullable(),
  lastUsedAtMs: z.int().nullable()
})
/** With how many facts it recorded, and the last of them, newest first; instants of facts are event time. */
export const linkListAnswer = z.array(
  linkAnswer.extend({
    factCount: z.int(),
    lastFacts: z.array(
      z.object({ seq: z.int(), kind: z.enum(FACT_KINDS), atMs: z.number(), shipId: z.string().optional() })
    )
  })
)
export const createdLinkAnswer = linkAnswer.extend({ secret: z.string(), path: z.string() })

/** Every link the event ever had, oldest first; what is told of them to everybody. */
export const memberListAnswer = z.array(
  z.object({ linkId: z.string(), role: z.enum(ROLES), shipId: z.string().nullable() })
)
export type MemberList = z.infer<typeof memberListAnswer>

/** One way of flying to the contact: what is aboard, how the curve runs, where the rule ends it. */
const contactAnswer = z.object({
  minutesMin: z.number(),
  onLoadKg: z.number(),
  lostKg: z.number(),
  fuelAtContactKg: z.number(),
  gaugeAtContactKg: z.number(),
  countedAtContactKg: z.number(),
  fuelAtDisconnectKg: z.number(),
  gaugeAtDisconnectKg: z.number(),
  endedBy: z.enum(['target', 'full', 'window', 'give', 'called']),
  kneeIndex: z.int().nullable(),
  /** The whole curve to full, a point per breakpoint; linear between. */
  points: z.array(
    z.object({
      atS: z.number(),
      onLoadKg: z.number(),
      fuelKg: z.number(),
      usableKg: z.number(),
      closes: z.array(z.string())
    })
  ),
  /** Stopping at each breakpoint before the end: what it saves and forgoes. */
  stops: z.array(
    z.object({
      atS: z.number(),
      onLoadKg: z.number(),
      usableKg: z.number(),
      closes: z.array(z.string()),
      knee: z.boolean(),
      savesS: z.number(),
      savesKg: z.number(),
      forgoesKg: z.number(),
      rateBeforeKgPerS: z.number(),
      rateAfterKgPerS: z.number()
    })
  )
})

export const onLoadAnswer = contactAnswer.extend({
  /** From now until fuel flows. */
  contactAtS: z.number(),
  /** What is burned on each part of the way ahead, kg/s: drag of what is fitted, and weight where flows grow with it. */
  burnsKgPerS: z.array(z.number()),
  limits: z
    .object({
      abortKg: z.number(),
      abortGaugeKg: z.number().nullable(),
      /** From now, waiting at the refuelling flow; null beyond eight hours. */
      latestContactAtS: z.number().nullable(),
      slackS: z.number().nullable()
    })
    .nullable(),
  hold: z.discriminatedUnion('kind', [
    z.object({
      kind: z.literal('hold'),
      fromS: z.number(),
      gaugeFromKg: z.number(),
      releaseAtS: z.number().nullable(),
      gaugeReleaseKg: z.number().nullable(),
      savedS: z.number(),
      externalUsedKg: z.number(),
      countedAtContactKg: z.number(),
      aboveFloorKg: z.number(),
      /** The contact with the hold flown. */
      held: contactAnswer
    }),
    z.object({ kind: z.literal('none'), why: z.enum(HOLD_REFUSALS) })
  ]),
  /** To dump all that can be dumped at the refuelling flow; null where nothing can. */
  dumpS: z.number().nullable(),
  warnings: z.array(z.object({ kind: z.literal('externals faster than the receiver'), byKgPerS: z.number() }))
})
export type OnLoadAnswer = z.infer<typeof onLoadAnswer>
