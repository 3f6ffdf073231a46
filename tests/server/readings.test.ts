import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import type { EventId } from '../../shared/contracts/ids.ts'
import type { Reading, ReadingsBody } from '../../shared/contracts/readings.ts'
import { estimate } from '../../shared/live/estimate.ts'
import type { Plan } from '../../shared/contracts/plan.ts'
import { demoPlan } from '../../server/demo/plan.ts'
import { hundredShips } from '../bench/fleet.ts'
import { MemoryEvent } from '../make/event.ts'
import { gaugesOf } from '../make/readings.ts'
import { OPENS_AT_MS, SHIPS, smallPlan } from './plan.ts'
import { freshId, fuelCall, service } from './service.ts'

/** An open event of a plan, with a feed. */
async function fed({ plan = smallPlan(), forwardMs = 0 }: { plan?: Plan; forwardMs?: number } = {}) {
  const made = await service()
  made.clock.forward(forwardMs)
  const { body } = await made.call('createPlan', { as: made.owner, body: { plan } })
  const eventId = body['eventId'] as EventId
  const parameters = { eventId }
  const ask = (name: 'publishPlan' | 'record', asked: unknown) =>
    made.call(name, { as: made.owner, parameters, body: asked })
  await ask('publishPlan', { requestId: freshId(), revision: 1 })
  await ask('record', { requestId: freshId(), kind: 'openEvent' })
  const feed = await made.link(eventId, 'feed')
  const send = (readings: readonly unknown[], requestId = freshId()) =>
    made.call('takeReadings', { as: feed, parameters, body: { requestId, readings } })
  const room = await made.rooms.of(eventId)
  return { ...made, eventId, send, room, record: (asked: unknown) => ask('record', asked) }
}

const kg = (value: number) => ({ value, unit: 'kg' })
const reading = (atMs: number, fuelKg: number, shipId: string = SHIPS.alder1) => ({
  shipId,
  atMs,
  fuel: kg(fuelKg),
  covers: 'total'
})
/** 2040 kg are burned by then: 40 kg/min from 5000 kg, and nobody has called. */
const AT_MS = OPENS_AT_MS + 60_000

describe('a batch of readings', () => {
  it('says of each what became of it, in the order sent', async () => {
    const { send, record, clock } = await fed()
    clock.forward(600_000)
    const nowMs = clock.nowMs()
    await record({ requestId: freshId(), kind: 'setNoShow', shipId: SHIPS.kelp1, noShow: true })
    const { status, body } = await send([
      reading(nowMs - 2_000, 4560),
      reading(nowMs - 1_000, 4560),
      reading(nowMs - 3_000, 4560),
      reading(nowMs, 4560, SHIPS.kelp1),
      reading(nowMs, 4560, 'nobody'),
      reading(nowMs, 99_000, SHIPS.alder2),
      reading(nowMs, -5, SHIPS.alder2),
      reading(nowMs, 1e300, SHIPS.alder2),
      reading(nowMs + 5_001, 4560, SHIPS.alder2),
      reading(OPENS_AT_MS - 1, 4560, SHIPS.alder2)
    ])
    expect(status).toBe(200)
    expect(body).toEqual({
      from: 4,
      to: 4,
      repeated: false,
      readings: [
        { outcome: 'dropped', why: 'too soon' },
        { outcome: 'dropped', why: 'too soon' },
        { outcome: 'recorded', seq: 4 },
        { outcome: 'dropped', why: 'does not come' },
        { outcome: 'refused', code: 'unknown-ship' },
        { outcome: 'refused', code: 'fuel-above-capacity' },
        { outcome: 'refused', code: 'out-of-bounds' },
        { outcome: 'refused', code: 'fuel-above-capacity' },
        { outcome: 'refused', code: 'time-ahead' },
        { outcome: 'refused', code: 'time-before-event' }
      ]
    })
  })

  it('is recorded once under its request id, and told as recorded again', async () => {
    const { send, room } = await fed()
    const id = freshId()
    const batch = [reading(AT_MS, 4960), reading(AT_MS, 4960, SHIPS.alder2), reading(AT_MS + 1, 4960)]
    const [first, second] = await Promise.all([send(batch, id), send(batch, id)])
    const [{ body: once }, { body: again }] = [first, second]
    expect(once['repeated']).toBe(false)
    expect(again).toEqual({
      ...once,
      repeated: true,
      readings: [
        { outcome: 'recorded', seq: 3 },
        { outcome: 'recorded', seq: 4 },
        { outcome: 'dropped', why: 'answered before' }
      ]
    })
    expect(room.seq).toBe(4)
    const { status, body } = await send([reading(AT_MS, 4000)], id)
    expect([status, body.code]).toEqual([409, 'request-id-reused'])
  })

  it('of which nothing is recorded leaves no trace and is looked at anew', async () => {
    const { send, room, clock } = await fed()
    await send([reading(AT_MS, 4960)])
    const id = freshId()
    const late = [reading(AT_MS + 4_000, 4957)]
    clock.forward(10_000)
    for (let time = 0; time < 2; time += 1) {
      const { body } = await send(late, id)
      expect(body).toMatchObject({ from: 4, to: 3, repeated: false })
    }
    expect(room.seq).toBe(3)
  })

  it('is refused whole before the event is open, after it is closed, and beyond two hundred', async () => {
    const { send, record, call, owner, link } = await fed()
    const many = Array.from({ length: 201 }, (_, index) => reading(AT_MS + index, 4960))
    expect((await send(many)).body).toMatchObject({ code: 'bad-request', errors: [{ path: '/readings' }] })
    expect((await send(many.slice(1))).status).toBe(200)
    await record({ requestId: freshId(), kind: 'closeEvent' })
    expect((await send([reading(AT_MS, 4960)])).body.code).toBe('event-closed')
    const { body } = await call('createPlan', { as: owner, body: { plan: smallPlan() } })
    const eventId = body['eventId'] as EventId
    const feed = await link(eventId, 'feed')
    const sent = { requestId: freshId(), readings: [reading(AT_MS, 4960)] }
    expect((await call('takeReadings', { as: feed, parameters: { eventId }, body: sent })).body.code).toBe(
      'event-not-begun'
    )
  })
})

describe('a reading', () => {
  it('becomes a fact after a minute, or when it is off and five seconds have passed', async () => {
    const { send, clock } = await fed()
    const became = async (afterMs: number, fuelKg: number) => {
      const { body } = await send([reading(AT_MS + afterMs, fuelKg)])
      return (body['readings'] as { outcome: string; why?: string }[]).map(({ outcome, why }) => why ?? outcome)[0]
    }
    clock.forward(200_000)
    expect(await became(0, 4960)).toBe('recorded')
    // As expected: 40 kg/min. A figure of another ship's is far below.
    expect(await became(4_999, 3000)).toBe('too soon')
    expect(await became(59_999, 4920)).toBe('as expected')
    expect(await became(60_000, 4920)).toBe('recorded')
    expect(await became(65_000, 3000)).toBe('recorded')
    expect(await became(64_000, 3000)).toBe('older')
  })

  it('that comes half a second after one that told nothing is not looked at, but for another feed it is', async () => {
    const { call, clock, eventId, link, send } = await fed()
    clock.forward(200_000)
    await send([reading(AT_MS, 4960)])
    const told = (body: Record<string, unknown>) =>
      (body['readings'] as { outcome: string; why?: string }[]).map(({ outcome, why }) => why ?? outcome)
    const at = (afterMs: number, fuelKg = 4940) => reading(AT_MS + afterMs, fuelKg)
    // In one batch by observed time, whatever the order sent; in the next by what that one left.
    expect(told((await send([at(30_499), at(30_000), at(30_500), at(30_001, 3000)])).body)).toEqual([
      'too soon',
      'as expected',
      'as expected',
      'too soon'
    ])
    expect(told((await send([at(30_999, 3000), at(20_000, 3000)])).body)).toEqual(['too soon', 'too soon'])
    const other = await link(eventId, 'feed')
    const body = { requestId: freshId(), readings: [at(30_600)] }
    expect(told((await call('takeReadings', { as: other, parameters: { eventId }, body })).body)).toEqual([
      'as expected'
    ])
    expect(told((await send([at(31_000, 3000)])).body)).toEqual(['recorded'])
  })

  it('counts from the last call, whoever made it', async () => {
    const { send, record, clock } = await fed()
    clock.forward(60_000)
    await record({ ...fuelCall(SHIPS.alder1, 4920), atMs: clock.nowMs() })
    const { body } = await send([reading(clock.nowMs() - 30_000, 4960), reading(clock.nowMs() + 3_000, 4960)])
    expect(body['readings']).toEqual([
      { outcome: 'dropped', why: 'older' },
      { outcome: 'dropped', why: 'too soon' }
    ])
  })
})

describe('the sample of docs/operate.md', () => {
  it('is taken line by line; each ship once a minute, and the one that loses fuel when it does', async () => {
    const { send, clock } = await fed({ plan: demoPlan(OPENS_AT_MS), forwardMs: 33 * 60_000 })
    const file = readFileSync(new URL('../../docs/readings.jsonl', import.meta.url), 'utf8')
    const recorded = new Map<string, number[]>()
    for (const [second, line] of file.trimEnd().split('\n').entries()) {
      const sent = JSON.parse(line) as Reading[]
      const { status, body } = await send(sent)
      expect(status).toBe(200)
      for (const [index, { outcome }] of (body['readings'] as { outcome: string }[]).entries()) {
        expect(outcome).not.toBe('refused')
        const { shipId } = sent[index] ?? { shipId: '' }
        if (outcome === 'recorded') recorded.set(shipId, [...(recorded.get(shipId) ?? []), second])
      }
      clock.forward(1_000)
    }
    expect(Object.fromEntries(recorded)).toEqual({
      'thistle-1': [0, 60],
      'thistle-2': [0, 60],
      'thistle-3': [0, 40],
      'thistle-4': [0, 60]
    })
  })

  it('has the curl of a reading that is taken', async () => {
    const { send } = await fed({ plan: demoPlan(OPENS_AT_MS), forwardMs: 33 * 60_000 })
    const text = readFileSync(new URL('../../docs/operate.md', import.meta.url), 'utf8')
    const { readings, requestId } = JSON.parse(/-d '(\{"requestId".*\})'/.exec(text)?.[1] ?? '{}') as ReadingsBody
    expect((await send(readings, requestId)).body['readings']).toEqual([{ outcome: 'recorded', seq: 3 }])
  })
})

describe('a hundred ships at one reading a second for ten minutes', () => {
  it('make at most 1,100 facts, and the fuel that all readings together tell, to 1 %', async () => {
    const plan = hundredShips(OPENS_AT_MS)
    const beganMs = OPENS_AT_MS + 30 * 60_000
    const gauges = gaugesOf(plan, { fromMs: beganMs, seed: 7 })
    const { send, room, clock } = await fed({ plan, forwardMs: beganMs - AT_MS })
    const all = new MemoryEvent(plan)
    const before = room.seq
    const refused: string[] = []
    for (let second = 0; second < 600; second += 1) {
      const readings = gauges.at(clock.nowMs())
      const { status } = await send(readings)
      if (status !== 200) refused.push(String(status))
      for (const one of readings) refused.push(all.ask({ kind: 'callFuel', ...one }, one.atMs)?.detail ?? '')
      clock.forward(1_000)
    }
    expect(refused.filter((why) => why !== '')).toEqual([])
    expect(all.state.seq).toBeGreaterThan(60_000)
    const facts = room.seq - before
    expect(facts).toBeGreaterThanOrEqual(1_000)
    expect(facts).toBeLessThanOrEqual(1_100)
    const nowMs = clock.nowMs() - 1_000
    const ofAll = new Map(estimate(all.state, nowMs)?.ships.map((ship) => [ship.shipId, ship.fuelKg]))
    const thinned = estimate(room.state, nowMs)?.ships ?? []
    expect(thinned).toHaveLength(100)
    const off = thinned.map(({ shipId, fuelKg }) => Math.abs(fuelKg / (ofAll.get(shipId) ?? NaN) - 1))
    expect(Math.max(...off)).toBeLessThanOrEqual(0.01)
  }, 120_000)
})
