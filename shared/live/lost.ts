/**
 * What if one thing is lost: the order in force judged without each tanker, each station, each base. Nobody re-plans in
 * it: every ship keeps its place in the order, and whoever stood at what is lost goes without.
 */
import type { Fact } from '../contracts/facts.ts'
import type { Plan, TankerOrder } from '../contracts/plan.ts'
import { compareJudgements, stepsOfKg, stepsOfMs, type Judgement } from '../order/judgement.ts'
import { judge, type SlotOut } from '../order/times.ts'
import { abortBaseOf } from '../plan/abort.ts'
import { brief, type Brief, type StationBrief, type TrackBrief } from '../plan/brief.ts'
import { closedPlan, planInForce, withoutBases } from './inforce.ts'
import { reduce } from './reduce.ts'
import { crewsOf, orderIn, type Crew, type Order, type PlacedSlot } from './slots.ts'
import type { LiveState } from './state.ts'

/** What becomes of the ships that have not pushed yet: each stands in one list, in the worst that befalls it. */
export interface Outcome {
  readonly judgement: Judgement
  readonly onTime: readonly string[]
  /** Served, and its push is late or it holds too little there: its worst push, s, and its worst shortage, kg. */
  readonly lateOrShort: readonly { readonly shipId: string; readonly lateS: number; readonly shortKg: number }[]
  /** No contact, or one past its latest contact: by how much where it is only that, s. */
  readonly lost: readonly { readonly shipId: string; readonly pastS: number | undefined }[]
  /** No base to recover to, or a contact to come on a track without an abort base; its slots may be served. */
  readonly unsafe: readonly string[]
}

export interface Loss extends Outcome {
  readonly kind: 'tanker' | 'station' | 'base'
  readonly tankerId: string | undefined
  readonly stationId: string | undefined
  readonly baseId: string | undefined
  /** Ships whose recovery base it is, by what counts instead; undefined: no divert within reach is named. */
  readonly recovery: readonly { readonly nextBaseId: string | undefined; readonly shipIds: readonly string[] }[]
  /** Tracks left without an abort base, with the ships that have a contact to come there: they have no abort fuel. */
  readonly abort: readonly { readonly trackId: string; readonly shipIds: readonly string[] }[]
}

export interface Losses {
  /** With nothing lost. */
  readonly asIs: Outcome
  /** Worst first by the judgement, ships that are unsafe counted with those that are lost. */
  readonly losses: readonly Loss[]
}

/**
 * The order in force (or the one given) at an event time, judged as it is and without each thing of the plan; undefined
 * while there is no plan. Spans s, masses kg.
 *
 * A station lost takes nobody new, and who is in contact there disconnects now; a tanker lost loses all its stations so.
 * A base lost is closed for landing: the next divert named and within reach counts as recovery base, and the recovery
 * leg ends there; a track's second abort base counts in place of its first. Ships without any, and ships with a contact to
 * come on a track that has no abort base left for them, are unsafe: judged with the limits they had, they are named. Take-off from it stays as planned.
 * Checked: tests/shared/live/lost.test.ts (constructed, worked out by hand; the demonstration plan).
 */
export function lossesOf(state: LiveState, nowMs: number, orders?: readonly TankerOrder[]): Losses | undefined {
  const plan = planInForce(state)
  if (!plan) return undefined
  const known = answers.get(state)
  if (known?.nowMs === nowMs && known.orders === orders) return known.losses
  const asIs = judgedOf(state, brief(plan), nowMs, orders)
  const without = (stations: readonly StationBrief[]): Outcome =>
    outcomeOf(judgedOf(stationsLost(asIs, stations), asIs.plan, nowMs, orders), NO_BASE)
  const byStation = new Map([...asIs.plan.stations.values()].map((station) => [station, without([station])]))
  const losses = [
    ...[...asIs.plan.tankers.values()].map(({ id, stations }): Loss => {
      // With its only station all of a tanker is lost.
      const [only] = stations.length === 1 ? stations : []
      const outcome = (only && byStation.get(only)) ?? without(stations)
      return { ...outcome, ...PLAIN, kind: 'tanker', tankerId: id }
    }),
    ...[...byStation].map(([{ tankerId, stationId }, outcome]): Loss => ({
      ...outcome,
      ...PLAIN,
      kind: 'station',
      tankerId,
      stationId
    })),
    ...plan.bases.map(({ id }) => baseLost(asIs, id))
  ].sort((a, b) => compareLosses(asIs.plan, b, a))
  const answer = { asIs: outcomeOf(asIs, NO_BASE), losses }
  answers.set(state, { nowMs, orders, losses: answer })
  return answer
}

/** The state in which one thing is lost, as `lossesOf` judges it; without a base its plan is another. */
export function stateWithout(
  { state, nowMs, orders }: { state: LiveState; nowMs: number; orders?: readonly TankerOrder[] | undefined },
  { tankerId, stationId, baseId }: Pick<Loss, 'tankerId' | 'stationId' | 'baseId'>
): LiveState {
  const plan = planInForce(state)
  if (!plan) return state
  const asIs = judgedOf(state, brief(plan), nowMs, orders)
  if (baseId === undefined) {
    const stations = asIs.plan.tankers.get(tankerId ?? '')?.stations ?? []
    return stationsLost(
      asIs,
      stations.filter((one) => stationId === undefined || one.stationId === stationId)
    )
  }
  return told(asIs, [{ kind: 'baseSet', baseId, open: false }])
}

/** The last answer of each state: a page asks again for whatever else of it has changed. */
const answers = new WeakMap<LiveState, { nowMs: number; orders: readonly TankerOrder[] | undefined; losses: Losses }>()

/** One case of the order, judged. */
interface Case extends Order {
  readonly state: LiveState
  readonly plan: Brief
  readonly nowMs: number
  readonly orders: readonly TankerOrder[] | undefined
  readonly crews: ReadonlyMap<string, Crew>
  readonly input: ReturnType<typeof orderIn>['input']
}

function judgedOf(state: LiveState, plan: Brief, nowMs: number, orders: readonly TankerOrder[] | undefined): Case {
  const crews = crewsOf(state, plan, nowMs)
  const { input, slots } = orderIn(state, plan, crews, nowMs, orders)
  return { state, plan, nowMs, orders, crews, input, judged: judge(input), slots }
}

const PLAIN = { tankerId: undefined, stationId: undefined, baseId: undefined, recovery: [], abort: [] } as const

/** Unsafe weighs as lost does. */
function compareLosses(plan: Brief, a: Outcome, b: Outcome): number {
  const weighed = ({ judgement, unsafe }: Outcome): Judgement => ({
    ...judgement,
    lostWeight: judgement.lostWeight + unsafe.reduce((sum, shipId) => sum + weightOf(plan, shipId), 0)
  })
  return compareJudgements(weighed(a), weighed(b))
}

const weightOf = (plan: Brief, shipId: string): number =>
  plan.flights.get(plan.ships.get(shipId)?.flightId ?? '')?.weight ?? 0

/** The state as if these stations were called failed now, and whoever is in contact there had disconnected. */
function stationsLost(
  { state, nowMs, crews }: Pick<Case, 'state' | 'nowMs' | 'crews'>,
  stations: readonly { tankerId: string; stationId: string }[]
): LiveState {
  const facts = stations.flatMap(({ tankerId, stationId }) => [
    { kind: 'stationStatus', tankerId, stationId, status: 'failed' },
    ...[...crews.values()].flatMap(({ ship, its: { inContact } }) =>
      inContact?.tankerId === tankerId && inContact.stationId === stationId
        ? { kind: 'disconnected', shipId: ship.id, slotId: inContact.slotId, how: 'partial' }
        : []
    )
  ])
  return told({ state, nowMs }, facts)
}

/** The state as if this had been recorded now. */
const told = ({ state, nowMs }: Pick<Case, 'state' | 'nowMs'>, facts: readonly Record<string, unknown>[]): LiveState =>
  facts.reduce((next, fact) => {
    const { eventId, seq } = next
    const envelope = { v: 1, eventId, seq: seq + 1, atMs: nowMs, recordedAtMs: nowMs, by: '', requestId: '' }
    return reduce(next, { ...envelope, ...fact } as unknown as Fact)
  }, state)

/** What of a base counts for safety and is gone. */
interface BaseGone {
  /** `flight/track` of those that have no abort base there any more. */
  readonly aborts: ReadonlySet<string>
  readonly homeless: ReadonlySet<string>
}
const NO_BASE: BaseGone = { aborts: new Set(), homeless: new Set() }

function outcomeOf({ plan, crews, judged, slots }: Case, gone: BaseGone): Outcome {
  const ahead = new Map<string, { out: SlotOut; placed: PlacedSlot }[]>()
  for (const out of judged.slots) {
    const placed = slots.get(out.slotId)
    if (!placed || out.state === 'gone' || placed.crew.its.pushed.has(placed.visit.id)) continue
    const its = ahead.get(placed.shipId)
    if (its) its.push({ out, placed })
    else ahead.set(placed.shipId, [{ out, placed }])
  }
  const onTime: string[] = []
  const lateOrShort: Outcome['lateOrShort'][number][] = []
  const lost: Outcome['lost'][number][] = []
  const unsafe: string[] = []
  for (const shipId of plan.ships.keys()) {
    const its = ahead.get(shipId) ?? []
    const missed = its.find(({ out }) => out.state === 'missed')
    if (missed) {
      const past = judged.reasons.some((one) => one.kind === 'past latest contact' && one.slotId === missed.out.slotId)
      lost.push({ shipId, pastS: past ? missed.out.pastMs / 1000 : undefined })
      continue
    }
    const flies = crews.get(shipId)?.its.landed === undefined
    const aborts = its.some(
      ({ out, placed }) =>
        out.state === 'planned' && gone.aborts.has(`${placed.crew.flight.id}/${placed.tanker.trackId}`)
    )
    if ((flies && gone.homeless.has(shipId)) || aborts) {
      unsafe.push(shipId)
      continue
    }
    if (its.length === 0) continue
    const lateMs = Math.max(...its.map(({ out }) => out.pushAtMs - out.plannedPushAtMs))
    const shortKg = Math.max(...its.map(({ out }) => out.shortageKg))
    const late = stepsOfMs(lateMs) > 0
    const short = stepsOfKg(shortKg) > 0
    if (late || short) lateOrShort.push({ shipId, lateS: late ? lateMs / 1000 : 0, shortKg: short ? shortKg : 0 })
    else onTime.push(shipId)
  }
  return { judgement: judged.judgement, onTime, lateOrShort, lost, unsafe }
}

function baseLost(asIs: Case, baseId: string): Loss {
  const { plan, crews } = asIs
  const { moved, nextBases } = withoutBases(plan, new Set([baseId]))
  const byNext = new Map<string | undefined, string[]>()
  for (const { ship, flight, its } of crews.values()) {
    if (its.landed || (its.left?.baseId ?? flight.recoveryBaseId) !== baseId) continue
    const nextBaseId = nextBases.get(flight.id)
    byNext.set(nextBaseId, [...(byNext.get(nextBaseId) ?? []), ship.id])
  }
  const { next, tracks, aborts } = abortsLost(plan, baseId)
  const gone = { aborts, homeless: new Set(byNext.get(undefined)) }
  const changed = next ?? (moved.length > 0 ? { ...plan.plan, flights: [...moved] } : undefined)
  return {
    ...outcomeOf(changed ? rerouted(asIs, changed) : asIs, gone),
    ...PLAIN,
    kind: 'base',
    baseId,
    recovery: [...byNext].map(([nextBaseId, shipIds]) => ({ nextBaseId, shipIds })),
    abort: tracks.flatMap(({ id: trackId, secondAbortBaseId }) => {
      const shipIds = boundFor(asIs, trackId).filter((shipId) =>
        aborts.has(`${plan.ships.get(shipId)?.flightId ?? ''}/${trackId}`)
      )
      return secondAbortBaseId === undefined || shipIds.length > 0 ? [{ trackId, shipIds }] : []
    })
  }
}

/**
 * Tracks that a base is an abort base of, and the flights left without any there when it closes. The plan without it only
 * where a track has two: whoever aborts to the second then counts with its abort fuel.
 */
function abortsLost(
  plan: Brief,
  baseId: string
): { next: Plan | undefined; tracks: readonly TrackBrief[]; aborts: ReadonlySet<string> } {
  const tracks = [...plan.tracks.values()].filter(
    (track) => track.abortBaseId === baseId || track.secondAbortBaseId === baseId
  )
  const closed = new Set([...plan.landings].flatMap(([id, its]) => (its.closed || id === baseId ? [id] : [])))
  const isDoubled = tracks.some(({ secondAbortBaseId }) => secondAbortBaseId !== undefined)
  const next = isDoubled ? closedPlan(plan.plan, closed) : undefined
  const without = next && brief(next)
  const aborts = [...plan.flights.keys()].flatMap((flightId) =>
    tracks.flatMap(({ id }) => {
      const flight = without?.flights.get(flightId)
      return without && flight && abortBaseOf(without, flight, id).stands ? [] : [`${flightId}/${id}`]
    })
  )
  return { next, tracks, aborts: new Set(aborts) }
}

/** The order judged with some flights as another plan has them. */
function rerouted(asIs: Case, moved: Plan): Case {
  const { state, nowMs, orders } = asIs
  const plan = brief(moved)
  const theirs = orderIn({ ...state, plan: moved }, plan, crewsOf(state, plan, nowMs), nowMs, orders).input.slots
  const slots = new Map(theirs.map((slot) => [slot.id, slot]))
  const input = { ...asIs.input, slots: asIs.input.slots.map((slot) => slots.get(slot.id) ?? slot) }
  return { ...asIs, input, judged: judge(input) }
}

/** Ships with a contact to come on a track. */
function boundFor({ judged, slots }: Case, trackId: string): string[] {
  const shipIds = judged.slots.flatMap((out) => {
    const placed = out.state === 'planned' ? slots.get(out.slotId) : undefined
    return placed?.tanker.trackId === trackId ? [placed.shipId] : []
  })
  return [...new Set(shipIds)]
}
