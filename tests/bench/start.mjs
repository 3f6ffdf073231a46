// What `npm run bench` runs: bundles the bench to plain JavaScript, as the built service and pages are, then runs it.
// Run from the sources, the loader's wrapping of every inner function would be measured along.
import '../../node.mjs'
import { join } from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'
import { build } from 'vite'

const root = fileURLToPath(new URL('../..', import.meta.url))
const outDir = join(root, 'node_modules', '.cache', 'bench')
const source = (name) => join(root, 'tests', 'bench', name)
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
      input: { run: source('run.ts'), boards: source('boards.ts') },
      output: { entryFileNames: '[name].mjs', chunkFileNames: '[name]-[hash].mjs' }
    }
  }
})
await import(pathToFileURL(join(outDir, 'run.mjs')).href)
