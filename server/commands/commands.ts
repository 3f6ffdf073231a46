import { closeSync, existsSync, fsyncSync, mkdirSync, openSync, readFileSync, writeSync } from 'node:fs'
import { addLink } from '../auth/links.ts'
import { joinPath } from '../auth/secret.ts'
import { systemClock } from '../clock.ts'
import type { Config } from '../config.ts'
import { backup, restore } from '../store/sqlite/copy.ts'
import { openSqlite, readSqlite } from '../store/sqlite/file.ts'
import { databaseIn, lockFolder } from '../store/sqlite/folder.ts'
import type { EventSummary, Store } from '../store/store.ts'
import { readEventFile, writeEventFile } from './event-file.ts'

/** A command: what it takes, and what it does, answering what is said at its end. */
interface Command {
  takes: readonly string[]
  does: (config: Config, ...args: string[]) => Promise<string>
}

export const COMMANDS: Record<string, Command> = {
  backup: {
    takes: ['FILE'],
    does: async ({ dataDir }, file = '') => {
      await backup(dataDir, file)
      return `The database as it is now stands in ${file}, checked.`
    }
  },
  restore: {
    takes: ['FILE'],
    does: ({ dataDir }, file = '') => {
      // Before a folder is made for it.
      if (!existsSync(file)) throw new Error(`there is no ${file}`)
      const unlock = locked(dataDir)
      try {
        const stamp = new Date(systemClock.nowMs()).toISOString().replace(/[-:]|[.]\d+/g, '')
        const kept = restore(dataDir, file, stamp)
        const before = kept === undefined ? 'There was none before.' : `What was there before is kept as ${kept}.`
        return Promise.resolve(`${file} is in place. ${before} Pages that were open begin anew by themselves.`)
      } finally {
        unlock()
      }
    }
  },
  'export-event': {
    takes: ['EVENT', 'FILE'],
    does: async ({ dataDir }, event = '', file = '') => {
      if (existsSync(file)) throw new Error(`${file} is there already; name another file`)
      const store = readSqlite(databaseIn(dataDir))
      try {
        const whole = await store.wholeEvent((await named(store, event)).eventId)
        if (whole === undefined) throw new Error(`there is no event ${event}`)
        writeSafely(file, writeEventFile(whole, systemClock.nowMs()))
        return `${file} holds ${String(whole.facts.length)} facts and ${String(whole.revisions.length)} plan revisions; no links.`
      } finally {
        await store.close()
      }
    }
  },
  'import-event': {
    takes: ['FILE'],
    does: async (config, file = '') => {
      // Before a folder is made for it.
      const whole = readEventFile(readFileSync(file, 'utf8'))
      return alone(config.dataDir, async (store) => {
        const { eventId } = whole
        if ((await store.event(eventId)) !== undefined) {
          throw new Error(`the event ${eventId} is here already; delete it first, if it is to be replaced`)
        }
        const nowMs = systemClock.nowMs()
        await store.keepEvent(whole, nowMs)
        const { secret } = await addLink(store, { role: 'commander', eventId }, nowMs)
        const reachedAt = config.publicUrl ?? `http://${config.host}:${String(config.port)}`
        return [
          `The event ${eventId} is here, with ${String(whole.facts.length)} facts. The links it had elsewhere do not hold here.`,
          `  Commander: ${reachedAt}${joinPath(secret)}`,
          'The link is shown this once; it makes the others.'
        ].join('\n')
      })
    }
  },
  'delete-event': {
    takes: ['EVENT'],
    does: async ({ dataDir }, event = '') => {
      if (!existsSync(dataDir)) throw new Error(`there is no folder ${dataDir}`)
      return alone(dataDir, async (store) => {
        const { eventId, name } = await named(store, event)
        await store.deleteEvent(eventId, systemClock.nowMs())
        return `The event ${eventId} (${name}) is deleted: plan, log and links. Copies made before still hold it.`
      })
    }
  }
}

/** An event by its id, or by its name where no other has it. */
async function named(store: Store, event: string): Promise<EventSummary> {
  const all = await store.events()
  const found = all.filter(({ eventId, name }) => eventId === event || name === event)
  const [only] = found
  if (only !== undefined && found.length === 1) return only
  const listed = (found.length > 1 ? found : all).map(({ eventId, name }) => `  ${eventId}  ${name}`)
  const why = found.length > 1 ? `${String(found.length)} events are called ${event}` : `there is no event ${event}`
  throw new Error([`${why}; name one of these by its id:`, ...listed].join('\n'))
}

/** With the folder for this process alone: what runs the events keeps them in memory. */
async function alone(dataDir: string, act: (store: Store) => Promise<string>): Promise<string> {
  const unlock = locked(dataDir)
  try {
    const store = openSqlite(databaseIn(dataDir))
    try {
      return await act(store)
    } finally {
      await store.close()
    }
  } finally {
    unlock()
  }
}

/** The folder is made where there is none, as the service makes it. */
function locked(dataDir: string): () => void {
  mkdirSync(dataDir, { recursive: true, mode: 0o700 })
  try {
    return lockFolder(dataDir)
  } catch (error) {
    throw new Error(`the service is running on ${dataDir}; stop it first`, { cause: error })
  }
}

/** For the owner alone, and on the disk before it is told of. */
function writeSafely(file: string, text: string): void {
  const descriptor = openSync(file, 'wx', 0o600)
  try {
    writeSync(descriptor, text)
    fsyncSync(descriptor)
  } finally {
    closeSync(descriptor)
  }
}
