import { randomUUID } from 'node:crypto'
import { requestId, type ShipId } from '../shared/contracts/ids.ts'
import type { Role } from '../shared/contracts/kinds.ts'
import type { Plan } from '../shared/contracts/plan.ts'
import type { AnyRequest } from '../shared/contracts/requests.ts'
import { addLink } from './auth/links.ts'
import { mintEventId } from './auth/secret.ts'
import { whoOf } from './auth/who.ts'
import type { Clock } from './clock.ts'
import type { Rooms } from './live/rooms.ts'
import type { Store } from './store/store.ts'

/** A link to be printed, once: what it is for, and its secret. */
export interface ToldLink {
  label: string
  secret: string
}

interface DemoParts {
  store: Store
  rooms: Rooms
  clock: Clock
}

/** Keeps the plan as a new event, publishes and opens it by the requests anyone would make; a link for each role. */
export async function seedDemo(plan: Plan, { store, rooms, clock }: DemoParts): Promise<ToldLink[]> {
  const nowMs = clock.nowMs()
  const eventId = mintEventId()
  await store.createEvent({ eventId, plan, savedAtMs: nowMs, savedBy: 'demo' })

  const commander = await addLink(store, { role: 'commander', eventId }, nowMs)
  const told = [{ label: 'Commander', secret: commander.secret }]
  for (const { label, role, shipId } of others(plan)) {
    const { secret } = await addLink(store, { role, shipId, eventId }, nowMs)
    told.push({ label, secret })
  }

  const room = await rooms.of(eventId)
  const freshId = () => requestId.parse(randomUUID())
  const requests: AnyRequest[] = [
    { kind: 'adoptPlan', requestId: freshId(), revision: 1, plan },
    { kind: 'openEvent', requestId: freshId() }
  ]
  for (const request of requests) await room.ask(request, whoOf(commander))
  return told
}

function others(plan: Plan): { label: string; role: Role; shipId?: ShipId }[] {
  const ship = plan.flights[0]?.ships[0]
  return [
    { label: 'Coordinator', role: 'coordinator' },
    ...(ship ? [{ label: `Crew of ${ship.callSign}`, role: 'crew' as const, shipId: ship.id }] : []),
    { label: 'Viewer', role: 'viewer' }
  ]
}
