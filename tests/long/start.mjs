// What `npm run long` runs: builds the service when needed, bundles the long tests to plain JavaScript, runs them.
import '../../node.mjs'
import { join } from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'
import { build } from 'vite'
import { buildWhenStale } from '../../build.mjs'

const root = fileURLToPath(new URL('../..', import.meta.url))
const outDir = join(root, 'node_modules', '.cache', 'long')
// Whatever the tools say goes to stderr, where the figures are not.
const { log } = console
console.log = console.error
if (!buildWhenStale()) process.exit(1)
await build({
  configFile: false,
  root,
  logLevel: 'warn',
  build: {
    ssr: true,
    target: 'node20',
    minify: false,
    outDir,
    emptyOutDir: true,
    rolldownOptions: {
      input: { run: join(root, 'tests/long/run.ts'), boards: join(root, 'tests/bench/boards.ts') },
      output: { entryFileNames: '[name].mjs', chunkFileNames: '[name]-[hash].mjs' }
    }
  }
})
console.log = log
await import(pathToFileURL(join(outDir, 'run.mjs')).href)
