// What `npm run long` runs: builds the service when needed, bundles the long tests, runs them.
import '../../node.mjs'
import { buildWhenStale } from '../../build.mjs'
import { bundle } from '../bundle.mjs'

// Whatever the tools say goes to stderr, where the figures are not.
const { log } = console
console.log = console.error
if (!(await buildWhenStale())) process.exit(1)
const run = await bundle('long', { run: 'long/run.ts', boards: 'bench/boards.ts' })
console.log = log
await run()
