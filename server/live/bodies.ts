import { promisify } from 'node:util'
import { gzip } from 'node:zlib'

const compress = promisify(gzip)
/** So many at most: whoever asks for a different one each time must not fill the memory. */
const MOST = 8

export interface Body {
  /** The same bytes for all who ask. */
  plain: Buffer
  gzip: () => Promise<Buffer>
}

/**
 * The large answers asked for last, so that a thousand pages that come back at once cost one serialisation and one
 * compression. Forgotten after a short while: it is for crowds, not for keeps.
 */
export class Bodies {
  /** Longest unused first. */
  readonly #last = new Map<string, { body: Body; ageTicks: number }>()

  of(key: string, build: () => string | Buffer): Body {
    const known = this.#last.get(key)
    this.#last.delete(key)
    const entry = known ?? { body: asBody(build()), ageTicks: 0 }
    this.#last.set(key, entry)
    const [longestUnused] = this.#last.keys()
    if (this.#last.size > MOST && longestUnused !== undefined) this.#last.delete(longestUnused)
    return entry.body
  }

  /** Call once a second. */
  tick(): void {
    for (const [key, entry] of this.#last) {
      entry.ageTicks += 1
      if (entry.ageTicks > 2) this.#last.delete(key)
    }
  }
}

/** A text, or its bytes, as an answer. */
export function asBody(text: string | Buffer): Body {
  const plain = typeof text === 'string' ? Buffer.from(text) : text
  let packed: Promise<Buffer> | undefined
  return { plain, gzip: () => (packed ??= compress(plain)) }
}
