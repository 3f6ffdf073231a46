import { execFileSync } from 'node:child_process'
import { existsSync, mkdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'
import { chromium, type Browser, type BrowserContext } from 'playwright-core'
import { ROOT } from '../server/root.ts'

const installed = ['/usr/bin/chromium', '/usr/bin/chromium-headless-shell']
const cacheDir = join(ROOT, 'node_modules', '.cache')

type Found = { executablePath: string; env: NodeJS.ProcessEnv }

/**
 * Starts a headless browser: the one at CHROME_PATH, else an installed one, else the one inside @sparticuz/chromium.
 * Give every context a locale (`browser.newContext({ locale: 'en-GB' })`).
 * @throws Error naming every place that was tried
 */
export async function launch(): Promise<Browser> {
  const { executablePath, env } = find()
  return chromium.launch({ executablePath, env: definedOnly(env), args: ['--no-sandbox', '--disable-gpu'] })
}

/** The same browser with a profile of its own, in a folder that outlives it: for what must survive its end. */
export async function launchIn(folder: string): Promise<BrowserContext> {
  const { executablePath, env } = find()
  const args = ['--no-sandbox', '--disable-gpu']
  return chromium.launchPersistentContext(folder, { executablePath, env: definedOnly(env), args, locale: 'en-GB' })
}

let shared: Promise<Browser> | undefined

/** The one browser of all test files of a worker; it ends with the worker. Each test has a context of its own in it. */
export const sharedBrowser = (): Promise<Browser> => (shared ??= launch())

function find(): Found {
  const named = process.env['CHROME_PATH']
  if (named !== undefined && named !== '') {
    if (existsSync(named)) return { executablePath: named, env: process.env }
    throw new Error(`No browser for the tests: CHROME_PATH names ${named}, which does not exist.`)
  }
  const found = installed.find((path) => existsSync(path))
  if (found !== undefined) return { executablePath: found, env: process.env }
  try {
    return packaged()
  } catch (cause) {
    throw new Error(
      `No browser for the tests: CHROME_PATH is not set, ${installed.join(' and ')} do not exist, ` +
        'and the one in @sparticuz/chromium could not be unpacked. Install Chromium or set CHROME_PATH.',
      { cause }
    )
  }
}

/**
 * The packaged browser reuses whatever lies in the temporary folder, a half-written binary too.
 * So it is unpacked into a folder of its own by a process of its own, and the folder gets its final name when complete.
 */
function packaged(): Found {
  const dir = join(cacheDir, `chromium-${packagedVersion()}`)
  const executablePath = join(dir, 'chromium')
  if (!existsSync(executablePath)) {
    const partial = `${dir}.partial-${process.pid}`
    mkdirSync(partial, { recursive: true })
    try {
      execFileSync(
        process.execPath,
        ['--input-type=module', '-e', "await (await import('@sparticuz/chromium')).default.executablePath()"],
        // The runtime's name makes it unpack the shared libraries and fonts as well.
        { cwd: dirname(cacheDir), env: { ...process.env, TMPDIR: partial, AWS_LAMBDA_JS_RUNTIME: 'nodejs20.x' } }
      )
      writeFileSync(join(partial, 'fonts.conf'), fontsConf(join(dir, 'fonts')))
      renameSync(partial, dir)
    } catch (problem) {
      rmSync(partial, { recursive: true, force: true })
      // Another process may have finished first.
      if (!existsSync(executablePath)) throw problem
    }
  }
  const env: NodeJS.ProcessEnv = { ...process.env, FONTCONFIG_FILE: join(dir, 'fonts.conf') }
  if (!hasLibrary('libnss3.so')) env['LD_LIBRARY_PATH'] = join(dir, 'al2023', 'lib')
  return { executablePath, env }
}

/** The package's own file looks for fonts in fixed folders; this one names the folder where they are. */
function fontsConf(fontsDir: string): string {
  return `<?xml version="1.0"?>
<!DOCTYPE fontconfig SYSTEM "fonts.dtd">
<fontconfig><dir>${fontsDir}</dir><dir>/usr/share/fonts</dir><cachedir>${fontsDir}/cache</cachedir></fontconfig>
`
}

function packagedVersion(): string {
  const entry = createRequire(import.meta.url).resolve('@sparticuz/chromium')
  const root = entry.slice(0, entry.indexOf(join('chromium', 'build')) + 'chromium'.length)
  const { version } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')) as { version: string }
  return version
}

function hasLibrary(name: string): boolean {
  try {
    return execFileSync('/sbin/ldconfig', ['-p'], { encoding: 'utf8' }).includes(name)
  } catch {
    return false
  }
}

function definedOnly(env: NodeJS.ProcessEnv): Record<string, string> {
  return Object.fromEntries(Object.entries(env).filter((entry): entry is [string, string] => entry[1] !== undefined))
}
