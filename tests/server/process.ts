import { spawn, type ChildProcess } from 'node:child_process'
import { existsSync, statfsSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { fileURLToPath } from 'node:url'
import { onTestFinished } from 'vitest'

const built = fileURLToPath(new URL('../../dist/server/main.js', import.meta.url))
const ROOT = fileURLToPath(new URL('../..', import.meta.url))

const MEMORY = '/dev/shm'
/** What the folders of tests take at once, and a browser beside them, bytes. */
const ROOM = 512 * 2 ** 20
/**
 * Where folders of tests are made: in memory where there is some. What a disk does when power fails is `npm run long`'s
 * matter, and waiting for it is half of a test.
 */
export const FOLDERS = hasRoom(MEMORY) ? MEMORY : tmpdir()

function hasRoom(folder: string): boolean {
  if (!existsSync(folder)) return false
  const { bavail, bsize } = statfsSync(folder)
  return bavail * bsize > ROOM
}

export interface Running {
  /** Address it says it listens on. */
  address: string
  /** Links it printed: what for, and the secret. */
  secrets: Map<string, string>
  process: ChildProcess
  kill: (signal: NodeJS.Signals) => Promise<{ code: number | null; signal: NodeJS.Signals | null }>
}

export interface Ended {
  code: number | null
  text: string
}

type Environment = Record<string, string>

/** When what was started ends: with the test, or as told. */
export type Ending = (end: () => void) => void

/** Starts the built server as `npm start` does, on a free port, and waits until it says that it listens. */
export async function start(
  environment: Environment,
  args: readonly string[] = [],
  ending: Ending = onTestFinished
): Promise<Running> {
  const { child, text, ended } = launch({ PORT: '0', DEMO: 'off', ...environment }, args, ending)
  const address = await new Promise<string>((resolve, reject) => {
    const look = () => {
      const found = /listening on (\S+)\n/.exec(text())?.[1]
      if (found !== undefined) resolve(found)
    }
    child.stdout.on('data', look)
    void ended.then(() => {
      reject(new Error(`the server ended before it listened:\n${text()}`))
    })
  })
  // The links are printed in the same write.
  const secrets = new Map(
    [...text().matchAll(/^ {2}(.+): \S+\/join#(\S+)$/gm)].map(([, label = '', secret = '']) => [label, secret])
  )
  const kill: Running['kill'] = async (signal) => {
    child.kill(signal)
    return ended
  }
  return { address, secrets, process: child, kill }
}

/** Runs the built server until it ends by itself. */
export async function runToEnd(environment: Environment): Promise<Ended> {
  const { text, ended } = launch(environment, [], onTestFinished)
  const { code } = await ended
  return { code, text: text() }
}

function launch(environment: Environment, args: readonly string[], ending: Ending) {
  if (!existsSync(built)) throw new Error('There is no built server: run npm run build.')
  const { PATH = '' } = process.env
  const child = spawn(process.execPath, [built, ...args], {
    cwd: ROOT,
    env: { PATH, RATE_LIMITS: 'off', ...environment }
  })
  ending(() => {
    child.kill('SIGKILL')
  })
  let printed = ''
  for (const stream of [child.stdout, child.stderr]) {
    stream.setEncoding('utf8')
    stream.on('data', (text: string) => (printed += text))
  }
  const ended = new Promise<{ code: number | null; signal: NodeJS.Signals | null }>((resolve) => {
    child.once('close', (code, signal) => {
      resolve({ code, signal })
    })
  })
  return { child, text: () => printed, ended }
}
