/** A receiver nobody planned, from one line to a flight of its own and a place in the order. */
import { BOUNDS, SIZES } from '../contracts/bounds.ts'
import type { FactOf, NewFact } from '../contracts/facts.ts'
import type { Flight, OrderedSlot, Plan, PushGroup, ReceiverType, TankerOrder } from '../contracts/plan.ts'
import type { EventRequest } from '../contracts/requests.ts'
import { isFit } from '../plan/abort.ts'
import { brief, sheetOf, type Brief, type StationBrief, type TankerBrief, type TrackBrief } from '../plan/brief.ts'
import { planFaults } from '../plan/check.ts'
import { stationFault } from '../plan/stations.ts'
import { capacityKg } from '../tanks/sheet.ts'
import { flowKgPerS, MS_PER_MIN, quantityKg } from '../units.ts'
import { refuse, refuseField, refuseFuel, type Decision, type Ground } from './decision.ts'
import { closedBases } from './inforce.ts'
import { crewsOf, judgeOrder } from './slots.ts'
import { emptyState, orderOf, stationStatusOf, type LiveState } from './state.ts'

type Asked = Extract<EventRequest, { kind: 'addReceiver' }>

const DAY_MS = BOUNDS.durationMin.max * MS_PER_MIN
/** An id is made of the request's, and parts of it end in a word. */
const ID_STEM_LENGTH = 46

/**
 * The flight of a receiver nobody planned, and the order of its tanker with its slot at the end of the first station
 * that it may use and that takes somebody new. It holds what was called, flies to the tanker until it is ready, then home.
 */
export function decideReceiver(ground: Ground, asked: Asked): Decision {
  const { state, plan, atMs } = ground
  const type = plan.plan.receiverTypes.find((one) => one.id === asked.receiverTypeId)
  if (!type) return refuse('unknown-type', `${asked.receiverTypeId} is not in the plan in force`)
  const tanker = plan.tankers.get(asked.tankerId)
  const track = tanker && plan.tracks.get(tanker.trackId)
  if (!track) return refuse('unknown-tanker', `${asked.tankerId} is not in the plan in force`)
  if (asked.pushGroupId !== undefined && !plan.pushGroups.has(asked.pushGroupId)) {
    return refuse('unknown-push-group', `${asked.pushGroupId} is not in the plan in force`)
  }
  const baseId = asked.recoveryBaseId ?? nearestBase(plan, track, type.id)
  const base = plan.plan.bases.find((one) => one.id === baseId)
  if (!base) return refuse('unknown-base', `${baseId} is not in the plan in force`)
  if (closedBases(state).has(baseId)) {
    const why = `${base.name} is closed for landing`
    return refuseField('out-of-bounds', { path: '/recoveryBaseId', value: baseId, limit: 'a base that is open', why })
  }
  if (!isFit(plan, baseId, type.id)) {
    const why = `${base.name} is not fit for ${type.name}`
    return refuseField('out-of-bounds', { path: '/recoveryBaseId', value: baseId, limit: 'a base fit for it', why })
  }
  const flightSign = `${asked.callSign.slice(0, SIZES.callSignLength - ' flight'.length)} flight`
  const taken = callSignsOf(plan.plan)
  for (const one of [asked.callSign, flightSign]) {
    if (taken.has(spoken(one))) return refuse('call-sign-taken', `${one} is in use`)
  }
  const fitted = asked.fitted ?? []
  const alien = fitted.find((id) => type.groups.find((group) => group.id === id)?.place !== 'external')
  if (alien !== undefined) return refuse('unknown-group', `${type.name} has no external group ${alien}`)
  const mostKg = capacityKg(sheetOf(type, fitted, plan.fuelKgPerM3))
  if (quantityKg(asked.fuel, plan.fuelKgPerM3) > mostKg) {
    const why = `${asked.callSign} cannot hold that`
    return refuseFuel('fuel-above-capacity', { path: '/fuel/value', fuel: asked.fuel, mostKg, why })
  }
  const readyAtMs = asked.readyAtMs ?? atMs
  if (readyAtMs < atMs || readyAtMs > atMs + DAY_MS) {
    const limit = `${String(atMs)} to ${String(atMs + DAY_MS)} ms`
    const why = `${asked.callSign} cannot be ready then`
    return refuseField('out-of-bounds', { path: '/readyAtMs', value: String(readyAtMs), limit, why })
  }
  const station = stationFor(ground, tanker, type)
  if ('refusal' in station || 'facts' in station) return station
  if (plan.flights.size >= SIZES.flights || plan.ships.size >= SIZES.ships) {
    return refuse('receiver-refused', `a plan holds ${String(SIZES.flights)} flights and ${String(SIZES.ships)} ships`)
  }

  const stem = freshStem(state, plan.plan, asked.requestId)
  const ownGroup = { id: `${stem}.push`, name: asked.callSign, pushAtMs: readyAtMs } as PushGroup
  const flight = flightOf({ asked, stem, flightSign, type, base, ground, readyAtMs, ownGroup })
  const slot = { id: `${stem}.slot`, shipId: `${stem}.ship`, visitId: `${stem}.visit` } as OrderedSlot
  const pushGroup = asked.pushGroupId === undefined ? ownGroup : undefined
  // Alone in the plan: whatever is at fault is so because of it.
  const alone = {
    ...plan.plan,
    flights: [flight],
    pushGroups: [...plan.plan.pushGroups, ...(pushGroup ? [pushGroup] : [])],
    tankers: state.plan?.tankers ?? plan.plan.tankers,
    orders: [],
    fallOut: undefined
  }
  const errors = planFaults(alone)
  const [first] = errors
  if (first) return { refusal: { code: 'receiver-refused', detail: `${first.message}: ${first.limit}`, errors } }

  const order: NewFact = {
    kind: 'orderSet',
    atMs,
    tankerId: asked.tankerId,
    sequences: withSlot(state, station, slot)
  }
  const added = { kind: 'receiverAdded' as const, atMs, flight }
  if (!pushGroup) return { facts: [added, order] }
  const tankers = plan.plan.tankers
  const pushAtMs = pushedAtMs({ ...alone, tankers }, station, slot, atMs) ?? readyAtMs
  return { facts: [{ ...added, pushGroup: { ...pushGroup, pushAtMs } }, order] }
}

/** The first station of the tanker that the type may use and that takes somebody new; else why none does. */
function stationFor({ state, plan }: Ground, tanker: TankerBrief, type: ReceiverType): StationBrief | Decision {
  const receiver = { method: type.method, receiverTypeId: type.id }
  const misfits = tanker.stations.map((station) => ({ station, misfit: stationFault(plan, receiver, station) }))
  const fitting = misfits.filter((one) => one.misfit === undefined)
  const [first] = fitting
  if (!first) {
    // A station of its own method that is not allowed says more than one of the other.
    const { misfit } = misfits.find((one) => one.misfit?.code !== 'method-mismatch') ?? misfits[0] ?? {}
    return refuse(misfit?.code ?? 'no-clearance', `${tanker.callSign}: ${misfit?.detail ?? 'it has no station'}`)
  }
  const open = fitting.find(({ station }) => stationStatusOf(state, station.key) === 'good')
  return (
    open?.station ?? refuse('station-closed', `${first.station.name} is ${stationStatusOf(state, first.station.key)}`)
  )
}

interface Making {
  asked: Asked
  stem: string
  flightSign: string
  type: ReceiverType
  base: Plan['bases'][number]
  ground: Ground
  readyAtMs: number
  ownGroup: PushGroup
}

function flightOf({ asked, stem, flightSign, type, base, ground, readyAtMs, ownGroup }: Making): Flight {
  const { plan, atMs } = ground
  const track = plan.tracks.get(plan.tankers.get(asked.tankerId)?.trackId ?? '')
  const flow = type.flows.transit ?? type.flows.recovery
  const durationMin = (readyAtMs - atMs) / MS_PER_MIN
  // Nobody knows where it is: as if on its way from its base. Without a wait it is at the tanker at once.
  const burnedKg = flowKgPerS(flow, plan.fuelKgPerM3) * durationMin * 60
  const span =
    durationMin > 0 && track
      ? { by: 'lump', durationMin, fuel: { value: burnedKg, unit: 'kg' }, to: track.controlPoint }
      : { by: 'duration', durationMin }
  const abortBaseId = track && nearestBase(plan, track, type.id)
  return {
    id: stem,
    callSign: flightSign,
    receiverTypeId: type.id,
    priority: asked.priority ?? 3,
    departureBaseId: base.id,
    recoveryBaseId: base.id,
    divertBaseIds: abortBaseId === undefined || abortBaseId === base.id ? [] : [abortBaseId],
    startsAtMs: atMs,
    route: [
      { id: `${stem}.way`, kind: 'transit', span, flow },
      {
        id: `${stem}.visit`,
        kind: 'refuelling',
        tankerId: asked.tankerId,
        pushGroupId: asked.pushGroupId ?? ownGroup.id,
        onLoad: asked.onLoad ?? { kind: 'required' }
      },
      {
        id: `${stem}.home`,
        kind: 'recovery',
        span: { by: 'leg', to: base.position, trueAirspeed: type.recoveryAirspeed }
      }
    ],
    ships: [{ id: `${stem}.ship`, callSign: asked.callSign, fitted: asked.fitted ?? [], startFuel: asked.fuel }]
  } as Flight
}

/** The abort base of a track; the second one where a receiver cannot land at the first. */
function nearestBase(plan: Brief, track: TrackBrief, receiverTypeId: string): string {
  const takes = (baseId: string): boolean =>
    plan.landings.get(baseId)?.closed === false && isFit(plan, baseId, receiverTypeId)
  const { abortBaseId, secondAbortBaseId } = track
  return !takes(abortBaseId) && secondAbortBaseId !== undefined && takes(secondAbortBaseId)
    ? secondAbortBaseId
    : abortBaseId
}

/** The order in force of the station's tanker with one more slot at the end of the station. */
function withSlot(state: LiveState, station: StationBrief, slot: OrderedSlot): FactOf<'orderSet'>['sequences'] {
  const { sequences } = orderOf(state, station.tankerId)
  const stationId = station.stationId as FactOf<'orderSet'>['sequences'][number]['stationId']
  if (!sequences.some((one) => one.stationId === stationId)) return [...sequences, { stationId, slots: [slot] }]
  return sequences.map((one) => (one.stationId === stationId ? { ...one, slots: [...one.slots, slot] } : one))
}

/**
 * When it pushes if it is served first and goes on once it has reformed: a later turn shows as lateness. Judged alone,
 * whatever the event holds: a request is decided beside calls that wait. Undefined where it is not served.
 */
function pushedAtMs(alone: Plan, station: StationBrief, slot: OrderedSlot, atMs: number): number | undefined {
  const state = { ...emptyState('alone'), plan: alone }
  const plan = brief(alone)
  const order = { tankerId: station.tankerId, sequences: [{ stationId: station.stationId, slots: [slot] }] }
  const { judged } = judgeOrder(state, plan, crewsOf(state, plan, atMs), atMs, [order as TankerOrder])
  const out = judged.slots.find((one) => one.slotId === slot.id)
  return out?.state === 'planned' ? Math.ceil(out.pushAtMs) : undefined
}

const spoken = (callSign: string): string => callSign.toLowerCase().replace(/\s+/g, ' ')

/** Every call sign in use, as it is spoken. */
const callSignsOf = (plan: Plan): ReadonlySet<string> =>
  new Set(
    [...plan.tankers, ...plan.flights, ...plan.flights.flatMap((flight) => flight.ships)].map((one) =>
      spoken(one.callSign)
    )
  )

/** What the ids of a receiver begin with: of the request, and of nothing else in plan and event. */
function freshStem(state: LiveState, plan: Plan, requestId: string): string {
  const ids = [
    ...plan.flights.flatMap((flight) => [flight.id, ...flight.ships.map((ship) => ship.id)]),
    ...plan.flights.flatMap((flight) => flight.route.map((phase) => phase.id)),
    ...state.ships.keys(),
    ...plan.pushGroups.map((group) => group.id)
  ]
  const wanted = `added-${requestId.toLowerCase()}`.slice(0, ID_STEM_LENGTH)
  let stem = wanted
  for (let count = 2; ids.some((id) => id === stem || id.startsWith(`${stem}.`)); count++) {
    stem = `${wanted}-${String(count)}`
  }
  return stem
}
