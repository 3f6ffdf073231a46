// Builds dist/ from the sources: tsc for shared and server, Vite for the client and to make one file of the server.
// `npm run build` builds always; `npm start` and `npm test` build when a source is newer than the last build.
import { spawn } from 'node:child_process'
import { existsSync, readdirSync, rmSync, statSync, utimesSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { argv, execPath } from 'node:process'
import { fileURLToPath } from 'node:url'

const here = fileURLToPath(import.meta.url)
const root = fileURLToPath(new URL('.', import.meta.url))
const dist = join(root, 'dist')
const stamp = join(dist, 'stamp')
const configs = ['vite.config.ts', 'vite.server.config.ts']
const sources = ['shared', 'server', 'client', 'package-lock.json', 'tsconfig.base.json', 'build.mjs', ...configs]

/** Makes dist/ agree with the sources. Resolves to whether it does; if not, the tools have said why. */
export async function buildWhenStale() {
  return isFresh() || (await build())
}

/** Whether dist/ is of the sources as they are. */
export function isFresh() {
  if (!existsSync(stamp)) return false
  const builtAtMs = statSync(stamp).mtimeMs
  return sources.every((source) => newestMs(join(root, source)) <= builtAtMs)
}

/** The latest change in a file or below a folder. A folder counts too: its time changes when a file is removed. */
function newestMs(path) {
  const stats = statSync(path)
  if (!stats.isDirectory()) return stats.mtimeMs
  return readdirSync(path).reduce((newest, name) => Math.max(newest, newestMs(join(path, name))), stats.mtimeMs)
}

async function build() {
  console.log('Building ...')
  // From nothing: the output of a source that is gone must go too.
  rmSync(dist, { recursive: true, force: true })
  // The stamp carries the time before the tools read anything: what changes while they run is seen the next time.
  const startedAt = Date.now() / 1000
  const bundled = (config) => run('vite/bin/vite.js', 'build', '--config', config, '--logLevel', 'warn')
  // None reads what another writes.
  const done = await Promise.all([run('typescript/bin/tsc', '--build', 'server'), ...configs.map(bundled)])
  if (done.includes(false)) return false
  writeFileSync(join(dist, 'server', 'main.js'), "import './whole/main.js'\n")
  writeFileSync(stamp, '')
  utimesSync(stamp, startedAt, startedAt)
  return true
}

/** Resolves to whether the tool ended well. */
function run(tool, ...args) {
  const child = spawn(execPath, [join(root, 'node_modules', tool), ...args], { cwd: root, stdio: 'inherit' })
  return new Promise((resolve) => {
    child.on('error', () => resolve(false))
    child.on('exit', (status) => resolve(status === 0))
  })
}

if (argv[1] === here && !(await build())) process.exitCode = 1
