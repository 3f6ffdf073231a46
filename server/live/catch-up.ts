import { Shelf } from '../unread.ts'

/** Bytes of catch-ups of one event that may wait in this process, those that many share counted once. */
const MOST_BYTES = 16 * 1024 * 1024

interface Span {
  from: number
  to: number
}

interface Parts {
  /** The last fact of the page that begins with `from`. */
  endOfPage: (from: number) => number
  frameOf: (span: Span) => Buffer
}

/** What sockets are given of what they have missed: a page at most, and not more in all than is read. */
export class CatchUps {
  readonly #parts: Parts
  readonly #waiting = new Shelf()
  /** The last one, for those who have missed the same. */
  #last: (Span & { frame: Buffer }) | undefined

  constructor(parts: Parts) {
    this.#parts = parts
  }

  /** Undefined where the log is to be read instead. */
  of(span: Span): Buffer | undefined {
    const { endOfPage, frameOf } = this.#parts
    if (endOfPage(span.from) < span.to || this.#waiting.bytes >= MOST_BYTES) return undefined
    if (this.#last?.from !== span.from || this.#last.to !== span.to) this.#last = { ...span, frame: frameOf(span) }
    return this.#last.frame
  }

  /** One that the system did not take at once. */
  hold(frame: Buffer): void {
    this.#waiting.add(frame)
  }

  release(frame: Buffer): void {
    this.#waiting.remove(frame)
  }

  /** Call once a second. */
  tick(): void {
    this.#last = undefined
  }
}
