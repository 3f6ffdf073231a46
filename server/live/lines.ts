/** Room for the lines that are to come; a longer one gets a piece of its own. */
const PIECE_BYTES = 32 * 1024
const COMMA = 0x2c

/** Lines that are kept together. */
interface Piece {
  bytes: Buffer
  /** The number of the first of them. */
  first: number
  /** The bytes of all lines before it. */
  before: number
}

/**
 * The facts of one log as JSON, for as long as somebody looks. Kept as bytes: as texts of the engine, each of several
 * pieces, they took half as much again, and the engine lets as much garbage gather as it has in use.
 */
export class Lines {
  readonly #pieces: Piece[] = []
  /** The bytes of all lines up to each, a comma behind every one included. */
  readonly #ends: number[] = []

  get count(): number {
    return this.#ends.length
  }

  push(text: string): void {
    const length = Buffer.byteLength(text) + 1
    const at = this.#startOf(this.count + 1)
    const { bytes, before } = this.#roomFor(at, length)
    bytes.write(text, at - before)
    bytes[at - before + length - 1] = COMMA
    this.#ends.push(at + length)
  }

  /** Bytes of the line with a sequence number; 0 where there is none. */
  lengthOf(seq: number): number {
    const end = this.#ends[seq - 1]
    return end === undefined ? 0 : end - this.#startOf(seq) - 1
  }

  /** The lines from..to with commas between, both ends included. */
  text(span: { from: number; to: number }): string {
    // A piece ends where a line does, and so between letters.
    return this.#bytesOf(span)
      .map((bytes) => bytes.toString('utf8'))
      .join('')
  }

  /** The same between two texts, as bytes: made into text and back, a page of the log takes four times as long. */
  within(span: { from: number; to: number }, before: string, after: string): Buffer {
    return Buffer.concat([Buffer.from(before), ...this.#bytesOf(span), Buffer.from(after)])
  }

  /** As they are kept. */
  #bytesOf({ from, to }: { from: number; to: number }): Buffer[] {
    const last = Math.min(to, this.count)
    if (from > last) return []
    const [start, end] = [this.#startOf(from), this.#startOf(last + 1) - 1]
    const found: Buffer[] = []
    // From the end: what is asked for most is what was recorded last.
    let index = this.#pieces.findLastIndex(({ first }) => first <= from)
    for (let piece = this.#pieces[index]; piece && piece.before < end; piece = this.#pieces[++index]) {
      const { bytes, before } = piece
      // Behind the last line of a piece is nothing.
      const upTo = Math.min(end, this.#pieces[index + 1]?.before ?? end)
      found.push(bytes.subarray(Math.max(0, start - before), upTo - before))
    }
    return found
  }

  #startOf(seq: number): number {
    return this.#ends[seq - 2] ?? 0
  }

  #roomFor(at: number, length: number): Piece {
    const last = this.#pieces.at(-1)
    if (last !== undefined && at - last.before + length <= last.bytes.length) return last
    // Not of the pool that small buffers share: it would be kept whole for a part of it.
    const bytes = Buffer.allocUnsafeSlow(Math.max(PIECE_BYTES, length))
    const piece = { bytes, first: this.count + 1, before: at }
    this.#pieces.push(piece)
    return piece
  }
}
