import { join } from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'
import { build } from 'vite'

const root = fileURLToPath(new URL('..', import.meta.url))

/**
 * Bundles scripts of tests/ to plain JavaScript, as the built service and pages are, for a run of the one
 * named `run`: from the sources, the loader's wrapping of every inner function would be measured along. Gives that run.
 * @param {string} name of the folder in the cache
 * @param {Readonly<Record<string, string>>} scripts paths below tests/ by the name each gets; `run` among them
 */
export async function bundle(name, scripts) {
  const outDir = join(root, 'node_modules', '.cache', name)
  const input = Object.fromEntries(Object.entries(scripts).map(([one, path]) => [one, join(root, 'tests', path)]))
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
        input,
        output: { entryFileNames: '[name].mjs', chunkFileNames: '[name]-[hash].mjs' }
      }
    }
  })
  return () => import(pathToFileURL(join(outDir, 'run.mjs')).href)
}
