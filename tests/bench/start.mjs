// What `npm run bench` runs.
import '../../node.mjs'
import { bundle } from '../bundle.mjs'

const run = await bundle('bench', { run: 'bench/run.ts', boards: 'bench/boards.ts', pages: 'bench/pages.ts' })
await run()
