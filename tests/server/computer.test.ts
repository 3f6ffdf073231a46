import { describe, expect, it, onTestFinished, vi } from 'vitest'
import { Computer, TooBusy } from '../../server/work/computer.ts'
import { computeOrder } from '../../shared/plan/order.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import { twoHundredShips } from '../bench/fleet.ts'
import { OPENS_AT_MS, smallPlan } from './plan.ts'
import { service } from './service.ts'

const NOTHING = { what: 'order', text: '{}' } as const
const threadAt = (name: string) => new URL(`./threads/${name}.mjs`, import.meta.url)

function computer(entry?: URL, limitMs?: number) {
  const onFault = vi.fn()
  const made = new Computer({ onFault, entry, limitMs })
  onTestFinished(() => made.close())
  return { made, onFault }
}

describe('a plan that anyone sends', () => {
  it('is computed on a thread to the same view as here, and its faults come back as they are', async () => {
    const { made } = computer()
    const body = { plan: smallPlan() }
    expect(await made.ask({ what: 'order', text: JSON.stringify(body) }, 'a')).toEqual({
      json: JSON.stringify(computeOrder(body))
    })
    const { call } = await service()
    const { tracks, ...rest } = smallPlan()
    const bad = { plan: { ...rest, tracks: tracks.map((track) => ({ ...track, abortBaseId: 'nowhere' })) } }
    const refused = await call('computeOrder', { body: bad })
    expect(refused).toMatchObject({ status: 422, body: { code: 'plan-refused', errorCount: 1 } })
    expect(refused.body.errors?.[0]?.path).toBe('/tracks/0/abortBaseId')
    expect(await call('computeOrder', { body: { plan: 5 } })).toMatchObject({
      status: 400,
      body: { code: 'bad-request', errorCount: 1 }
    })
    expect(await call('computeOrder', { body: '{"plan":' })).toMatchObject({ status: 400, body: { code: 'not-json' } })
    expect(await call('computeOrder')).toMatchObject({ status: 400, body: { code: 'bad-request' } })
    const deep = '['.repeat(500_000) + ']'.repeat(500_000)
    expect(await call('computeOrder', { body: deep })).toMatchObject({ status: 400, body: { code: 'bad-request' } })
  })

  it('holds up nothing else: the service answers while one is computed', async () => {
    const { app } = await service()
    const ends: string[] = []
    const payload = JSON.stringify({ plan: smallPlan() })
    const headers = { 'content-type': 'application/json' }
    const computing = app
      .inject({ method: 'POST', url: pathOf('computeOrder'), headers, payload })
      .then(({ statusCode }) => ends.push(`computed ${String(statusCode)}`))
    await app.inject({ url: pathOf('health') }).then(() => ends.push('health'))
    await computing
    expect(ends).toEqual(['health', 'computed 200'])
  })

  it('waits its turn; beyond eight from one address and thirty-two in all it is refused at once', async () => {
    const { made } = computer(threadAt('mute'))
    const asked: Promise<unknown>[] = []
    const refused = async (by: string) => made.ask(NOTHING, by).then(undefined, (error: unknown) => error)
    // One is at work, eight wait.
    for (let n = 0; n < 9; n += 1) asked.push(refused('a'))
    expect(await refused('a')).toBeInstanceOf(TooBusy)
    for (let n = 0; n < 24; n += 1) asked.push(refused(`b${String(n % 3)}`))
    expect(await refused('c')).toBeInstanceOf(TooBusy)
    await made.close()
    expect((await Promise.all(asked)).every((error) => error instanceof Error)).toBe(true)
  })

  it('is ended after its time, and the next one is computed by a new thread', async () => {
    const { made } = computer(threadAt('mute'), 50)
    await expect(made.ask(NOTHING, 'a')).rejects.toBeInstanceOf(TooBusy)
    await expect(made.ask(NOTHING, 'a')).rejects.toBeInstanceOf(TooBusy)
  })

  it('takes nothing with it when its thread dies', async () => {
    const { made, onFault } = computer(threadAt('dying'))
    await expect(made.ask(NOTHING, 'a')).rejects.toThrow('a fault')
    await expect(made.ask(NOTHING, 'a')).rejects.toThrow('a fault')
    expect(onFault).toHaveBeenCalledTimes(2)
    const { made: none } = computer(threadAt('stillborn'))
    await expect(none.ask(NOTHING, 'a')).rejects.toThrow('never there')
  })
})

describe('a plan of a member', () => {
  const MIB = 1024 * 1024
  /** As many bytes as a plan may have, most of them one list of the same item. */
  const crowded = (item: string): string => {
    const { flights, ...rest } = smallPlan()
    const head = `${JSON.stringify(rest).slice(0, -1)},"flights":[${JSON.stringify(flights[0])}`
    const more = Math.floor((4 * MIB - head.length - 3) / (item.length + 1))
    return `${head}${`,${item}`.repeat(more)}]}`
  }

  it('of more than 64 KiB is read on a thread, to the same as a small one is here', async () => {
    const { call, event, rooms } = await service()
    const { eventId, commander } = await event()
    const large = twoHundredShips(OPENS_AT_MS)
    expect(JSON.stringify(large).length).toBeGreaterThan(64 * 1024)
    const as = { as: commander, parameters: { eventId } }
    expect(await call('importPlan', { ...as, body: large })).toMatchObject({ status: 200, body: { revision: 2 } })
    expect(await call('savePlan', { ...as, body: { revisionSeen: 2, plan: large } })).toMatchObject({ status: 200 })
    expect((await call('readPlan', as)).body['plan']).toEqual(large)
    // Its faults point into the plan, those of the body around it into the body.
    const bad = { ...large, tracks: large.tracks.map((track) => ({ ...track, abortBaseId: 'nowhere' })) }
    const refused = await call('savePlan', { ...as, body: { revisionSeen: 3, plan: bad } })
    expect(refused).toMatchObject({ status: 422, body: { code: 'plan-refused' } })
    expect(refused.body.errors?.[0]?.path).toBe('/tracks/0/abortBaseId')
    expect(await call('savePlan', { ...as, body: { revisionSeen: 'x', plan: large } })).toMatchObject({
      status: 400,
      body: { code: 'bad-request', errors: [{ path: '/revisionSeen' }] }
    })
    const half = JSON.stringify(large).slice(0, -9)
    expect(await call('importPlan', { ...as, body: half })).toMatchObject({ status: 400, body: { code: 'not-json' } })
    expect((await rooms.of(eventId)).seq).toBe(0)
  })

  it.each(['{}', '0', '[]', '"x"', 'null'])(
    'of four megabytes of %s is refused with its fault, and the thread that read it goes on',
    async (item) => {
      const { made, onFault } = computer()
      const refused = await made.ask({ what: 'importPlan', text: crowded(item) }, 'a')
      expect(refused).toMatchObject({ code: 'plan-refused', details: { errors: [{ path: '/flights' }] } })
      const plan = smallPlan()
      expect(await made.ask({ what: 'importPlan', text: JSON.stringify(plan) }, 'a')).toEqual({
        json: JSON.stringify(plan)
      })
      expect(onFault).not.toHaveBeenCalled()
    }
  )

  it('does not wait behind what anyone has computed', async () => {
    const { app, call, event } = await service({ isLimited: false })
    const { eventId, commander } = await event()
    const headers = { 'content-type': 'application/json' }
    const payload = JSON.stringify({ plan: twoHundredShips(OPENS_AT_MS) })
    const ends: string[] = []
    const computing = Array.from({ length: 4 }, () =>
      app
        .inject({ method: 'POST', url: pathOf('computeOrder'), headers, payload })
        .then(({ statusCode }) => ends.push(`computed ${String(statusCode)}`))
    )
    const body = twoHundredShips(OPENS_AT_MS)
    const saved = await call('importPlan', { as: commander, parameters: { eventId }, body })
    ends.push(`saved ${String(saved.status)}`)
    await Promise.all(computing)
    expect(ends.at(-1)).toBe('computed 200')
    expect(ends).toContain('saved 200')
  })
})
