import { UNREAD } from '../shared/contracts/bounds.ts'
import { Problem } from './problem.ts'

/** When an answer that was refused is worth asking for again: others may have been read by then. */
const RETRY_S = 5

export interface MostUnread {
  readonly perLinkBytes: number
  readonly perReaderBytes: number
}

/**
 * Large answers that are on their way and not taken yet, by the bytes that are kept for them: whoever asks for many and
 * reads none would fill the memory. Counted under the link as a whole and under the link from one address, so that
 * whoever shares a link cannot take its answers from all the others. What many wait for at once is kept, and counted,
 * once.
 */
export class Unread {
  readonly #most: MostUnread
  readonly #held = new Map<string, Shelf>()

  constructor(most: MostUnread = UNREAD) {
    this.#most = most
  }

  /**
   * Before an answer is made.
   * @throws Problem `too-many-requests` where too much waits to be read already
   */
  check(linkId: string, address: string): void {
    this.#check(linkId, this.#most.perLinkBytes, 'under this link')
    this.#check(readerOf(linkId, address), this.#most.perReaderBytes, 'under this link from this address')
  }

  /** Keeps what is sent; gives what is to be called once when it was taken, or its reader is gone. */
  hold(linkId: string, address: string, body: Uint8Array): () => void {
    const keys = [linkId, readerOf(linkId, address)]
    for (const key of keys) this.#shelfOf(key).add(body)
    return () => {
      for (const key of keys) {
        const shelf = this.#held.get(key)
        shelf?.remove(body)
        if (shelf?.bytes === 0) this.#held.delete(key)
      }
    }
  }

  /** Links, and links from an address, for which something waits. */
  get size(): number {
    return this.#held.size
  }

  #shelfOf(key: string): Shelf {
    const shelf = this.#held.get(key) ?? new Shelf()
    this.#held.set(key, shelf)
    return shelf
  }

  #check(key: string, mostBytes: number, where: string): void {
    if ((this.#held.get(key)?.bytes ?? 0) < mostBytes) return
    const detail = `${String(mostBytes)} bytes of answers ${where} were not read yet, the most.`
    throw new Problem('too-many-requests', { detail }, RETRY_S)
  }
}

const readerOf = (linkId: string, address: string): string => `${linkId} ${address}`

/** What waits somewhere, each thing once, with how many wait for it. */
export class Shelf {
  readonly #waiting = new Map<Uint8Array, number>()
  #bytes = 0

  get bytes(): number {
    return this.#bytes
  }

  add(body: Uint8Array): void {
    const waiting = this.#waiting.get(body) ?? 0
    if (waiting === 0) this.#bytes += body.byteLength
    this.#waiting.set(body, waiting + 1)
  }

  remove(body: Uint8Array): void {
    const waiting = this.#waiting.get(body) ?? 0
    if (waiting > 1) this.#waiting.set(body, waiting - 1)
    else if (this.#waiting.delete(body)) this.#bytes -= body.byteLength
  }
}
