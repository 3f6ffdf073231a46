import type { Link } from '../store.ts'

/** Beyond so many they are all read anew: nobody has that many links in use. */
const MOST = 10_000

/**
 * Links as they were read last, by the hash of their secret: every request asks for one, and this process alone writes
 * to the database. Whatever may change a link forgets them all in the same step, whether or not it succeeds. A hash that opens nothing is not remembered, or guesses would fill the memory.
 */
export class LinkMemory {
  readonly #links = new Map<string, Link>()

  of(secretHash: string, read: () => Link | undefined): Link | undefined {
    const known = this.#links.get(secretHash)
    if (known !== undefined) return known
    const link = read()
    if (link === undefined) return undefined
    if (this.#links.size >= MOST) this.#links.clear()
    this.#links.set(secretHash, link)
    return link
  }

  forget(): void {
    this.#links.clear()
  }
}
