import type { Fact } from '../../shared/contracts/facts.ts'
import type { Plan } from '../../shared/contracts/plan.ts'
import type { AnyRequest } from '../../shared/contracts/requests.ts'
import { decide } from '../../shared/live/decide.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { reduce } from '../../shared/live/reduce.ts'
import { emptyState, type LiveState } from '../../shared/live/state.ts'
import { brief } from '../../shared/plan/brief.ts'
import { fallOutOf } from '../../shared/plan/fallout.ts'
import { readPlan } from '../../shared/plan/read.ts'
import { refuellingBand } from '../../shared/plan/stations.ts'
import { COMMANDER } from '../make/event.ts'

/** One number of a plan document: where it stands, and the same path with places in lists left open. */
export interface Input {
  path: readonly (string | number)[]
  name: string
  value: number
}

/** Shown as it stands, and worked with nowhere. */
const SHOWN: ReadonlySet<string> = new Set(['/tankers/*/join/rendezvousAtMs'])

export function inputsOf(document: unknown): Input[] {
  const inputs: Input[] = []
  const walk = (value: unknown, path: readonly (string | number)[]): void => {
    if (typeof value === 'number') {
      const name = path.map((key) => `/${typeof key === 'number' ? '*' : key}`).join('')
      if (name !== '/v' && !SHOWN.has(name)) inputs.push({ path, name, value })
    } else if (Array.isArray(value)) {
      value.forEach((one, index) => {
        walk(one, [...path, index])
      })
    } else if (typeof value === 'object' && value !== null) {
      for (const [key, one] of Object.entries(value)) walk(one, [...path, key])
    }
  }
  walk(document, [])
  return inputs
}

/** Steps either way: a minute for an instant, 0.05 degrees for a position, one for a count, else a tenth. */
export function changesOf({ name, value }: Input): number[] {
  if (name.endsWith('AtMs')) return [value + 60_000, value - 60_000]
  // A tenth would leave the grade.
  if (name.startsWith('/fuelDensity')) return [value * 1.02, value * 0.98]
  if (/(latitude|longitude)Deg$/.test(name)) return [value + 0.05, value - 0.05]
  if (/(tankCount|turnCount|priority|leastShipCount)$/.test(name)) return [value + 1, value - 1]
  return [value * 1.1, value * 0.9]
}

/** The document with one number changed; the rest is shared. */
export function changed(document: unknown, [key, ...rest]: readonly (string | number)[], value: number): unknown {
  if (key === undefined) return value
  const inner = (document as Record<string | number, unknown>)[key]
  const next = changed(inner, rest, value)
  return Array.isArray(document)
    ? document.map((one: unknown, index) => (index === key ? next : one))
    : { ...(document as object), [key]: next }
}

/**
 * Everything a plan comes to, by name, a part at a time, so that whoever has seen enough need not go on: seen at its
 * opening before anyone called, then along a log flown by it, then the rest; or one part with the paths of the faults that
 * refuse it.
 */
export function* resultsOf(
  document: unknown,
  log: readonly Fact[],
  atMinutes: readonly number[]
): Generator<ReadonlyMap<string, unknown>> {
  const openedAtMs = log[0]?.atMs ?? 0
  const read = readPlan(document)
  if ('faults' in read) {
    yield new Map([['refused', read.faults.map((fault) => fault.path).join(' ')]])
    return
  }
  const { plan } = read
  yield seen('planned', { ...emptyState('inputs'), plan, revision: 1 }, openedAtMs)
  let state = emptyState('inputs')
  let place = 0
  for (const minutes of atMinutes) {
    const atMs = openedAtMs + minutes * 60_000
    for (let fact = log[place]; fact && fact.atMs <= atMs; fact = log[++place]) {
      state = reduce(state, fact.kind === 'planAdopted' ? { ...fact, plan } : fact)
    }
    yield seen(`${String(minutes)} min`, state, atMs)
  }
  const rest = new Map<string, unknown>()
  const resolved = brief(plan)
  for (const flight of resolved.flights.values()) {
    for (const type of plan.tankerTypes)
      flatten(rest, `band ${flight.id} ${type.id}`, refuellingBand(resolved, flight, type.id))
  }
  for (const { id, openBaseIds } of resolved.flights.values()) flatten(rest, `bases of ${id}`, openBaseIds)
  flatten(rest, 'falls out', fallOutOf(plan, []))
  flatten(rest, 'call accepted', callAccepted(plan, openedAtMs))
  yield rest
}

function seen(name: string, state: LiveState, atMs: number): ReadonlyMap<string, unknown> {
  const view = estimate(state, atMs)
  if (!view) throw new Error('no view')
  const { ships, slots, tankers, flights, pushes, judgement, reasons } = view
  const results = new Map<string, unknown>()
  flatten(results, name, { ships, slots, tankers, flights, pushes, judgement, reasons })
  return results
}

/** Whether the event takes a call observed around its planned opening. */
function callAccepted(plan: Plan, openedAtMs: number): boolean[] {
  const state = { ...emptyState('inputs'), plan, revision: 1, opened: true }
  const shipId = plan.flights[0]?.ships[0]?.id
  return [0, 30].map((minutes) => {
    const atMs = openedAtMs + minutes * 60_000
    const request = { kind: 'joinShip', requestId: 'request-1', shipId, atMs } as AnyRequest
    return 'facts' in decide(state, request, COMMANDER, { eventMs: atMs, realMs: atMs })
  })
}

/** Elements of a list go by their id where they have one: a place in a ranking is a result of its own. */
function flatten(into: Map<string, unknown>, name: string, value: unknown): void {
  if (typeof value === 'object' && value !== null) {
    for (const [key, one] of Object.entries(value)) flatten(into, `${name} ${idIn(one) ?? key}`, one)
  } else into.set(name, value)
}

function idIn(value: unknown): string | undefined {
  if (typeof value !== 'object' || value === null || 'kind' in value) return undefined
  const { slotId, shipId, tankerId, stationId, groupId, flightId, pushGroupId } = value as Record<string, unknown>
  // A ship's view names its slot too, a slot's its ship: the one that is its own comes with the fewest others.
  const own = 'callSign' in value ? (shipId ?? tankerId ?? flightId) : (slotId ?? stationId ?? groupId ?? pushGroupId)
  return typeof own === 'string' ? own : undefined
}

/** A result that differs by more than rounding, by name, of the first part that has one; none of a plan refused. */
export function movedResult(
  before: readonly ReadonlyMap<string, unknown>[],
  after: Iterable<ReadonlyMap<string, unknown>>
): string | undefined {
  let place = 0
  for (const part of after) {
    if (part.has('refused')) return undefined
    const moved = movedIn(before[place++] ?? new Map(), part)
    if (moved !== undefined) return moved
  }
  return undefined
}

/** A figure before a word or a list that grew. */
function movedIn(before: ReadonlyMap<string, unknown>, after: ReadonlyMap<string, unknown>): string | undefined {
  let other: string | undefined
  for (const name of new Set([...before.keys(), ...after.keys()])) {
    const was = before.get(name)
    const is = after.get(name)
    if (typeof was === 'number' && typeof is === 'number') {
      if (Math.abs(is - was) > 1e-7 * Math.max(1, Math.min(Math.abs(was), 1e6))) return name
    } else if (was !== is) other ??= name
  }
  return other
}
