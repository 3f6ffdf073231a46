import { z } from 'zod'
import { BOUNDS, SIZES } from './bounds.ts'
import { flightId } from './ids.ts'
import { tankerOrder } from './plan.ts'
import { PROPOSALS, SEARCH_FAULTS, SEARCH_STATUSES } from './stream.ts'
import { judgementView } from './view.ts'

/* A better order, looked for by the service. Instants are event time in ms, masses kg, but for `startedAtMs`. */

/** What is asked for: the kind, flights that may be split beside those the plan allows, and how many orders may be judged. */
export const searchBody = z.strictObject({
  kind: z.enum(PROPOSALS),
  maySpread: z.array(flightId).max(SIZES.flights).optional(),
  judgements: z.int().min(BOUNDS.judgements.min).max(BOUNDS.judgements.max).optional()
})
export type SearchBody = z.infer<typeof searchBody>

const place = z.object({
  stationId: z.string(),
  index: z.int(),
  contactAtMs: z.number(),
  disconnectAtMs: z.number(),
  onLoadKg: z.number(),
  pushAtMs: z.number(),
  shortageKg: z.number(),
  served: z.boolean()
})

/** What the order changes for one slot; spans are new less old. */
const slotChange = z.object({
  slotId: z.string(),
  shipId: z.string(),
  was: place.optional(),
  becomes: place.optional(),
  contactLaterMs: z.number().optional(),
  moreOnLoadKg: z.number(),
  pushLaterMs: z.number(),
  moreShortKg: z.number(),
  turns: z.enum(['saved', 'lost']).optional(),
  moved: z.boolean()
})

/**
 * What no order can better, and how many levels of the judgement, from the left, the order found meets. `bestOfBlocks`: of
 * those in which flights come to each tanker one after another, each worst first, none is better, but for slots moved.
 */
const bound = z.object({
  least: judgementView,
  metLevels: z.int(),
  proved: z.boolean(),
  by: z.string(),
  bestOfBlocks: z.boolean()
})

/** Orders to set, whole; none where nothing better was found. */
export const proposalAnswer = z.object({
  kind: z.enum(PROPOSALS),
  basedOnSeq: z.int(),
  atMs: z.number(),
  orders: z.array(tankerOrder).readonly(),
  judgement: judgementView,
  /** Of the order in force. */
  before: judgementView,
  changes: z.array(slotChange).readonly(),
  bound: bound.optional(),
  judgements: z.int(),
  stopped: z.boolean()
})
export type ProposalView = z.infer<typeof proposalAnswer>

export const searchAnswer = z.object({
  searchId: z.string(),
  /** The link that asked. */
  by: z.string(),
  kind: z.enum(PROPOSALS),
  /** Real time. */
  startedAtMs: z.int(),
  /** The last fact the search knows. */
  basedOnSeq: z.int(),
  status: z.enum(SEARCH_STATUSES),
  /** The best so far; null until there is one. */
  proposal: proposalAnswer.nullable(),
  /** The last fact the proposal was judged on. */
  judgedAtSeq: z.int(),
  /** What the proof said of the state it was made on: it stays when facts have come since and the proposal has no bound any more. */
  proof: z.object({ seq: z.int(), atMs: z.number(), judgement: judgementView, bound }).nullable(),
  /** Why it is broken. */
  why: z.enum(SEARCH_FAULTS).optional()
})
/** A search as seen from outside. */
export type SearchView = z.infer<typeof searchAnswer>
