import { once } from 'node:events'
import { WebSocket } from 'ws'
import type { Fact } from '../../shared/contracts/facts.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import type { FrameOut } from '../../shared/contracts/stream.ts'
import { reduce } from '../../shared/live/reduce.ts'
import { emptyState, type LiveState } from '../../shared/live/state.ts'

const BACK_MS = 60

export interface Watcher {
  facts: Fact[]
  state: () => LiveState
  /** Frames that did not follow on what was seen. */
  gaps: () => number
  /** Settles when it has folded so many facts. */
  reached: (seq: number) => Promise<void>
  stop: () => void
}

/** A board: folds what it is sent, and comes back after what it has whenever its line breaks. */
export function watch({ port, eventId, secret }: { port: () => number; eventId: string; secret: string }): Watcher {
  const facts: Fact[] = []
  let state = emptyState(eventId)
  let gaps = 0
  let isOver = false
  let socket: WebSocket | undefined
  const waiting = new Set<() => void>()

  function hear(frame: FrameOut) {
    if (frame.kind === 'beat') socket?.send(JSON.stringify({ kind: 'seen', seq: state.seq }))
    if (frame.kind !== 'facts') return
    if (frame.from !== state.seq + 1 || frame.to !== frame.from + frame.facts.length - 1) gaps += 1
    for (const fact of frame.facts) {
      facts.push(fact)
      state = reduce(state, fact)
    }
    for (const wake of waiting) wake()
  }
  async function open() {
    while (!isOver) {
      const url = `ws://127.0.0.1:${String(port())}${pathOf('stream', { eventId })}?after=${String(state.seq)}`
      socket = new WebSocket(url, { headers: { authorization: `Bearer ${secret}` }, perMessageDeflate: false })
      socket.on('error', () => socket?.terminate())
      socket.on('message', (message: Buffer) => {
        hear(JSON.parse(message.toString()) as FrameOut)
      })
      await once(socket, 'close').catch(() => undefined)
      await new Promise((resolve) => setTimeout(resolve, BACK_MS))
    }
  }
  void open()
  return {
    facts,
    state: () => state,
    gaps: () => gaps,
    reached: async (seq) => {
      while (state.seq < seq) {
        await new Promise<void>((resolve) => {
          const wake = (): void => {
            waiting.delete(wake)
            resolve()
          }
          waiting.add(wake)
        })
      }
    },
    stop: () => {
      isOver = true
      socket?.terminate()
    }
  }
}
