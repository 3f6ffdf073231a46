import { Writable } from 'node:stream'
import { describe, expect, it } from 'vitest'
import { deleteOld } from '../../server/retention.ts'
import { SHIPS, smallPlan } from './plan.ts'
import { fuelCall, service } from './service.ts'

/** A log that is kept as its lines. */
function logged(level: string) {
  const lines: string[] = []
  const stream = new Writable({
    write: (chunk, _encoding, done) => {
      lines.push(String(chunk))
      done()
    }
  })
  return { lines, logger: { level, stream } }
}

describe('what is told of a running service', () => {
  it('has a line of JSON for each answer, with the id the answer carries, and no secret or cookie in it', async () => {
    const { lines, logger } = logged('info')
    const { call, openEvent } = await service({ logger })
    const { eventId, commander } = await openEvent()
    const { secret, linkId } = commander
    const cookie = `ullage_${linkId}=${secret}`
    const seen = [
      await call('readLog', { as: commander, parameters: { eventId } }),
      await call('signIn', { body: { secret } }),
      await call('signIn', { body: { secret: `${secret}x` } }),
      await call('readState', { parameters: { eventId }, query: `?as=${linkId}`, headers: { cookie } }),
      await call('record', { as: commander, parameters: { eventId }, body: `{"secret":"${secret}"` }),
      await call('readLog', { parameters: { eventId }, query: `?after=${secret}`, headers: { authorization: secret } })
    ]
    expect(seen.map(({ status }) => status)).toEqual([200, 200, 401, 200, 400, 401])
    const answered = lines.map((line) => JSON.parse(line) as Record<string, unknown>)
    for (const { status, headers } of seen) {
      const line = answered.find(({ reqId }) => reqId === headers['request-id'])
      expect(line).toMatchObject({ msg: 'answered', status })
    }
    expect(new Set(answered.map(({ reqId }) => reqId)).size).toBe(answered.length)
    expect(lines.join('')).not.toContain(secret)
    expect(lines.join('')).not.toContain('cookie')
  })

  it('is silent about good answers by default, and tells faults of ours', async () => {
    const { lines, logger } = logged('warn')
    const { call, owner, openEvent, store } = await service({ logger })
    const { eventId, commander } = await openEvent()
    await call('readLog', { as: commander, parameters: { eventId } })
    expect(lines).toEqual([])
    store.events = () => Promise.reject(new Error('a fault of ours'))
    expect((await call('listPlans', { as: owner })).status).toBe(500)
    const [fault, answered] = lines.map((line) => JSON.parse(line) as Record<string, unknown>)
    expect(fault).toMatchObject({ level: 50, err: { message: 'a fault of ours' } })
    expect(answered).toMatchObject({ level: 40, route: 'listPlans', status: 500, reqId: fault?.['reqId'] })
  })

  it('gives its figures in the text format of Prometheus, to the owner', async () => {
    const { call, owner, openEvent } = await service()
    const { eventId, commander } = await openEvent()
    const as = { as: commander, parameters: { eventId } }
    for (const fuelKg of [3000, 3001, 3002]) await call('record', { ...as, body: fuelCall(SHIPS.alder1, fuelKg) })
    await call('readLog', { parameters: { eventId } })
    expect((await call('metrics', as)).status).toBe(403)
    const answer = await call('metrics', { as: owner })
    expect(answer.headers['content-type']).toBe('text/plain; version=0.0.4; charset=utf-8')
    const samples = read(answer.text)
    expect(samples.get('ullage_rooms')).toBe(1)
    expect(samples.get('ullage_facts')).toBe(5)
    expect(samples.get('ullage_facts_recorded_total')).toBe(5)
    expect(samples.get('ullage_answers_total{route="record",status="200"}')).toBe(4)
    expect(samples.get('ullage_answers_total{route="readLog",status="401"}')).toBe(1)
    expect(samples.get('ullage_store_trouble{kind="store-full"}')).toBe(0)
    expect(samples.get('ullage_answer_seconds_count{route="record"}')).toBe(4)
    expect(samples.get('ullage_answer_seconds_bucket{route="record",le="+Inf"}')).toBe(4)
    expect(samples.get('process_resident_memory_bytes')).toBeGreaterThan(1e7)
  })

  it('tells what was too much to do, which anyone can bring about, from a fault of ours', async () => {
    const { call, owner, store } = await service()
    const asked = Array.from({ length: 12 }, () => call('computeOrder', { body: { plan: smallPlan() } }))
    const statuses = (await Promise.all(asked)).map(({ status }) => status)
    const refused = statuses.filter((status) => status === 503).length
    expect(refused).toBeGreaterThan(0)
    store.events = () => Promise.reject(new Error('a fault of ours'))
    await call('listPlans', { as: owner })
    const samples = read((await call('metrics', { as: owner })).text)
    expect(samples.get('ullage_answers_total{route="computeOrder",status="503"}')).toBe(refused)
    const faults = [...samples].filter(([name]) => name.startsWith('ullage_answers_total') && name.includes('"500"'))
    expect(faults).toEqual([['ullage_answers_total{route="listPlans",status="500"}', 1]])
  })
})

/**
 * The samples of a text in the Prometheus exposition format 0.0.4.
 * Source: Prometheus documentation, "Exposition formats", text-based format (from memory): HELP and TYPE once before the
 * samples of a metric, `name{label="value",...} value`, each line ended by a line feed, all lines of a metric together.
 */
function read(text: string): Map<string, number> {
  const samples = new Map<string, number>()
  const seen = new Set<string>()
  let family = ''
  let type = ''
  if (!text.endsWith('\n')) throw new Error('the last line does not end')
  for (const line of text.slice(0, -1).split('\n')) {
    const told = /^# (HELP|TYPE) ([a-zA-Z_:][\w:]*) (.+)$/.exec(line)
    if (told) {
      const [, what, name = '', rest = ''] = told
      if (what === 'HELP' && seen.has(name)) throw new Error(`${name} is told of twice`)
      if (what === 'TYPE' && (name !== family || !['gauge', 'counter', 'histogram'].includes(rest)))
        throw new Error(line)
      if (what === 'HELP') family = name
      else type = rest
      seen.add(name)
      continue
    }
    const found = /^([a-zA-Z_:][\w:]*)(\{(?:[a-zA-Z_]\w*="[^"\\\n]*"(?:,(?!\}))?)+\})? (\S+)$/.exec(line)
    const [, name = '', labels = '', value = ''] = found ?? []
    const base = type === 'histogram' ? name.replace(/_(bucket|sum|count)$/, '') : name
    if (!found || base !== family) throw new Error(`not a sample of ${family}: ${line}`)
    if (samples.has(name + labels)) throw new Error(`twice: ${line}`)
    if (!Number.isFinite(Number(value))) throw new Error(`not a number: ${line}`)
    samples.set(name + labels, Number(value))
  }
  return samples
}

describe('an event that nobody looks at', () => {
  it('leaves the memory after ten minutes, and is the same when it is asked for again', async () => {
    const { rooms, clock, call, openEvent } = await service()
    const { eventId, commander } = await openEvent()
    const as = { as: commander, parameters: { eventId } }
    const ask = fuelCall(SHIPS.alder1, 3000)
    await call('record', { ...as, body: ask })
    const log = (await call('readLog', as)).body
    clock.forward(599_000)
    rooms.tick()
    expect(rooms.open).toHaveLength(1)
    await call('readLog', as)
    clock.forward(599_000)
    rooms.tick()
    expect(rooms.open).toHaveLength(1)
    clock.forward(2_000)
    rooms.tick()
    expect(rooms.open).toHaveLength(0)
    expect((await call('readLog', as)).body).toEqual(log)
    expect((await call('record', { ...as, body: ask })).body).toMatchObject({ from: 3, repeated: true })
    expect((await call('record', { ...as, body: fuelCall(SHIPS.alder1, 3001) })).body).toMatchObject({ from: 4 })
  })

  it('is deleted after the days it is kept for, with its links; others stay', async () => {
    const { rooms, store, clock, call, event, openEvent } = await service()
    const told: string[] = []
    const look = (keepDays: number) =>
      deleteOld({ rooms, store, clock, keepDays, tell: (line) => void told.push(line) })
    const old = await openEvent()
    clock.forward(20 * 24 * 3_600_000)
    const young = await event()
    clock.forward(11 * 24 * 3_600_000)
    await look(40)
    expect(told).toEqual([])
    await look(30)
    expect(told).toEqual([`The event ${old.eventId} was kept for 30 days and is deleted.`])
    expect((await store.events()).map(({ eventId }) => eventId)).toEqual([young.eventId])
    const gone = await call('readLog', { as: old.commander, parameters: { eventId: old.eventId } })
    expect(gone.status).toBe(401)
  })
})
