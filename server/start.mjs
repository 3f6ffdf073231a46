// What `npm start` runs: checks what the server needs, builds when a source has changed, then becomes the server.
import '../node.mjs'
import { createRequire } from 'node:module'

const startedBy = process.ppid
checkDatabaseDriver()
const { buildWhenStale } = await import('../build.mjs')
if (!(await buildWhenStale())) {
  console.error('The build failed; its messages are above.')
  process.exit(1)
}
// In this process, so that SIGINT and SIGTERM reach the server itself.
passOnTerminationByNpm()
await import('../dist/server/main.js')

function checkDatabaseDriver() {
  try {
    const Database = createRequire(import.meta.url)('better-sqlite3')
    new Database(':memory:').close()
  } catch (problem) {
    const reason = problem instanceof Error ? problem.message.split('\n')[0] : String(problem)
    console.error(
      [
        `The database driver better-sqlite3 cannot be loaded: ${reason}`,
        'If the dependencies are not installed yet, run: npm ci',
        'If they are, its compiled part is missing or made for another Node version. Run: npm rebuild better-sqlite3',
        'Where no prebuilt binary can be had it is compiled, which needs python3, make and g++',
        '(Debian, Ubuntu: apt-get install python3 make g++).'
      ].join('\n')
    )
    process.exit(1)
  }
}

/**
 * npm gives SIGTERM to the shell it started between itself and this process, and many shells die without passing it on.
 * Left without that parent, this process gives itself the signal; else it would go on, unseen, holding the port.
 */
function passOnTerminationByNpm() {
  if (process.env.npm_lifecycle_event === undefined) return
  const orphaned = () => process.ppid !== startedBy
  // While building.
  if (orphaned()) process.exit(1)
  const watch = setInterval(() => {
    if (!orphaned()) return
    clearInterval(watch)
    process.kill(process.pid, 'SIGTERM')
  }, 200)
  watch.unref()
}
