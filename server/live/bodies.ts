import { promisify } from 'node:util'
import { gzip } from 'node:zlib'

const compress = promisify(gzip)

export interface Body {
  text: string
  gzip: () => Promise<Buffer>
}

/**
 * The last large answer of each kind, so that a thousand pages that come back at once cost one serialisation and one
 * compression. Forgotten after a short while: it is for crowds, not for keeps.
 */
export class Bodies {
  readonly #last = new Map<string, { key: string; body: Body; ageTicks: number }>()

  of(kind: string, key: string, build: () => string): Body {
    const last = this.#last.get(kind)
    if (last?.key === key) return last.body
    const text = build()
    let packed: Promise<Buffer> | undefined
    const body = { text, gzip: () => (packed ??= compress(text)) }
    this.#last.set(kind, { key, body, ageTicks: 0 })
    return body
  }

  /** Call once a second. */
  tick(): void {
    for (const [kind, entry] of this.#last) {
      entry.ageTicks += 1
      if (entry.ageTicks > 2) this.#last.delete(kind)
    }
  }
}
