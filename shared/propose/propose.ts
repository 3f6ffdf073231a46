import type { OrderedSlot, TankerOrder } from '../contracts/plan.ts'
import type { ProposalKind } from '../contracts/stream.ts'
import { judge, type Judged, type OrderIn, type Sequences } from '../order/times.ts'
import { compareJudgements, type Judgement } from '../order/judgement.ts'
import { later } from '../order/later.ts'
import type { Bound } from '../order/suggest/bound.ts'
import { anew } from '../order/suggest/anew.ts'
import { exact, type Exact } from '../order/suggest/exact.ts'
import { repair } from '../order/suggest/repair.ts'
import { instantJudgements, type Ask } from '../order/suggest/search.ts'
import { brief, type Brief } from '../plan/brief.ts'
import { abortBaseOf } from '../plan/abort.ts'
import { abortWithinReach } from '../plan/limits.ts'
import { stationFault } from '../plan/stations.ts'
import { planInForce } from '../live/inforce.ts'
import { crewsOf, orderIn, type Crew, type PlacedSlot } from '../live/slots.ts'
import { ordersInForce, pinOf, stationStatusOf, type LiveState } from '../live/state.ts'
import { changesOf, type SlotChange } from './changes.ts'
import { changedOrders, movedBetween, ordersOf } from './orders.ts'
import { refined, type Write } from './refine.ts'

/*
 * A better order for an event as it stands. It is a proposal: it comes into force when somebody sets it, and the
 * service judges it again then.
 */

export interface Wanted {
  readonly kind: ProposalKind
  /** Where to begin, the orders being moved by hand, say; what is told as changed counts from the order in force all the same. */
  readonly from?: readonly TankerOrder[] | undefined
  /** Flights that may be split beside those the plan allows, by id. */
  readonly maySpread?: readonly string[] | undefined
  /** How many orders may be judged; left out, as many as are done at once. */
  readonly judgements?: number | undefined
  readonly onBetter?: ((proposal: Proposal) => void) | undefined
  readonly stop?: (() => boolean) | undefined
}

export interface Proposal {
  readonly kind: ProposalKind
  /** What the state was when it was made. */
  readonly basedOnSeq: number
  readonly atMs: number
  /** Orders that change, whole; empty: nothing better was found. */
  readonly orders: readonly TankerOrder[]
  readonly judgement: Judgement
  /** Of the order in force. */
  readonly before: Judgement
  readonly changes: readonly SlotChange[]
  /** What no order can better; only with the proof. */
  readonly bound: (Bound & Pick<Exact, 'by' | 'bestOfBlocks'>) | undefined
  readonly judgements: number
  readonly stopped: boolean
}

/** Ways and orders a proof may look at: some seconds. */
const PROOF_LABELS = 1_500_000
const PROOF_FLIGHT_LABELS = 30_000_000
const PROOF_BLOCK_LABELS = 300_000
/** A hundred ships that may stand anywhere ask for less than half of it. */
const PROOF_QUEUE_WORK = 20_000_000
/** Ways an order anew may look at: some 0.2 s. */
const ANEW_LABELS = 600_000
const PROOF_ORDERS = 60_000
const PROOF_JUDGEMENTS = 60_000

/** A problem as the search takes it, with what its answer is written in. */
interface Problem {
  readonly state: LiveState
  readonly plan: Brief
  readonly crews: ReadonlyMap<string, Crew>
  readonly atMs: number
  readonly inForce: readonly TankerOrder[]
  readonly input: OrderIn<Holding>
  readonly asIs: Judged
  readonly slots: ReadonlyMap<string, PlacedSlot>
  readonly mayUse: ReadonlyMap<string, readonly string[]>
  readonly maySpread: ReadonlySet<string>
  readonly slotOf: (slotId: string) => OrderedSlot | undefined
}
type Holding = ReturnType<typeof orderIn>['input'] extends OrderIn<infer State> ? State : never

/** The event as it stands and where a search for it begins; undefined while there is no plan. */
export function problemOf(
  state: LiveState,
  atMs: number,
  wanted: Pick<Wanted, 'from' | 'maySpread'>
): Problem | undefined {
  const document = planInForce(state)
  if (!document) return undefined
  const plan = brief(document)
  const crews = crewsOf(state, plan, atMs)
  const inForce = ordersInForce(state)
  const { input, slots } = orderIn(state, plan, crews, atMs, wanted.from ?? inForce)
  const documents = new Map<string, OrderedSlot>()
  for (const { sequences } of wanted.from ?? inForce)
    for (const sequence of sequences) for (const slot of sequence.slots) documents.set(slot.id, slot)
  const mayUse = new Map<string, readonly string[]>()
  for (const [slotId, slot] of slots) mayUse.set(slotId, stationsFor(state, plan, slot))
  const spreading = [...plan.flights.values()].filter((flight) => flight.maySpread).map(({ id }) => id)
  const maySpread = new Set([...spreading, ...(wanted.maySpread ?? [])])
  // What an order says of its slots besides their turn is part of it: the one in force is judged by its own.
  const asIs = judge(wanted.from ? orderIn(state, plan, crews, atMs, inForce).input : input)
  return {
    state,
    plan,
    crews,
    atMs,
    inForce,
    input,
    asIs,
    slots,
    mayUse,
    maySpread,
    slotOf: (slotId) => documents.get(slotId)
  }
}

/** What is told of an order for a problem: it is judged, compared, and written as the orders that would have to be set. */
export function proposalOf(
  problem: Problem,
  sequences: Sequences,
  rest: Pick<Proposal, 'kind' | 'bound' | 'judgements' | 'stopped'>
): Proposal {
  const { state, atMs, inForce, input, asIs, slots } = problem
  const before = input.inForce ?? input.sequences
  const judged = judge({ ...input, sequences, inForce: before })
  const better = compareJudgements(judged.judgement, asIs.judgement) < 0
  return {
    kind: rest.kind,
    basedOnSeq: state.seq,
    atMs,
    orders: better ? changedOrders(inForce, writtenOf(problem, sequences)) : [],
    judgement: better ? judged.judgement : asIs.judgement,
    before: asIs.judgement,
    changes: better
      ? changesOf(asIs.slots, judged.slots, {
          shipOf: (slotId) => slots.get(slotId)?.shipId ?? '',
          moved: movedBetween(before, sequences)
        })
      : [],
    bound: rest.bound,
    judgements: rest.judgements,
    stopped: rest.stopped
  }
}

/**
 * Keys of the stations that take a ship and somebody new. No ship is sent to a track without an open abort base within its
 * reach from one that has it.
 */
function stationsFor(state: LiveState, plan: Brief, { crew: { flight, ship }, tanker }: PlacedSlot): string[] {
  const noAbort = new Set(
    [...plan.tracks.values()]
      .filter((track) => !abortBaseOf(plan, flight, track.id).stands || !abortWithinReach(plan, ship, track.id))
      .map(({ id }) => id)
  )
  return [...plan.stations.values()]
    .filter(({ key, tankerId }) => {
      const trackId = plan.tankers.get(tankerId)?.trackId ?? ''
      return stationStatusOf(state, key) === 'good' && (!noAbort.has(trackId) || noAbort.has(tanker.trackId))
    })
    .filter((station) => !stationFault(plan, flight, station))
    .map(({ key }) => key)
}

/** Its order may also say who takes internal fuel only and who comes later than it could. */
function refinedFrom(problem: Problem, sequences: Sequences): Problem {
  const { state, plan, crews, atMs } = problem
  const write: Write = (orders) => {
    const { input, slots } = orderIn(state, plan, crews, atMs, orders)
    const { judgement, slots: judged } = judge(input)
    return {
      orders,
      judgement,
      slots: judged,
      placed: slots,
      later: () => later(input, { slackMs: plan.lateMarginS * 1000 })
    }
  }
  const first = write(writtenOf(problem, sequences))
  const best = refined(first, write)
  return problemOf(state, atMs, { from: best.orders }) ?? problem
}

/** The order a problem begins with, moves against the order in force counted. */
const worth = ({ input }: Problem): Judgement => judge(input).judgement

/** Sequences as the orders to set. */
function writtenOf({ plan, inForce, slots, slotOf }: Problem, sequences: Sequences): TankerOrder[] {
  const over = new Map<string, 'done' | 'in contact'>()
  for (const { id, contact, crew } of slots.values())
    if (contact) over.set(id, contact === crew.its.inContact ? 'in contact' : 'done')
  return ordersOf(plan, sequences, { slotOf, inForce, flown: (slotId) => over.get(slotId) })
}

/** Orders in which everybody comes as soon as it can; who is pinned stays as it is. */
const withoutNotBefore = (orders: readonly TankerOrder[], isPinned: (slotId: string) => boolean): TankerOrder[] =>
  orders.map((order) => ({
    ...order,
    sequences: order.sequences.map((sequence) => ({
      ...sequence,
      slots: sequence.slots.map((slot) => {
        if (slot.notBeforeAtMs === undefined || isPinned(slot.id)) return slot
        const { id, shipId, visitId, internalsOnly } = slot
        return { id, shipId, visitId, ...(internalsOnly && { internalsOnly }) }
      })
    }))
  }))

/**
 * A proposal for the event at an event time, never worse than the order in force; undefined while there is no plan.
 * The same state, time and wish give the same answer, but for a `stop`.
 * Checked: tests/shared/propose/propose.test.ts (constructed; the demonstration plan).
 */
export function propose(state: LiveState, atMs: number, wanted: Wanted): Proposal | undefined {
  // When a ship is to come is found anew with each order: what was right once may keep it waiting now.
  const from = withoutNotBefore(wanted.from ?? ordersInForce(state), (slotId) => pinOf(state, slotId).pinned)
  const problem = problemOf(state, atMs, { ...wanted, from })
  return problem && (wanted.kind === 'proof' ? proved(problem, wanted) : atOnce(problem, wanted, wanted.kind))
}

function askOf({ input, mayUse, maySpread }: Problem, { judgements, stop }: Wanted, most: number): Ask<Holding> {
  return { input, mayUse, maySpread, judgements: judgements ?? most, stop }
}

/** Each better order is told with the rest of what an order may say, as it is found. */
function proved(problem: Problem, wanted: Wanted): Proposal {
  const best = new Best(problem)
  const { onBetter } = wanted
  let shown = best.with(problem.input.inForce ?? problem.input.sequences, { kind: 'proof', ...NOTHING_YET })
  const found = exact({
    ...askOf(problem, wanted, PROOF_JUDGEMENTS),
    onBetter:
      onBetter &&
      (({ sequences }) => {
        const next = best.with(sequences, { kind: 'proof', ...NOTHING_YET })
        if (compareJudgements(next.judgement, shown.judgement) >= 0) return
        shown = next
        onBetter(next)
      }),
    labels: PROOF_LABELS,
    flightLabels: PROOF_FLIGHT_LABELS,
    blockLabels: PROOF_BLOCK_LABELS,
    queueWork: PROOF_QUEUE_WORK,
    orders: PROOF_ORDERS
  })
  const bound = { ...found.bound, by: found.by, bestOfBlocks: found.bestOfBlocks }
  return best.with(found.sequences, { kind: 'proof', bound, ...found.work })
}

/**
 * The first better order is told as it is found, then one whenever twice the work is done; what else an order may say
 * comes with the last.
 */
function atOnce(problem: Problem, wanted: Wanted, kind: 'repair' | 'anew'): Proposal {
  const { slots } = problem.input
  const laterVisits = slots.filter(({ afterSlotId }) => afterSlotId !== undefined).length
  const { onBetter } = wanted
  let shown = problem.asIs.judgement
  let dueAt = 0
  const ask: Ask<Holding> = {
    ...askOf(problem, wanted, instantJudgements(slots.length, laterVisits)),
    onBetter:
      onBetter &&
      (({ sequences, judgement, judgements }) => {
        if (judgements < dueAt || compareJudgements(judgement, shown) >= 0) return
        dueAt = 2 * judgements
        shown = judgement
        onBetter(proposalOf(problem, sequences, { kind, ...NOTHING_YET }))
      })
  }
  const found = kind === 'repair' ? repair(ask) : anew({ ...ask, labels: ANEW_LABELS })
  const best = new Best(problem)
  best.with(problem.input.inForce ?? problem.input.sequences, { kind, ...NOTHING_YET })
  return best.with(found.sequences, { kind, bound: undefined, ...found.work })
}

const NOTHING_YET = { bound: undefined, judgements: 0, stopped: false } as const

/** The search compares orders in which everybody comes as soon as it can; the best is the best with the rest. */
class Best {
  private best: Problem | undefined

  constructor(private readonly problem: Problem) {}

  with(sequences: Sequences, rest: Pick<Proposal, 'kind' | 'bound' | 'judgements' | 'stopped'>): Proposal {
    const written = refinedFrom(this.problem, sequences)
    if (!this.best || compareJudgements(worth(written), worth(this.best)) < 0) this.best = written
    return proposalOf(this.best, this.best.input.sequences, rest)
  }
}
