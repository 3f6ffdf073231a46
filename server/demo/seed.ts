import { randomUUID } from 'node:crypto'
import { requestId, type EventId, type ShipId } from '../../shared/contracts/ids.ts'
import type { Role } from '../../shared/contracts/kinds.ts'
import type { AnyRequest } from '../../shared/contracts/requests.ts'
import { MS_PER_MIN } from '../../shared/units.ts'
import { addLink } from '../auth/links.ts'
import { mintEventId } from '../auth/secret.ts'
import { whoOf } from '../auth/who.ts'
import type { Clock } from '../clock.ts'
import type { Rooms } from '../live/rooms.ts'
import type { Store } from '../store/store.ts'
import { DEMO_NAME, demoPlan } from './plan.ts'

/** A link to be printed, once: what it is for, and its secret. */
export interface ToldLink {
  label: string
  secret: string
}

export interface DemoParts {
  store: Store
  rooms: Rooms
  clock: Clock
}

/** How long ago the event opened when it is made: its first ships are at their tankers just now. */
const OPENED_BEFORE_MIN = 34

/** Keeps the demonstration as a new event, publishes and opens it by the requests anyone would make; a link for each role. */
export async function seedDemo({ store, rooms, clock }: DemoParts): Promise<ToldLink[]> {
  const nowMs = clock.nowMs()
  const openingAtMs = Math.floor(nowMs / MS_PER_MIN - OPENED_BEFORE_MIN) * MS_PER_MIN
  const plan = demoPlan(openingAtMs)
  const eventId = mintEventId()
  await store.createEvent({ eventId, plan, savedAtMs: nowMs, savedBy: 'demo' })

  const commander = await addLink(store, { role: 'commander', eventId }, nowMs)
  const told = [{ label: 'Commander', secret: commander.secret }]
  const ship = plan.flights[0]?.ships[0]
  const others: { label: string; role: Role; shipId?: ShipId }[] = [
    { label: 'Coordinator', role: 'coordinator' },
    ...(ship ? [{ label: `Crew of ${ship.callSign}`, role: 'crew' as const, shipId: ship.id }] : []),
    { label: 'Viewer', role: 'viewer' }
  ]
  for (const { label, role, shipId } of others) {
    const { secret } = await addLink(store, { role, shipId, eventId }, nowMs)
    told.push({ label, secret })
  }

  const room = await rooms.of(eventId)
  const freshId = () => requestId.parse(randomUUID())
  const requests: AnyRequest[] = [
    { kind: 'adoptPlan', requestId: freshId(), atMs: openingAtMs, revision: 1, plan },
    { kind: 'openEvent', requestId: freshId(), atMs: openingAtMs }
  ]
  for (const request of requests) await room.ask(request, whoOf(commander))
  return told
}

/** The demonstration's event, if it is in the store. */
export async function demoEvent(store: Store): Promise<EventId | undefined> {
  return (await store.events()).find((event) => event.name === DEMO_NAME)?.eventId
}
