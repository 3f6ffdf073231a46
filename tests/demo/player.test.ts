import { describe, expect, it } from 'vitest'
import { DEMO_NAME } from '../../server/demo/plan.ts'
import { play } from '../../server/demo/player.ts'
import { demoEvent, seedDemo } from '../../server/demo/seed.ts'
import { systemClock } from '../../server/clock.ts'
import { service } from '../server/service.ts'

/** The service on a port of its own, with the demonstration seeded. */
async function demonstration() {
  const made = await service({ clock: systemClock })
  const told = await seedDemo({ store: made.store, rooms: made.rooms, clock: systemClock })
  const address = await made.app.listen({ port: 0, host: '127.0.0.1' })
  const eventId = await demoEvent(made.store)
  if (eventId === undefined) throw new Error('no demonstration')
  const secretOf = (label: string): string => told.find((link) => link.label.startsWith(label))?.secret ?? ''
  const room = await made.rooms.of(eventId)
  return { ...made, told, address, eventId, secretOf, room }
}

async function until(holds: () => boolean): Promise<void> {
  while (!holds()) await new Promise((resolve) => setTimeout(resolve, 20))
}

describe('the demonstration in the service', { timeout: 60_000 }, () => {
  it('is an open event, some half an hour old, with a link for each role', async () => {
    const { told, room, store } = await demonstration()
    expect((await store.events()).map((event) => event.name)).toEqual([DEMO_NAME])
    expect(told.map((link) => link.label)).toEqual(['Commander', 'Coordinator', 'Crew of Alder 1', 'Viewer'])
    expect(room.state.opened).toBe(true)
    const ageMin = (room.eventMs - (room.state.plan?.opensAtMs ?? 0)) / 60_000
    expect(ageMin).toBeGreaterThanOrEqual(34)
    expect(ageMin).toBeLessThan(36)
  })

  it('is played over its public API: what has happened is caught up with, under the link given, and stops when told', async () => {
    const { address, room, secretOf, store, eventId } = await demonstration()
    const stopping = new AbortController()
    const playing = play({ address, secret: secretOf('Coordinator'), signal: stopping.signal })
    const hooked = () => [...room.state.ships.values()].flat().filter((fact) => fact.kind === 'contactMade').length
    await until(() => hooked() >= 5)
    stopping.abort()
    expect(await playing).toBe('stopped')
    const { facts } = await store.log(eventId)
    const coordinator = (await store.links(eventId)).find((link) => link.role === 'coordinator')
    expect(facts.slice(2).every((fact) => fact.by === coordinator?.linkId)).toBe(true)
    const seq = room.seq
    // Begun again it goes on, and says nothing twice.
    const again = new AbortController()
    const going = play({ address, secret: secretOf('Coordinator'), signal: again.signal })
    await until(() => room.seq > seq + 10)
    again.abort()
    await going
    const contacts = (await store.log(eventId)).facts.filter((fact) => fact.kind === 'contactMade')
    expect(new Set(contacts.map((fact) => fact.slotId)).size).toBe(contacts.length)
  })

  it('is not played under a link that opens no event, or may not write', async () => {
    const { address, owner, secretOf } = await demonstration()
    const { signal } = new AbortController()
    await expect(play({ address, secret: owner.secret, signal })).rejects.toThrow('opens no event')
    await expect(play({ address, secret: 'x'.repeat(22), signal })).rejects.toThrow(/^401/)
    await expect(play({ address, secret: secretOf('Viewer'), signal })).rejects.toThrow(/^403/)
  })

  it('is not played once the event is closed', async () => {
    const { address, secretOf, call, told, eventId } = await demonstration()
    const secret = told[0]?.secret ?? ''
    const { status } = await call('record', {
      parameters: { eventId },
      headers: { authorization: `Bearer ${secret}` },
      body: { requestId: 'request-close-1', kind: 'closeEvent' }
    })
    expect(status).toBe(200)
    const { signal } = new AbortController()
    expect(await play({ address, secret: secretOf('Commander'), signal })).toBe('event closed')
  })
})
