/**
 * The rules of bases, abort bases and who falls out: what is named is there, and whatever the plan itself says of a
 * landing can be done. What hangs on the order's times is a reason of the view instead.
 */
import type { Flight, Plan } from '../contracts/plan.ts'
import { abortBaseOf, isFit, isOpenAt } from './abort.ts'
import { brief, type Brief, type FlightBrief } from './brief.ts'
import type { Note, Rule } from './rule.ts'

/** Types that bases name are there, once each, and a base opens before it closes. */
export const bases: Rule = (plan, note) => {
  const types = new Set<string>(plan.receiverTypes.map((type) => type.id))
  plan.bases.forEach(({ fitFor, opensAtMs, closesAtMs }, b) => {
    listedOnce(fitFor, `/bases/${String(b)}/fitFor`, types, 'receiver type', note)
    if (opensAtMs !== undefined && closesAtMs !== undefined && closesAtMs <= opensAtMs)
      note(
        `/bases/${String(b)}/closesAtMs`,
        closesAtMs,
        `after opensAtMs ${String(opensAtMs)}`,
        'it closes before it opens'
      )
  })
  plan.tracks.forEach(({ abortBaseId, secondAbortBaseId: second }, t) => {
    if (second === undefined) return
    const path = `/tracks/${String(t)}/secondAbortBaseId`
    if (second === abortBaseId) note(path, second, 'another base than the first', 'it stands in for that one')
    else if (!plan.bases.some((base) => base.id === second))
      note(path, second, 'the id of a base of this plan', 'no such base')
  })
}

/** Who falls out is a ship, once each; a flight has the ships without which it does not go. */
export const fallOut: Rule = (plan, note) => {
  const shipIds = new Set<string>(plan.flights.flatMap((flight) => flight.ships.map((ship) => ship.id)))
  listedOnce(plan.fallOut, '/fallOut', shipIds, 'ship', note)
  plan.flights.forEach(({ leastShipCount, ships, callSign }, f) => {
    if (leastShipCount === undefined || leastShipCount <= ships.length) return
    const limit = `at most ${String(ships.length)}, the ships of ${callSign}`
    note(`/flights/${String(f)}/leastShipCount`, leastShipCount, limit, 'it would never go')
  })
}

function listedOnce(
  ids: readonly string[] | undefined,
  at: string,
  known: ReadonlySet<string>,
  kind: string,
  note: Note
): void {
  ids?.forEach((id, i) => {
    const path = `${at}/${String(i)}`
    if (!known.has(id)) note(path, id, `the id of a ${kind} of this plan`, `no such ${kind}`)
    else if (ids.indexOf(id) !== i) note(path, id, `a ${kind} listed once`, 'it stands there already')
  })
}

/** Every flight can land where the plan sends it: the base is fit for its type, and open when it comes as planned. */
export const landings: Rule = (plan, note) => {
  const resolved = brief(plan)
  plan.flights.forEach((flight, f) => {
    const its = resolved.flights.get(flight.id)
    if (!its) return
    const at = `/flights/${String(f)}`
    fits(resolved, flight, `${at}/departureBaseId`, flight.departureBaseId, note)
    fits(resolved, flight, `${at}/recoveryBaseId`, flight.recoveryBaseId, note)
    flight.divertBaseIds.forEach((id, d) => {
      fits(resolved, flight, `${at}/divertBaseIds/${String(d)}`, id, note)
    })
    opens(resolved, its, `${at}/recoveryBaseId`, note)
    flight.route.forEach((phase, p) => {
      if (phase.kind === 'refuelling') aborts(resolved, its, `${at}/route/${String(p)}/tankerId`, phase.tankerId, note)
    })
  })
}

const baseName = (plan: Plan, baseId: string): string => plan.bases.find((one) => one.id === baseId)?.name ?? baseId
const typeName = (plan: Plan, typeId: string): string =>
  plan.receiverTypes.find((one) => one.id === typeId)?.name ?? typeId

function fits(resolved: Brief, flight: Flight, path: string, baseId: string, note: Note): void {
  const { plan } = resolved
  if (isFit(resolved, baseId, flight.receiverTypeId)) return
  const type = typeName(plan, flight.receiverTypeId)
  note(path, baseId, `a base fit for ${type}`, `${baseName(plan, baseId)} is not fit for ${type}: name another base`)
}

function opens(
  resolved: Brief,
  { recoveryBaseId, recoversAtMs, callSign }: FlightBrief,
  path: string,
  note: Note
): void {
  if (isOpenAt(resolved, recoveryBaseId, recoversAtMs)) return
  const limit = `a base open at ${String(Math.ceil(recoversAtMs))} ms`
  const name = baseName(resolved.plan, recoveryBaseId)
  note(path, recoveryBaseId, limit, `${callSign} comes to ${name} then, ${hours(resolved, recoveryBaseId)}`)
}

function aborts(resolved: Brief, flight: FlightBrief, path: string, tankerId: string, note: Note): void {
  const track = resolved.tracks.get(resolved.tankers.get(tankerId)?.trackId ?? '')
  const abort = track && abortBaseOf(resolved, flight, track.id)
  if (!track || !abort || abort.stands || abort.why === undefined || abort.why === 'out of reach') return
  const { plan } = resolved
  const first = baseName(plan, track.abortBaseId)
  const against = abort.why === 'not fit' ? `${first} is not fit` : `${first} is ${hours(resolved, track.abortBaseId)}`
  const second = track.secondAbortBaseId
  const mend = second === undefined ? 'name a second abort base' : `nor can it land at ${baseName(plan, second)}`
  const limit = `a track with an abort base fit for ${typeName(plan, flight.receiverTypeId)} and open then`
  note(path, tankerId, limit, `${flight.callSign} has no abort base: ${against}, ${mend}`)
}

/** When a base is open, in words. */
function hours(resolved: Brief, baseId: string): string {
  const its = resolved.landings.get(baseId)
  const from = its && its.opensAtMs > -Infinity ? ` from ${String(its.opensAtMs)} ms` : ''
  const until = its && its.closesAtMs < Infinity ? ` until ${String(its.closesAtMs)} ms` : ''
  return `open${from}${until}`
}
