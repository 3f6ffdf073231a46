import type { LinkId } from '../../shared/contracts/ids.ts'
import type { Store } from '../store/store.ts'

/** Between two writes of what was used. */
const KEEP_EVERY_MS = 60_000

/** When each link was last used: noted in memory by every request, kept about once a minute and at the end. */
export class Uses {
  readonly #store: Pick<Store, 'noteUses'>
  readonly #usedAtMs = new Map<LinkId, number>()
  #keptAtMs: number | undefined

  constructor(store: Pick<Store, 'noteUses'>) {
    this.#store = store
  }

  note(linkId: LinkId, atMs: number): void {
    this.#usedAtMs.set(linkId, atMs)
  }

  /** Of this link since it was last kept. */
  lastMs(linkId: LinkId): number | undefined {
    return this.#usedAtMs.get(linkId)
  }

  /** Call once a second. */
  tick(nowMs: number): void {
    this.#keptAtMs ??= nowMs
    if (nowMs - this.#keptAtMs < KEEP_EVERY_MS) return
    this.#keptAtMs = nowMs
    void this.keep()
  }

  async keep(): Promise<void> {
    const uses = [...this.#usedAtMs].map(([linkId, atMs]) => ({ linkId, atMs }))
    this.#usedAtMs.clear()
    if (uses.length === 0) return
    try {
      await this.#store.noteUses(uses)
    } catch {
      // A disk that takes nothing is told of by whatever matters; the next use is noted again.
    }
  }
}
