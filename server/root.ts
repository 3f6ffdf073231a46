import { existsSync, readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'

/** The project's folder: the nearest one above this file with a package.json, whether run from source or from dist. */
export const ROOT = rootAbove(import.meta.dirname)

/** The version in package.json and what the pages were built from: a page of another build is told to load again. */
export const VERSION = `${versionIn(ROOT)}${buildOf(join(ROOT, 'dist', 'client', 'index.html'))}`

function rootAbove(folder: string): string {
  if (existsSync(join(folder, 'package.json'))) return folder
  const above = dirname(folder)
  if (above === folder) throw new Error(`no package.json above ${import.meta.dirname}`)
  return rootAbove(above)
}

function versionIn(folder: string): string {
  const found: unknown = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8'))
  return typeof found === 'object' && found !== null && 'version' in found ? String(found.version) : 'unknown'
}

/** The first page says what it was built from, so that a page that was kept for long can tell. */
function buildOf(page: string): string {
  const build = existsSync(page) ? /<meta name="build" content="([0-9a-f]+)"/.exec(readFileSync(page, 'utf8'))?.[1] : ''
  return build ? `+${build}` : ''
}
