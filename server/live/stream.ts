import type { WebSocket } from '@fastify/websocket'
import type { Fact } from '../../shared/contracts/facts.ts'
import type { ProblemCode } from '../../shared/contracts/problem.ts'
import {
  BEAT_MS,
  markOf,
  SILENCE_MS,
  type EventClock,
  type FrameOut,
  type Trouble
} from '../../shared/contracts/stream.ts'
import type { Clock } from '../clock.ts'
import { CatchUps } from './catch-up.ts'

/** Bytes that may wait in this process for one slow reader. */
const BUFFERED_BYTES = 256 * 1024
/** Messages of a page: a burst, then a steady rate; a page has one answer a beat to give. */
const BURST = 20
const STEADY_PER_S = 1
/** Allowed for the answer to a farewell. */
const FAREWELL_MS = 500
/** A fan-out shorter than this opens no window. */
const WINDOW_MS = 1

const CLOSED = { goingAway: 1001, notAllowed: 1008, startAgain: 1012 } as const

/** What is needed of a socket. */
export type Socket = Pick<WebSocket, 'bufferedAmount' | 'on' | 'once' | 'send' | 'close' | 'terminate'>

interface Log {
  readonly seq: number
  facts(span: { from: number; to: number }): string
  factsWithin(span: { from: number; to: number }, before: string, after: string): Buffer
  /** The last fact of the page that begins with `from`. */
  endOfPage(from: number): number
}

interface StreamParts {
  eventId: string
  version: string
  clock: Clock
  /** The clock of the event, as it is committed. */
  eventClock: () => EventClock
  /** Why nothing can be recorded just now; null while all is well. */
  trouble: () => Trouble | null
}

interface Board {
  socket: Socket
  linkId: string
  /** Real time at which its link ends by itself. */
  expiresAtMs: number | null
  /** When the oldest beat that is not answered yet went out, on the clock of spans. */
  unansweredSinceMs: number | undefined
  /** It may wait in full until it has drained once. */
  catchUp: Buffer | undefined
  messagesLeft: number
  countedAtMs: number
}

/**
 * The open sockets of one event. A frame is serialised once and the same bytes go to all. The first facts go at
 * once; what is committed while a long fan-out would still be felt shares the next frame.
 */
export class Stream {
  readonly #log: Log
  readonly #parts: StreamParts
  readonly #boards = new Set<Board>()
  #sentSeq: number
  #beatAtMs = -Infinity
  #window: NodeJS.Timeout | undefined
  #woken = false
  /** The search as it was shown last. */
  #search: Buffer | undefined
  /** Who looks on, as it was shown last. */
  #presence = Buffer.alloc(0)
  #marked: { seq: number; mark: string } | undefined
  readonly #catchUps: CatchUps

  constructor(log: Log, parts: StreamParts) {
    this.#log = log
    this.#parts = parts
    this.#sentSeq = log.seq
    this.#catchUps = new CatchUps({
      endOfPage: (from) => log.endOfPage(from),
      frameOf: (span) => this.#frame(span)
    })
  }

  get size(): number {
    return this.#boards.size
  }

  /** Boards that have not answered the last beat. */
  get unanswered(): number {
    return [...this.#boards].filter(({ unansweredSinceMs }) => unansweredSinceMs !== undefined).length
  }

  /** Greets a socket with what it has missed since `after`; from then on it gets every frame. */
  add(
    socket: Socket,
    { after, linkId, expiresAtMs = null }: { after: number; linkId: string; expiresAtMs?: number | null }
  ): void {
    // First everybody is brought to the same point, so that this one gets nothing twice.
    this.#send()
    const { seq } = this.#log
    const { eventId, version, clock, eventClock, trouble } = this.#parts
    const board: Board = {
      socket,
      linkId,
      expiresAtMs,
      unansweredSinceMs: undefined,
      catchUp: undefined,
      messagesLeft: BURST,
      countedAtMs: clock.elapsedMs()
    }
    socket.on('message', (message) => {
      this.#hear(board, message)
    })
    socket.on('close', () => {
      this.#forget(board)
    })
    const [realAtMs, mark] = [clock.nowMs(), this.markAt(after)]
    const hello = { eventId, seq, after, mark, realAtMs, serverVersion: version, clock: eventClock() }
    socket.send(textOf({ kind: 'hello', v: 1, ...hello }))
    if (after < seq) this.#bringUp(board, { from: after + 1, to: seq })
    if (this.#search) socket.send(this.#search, { binary: false })
    if (this.#presence.length > 0) socket.send(this.#presence, { binary: false })
    const code = trouble()
    if (code !== null) socket.send(textOf({ kind: 'trouble', code }))
    this.#boards.add(board)
  }

  /** By one frame; where that would hold too much a beat says that there is more, and the page reads the log. */
  #bringUp(board: Board, span: { from: number; to: number }): void {
    const { socket } = board
    const frame = this.#catchUps.of(span)
    if (frame === undefined) {
      socket.send(textOf({ kind: 'beat', seq: span.to, realAtMs: this.#parts.clock.nowMs() }))
      return
    }
    socket.send(frame, { binary: false })
    // What the system took at once is no longer ours to keep.
    if (socket.bufferedAmount === 0) return
    board.catchUp = frame
    this.#catchUps.hold(frame)
  }

  #settle(board: Board): void {
    if (board.catchUp !== undefined) this.#catchUps.release(board.catchUp)
    board.catchUp = undefined
  }

  #forget(board: Board): void {
    this.#boards.delete(board)
    this.#settle(board)
  }

  /** What tells the fact there from that of another log. Of many pages that come back at once most ask after the same one. */
  markAt(seq: number): string | null {
    if (seq === 0 || seq > this.#log.seq) return null
    if (this.#marked?.seq !== seq) {
      const [fact] = JSON.parse(this.#log.facts({ from: seq, to: seq })) as [Fact]
      this.#marked = { seq, mark: markOf(fact) }
    }
    return this.#marked.mark
  }

  /** Shows the view of a search, as JSON, to every board and to whoever comes. */
  show(search: string): void {
    this.#search = Buffer.from(`{"kind":"search","search":${search}}`)
    this.#toAll(this.#search)
  }

  /** Says why nothing can be recorded from now on, or that it can again. */
  tellTrouble(code: Trouble | null): void {
    this.#toAll(Buffer.from(textOf({ kind: 'trouble', code })))
  }

  /** There are new facts: they go out after the answers to those who caused them. */
  wake(): void {
    if (this.#woken || this.#window !== undefined) return
    this.#woken = true
    setImmediate(() => {
      this.#woken = false
      this.#send()
    })
  }

  #send(): void {
    const span = { from: this.#sentSeq + 1, to: this.#log.seq }
    this.#sentSeq = span.to
    if (span.from > span.to || this.#boards.size === 0) return
    const startedAtMs = performance.now()
    this.#toAll(this.#frame(span))
    const tookMs = performance.now() - startedAtMs
    if (tookMs < WINDOW_MS) return
    clearTimeout(this.#window)
    this.#window = setTimeout(() => {
      this.#window = undefined
      this.#send()
    }, tookMs)
  }

  #toAll(frame: Buffer): void {
    for (const board of this.#boards) {
      if (board.socket.bufferedAmount > BUFFERED_BYTES + (board.catchUp?.byteLength ?? 0)) this.#drop(board)
      else board.socket.send(frame, { binary: false })
    }
  }

  #frame({ from, to }: { from: number; to: number }): Buffer {
    const before = `{"kind":"facts","from":${String(from)},"to":${String(to)},"facts":[`
    return this.#log.factsWithin({ from, to }, before, ']}')
  }

  /** Call once a second. */
  tick(): void {
    const { clock } = this.#parts
    const nowMs = clock.elapsedMs()
    this.#catchUps.tick()
    for (const board of this.#boards) {
      if (board.expiresAtMs !== null && clock.nowMs() >= board.expiresAtMs) this.#refuse(board, 'no-membership')
      if (board.socket.bufferedAmount === 0) this.#settle(board)
      if (board.unansweredSinceMs !== undefined && nowMs - board.unansweredSinceMs > SILENCE_MS) this.#drop(board)
    }
    this.#showPresence()
    // A tick may come a little early; a beat is due when half a second is not worth waiting for.
    if (nowMs - this.#beatAtMs < BEAT_MS - 500) return
    this.#beatAtMs = nowMs
    for (const board of this.#boards) board.unansweredSinceMs ??= nowMs
    this.#toAll(Buffer.from(textOf({ kind: 'beat', seq: this.#sentSeq, realAtMs: clock.nowMs() })))
  }

  /** Once a second at most, so that a thousand pages that come back at once are a few frames. */
  #showPresence(): void {
    const boards = new Map<string, number>()
    for (const { linkId } of this.#boards) boards.set(linkId, (boards.get(linkId) ?? 0) + 1)
    const links = [...boards].map(([linkId, count]) => ({ linkId, boards: count }))
    links.sort((a, b) => (a.linkId < b.linkId ? -1 : 1))
    const frame = Buffer.from(textOf({ kind: 'presence', links }))
    if (frame.equals(this.#presence)) return
    this.#presence = frame
    this.#toAll(frame)
  }

  #hear(board: Board, message: unknown): void {
    if (this.#mayStillSpeak(board) && isSeen(message)) board.unansweredSinceMs = undefined
    else this.#refuse(board)
  }

  #mayStillSpeak(board: Board): boolean {
    const nowMs = this.#parts.clock.elapsedMs()
    const regained = ((nowMs - board.countedAtMs) / 1000) * STEADY_PER_S
    board.messagesLeft = Math.min(BURST, board.messagesLeft + regained) - 1
    board.countedAtMs = nowMs
    return board.messagesLeft >= 0
  }

  #refuse(board: Board, code?: ProblemCode): void {
    this.#forget(board)
    farewell(board.socket, CLOSED.notAllowed, code)
  }

  /** At once: a peer that does not read would not answer a farewell either. */
  #drop(board: Board): void {
    this.#forget(board)
    board.socket.terminate()
  }

  dropLink(linkId: string): void {
    for (const board of this.#boards) {
      if (board.linkId === linkId) this.#refuse(board, 'no-membership')
    }
  }

  /** Ends every socket; pages come back by themselves. */
  end(code?: ProblemCode): void {
    clearTimeout(this.#window)
    this.#window = undefined
    for (const board of this.#boards) {
      this.#forget(board)
      farewell(board.socket, code === undefined ? CLOSED.goingAway : CLOSED.startAgain, code)
    }
  }
}

/** Ends a socket with a word; one that does not answer it is cut off. */
function farewell(socket: Socket, closeCode: number, code?: ProblemCode): void {
  if (code !== undefined) socket.send(textOf({ kind: 'problem', code }))
  socket.close(closeCode)
  const cut = setTimeout(() => {
    socket.terminate()
  }, FAREWELL_MS)
  socket.once('close', () => {
    clearTimeout(cut)
  })
}

const textOf = (frame: FrameOut): string => JSON.stringify(frame)

/** The one thing a page may say: a FrameIn. Never throws: no error handler would hear of it. */
function isSeen(message: unknown): boolean {
  try {
    const frame: unknown = JSON.parse(String(message))
    if (typeof frame !== 'object' || frame === null) return false
    return 'kind' in frame && frame.kind === 'seen' && 'seq' in frame && Number.isSafeInteger(frame.seq)
  } catch {
    return false
  }
}
