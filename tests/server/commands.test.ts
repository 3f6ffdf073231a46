import { execFile } from 'node:child_process'
import { existsSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { describe, expect, it } from 'vitest'
import { FileFault, readEventFile, writeEventFile } from '../../server/commands/event-file.ts'
import { openSqlite } from '../../server/store/sqlite/file.ts'
import { databaseIn } from '../../server/store/sqlite/folder.ts'
import type { LogAnswer, RecordedAnswer } from '../../shared/contracts/answers.ts'
import type { EventId } from '../../shared/contracts/ids.ts'
import { pathOf, ROUTES, type RouteName } from '../../shared/contracts/routes.ts'
import type { View } from '../../shared/contracts/view.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { reduce } from '../../shared/live/reduce.ts'
import { emptyState } from '../../shared/live/state.ts'
import { SHIPS, smallPlan } from './plan.ts'
import { runToEnd, start, type Running } from './process.ts'
import { freshId, fuelCall, newFolder, service } from './service.ts'

const MAIN = fileURLToPath(new URL('../../dist/server/commands/main.js', import.meta.url))
const OWNER = 'Owner of this service'

/** Runs a command in a process of its own, as npm would. */
function run(DATA_DIR: string, ...args: string[]): Promise<{ code: number; text: string }> {
  return new Promise((resolve) => {
    const environment = { PATH: process.env['PATH'] ?? '', DATA_DIR }
    execFile(process.execPath, [MAIN, ...args], { env: environment }, (error, out, err) => {
      resolve({ code: error === null ? 0 : Number(error.code), text: `${out}${err}`.trim() })
    })
  })
}

async function ask<Answer>(
  to: Running,
  secret: string,
  name: RouteName,
  eventId = '',
  body?: unknown
): Promise<Answer> {
  const answer = await fetch(to.address + pathOf(name, { eventId }), {
    method: ROUTES[name].method,
    headers: {
      authorization: `Bearer ${secret}`,
      ...(body === undefined ? {} : { 'content-type': 'application/json' })
    },
    ...(body === undefined ? {} : { body: JSON.stringify(body) })
  })
  if (!answer.ok) throw new Error(`${name}: ${String(answer.status)} ${await answer.text()}`)
  return (await answer.json()) as Answer
}

/** A service with an event that is open, in a process of its own. */
async function running(DATA_DIR: string) {
  const server = await start({ DATA_DIR })
  const owner = server.secrets.get(OWNER) ?? ''
  const plan = smallPlan({ opensAtMs: Date.now() - 60_000 })
  const { eventId } = await ask<{ eventId: string }>(server, owner, 'createPlan', '', { plan })
  await ask(server, owner, 'publishPlan', eventId, { requestId: 'publish-1', revision: 1 })
  await ask(server, owner, 'record', eventId, { requestId: 'open-event-1', kind: 'openEvent' })
  return { server, owner, eventId }
}

describe('a backup', { timeout: 120_000 }, () => {
  it('is taken under 50 calls a second, restored by the command, and replays to the same state up to its last fact', async () => {
    const folder = newFolder()
    const { server, owner, eventId } = await running(folder)
    const file = join(newFolder(), 'copy.sqlite')
    let taken: { code: number; text: string } | undefined
    const acknowledged: RecordedAnswer[] = []
    let before = 0
    const calls: Promise<void>[] = []
    const beganMs = performance.now()
    let backingUp: Promise<void> | undefined
    for (let n = 0; taken === undefined || n < 120; n += 1) {
      const dueMs = beganMs + n * 20 - performance.now()
      if (dueMs > 0) await new Promise((resolve) => setTimeout(resolve, dueMs))
      const body = fuelCall(SHIPS.alder1, 2000 + (n % 900), `call-${String(n).padStart(5, '0')}`)
      calls.push(ask<RecordedAnswer>(server, owner, 'record', eventId, body).then((one) => void acknowledged.push(one)))
      if (n !== 50) continue
      before = Math.max(0, ...acknowledged.map(({ to }) => to))
      backingUp = run(folder, 'backup', file).then((ended) => void (taken = ended))
    }
    await Promise.all([...calls, backingUp])
    expect(taken.code, taken.text).toBe(0)
    expect(statSync(file).mode & 0o777).toBe(0o600)
    const log = await ask<LogAnswer>(server, owner, 'readLog', eventId)
    expect((await run(folder, 'restore', file)).text).toContain('the service is running')
    await server.kill('SIGTERM')

    // A folder that is not there yet is made; for a file that is not there none is.
    const elsewhere = join(newFolder(), 'try')
    expect((await run(elsewhere, 'restore', `${file}x`)).text).toContain('there is no')
    expect(existsSync(elsewhere)).toBe(false)
    expect(await run(elsewhere, 'restore', file)).toMatchObject({ code: 0 })
    const next = await start({ DATA_DIR: elsewhere })
    const restored = await ask<LogAnswer>(next, owner, 'readLog', eventId)
    // All that was acknowledged before it began, and nothing that never was.
    expect(restored.to).toBeGreaterThanOrEqual(before)
    expect(before).toBeGreaterThan(2)
    expect(restored.to).toBeLessThan(log.to)
    expect(restored.facts).toEqual(log.facts.slice(0, restored.to))
    const state = await ask<View>(next, owner, 'readState', eventId)
    const replayed = log.facts.slice(0, restored.to).reduce(reduce, emptyState(eventId))
    expect(state).toEqual(JSON.parse(JSON.stringify(estimate(replayed, state.atMs))))
    await next.kill('SIGTERM')

    // Over a database that is there: the old one is kept, whole.
    expect(await run(folder, 'restore', file)).toMatchObject({ code: 0 })
    const kept = readdirSync(folder).find((name) => name.includes('.before-')) ?? ''
    const old = openSqlite(join(folder, kept))
    expect((await old.log(eventId as EventId)).facts).toHaveLength(log.to)
    await old.close()
    const now = openSqlite(databaseIn(folder))
    expect((await now.log(eventId as EventId)).facts).toHaveLength(restored.to)
    await now.close()
  })

  it('refuses to overwrite a file, and to restore what is no whole database of ours, changing nothing', async () => {
    const folder = newFolder()
    await openSqlite(databaseIn(folder)).close()
    const before = readFileSync(databaseIn(folder))
    const file = join(newFolder(), 'notes.txt')
    writeFileSync(file, 'These are notes, and no database at all. '.repeat(200))
    for (const [args, reason] of [
      [['backup', file], 'is there already'],
      [['backup'], 'use it as npm run backup -- FILE'],
      [['restore', file], `${file} is not a database`],
      [['restore', join(folder, 'nothing.sqlite')], 'there is no'],
      [['delete-event', 'e-none'], 'there is no event e-none'],
      [['burn', 'all'], 'there is no command burn']
    ] as const) {
      const { code, text } = await run(folder, ...args)
      expect([code, text]).toEqual([1, expect.stringContaining(reason) as string])
    }
    const cut = join(newFolder(), 'cut.sqlite')
    writeFileSync(cut, before.subarray(0, before.length / 2))
    expect((await run(folder, 'restore', cut)).text).toContain(`${cut} is damaged`)
    expect(readFileSync(databaseIn(folder)).equals(before)).toBe(true)
    expect(readdirSync(folder).filter((name) => name.includes('restoring'))).toEqual([])
  })
})

describe('an event as a file', { timeout: 120_000 }, () => {
  it('is exported from a running service, and imported into an empty one to the same state, log and requests', async () => {
    const folder = newFolder()
    const { server, owner, eventId } = await running(folder)
    for (let n = 0; n < 20; n += 1) await ask(server, owner, 'record', eventId, fuelCall(SHIPS.alder1, 2000 + n))
    const file = join(newFolder(), 'event.jsonl')
    expect(await run(folder, 'export-event', eventId, file)).toMatchObject({ code: 0 })
    const log = await ask<LogAnswer>(server, owner, 'readLog', eventId)
    const state = await ask<View>(server, owner, 'readState', eventId)
    await server.kill('SIGTERM')
    const text = readFileSync(file, 'utf8')
    expect(text).not.toContain(owner)
    expect(text).not.toContain('secret')

    // The folder is made.
    const elsewhere = join(newFolder(), 'try')
    const imported = await run(elsewhere, 'import-event', file)
    expect(imported.code, imported.text).toBe(0)
    const commander = /\/join#(\S+)/.exec(imported.text)?.[1] ?? ''
    const next = await start({ DATA_DIR: elsewhere })
    expect(await ask<LogAnswer>(next, commander, 'readLog', eventId)).toEqual(log)
    const there = await fetch(`${next.address}${pathOf('readState', { eventId })}?atMs=${String(state.atMs)}`, {
      headers: { authorization: `Bearer ${commander}` }
    })
    expect(await there.json()).toEqual(state)
    await next.kill('SIGTERM')
    expect((await run(elsewhere, 'import-event', file)).text).toContain('is here already')

    // Deleted and brought back, it is the same once more; links of before are gone.
    expect(await run(elsewhere, 'delete-event', eventId)).toMatchObject({ code: 0 })
    expect(await run(elsewhere, 'import-event', file)).toMatchObject({ code: 0 })
    const store = openSqlite(databaseIn(elsewhere))
    expect((await store.log(eventId as EventId)).facts).toEqual(log.facts)
    expect(await store.links(eventId as EventId)).toHaveLength(1)
    await store.close()
  })

  it('is known when it was cut off, touched, or says what cannot be', async () => {
    const { store, openEvent, call } = await service()
    const { eventId, commander } = await openEvent()
    const body = fuelCall(SHIPS.alder1, 3000, freshId())
    await call('record', { as: commander, parameters: { eventId }, body })
    const whole = await store.wholeEvent(eventId)
    if (whole === undefined) throw new Error('no event')
    const text = writeEventFile(whole, 5)
    const { outcomes, ...rest } = readEventFile(text)
    expect({ ...rest, outcomes: outcomes.toSorted((a, b) => a.from - b.from) }).toEqual({
      ...whole,
      outcomes: whole.outcomes.toSorted((a, b) => a.from - b.from)
    })
    const [first, second, third] = whole.facts
    if (!first || !second || !third) throw new Error('too few facts')
    const wrong: [string, string][] = [
      [text.slice(0, -1), 'cut off'],
      [text.slice(0, text.length / 2), 'cut off'],
      [text.replace('"value":3000', '"value":9000'), 'SHA-256'],
      [writeEventFile({ ...whole, facts: [first, third] }, 5), 'fact 2'],
      [writeEventFile({ ...whole, facts: [first, second, { ...third, atMs: NaN }] }, 5), 'atMs'],
      [writeEventFile({ ...whole, outcomes: outcomes.slice(1) }, 5), 'is not what the file says of its request'],
      [
        writeEventFile({ ...whole, revisions: whole.revisions.map((one) => ({ ...one, plan: {} as never })) }, 5),
        'plan'
      ],
      ['', 'empty'],
      ['{}\n', 'line 1']
    ]
    for (const [bad, reason] of wrong) {
      expect(() => readEventFile(bad)).toThrow(FileFault)
      expect(() => readEventFile(bad)).toThrow(reason)
    }
  })
})

describe('a data folder', { timeout: 60_000 }, () => {
  it('belongs to one process at a time, and to the next as soon as that is dead', async () => {
    const DATA_DIR = newFolder()
    const first = await start({ DATA_DIR })
    const { code, text } = await runToEnd({ PORT: '0', DEMO: 'off', DATA_DIR })
    expect([code, text]).toEqual([1, expect.stringContaining('another process of this service works on it') as string])
    expect((await fetch(first.address + pathOf('ready'))).status).toBe(200)
    await first.kill('SIGKILL')
    const second = await start({ DATA_DIR })
    expect((await fetch(second.address + pathOf('ready'))).status).toBe(200)
    expect(existsSync(join(DATA_DIR, 'ullage.lock'))).toBe(true)
  })
})
