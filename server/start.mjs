// What `npm start` runs: checks what the server needs, builds when a source has changed, then becomes the server.
import '../node.mjs'
import { createRequire } from 'node:module'

checkDatabaseDriver()
const { buildWhenStale } = await import('../build.mjs')
if (!buildWhenStale()) {
  console.error('The build failed; its messages are above.')
  process.exit(1)
}
// In this process, so that SIGINT and SIGTERM reach the server itself.
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
