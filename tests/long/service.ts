import { spawn, spawnSync } from 'node:child_process'
import { once } from 'node:events'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { ROOT } from '../../server/root.ts'
import type { LogAnswer } from '../../shared/contracts/answers.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import { jsonOf, Line } from '../bench/line.ts'
import { SHIPS, smallPlan } from '../server/plan.ts'
import { fuelCall } from '../server/service.ts'

const MAIN = join(ROOT, 'dist', 'server', 'main.js')

export interface Run {
  port: number
  pid: number
  said: () => string
  exited: Promise<{ code: number | null; signal: NodeJS.Signals | null }>
  kill(signal: NodeJS.Signals): Promise<{ code: number | null; signal: NodeJS.Signals | null }>
}

export interface Starting {
  folder: string
  environment?: Record<string, string>
  nodeArgs?: readonly string[]
}

/** The built service in a process of its own; undefined when it ended before it listened. */
export async function startIn({ folder, environment = {}, nodeArgs = [] }: Starting): Promise<Run | undefined> {
  const { PATH = '' } = process.env
  const child = spawn(process.execPath, [...nodeArgs, MAIN], {
    env: { PATH, PORT: '0', DEMO: 'off', RATE_LIMITS: 'off', DATA_DIR: folder, ...environment },
    stdio: ['ignore', 'pipe', 'pipe']
  })
  let said = ''
  for (const stream of [child.stdout, child.stderr]) stream.on('data', (text) => (said += String(text)))
  const exited = (once(child, 'close') as Promise<[number | null, NodeJS.Signals | null]>).then(([code, signal]) => ({
    code,
    signal
  }))
  const port = await new Promise<number | undefined>((resolve) => {
    child.stdout.on('data', () => {
      const found = /listening on http:\/\/127\.0\.0\.1:(\d+)\n/.exec(said)?.[1]
      if (found !== undefined) resolve(Number(found))
    })
    void exited.then(() => {
      resolve(undefined)
    })
  })
  if (port === undefined) {
    console.error(`  the service ended at its start: ${said.trim().slice(0, 200)}`)
    return undefined
  }
  const kill: Run['kill'] = (signal) => {
    child.kill(signal)
    return exited
  }
  return { port, pid: child.pid ?? 0, said: () => said, exited, kill }
}

export async function started(starting: Starting): Promise<Run> {
  const run = await startIn(starting)
  if (run === undefined) throw new Error('the service did not start')
  return run
}

export const ownerOf = (run: Run): string => /Owner[^\n]*\/join#(\S+)/.exec(run.said())?.[1] ?? ''

/** Asks under the owner's link, over a connection of its own. */
export async function ask(run: Run, secret: string, path: string, body?: object): Promise<unknown> {
  const line = await Line.to(run.port)
  try {
    const text = body === undefined ? '' : JSON.stringify(body)
    return jsonOf(
      await line.ask(body === undefined ? 'GET' : 'POST', path, text, { authorization: `Bearer ${secret}` })
    )
  } finally {
    line.close()
  }
}

/** A small event under way, open for calls: its id. */
export async function openSmallEvent(run: Run, secret: string): Promise<string> {
  const plan = smallPlan({ opensAtMs: Date.now() - 60_000 })
  const { eventId } = (await ask(run, secret, pathOf('createPlan'), { plan })) as { eventId: string }
  await ask(run, secret, pathOf('publishPlan', { eventId }), { requestId: 'publish-1', revision: 1 })
  await ask(run, secret, pathOf('record', { eventId }), { requestId: 'open-event-1', kind: 'openEvent' })
  return eventId
}

/** The nth fuel call, always under the same request id. */
export const nthCall = (n: number) => fuelCall(SHIPS.alder1, 2000 + (n % 900), `call-${String(n).padStart(6, '0')}`)

const folders: string[] = []

export function newFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'ullage-long-'))
  folders.push(folder)
  return folder
}

export function removeFolders(): void {
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true, force: true })
}

let shim: string | undefined

/** What is preloaded to see and to disturb the disk, compiled here; undefined where there is no compiler. */
export function diskShim(): string | undefined {
  if (shim !== undefined) return shim
  const to = join(newFolder(), 'disk.so')
  const source = join(ROOT, 'tests', 'long', 'disk.c')
  const { status } = spawnSync('gcc', ['-O2', '-shared', '-fPIC', '-o', to, source], { stdio: ['ignore', 2, 2] })
  if (status === 0) shim = to
  return shim
}

/** A repeatable source of chance, so that a failure can be run again: mulberry32. */
export function chanceFrom(seed: number): () => number {
  let state = seed
  return () => {
    state = (state + 0x6d2b79f5) | 0
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state)
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296
  }
}

/** The log of an event, all its pages as one. */
export async function wholeLog(run: Run, secret: string, eventId: string): Promise<LogAnswer> {
  const path = pathOf('readLog', { eventId })
  let log = (await ask(run, secret, path)) as LogAnswer
  while (log.more) {
    const page = (await ask(run, secret, `${path}?after=${String(log.to)}`)) as LogAnswer
    log = { ...page, from: log.from, facts: [...log.facts, ...page.facts] }
  }
  return log
}
