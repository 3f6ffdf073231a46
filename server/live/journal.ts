import type { Batch, Store } from '../store/store.ts'

interface Entry {
  batch: Batch
  /** Called in the order of the log, as soon as the batch is safe. */
  kept: () => void
  /** The batch is not safe. `tried`: it was part of the write that failed, and did not only wait behind it. */
  lost: (error: unknown, tried: boolean) => void
}

export interface Recorded {
  facts: number
  commits: number
  tookMs: number
}

/** However much each of them brings. */
const MOST_TURNS = 8

/**
 * Commits in groups: what all rooms decided in one turn of the event loop, and in those behind it while each brings
 * more, is one transaction. So full durability costs one sync for many requests, not one for each; a turn that brings
 * nothing takes some microseconds.
 */
export class Journal {
  readonly #store: Store
  readonly recorded: Recorded = { facts: 0, commits: 0, tookMs: 0 }
  #waiting: Entry[] = []
  #writing = false
  #idle: (() => void)[] = []

  constructor(store: Store) {
    this.#store = store
  }

  append(entry: Entry): void {
    this.#waiting.push(entry)
    if (!this.#writing) this.#next()
  }

  /** Settles when nothing waits to be written. */
  async drained(): Promise<void> {
    if (!this.#writing) return
    await new Promise<void>((resolve) => this.#idle.push(resolve))
  }

  #next(): void {
    this.#writing = this.#waiting.length > 0
    if (this.#writing) this.#gather({ known: 0, turns: 1 })
    else
      this.#idle.splice(0).forEach((resolve) => {
        resolve()
      })
  }

  #gather({ known, turns }: { known: number; turns: number }): void {
    // After the poll phase: every request that arrived in this turn has been decided by then.
    setImmediate(() => {
      const count = this.#waiting.length
      if (count > known && turns < MOST_TURNS) this.#gather({ known: count, turns: turns + 1 })
      else void this.#write()
    })
  }

  async #write(): Promise<void> {
    const group = this.#waiting
    this.#waiting = []
    const startedAtMs = performance.now()
    try {
      await this.#store.append(group.map(({ batch }) => batch))
      this.recorded.commits += 1
      this.recorded.tookMs += performance.now() - startedAtMs
      this.recorded.facts += group.reduce((sum, { batch }) => sum + batch.facts.length, 0)
      for (const { kept } of group) kept()
    } catch (error) {
      // What was decided meanwhile stands on facts that may not exist: it is lost with them.
      const waiting = this.#waiting
      this.#waiting = []
      for (const { lost } of group) lost(error, true)
      for (const { lost } of waiting) lost(error, false)
    }
    this.#next()
  }
}
