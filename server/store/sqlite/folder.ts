import Database from 'better-sqlite3'
import { mkdirSync } from 'node:fs'
import { join } from 'node:path'
import { codeOf } from './disk.ts'

/** Where in a data folder the database stands. */
export const databaseIn = (dataDir: string): string => join(dataDir, 'ullage.sqlite')

/** A lock that nothing refers to would be collected, and let go. */
const held = new Set<Database.Database>()

/**
 * Takes a data folder for this process alone, until it ends or gives it back. The system itself lets go of the lock of
 * a process that dies, so none is ever left behind. Reading the database (a backup) needs no lock.
 * @throws Error when another process has it
 */
export function lockFolder(dataDir: string): () => void {
  mkdirSync(dataDir, { recursive: true, mode: 0o700 })
  const lock = new Database(join(dataDir, 'ullage.lock'), { timeout: 0 })
  try {
    // Nothing is ever written, so a full disk can be locked too.
    lock.pragma('journal_mode = MEMORY')
    lock.exec('BEGIN EXCLUSIVE')
  } catch (error) {
    lock.close()
    if (!codeOf(error).startsWith('SQLITE_BUSY')) throw error
    throw new Error('another process of this service works on it; one process to one folder', { cause: error })
  }
  held.add(lock)
  return () => {
    held.delete(lock)
    lock.close()
  }
}
