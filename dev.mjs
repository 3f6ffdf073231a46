// What `npm run dev` runs: the server from its sources on 8080, restarted on change, and Vite with hot reload in front of it.
import './node.mjs'
import { spawn } from 'node:child_process'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'

const root = fileURLToPath(new URL('.', import.meta.url))
const children = [
  start('tsx/dist/cli.mjs', 'watch', '--clear-screen=false', 'server/main.ts'),
  start('vite/bin/vite.js')
]

function start(tool, ...args) {
  const child = spawn(process.execPath, [join(root, 'node_modules', tool), ...args], { cwd: root, stdio: 'inherit' })
  // One without the other is of no use.
  child.on('exit', (code) => stop(code ?? 1))
  return child
}

function stop(code) {
  if (process.exitCode !== undefined) return
  process.exitCode = code
  for (const child of children) child.kill()
}

for (const signal of ['SIGINT', 'SIGTERM']) process.on(signal, () => stop(0))
