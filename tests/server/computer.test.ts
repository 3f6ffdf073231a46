import { describe, expect, it, onTestFinished, vi } from 'vitest'
import { Computer, TooBusy } from '../../server/work/computer.ts'
import { computeOrder } from '../../shared/plan/order.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import { smallPlan } from './plan.ts'
import { service } from './service.ts'

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
    expect(await made.order(JSON.stringify(body), 'a')).toEqual({ view: JSON.stringify(computeOrder(body)) })
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
    const refused = async (by: string) => made.order('{}', by).then(undefined, (error: unknown) => error)
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
    await expect(made.order('{}', 'a')).rejects.toBeInstanceOf(TooBusy)
    await expect(made.order('{}', 'a')).rejects.toBeInstanceOf(TooBusy)
  })

  it('takes nothing with it when its thread dies', async () => {
    const { made, onFault } = computer(threadAt('dying'))
    await expect(made.order('{}', 'a')).rejects.toThrow('a fault')
    await expect(made.order('{}', 'a')).rejects.toThrow('a fault')
    expect(onFault).toHaveBeenCalledTimes(2)
    const { made: none } = computer(threadAt('stillborn'))
    await expect(none.order('{}', 'a')).rejects.toThrow('never there')
  })
})
