// What `npm run backup` and the other commands on the data run: builds when a source has changed, then does it.
import '../node.mjs'
import { buildWhenStale } from '../build.mjs'

if (!(await buildWhenStale())) {
  console.error('The build failed; its messages are above.')
  process.exit(1)
}
await import('../dist/server/commands/main.js')
