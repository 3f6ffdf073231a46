import type { EventId, LinkId } from '../../shared/contracts/ids.ts'
import { Problem } from '../problem.ts'
import { StoreBroken, StoreFull, type Store } from '../store/store.ts'

interface Revocation {
  eventId: EventId
  linkId: LinkId
  atMs: number
}

interface Parts {
  store: Pick<Store, 'links' | 'revokeLink'>
  /** Closes what the link holds open. */
  dropLink: (eventId: EventId, linkId: LinkId) => void
}

const DETAIL =
  'The link opens nothing from now on, but this could not be written down: revoke it once more after a new start of the service.'

/**
 * The end of a link, which does not wait for a disk: one that cannot be kept holds in memory, closes the sockets of the
 * link all the same, and is kept as soon as the store takes it.
 */
export class Revocations {
  readonly #parts: Parts
  readonly #unkept = new Map<LinkId, Revocation>()
  #isKeeping = false

  constructor(parts: Parts) {
    this.#parts = parts
  }

  /** Whether this link was ended and the store does not know of it yet. */
  has(linkId: LinkId): boolean {
    return this.#unkept.has(linkId)
  }

  /** When; undefined where `has` is not so. */
  atMs(linkId: LinkId): number | undefined {
    return this.#unkept.get(linkId)?.atMs
  }

  /**
   * Whether there was such a link of that event, not revoked before.
   * @throws Problem `store-full` or `store-broken` when the link is out but the store does not know of it
   */
  async revoke(revocation: Revocation): Promise<boolean> {
    const { eventId, linkId } = revocation
    try {
      const isRevoked = await this.#parts.store.revokeLink(revocation)
      this.#unkept.delete(linkId)
      if (isRevoked) this.#parts.dropLink(eventId, linkId)
      return isRevoked
    } catch (error) {
      const isFull = error instanceof StoreFull
      if (!isFull && !(error instanceof StoreBroken)) throw error
      const link = (await this.#parts.store.links(eventId)).find((one) => one.linkId === linkId)
      if (link === undefined || link.revokedAtMs !== null) return false
      this.#unkept.set(linkId, revocation)
      this.#parts.dropLink(eventId, linkId)
      throw new Problem(isFull ? 'store-full' : 'store-broken', { detail: DETAIL })
    }
  }

  /** Call once a second: tries again to keep what was not. */
  tick(): void {
    if (this.#unkept.size > 0 && !this.#isKeeping) void this.#keep()
  }

  async #keep(): Promise<void> {
    this.#isKeeping = true
    try {
      for (const revocation of [...this.#unkept.values()]) {
        await this.#parts.store.revokeLink(revocation)
        this.#unkept.delete(revocation.linkId)
      }
    } catch {
      // Still no room: again in a second.
    } finally {
      this.#isKeeping = false
    }
  }
}
