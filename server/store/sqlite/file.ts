import Database from 'better-sqlite3'
import { chmodSync, existsSync, mkdirSync } from 'node:fs'
import { dirname } from 'node:path'
import { codeOf } from './disk.ts'
import { checkShape, migrate, stepCount } from './migrations.ts'
import { SqliteStore } from './sqlite.ts'

/** Waited for a lock that another process (a backup) holds. */
const BUSY_MS = 5_000
const SYNCHRONOUS_FULL = 2
/** "ULLG", which migrations/sqlite writes into the file's head. */
const OUR_MARK = 0x554c4c47

/**
 * A store in one SQLite file, made when it is not there.
 * @throws Error when the file is damaged, belongs to another program, cannot be used, or was made by a newer version
 */
export function openSqlite(file: string): SqliteStore {
  mkdirSync(dirname(file), { recursive: true, mode: 0o700 })
  const database = open(file)
  try {
    // Before anything is written into what may be somebody else's.
    checkSqlite(database)
    // Hashes of secrets and everybody's plans: for the service alone.
    chmodSync(file, 0o600)
    prepare(database)
    migrate(database)
    bringHome(database)
    return new SqliteStore(database)
  } catch (error) {
    database.close()
    throw error
  }
}

/**
 * A store that is only read from, also while the service writes to it.
 * @throws Error when there is none, or it was made by another version
 */
export function readSqlite(file: string): SqliteStore {
  if (!existsSync(file)) throw new Error(`there is no database ${file}`)
  const database = new Database(file, { readonly: true })
  try {
    if (checkShape(database) !== stepCount()) throw new Error(`${file} was made by an older version; start it once`)
    return new SqliteStore(database)
  } catch (error) {
    database.close()
    throw error
  }
}

function open(file: string): Database.Database {
  try {
    return new Database(file)
  } catch (error) {
    if (existsSync(file)) throw error
    throw new Error(`${file} cannot be made there (${codeOf(error)})`, { cause: error })
  }
}

/**
 * That the file is a whole database of this service, or an empty one.
 * @throws Error in a sentence for whoever starts the service or restores a copy
 */
export function checkSqlite(database: Database.Database): void {
  const { name } = database
  const value = (pragma: string): unknown => database.pragma(pragma, { simple: true })
  try {
    const mark = value('application_id')
    if (mark !== OUR_MARK && !(mark === 0 && (isEmpty(database) || isOursUnmarked(database)))) {
      throw new Error(`${name} belongs to another program: its application id is ${String(mark)}`)
    }
    const found = database.pragma('quick_check(3)') as { quick_check: string }[]
    if (found[0]?.quick_check !== 'ok') {
      throw new Error(
        `${name} is damaged: ${found.map(({ quick_check: what }) => what.replace(/\s+/g, ' ')).join('; ')}`
      )
    }
  } catch (error) {
    const code = codeOf(error)
    if (code === 'SQLITE_NOTADB') throw new Error(`${name} is not a database`, { cause: error })
    if (code.startsWith('SQLITE_CORRUPT')) throw new Error(`${name} is damaged`, { cause: error })
    throw error
  }
}

const isEmpty = (database: Database.Database): boolean =>
  database.prepare('SELECT count(*) FROM sqlite_schema').pluck().get() === 0

/** Made before files were marked. */
const isOursUnmarked = (database: Database.Database): boolean =>
  database.pragma('user_version', { simple: true }) === 1 &&
  database
    .prepare(`SELECT count(*) FROM sqlite_schema WHERE type = 'table' AND name IN ('facts', 'plan_revisions', 'links')`)
    .pluck()
    .get() === 3

/** The driver is built with NORMAL in WAL mode, which loses acknowledged rows in a power cut: FULL is set and asserted. */
function prepare(database: Database.Database): void {
  database.pragma(`busy_timeout = ${String(BUSY_MS)}`)
  database.pragma('journal_mode = WAL')
  database.pragma('synchronous = FULL')
  database.pragma('foreign_keys = ON')
  // What was deleted is gone from the file, not only unlisted.
  database.pragma('secure_delete = ON')
  const mode = database.pragma('journal_mode', { simple: true })
  const synchronous = database.pragma('synchronous', { simple: true })
  if (mode !== 'wal' || synchronous !== SYNCHRONOUS_FULL) {
    throw new Error(
      `the database would not be durable: journal_mode ${String(mode)}, synchronous ${String(synchronous)}`
    )
  }
}

/**
 * What the process before left in the log of pages may have been read from memory alone: were new commits to follow on
 * it, a power cut could take them too. Written into the main file and synced, it is safe, and the log begins anew.
 */
function bringHome(database: Database.Database): void {
  try {
    database.pragma('wal_checkpoint(TRUNCATE)')
  } catch (error) {
    // A full disk can still be read from; the pages stay where they are.
    if (codeOf(error) !== 'SQLITE_FULL') throw error
  }
}
