import { join } from 'node:path'
import { app, type Parts } from './app.ts'
import { addLink } from './auth/links.ts'
import { joinPath } from './auth/secret.ts'
import { systemClock } from './clock.ts'
import { ConfigFaults, readConfig, type Config } from './config.ts'
import { seedDemo, type ToldLink } from './demo/seed.ts'
import { stageDemo } from './demo/stage.ts'
import { tuneEngine } from './engine.ts'
import { keepFor } from './retention.ts'
import { ROOT, VERSION } from './root.ts'
import { openSqlite } from './store/sqlite/file.ts'
import { databaseIn, lockFolder } from './store/sqlite/folder.ts'
import { StoreBroken, type Store } from './store/store.ts'

/** Makes another owner link at this start: for whoever lost the first one. */
const NEW_OWNER_LINK = '--owner-link'

/** EX_IOERR of sysexits.h: whoever restarts services does so on this as on any other failure. */
const DISK_FAILED = 74
/** Between the failure of the disk and the end: for boards to hear of it, and whoever asks whether we are ready. */
const LAST_WORDS_MS = 2_000
/** What was decided is safe long before; whoever stops services waits no longer either. */
const STOP_WITHIN_MS = 8_000

tuneEngine()
await start().catch(fail)

async function start(): Promise<void> {
  const config = readConfig()
  const store = openStore(config.dataDir)
  store.onTrouble((trouble) => {
    if (trouble === 'store-broken') setTimeout(endBroken, LAST_WORDS_MS)
  })
  const isFirstStart = await store.isEmpty()
  const parts: Parts = {
    store,
    clock: systemClock,
    version: VERSION,
    publicUrl: config.publicUrl,
    clientDir: join(ROOT, 'dist', 'client'),
    isLimited: config.isLimited,
    trustedProxies: config.trustedProxies,
    search: { threads: config.searchThreads, limitMs: config.searchLimitS * 1000 },
    logger: { level: config.logLevel }
  }
  const { app: service, rooms } = await app(parts)
  // Listening first: links told once must not be minted for a start that fails on a taken port.
  const address = addressOf(config, await listen(config, service))
  const told: ToldLink[] = []
  if (isFirstStart || process.argv.includes(NEW_OWNER_LINK)) told.push(await ownerLink(store))
  if (isFirstStart && config.demo) told.push(...(await seedDemo({ store, rooms, clock: systemClock })))

  // In one write, so that whoever reads the output finds the links with the address.
  console.log(greeting(address, config.publicUrl ?? address, told))
  const keepDays = config.keepDays
  const tell = (line: string): void => {
    console.log(line)
  }
  const stopKeeping = keepDays === undefined ? undefined : keepFor({ ...parts, rooms, keepDays, tell })
  const stopDemo = config.demo ? await stageDemo({ store, clock: systemClock }, address) : undefined

  for (const signal of ['SIGINT', 'SIGTERM'] as const) {
    process.once(signal, () => {
      // A second signal ends the process at once, as it would without this.
      setTimeout(() => {
        console.error(`The service did not end within ${String(STOP_WITHIN_MS / 1000)} s; it is cut off.`)
        process.exit(1)
      }, STOP_WITHIN_MS).unref()
      stopKeeping?.()
      void Promise.resolve(stopDemo?.())
        .then(() => service.close())
        .then(() => store.close())
        .catch(fail)
    })
  }
}

function greeting(address: string, reachedAt: string, told: readonly ToldLink[]): string {
  const lines = told.map(({ label, secret }) => `  ${label}: ${reachedAt}${joinPath(secret)}`)
  const advice = told.length > 0 ? ['Each link is shown this once: whoever has it has its role.'] : []
  return [`Ullage is listening on ${address}`, ...lines, ...advice].join('\n')
}

function openStore(dataDir: string): Store {
  try {
    lockFolder(dataDir)
    return openSqlite(databaseIn(dataDir))
  } catch (error) {
    throw new Error(`The data folder ${dataDir} cannot be used: ${messageOf(error)}`, { cause: error })
  }
}

async function ownerLink(store: Store): Promise<ToldLink> {
  const { secret } = await addLink(store, { role: 'owner', eventId: null }, systemClock.nowMs())
  return { label: 'Owner of this service', secret }
}

/** The port it listens on. */
async function listen({ port, host }: Config, service: Awaited<ReturnType<typeof app>>['app']): Promise<number> {
  try {
    await service.listen({ port, host })
  } catch (error) {
    throw new Error(reasonOf(error, { port, host }), { cause: error })
  }
  const address = service.server.address()
  return typeof address === 'object' && address !== null ? address.port : port
}

function reasonOf(error: unknown, { port, host }: Pick<Config, 'port' | 'host'>): string {
  const code = error instanceof Error && 'code' in error ? error.code : undefined
  const place = `port ${String(port)} on ${host}`
  if (code === 'EADDRINUSE') return `Something else listens on ${place} already. Stop it, or set PORT to another port.`
  if (code === 'EACCES') return `This user may not listen on ${place}. Set PORT to one above 1023.`
  if (code === 'EADDRNOTAVAIL' || code === 'ENOTFOUND') return `This machine has no address ${host}. Set HOST.`
  return `Cannot listen on ${place}: ${messageOf(error)}`
}

/** What to type into a browser here; an address that means "all of them" is none. */
function addressOf({ host }: Config, port: number): string {
  const here = host === '0.0.0.0' || host === '::' ? '127.0.0.1' : host
  return `http://${here.includes(':') ? `[${here}]` : here}:${String(port)}`
}

function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error)
}

/** At once and without closing the database: its last act would be to write, and to believe the sync that follows. */
function endBroken(): never {
  console.error(
    'The disk has failed: a write or sync was answered with an error. The service ends so that it can start anew.'
  )
  process.exit(DISK_FAILED)
}

/** A fault of the setting is told in a sentence; anything else is ours, with its trace. */
function fail(error: unknown): never {
  if (error instanceof StoreBroken) endBroken()
  if (error instanceof ConfigFaults) console.error(['The settings cannot be used:', ...error.lines].join('\n  '))
  else if (error instanceof Error && error.cause !== undefined) console.error(error.message)
  else console.error(error)
  process.exit(1)
}
