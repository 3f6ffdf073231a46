import Database from 'better-sqlite3'
import {
  chmodSync,
  closeSync,
  copyFileSync,
  existsSync,
  fsyncSync,
  linkSync,
  openSync,
  renameSync,
  rmSync
} from 'node:fs'
import { dirname, resolve } from 'node:path'
import { checkSqlite } from './file.ts'
import { databaseIn } from './folder.ts'
import { checkShape } from './migrations.ts'

/** More pages than any database has: all that are left in one step, so that no writer can make it begin again. */
const ALL_PAGES = 0x7fffffff

/**
 * A copy of the database as it is at one instant, whole and checked, in one file that nothing else belongs to. The
 * service may go on meanwhile.
 * @throws Error when there is no database, or the file is there already, or the copy is not whole
 */
export async function backup(dataDir: string, file: string): Promise<void> {
  const from = databaseIn(dataDir)
  const to = resolve(file)
  if (!existsSync(from)) throw new Error(`there is no database in ${dataDir}`)
  if (existsSync(to)) throw new Error(`${to} is there already; name another file`)
  const part = `${to}.part`
  rmSync(part, { force: true })
  const database = new Database(from, { readonly: true, fileMustExist: true })
  try {
    await database.backup(part, { progress: () => ALL_PAGES })
  } finally {
    database.close()
  }
  settle(part)
  renameSync(part, to)
  sync(dirname(to))
}

/**
 * Puts a copy in place of the database, which is kept beside it; at every instant there is a whole one. The caller has
 * locked the folder. Gives the name of what was there before.
 * @throws Error when the copy is damaged, not ours or of a newer version; nothing is changed then
 */
export function restore(dataDir: string, file: string, stamp: string): string | undefined {
  const here = databaseIn(dataDir)
  if (!existsSync(file)) throw new Error(`there is no ${file}`)
  const part = `${here}.restoring`
  copyFileSync(file, part)
  try {
    settle(part)
  } catch (error) {
    remove(part)
    // The copy of the copy is nobody's business.
    throw error instanceof Error ? new Error(error.message.replaceAll(part, file), { cause: error }) : error
  }
  const kept = existsSync(here) ? `${here}.before-${stamp}` : undefined
  if (kept !== undefined) setAside(here, kept)
  renameSync(part, here)
  sync(dataDir)
  return kept
}

/** Checks a copy and makes it stand alone, safe on the disk. */
function settle(file: string): void {
  const database = new Database(file)
  try {
    checkSqlite(database)
    checkShape(database)
    if (database.prepare('SELECT count(*) FROM sqlite_schema').pluck().get() === 0) throw new Error(`${file} is empty`)
    database.pragma('journal_mode = DELETE')
  } finally {
    database.close()
  }
  chmodSync(file, 0o600)
  sync(file)
}

/** A second name for what is there; the pages still in its log come home first, where it can be read at all. */
function setAside(here: string, kept: string): void {
  try {
    const database = new Database(here)
    try {
      database.pragma('wal_checkpoint(TRUNCATE)')
    } finally {
      database.close()
    }
    linkSync(here, kept)
  } catch {
    renameSync(here, kept)
  }
  for (const end of ['-wal', '-shm']) if (existsSync(here + end)) renameSync(here + end, kept + end)
}

function remove(file: string): void {
  for (const end of ['', '-wal', '-shm', '-journal']) rmSync(file + end, { force: true })
}

function sync(path: string): void {
  const descriptor = openSync(path, 'r')
  fsyncSync(descriptor)
  closeSync(descriptor)
}
