import type { Database } from 'better-sqlite3'
import { StoreBroken, StoreFull, type StoreTrouble } from '../store.ts'

/** Pages come back to the main file after about so many commits; a commit of facts fills two to four of them. */
const CHECKPOINT_COMMITS = 300

/**
 * After one of these nobody knows what the file holds: a page the system failed to write counts as clean to it, and
 * the next sync tells of success. Only a process that begins anew, from what can be read, is on firm ground.
 */
const BROKEN = /^SQLITE_(IOERR|CORRUPT|NOTADB|CANTOPEN|READONLY|PROTOCOL|NOLFS|NOMEM|INTERNAL)/

/**
 * Every access to the file goes through here, so that one place tells what an error means: the disk is full and
 * nothing was kept, the disk has failed and the outcome is unknown, or neither.
 */
export class Disk {
  readonly #database: Database
  readonly #changes: () => unknown
  readonly #hearers: ((trouble: StoreTrouble | undefined) => void)[] = []
  #trouble: StoreTrouble | undefined
  #commits = 0

  constructor(database: Database) {
    this.#database = database
    // The driver's own would ignore its errors: a failed sync of the main file must not pass unseen.
    database.pragma('wal_autocheckpoint = 0')
    const total = database.prepare('SELECT total_changes()').pluck()
    this.#changes = () => total.get()
  }

  get trouble(): StoreTrouble | undefined {
    return this.#trouble
  }

  onTrouble(hear: (trouble: StoreTrouble | undefined) => void): void {
    this.#hearers.push(hear)
  }

  /** Reads go on when the disk is full, and as long as they can when it has failed. */
  read<T>(act: () => T): T {
    return this.#judged(act)
  }

  /**
   * @throws StoreFull when nothing was kept for want of room; what was written before stays readable
   * @throws StoreBroken when it is unknown whether it was kept; from then on at once, with nothing tried
   */
  write<T>(act: () => T, commits = 1): T {
    this.#mustHold()
    const before = this.#changes()
    const given = this.#judged(act)
    if (this.#changes() !== before) this.#written(commits)
    return given
  }

  /** The same of what never leaves all as it was, and need not be asked whether it did. */
  append(act: () => void): void {
    this.#mustHold()
    this.#judged(act)
    this.#written(1)
  }

  #mustHold(): void {
    if (this.#trouble !== 'store-broken') return
    throw new StoreBroken('the disk has failed: nothing more is recorded', { isUnknown: false })
  }

  #written(commits: number): void {
    this.#tell(undefined)
    this.#commits += commits
    // After the answers: it syncs once more.
    if (this.#commits >= CHECKPOINT_COMMITS)
      setImmediate(() => {
        this.#checkpoint()
      })
  }

  /** A plan fills so many pages that they are brought home after each. */
  writeLarge<T>(act: () => T): T {
    return this.write(act, CHECKPOINT_COMMITS)
  }

  #checkpoint(): void {
    if (this.#commits < CHECKPOINT_COMMITS || !this.#database.open || this.#trouble === 'store-broken') return
    this.#commits = 0
    try {
      this.#judged(() => this.#database.pragma('wal_checkpoint(PASSIVE)'))
    } catch (error) {
      // Without room in the main file the pages stay where they are, safe; of a failure everybody has been told.
      if (!(error instanceof StoreFull || error instanceof StoreBroken) && !isBusy(error)) throw error
    }
  }

  #judged<T>(act: () => T): T {
    try {
      return act()
    } catch (error) {
      const code = codeOf(error)
      if (code === 'SQLITE_FULL') {
        this.#tell('store-full')
        throw new StoreFull('the disk is full', { cause: error })
      }
      if (!BROKEN.test(code)) throw error
      this.#tell('store-broken')
      throw new StoreBroken(`the disk has failed (${code})`, { isUnknown: true, cause: error })
    }
  }

  #tell(trouble: StoreTrouble | undefined): void {
    if (this.#trouble === trouble || this.#trouble === 'store-broken') return
    this.#trouble = trouble
    for (const hear of this.#hearers) hear(trouble)
  }
}

const isBusy = (error: unknown): boolean => codeOf(error).startsWith('SQLITE_BUSY')

/** The driver's code, also of an error that the query builder has wrapped; empty when there is none. */
export function codeOf(error: unknown): string {
  if (typeof error !== 'object' || error === null) return ''
  if ('code' in error) return String(error.code)
  return 'cause' in error ? codeOf(error.cause) : ''
}
