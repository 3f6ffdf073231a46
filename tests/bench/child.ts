import { fork, spawn, type ChildProcess } from 'node:child_process'
import { once } from 'node:events'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { newRequestId } from '../../client/api.ts'
import { demoPlan } from '../../server/demo/plan.ts'
import { ROOT } from '../../server/root.ts'
import type { Plan } from '../../shared/contracts/plan.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import type { Delivery, FromBoards, Opening } from './boards.ts'
import { PLAN } from './demo.ts'
import { jsonOf, Line } from './line.ts'

const MAIN = join(ROOT, 'dist', 'server', 'main.js')
const BARE = join(ROOT, 'tests', 'bench', 'bare.mjs')
/** Bundled beside the bench itself. */
const BOARDS = join(import.meta.dirname, 'boards.mjs')
const START_MS = 30_000

/** A server in a process and a data folder of its own. */
export interface Server {
  port: number
  pid: number
  /** What it said until it listened and a little after. */
  said: () => string
  stop(): Promise<void>
}

/** Where calls go, and how the boards get at them. */
export interface Target {
  server: Server
  eventId: string
  callPath: string
  headers: Record<string, string>
  streamUrl: string
}

export const startOurs = (demo: 'on' | 'off', nodeArgs: readonly string[] = []): Promise<Server> =>
  startServer((folder) => [
    [...nodeArgs, MAIN],
    { PORT: '0', HOST: '127.0.0.1', DATA_DIR: folder, DEMO: demo, PUBLIC_URL: '' }
  ])

export const startBare = (
  calls: boolean,
  environment: (folder: string) => Record<string, string> = () => ({})
): Promise<Server> => startServer((folder) => [[BARE, ...(calls ? [folder] : [])], environment(folder)])

async function startServer(command: (folder: string) => [string[], Record<string, string>]): Promise<Server> {
  const folder = mkdtempSync(join(tmpdir(), 'ullage-bench-'))
  const [args, environment] = command(folder)
  const child = spawn(process.execPath, args, {
    env: { ...process.env, NODE_OPTIONS: '', RATE_LIMITS: 'off', ...environment },
    stdio: ['ignore', 'pipe', 'inherit']
  })
  let said = ''
  const stop = async (): Promise<void> => {
    await ended(child)
    rmSync(folder, { recursive: true, force: true })
  }
  try {
    const port = await new Promise<number>((resolve, reject) => {
      child.stdout.on('data', (chunk) => {
        said += String(chunk)
        const port = /listening on http:\/\/127\.0\.0\.1:(\d+)/.exec(said)?.[1]
        if (port !== undefined) resolve(Number(port))
      })
      child.once('error', reject)
      child.once('exit', (code) => {
        reject(new Error(`the server ended with ${String(code)} before it listened`))
      })
      setTimeout(() => {
        reject(new Error('the server does not listen'))
      }, START_MS).unref()
    })
    return { port, pid: child.pid ?? 0, said: () => said, stop }
  } catch (error) {
    await stop()
    throw error
  }
}

async function ended(child: ChildProcess): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return
  const exit = once(child, 'exit')
  child.kill('SIGTERM')
  const late = setTimeout(() => child.kill('SIGKILL'), 3_000)
  await exit
  clearTimeout(late)
}

/** The demonstration, or another plan under way, as a new event of the service, open for calls. */
export async function openEvent(server: Server, planAt: (opensAtMs: number) => Plan = demoPlan): Promise<Target> {
  const line = await Line.to(server.port)
  const secretOf = (): string | undefined => /Owner[^\n]*\/join#(\S+)/.exec(server.said())?.[1]
  for (let waits = 0; secretOf() === undefined && waits < 100; waits++) await pause(20)
  const owner = { authorization: `Bearer ${secretOf() ?? ''}` }
  // Under way for ten minutes: calls are observed between opening and now.
  const plan = planAt(Math.floor(Date.now() / 1_000) * 1_000 - 600_000)
  const created = jsonOf(await line.ask('POST', pathOf('createPlan'), JSON.stringify({ plan }), owner))
  const { eventId, secret } = created as { eventId: string; secret: string }
  const headers = { authorization: `Bearer ${secret}` }
  const ask = async (path: string, body: object): Promise<void> => {
    jsonOf(await line.ask('POST', path, JSON.stringify({ requestId: newRequestId(), ...body }), headers))
  }
  await ask(pathOf('publishPlan', { eventId }), { revision: 1 })
  await ask(pathOf('record', { eventId }), { kind: 'openEvent' })
  line.close()
  return {
    server,
    eventId,
    callPath: pathOf('record', { eventId }),
    headers,
    streamUrl: `ws://127.0.0.1:${String(server.port)}${pathOf('stream', { eventId })}?after=1000000000`
  }
}

export const bareTarget = (server: Server): Target => ({
  server,
  eventId: '',
  callPath: '/facts',
  headers: {},
  streamUrl: `ws://127.0.0.1:${String(server.port)}/`
})

const SHIPS = PLAN.flights.flatMap(({ ships }) => ships)

/** The body of the next fuel call. */
export function callBody(index: number, ships: readonly { id: string }[] = SHIPS): string {
  const shipId = ships[index % ships.length]?.id
  const fuel = { value: 2_000 + (index % 900), unit: 'kg' }
  return JSON.stringify({ requestId: newRequestId(), kind: 'callFuel', shipId, fuel, covers: 'total' })
}

export interface Boards {
  /** What all boards have had since it was asked last. */
  delivered(): Promise<Delivery[]>
  stop(): Promise<void>
}

/** Opens boards in another process; settles when all are open. */
export async function openBoards({ streamUrl, headers }: Target, count: number): Promise<Boards> {
  const child = fork(BOARDS)
  const heard = async (): Promise<FromBoards> => ((await once(child, 'message')) as [FromBoards])[0]
  const opening: Opening = { url: streamUrl, headers, count }
  child.send(opening)
  await heard()
  return {
    delivered: async () => {
      child.send('delivered')
      const answer = await heard()
      return answer.kind === 'delivered' ? answer.deliveries : []
    },
    stop: () => ended(child)
  }
}

export const pause = (forMs: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, forMs))

/** Length of a tick of the kernel's accounting. */
const TICK_MS = 10

/** Processor time a process has used, ms: other work on the machine does not count in it. Only Linux tells. */
export function processorMs(pid: number): number {
  return processorMsOf(`/proc/${String(pid)}/stat`)
}

/** The same of its first thread alone: the one that has the event loop. */
export function loopProcessorMs(pid: number): number {
  return processorMsOf(`/proc/${String(pid)}/task/${String(pid)}/stat`)
}

function processorMsOf(path: string): number {
  const stat = readFileSync(path, 'utf8')
  // The name in brackets may hold spaces; the times are the 14th and 15th field.
  const fields = stat.slice(stat.lastIndexOf(')') + 2).split(' ')
  return (Number(fields[11]) + Number(fields[12])) * TICK_MS
}

/** What a process holds of the machine's memory. Only Linux tells. */
export function residentKiB(pid: number): number {
  return Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${String(pid)}/status`, 'utf8'))?.[1] ?? NaN)
}

/** Median, 99th percentile and most of the loop's delay since it was asked last, ms; it was started with `loop.mjs`. */
export async function loopDelay({ pid, said }: Server): Promise<number[]> {
  const reports = (): string[][] => [...said().matchAll(/^loop delay (.+)$/gm)].map(([, text = '']) => text.split(' '))
  const before = reports().length
  process.kill(pid, 'SIGUSR2')
  for (let waits = 0; reports().length === before && waits < 500; waits++) await pause(10)
  const report = reports()[before]
  if (!report) throw new Error('the server does not tell its loop delay')
  return report.map(Number)
}
