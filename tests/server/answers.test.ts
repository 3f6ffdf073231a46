import { gunzipSync } from 'node:zlib'
import { describe, expect, it } from 'vitest'
import { logAnswer } from '../../shared/contracts/answers.ts'
import { view } from '../../shared/contracts/view.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { OPENS_AT_MS, SHIPS } from './plan.ts'
import { fuelCall, service } from './service.ts'

async function running() {
  const made = await service()
  const { eventId, commander } = await made.openEvent()
  const as = { as: commander, parameters: { eventId } }
  await made.call('record', { ...as, body: fuelCall(SHIPS.alder1, 4000) })
  return { ...made, eventId, commander, as }
}

describe('state and log', () => {
  it('give the event as the shared view computes it, at event time to the second', async () => {
    const { call, rooms, eventId, as, clock } = await running()
    clock.forward(61_400)
    const { status, body } = await call('readState', as)
    expect(status).toBe(200)
    const room = await rooms.of(eventId)
    const atMs = Math.floor(clock.nowMs() / 1000) * 1000
    expect(body).toEqual(JSON.parse(JSON.stringify(estimate(room.state, atMs))))
    expect(view.parse(body)).toMatchObject({ eventId, seq: 3, atMs, open: true })
  })

  it('give the event at a named event time', async () => {
    const { call, as } = await running()
    const atMs = OPENS_AT_MS + 20 * 60_000
    const { body } = await call('readState', { ...as, query: `?atMs=${String(atMs)}` })
    expect(body['atMs']).toBe(atMs)
    expect((await call('readState', { ...as, query: '?atMs=NaN' })).body.code).toBe('bad-request')
  })

  it.each(['readState', 'readLog'] as const)(
    '%s is tagged, sent once, and sent again after a new fact',
    async (name) => {
      const { call, as } = await running()
      const first = await call(name, as)
      const tag = String(first.headers['etag'])
      const same = await call(name, { ...as, headers: { 'if-none-match': tag } })
      expect([same.status, same.headers['etag'], same.headers['content-length']]).toEqual([304, tag, undefined])
      await call('record', { ...as, body: fuelCall(SHIPS.alder1, 3900) })
      const next = await call(name, { ...as, headers: { 'if-none-match': tag } })
      expect(next.status).toBe(200)
      expect(next.headers['etag']).not.toBe(tag)
    }
  )

  it.each(['readState', 'readLog'] as const)('%s of another log of the same length has another tag', async (name) => {
    const tags = await Promise.all(
      [1, 2].map(async () => {
        const { call, as } = await running()
        await call('record', { ...as, body: fuelCall(SHIPS.alder1, 3900) })
        const query = name === 'readState' ? `?atMs=${String(OPENS_AT_MS + 60_000)}` : ''
        return (await call(name, { ...as, query })).headers['etag']
      })
    )
    expect(tags[0]).not.toBe(tags[1])
  })

  it('are compressed for whoever takes it', async () => {
    const { app, commander, eventId, call, as } = await running()
    const headers = { authorization: `Bearer ${commander.secret}`, 'accept-encoding': 'gzip, br' }
    const packed = await app.inject({ url: `/api/v1/events/${eventId}/log`, headers })
    expect(packed.headers['content-encoding']).toBe('gzip')
    const plain = await call('readLog', as)
    const unpacked: unknown = JSON.parse(gunzipSync(packed.rawPayload).toString())
    expect(unpacked).toEqual(plain.body)
    expect(logAnswer.parse(unpacked).facts).toHaveLength(3)
    expect(packed.rawPayload.byteLength).toBeLessThan(JSON.stringify(plain.body).length / 2)
  })
})
