import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import { ROOT } from '../../server/root.ts'

/*
 * What a page must fetch before it can show itself, read from the built files: those that import one another by name, and
 * the styles that the parts loaded on the way bring along. What only import() asks for later is no part of it.
 */

const ASSETS = join(ROOT, 'dist', 'client', 'assets')

export interface BuiltFile {
  name: string
  gzipBytes: number
  /** The sources it was made from, where it is a script. */
  sources: readonly string[]
}

const textOf = (name: string): string => readFileSync(join(ASSETS, name), 'utf8')

/** Scripts that a script needs before it runs. */
const importsOf = (text: string): string[] =>
  [...text.matchAll(/(?:\bfrom|\bimport)\s*["'`]\.\/([\w.-]+\.js)["'`]/g)].flatMap(([, name]) => name ?? [])

/** The built file of a view. */
function viewFile(view: string): string {
  const found = readdirSync(ASSETS).find((name) => name.startsWith(`${view}-`) && name.endsWith('.js'))
  if (found === undefined) throw new Error(`no built file of ${view}: build first (npm run build)`)
  return found
}

/** Styles that come with a part when another script asks for it: their list stands beside the import(). */
function stylesWith(part: string, texts: readonly string[]): string[] {
  return texts.flatMap((text) => {
    const names = /m\.f\|\|\(m\.f=(\[[^\]]*\])/.exec(text)?.[1]
    const places = new RegExp(
      `import\\([\`"']\\./${part}[\`"']\\)(?:\\.then\\([^)]*\\))?,__vite__mapDeps\\((\\[[\\d,]*\\])`
    ).exec(text)?.[1]
    if (names === undefined || places === undefined) return []
    const all = JSON.parse(names) as string[]
    return (JSON.parse(places) as number[]).flatMap((place) => {
      const name = all[place]?.replace('assets/', '')
      return name?.endsWith('.css') === true ? [name] : []
    })
  })
}

/** Everything before the first picture of a page: the first script and style, then each view that leads to it. */
export function firstLoad(views: readonly string[]): BuiltFile[] {
  const page = join(ROOT, 'dist', 'client', 'index.html')
  if (!existsSync(page)) throw new Error('nothing is built: build first (npm run build)')
  const html = readFileSync(page, 'utf8')
  const names = new Set([...html.matchAll(/assets\/([\w.-]+\.(?:js|css))/g)].flatMap(([, name]) => name ?? []))
  const parts = views.map(viewFile)
  for (const part of parts) names.add(part)
  for (const name of names) if (name.endsWith('.js')) for (const next of importsOf(textOf(name))) names.add(next)
  const texts = [...names].filter((name) => name.endsWith('.js')).map(textOf)
  for (const part of parts) for (const style of stylesWith(part, texts)) names.add(style)
  return [...names].map((name) => ({ name, gzipBytes: gzipSync(textOf(name)).byteLength, sources: sourcesOf(name) }))
}

function sourcesOf(name: string): string[] {
  const map = join(ASSETS, `${name}.map`)
  return existsSync(map) ? (JSON.parse(readFileSync(map, 'utf8')) as { sources: string[] }).sources : []
}
