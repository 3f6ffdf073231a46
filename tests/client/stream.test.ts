import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { openStream } from '../../client/stream.ts'
import { BEAT_MS, SILENCE_MS, type FrameOut } from '../../shared/contracts/stream.ts'

class FakeSocket {
  static readonly OPEN = 1
  static opened: FakeSocket[] = []
  readyState = 1
  said: string[] = []
  closed = false
  onmessage: ((event: { data: string }) => void) | null = null
  onclose: (() => void) | null = null
  readonly address: URL

  constructor(address: URL) {
    this.address = address
    FakeSocket.opened.push(this)
  }
  send(text: string) {
    this.said.push(text)
  }
  close() {
    this.closed = true
  }
  hear(frame: FrameOut) {
    this.onmessage?.({ data: JSON.stringify(frame) })
  }
}

const hello = (seq: number, after = 7): FrameOut => ({
  ...{ kind: 'hello', v: 1, eventId: 'basin', seq, after },
  ...{ mark: 'r 1', realAtMs: 0, serverVersion: '0', clock: { realAtMs: 0, eventAtMs: 0, rateFactor: 1 } }
})
const beat: FrameOut = { kind: 'beat', seq: 7, realAtMs: 0 }

describe('the stream', () => {
  let states: string[] = []
  let frames: string[] = []
  let searches: string[] = []
  let end: () => void = () => undefined
  let folded = 7
  let foreign = false
  let ended: boolean | undefined
  let looks = 0

  beforeEach(() => {
    vi.useFakeTimers()
    vi.stubGlobal('WebSocket', FakeSocket)
    FakeSocket.opened = []
    states = []
    frames = []
    searches = []
    folded = 7
    foreign = false
    ended = false
    looks = 0
    end = openStream({
      as: 'link-1',
      eventId: 'basin',
      seq: () => folded,
      foreign: () => foreign,
      onFrame: (frame) => {
        frames.push(frame.kind)
        if (frame.kind === 'facts') folded = frame.to
      },
      onSearch: ({ status }) => searches.push(status),
      onState: (state) => {
        if (states.at(-1) !== state) states.push(state)
      },
      hasEnded: () => {
        looks += 1
        return ended === undefined ? Promise.reject(new Error('no answer')) : Promise.resolve(ended)
      }
    })
  })
  afterEach(() => {
    end()
    vi.unstubAllGlobals()
    vi.useRealTimers()
  })

  const socket = () => {
    const last = FakeSocket.opened.at(-1)
    if (last === undefined) throw new Error('no socket was opened')
    return last
  }

  it('resumes after what is folded, under the link of the page', () => {
    expect(socket().address.pathname).toBe('/api/v1/events/basin/stream')
    expect(socket().address.searchParams.get('after')).toBe('7')
    expect(socket().address.searchParams.get('as')).toBe('link-1')
  })

  it('is live once it hears, and answers each beat with what is folded', () => {
    expect(states).toEqual(['connecting'])
    socket().hear(hello(7))
    socket().hear(beat)
    expect(states).toEqual(['connecting', 'live'])
    expect(frames).toEqual(['hello', 'beat'])
    expect(socket().said).toEqual(['{"kind":"seen","seq":7}'])
  })

  it('is not live before it has what it missed, and what is recorded later does not change that', () => {
    socket().hear(beat)
    socket().onclose?.()
    vi.advanceTimersByTime(1_000)
    socket().hear(hello(9))
    expect(states).toEqual(['connecting', 'live', 'retrying'])
    socket().hear({ kind: 'facts', from: 8, to: 9, facts: [] })
    expect(states).toEqual(['connecting', 'live', 'retrying', 'live'])
    socket().hear({ kind: 'beat', seq: 12, realAtMs: 0 })
    expect(states.at(-1)).toBe('live')
  })

  it('is not live on the log of another service, asks for all of it, and is live once that is read', () => {
    socket().hear(beat)
    socket().onclose?.()
    vi.advanceTimersByTime(1_000)
    foreign = true
    socket().hear(hello(6))
    socket().hear(beat)
    expect(states).toEqual(['connecting', 'live', 'retrying'])
    socket().onclose?.()
    vi.advanceTimersByTime(2_000)
    expect(socket().address.searchParams.get('after')).toBe('0')
    socket().hear(hello(6, 0))
    expect(states.at(-1)).toBe('retrying')
    foreign = false
    folded = 6
    socket().hear(beat)
    expect(states.at(-1)).toBe('live')
  })

  it('that never heard anything is lost within five seconds, however often it is tried, and live when it hears', () => {
    socket().onclose?.()
    expect(states).toEqual(['connecting'])
    vi.advanceTimersByTime(SILENCE_MS)
    expect(states.at(-1)).toBe('retrying')
    vi.advanceTimersByTime(20_000)
    expect(states).toEqual(['connecting', 'retrying'])
    for (const tries = FakeSocket.opened.length; FakeSocket.opened.length === tries;) vi.advanceTimersByTime(100)
    socket().hear(hello(7))
    expect(states.at(-1)).toBe('live')
  })

  it('opens after the first load, and is lost and opens all the same where that takes too long', async () => {
    end()
    const load = (ready: Promise<unknown>) => {
      FakeSocket.opened = []
      states = []
      end = openStream({
        ...{ as: 'link-1', eventId: 'basin', seq: () => folded, ready },
        onFrame: () => undefined,
        onState: (state) => states.push(state)
      })
    }
    load(Promise.resolve())
    expect(FakeSocket.opened).toHaveLength(0)
    await vi.advanceTimersByTimeAsync(1)
    expect(FakeSocket.opened).toHaveLength(1)
    end()
    load(new Promise(() => undefined))
    await vi.advanceTimersByTimeAsync(SILENCE_MS)
    expect(states.at(-1)).toBe('retrying')
    expect(FakeSocket.opened).toHaveLength(1)
  })

  it('hands on the search for a better order', () => {
    const search = {
      searchId: 's-1',
      by: 'link-1',
      kind: 'proof' as const,
      startedAtMs: 0,
      basedOnSeq: 7,
      status: 'running' as const,
      proposal: null,
      judgedAtSeq: 7,
      proof: null
    }
    socket().hear({ kind: 'search', search })
    socket().hear(beat)
    socket().hear({ kind: 'search', search: { ...search, status: 'done' } })
    expect(searches).toEqual(['running', 'done'])
    expect(frames).toEqual(['search', 'beat', 'search'])
  })

  it('stays live as long as beats come', () => {
    for (let beats = 0; beats < 20; beats += 1) {
      socket().hear(beat)
      vi.advanceTimersByTime(BEAT_MS)
    }
    expect(states).toEqual(['connecting', 'live'])
    expect(FakeSocket.opened).toHaveLength(1)
  })

  it('is silent within five seconds of the last frame, and live again when the same socket speaks', () => {
    socket().hear(beat)
    vi.advanceTimersByTime(SILENCE_MS)
    expect(states.at(-1)).toBe('silent')
    socket().hear(beat)
    expect(states.at(-1)).toBe('live')
    expect(FakeSocket.opened).toHaveLength(1)
  })

  it('opens anew when silence lasts', () => {
    socket().hear(beat)
    const first = socket()
    vi.advanceTimersByTime(5 * SILENCE_MS)
    expect(first.closed).toBe(true)
    expect(FakeSocket.opened.length).toBeGreaterThan(1)
    expect(states.at(-1)).toBe('retrying')
  })

  it('says so when it is closed, and comes back', () => {
    socket().hear(beat)
    socket().onclose?.()
    expect(states.at(-1)).toBe('retrying')
    vi.advanceTimersByTime(1_000)
    expect(FakeSocket.opened).toHaveLength(2)
    socket().hear(beat)
    expect(states.at(-1)).toBe('live')
  })

  it('waits longer each time, within two seconds while a service may be starting anew, and never longer than ten', () => {
    const waitsMs: number[] = []
    for (let tries = 0; tries < 30; tries += 1) {
      const before = FakeSocket.opened.length
      socket().onclose?.()
      let waitedMs = 0
      while (FakeSocket.opened.length === before) {
        vi.advanceTimersByTime(100)
        waitedMs += 100
      }
      waitsMs.push(waitedMs)
    }
    expect(waitsMs[0]).toBeLessThanOrEqual(400)
    expect(waitsMs.at(-1)).toBeGreaterThanOrEqual(5_000)
    expect(Math.max(...waitsMs)).toBeLessThanOrEqual(10_000)
    // Twenty seconds are ten waits of two seconds at least.
    expect(Math.max(...waitsMs.slice(0, 10))).toBeLessThanOrEqual(2_000)
  })

  it('tries no more once it is told that its link has ended, and says so', () => {
    socket().hear(beat)
    const last = socket()
    last.hear({ kind: 'problem', code: 'no-membership' })
    expect(states).toEqual(['connecting', 'live', 'ended'])
    expect(last.closed).toBe(true)
    last.onclose?.()
    vi.advanceTimersByTime(120_000)
    expect(states.at(-1)).toBe('ended')
    expect(FakeSocket.opened).toHaveLength(1)
  })

  it('asks whether its link has ended when a socket is refused, and goes on while that is not said', async () => {
    socket().hear(beat)
    socket().onclose?.()
    expect(looks).toBe(0)
    // Refused while no answer comes, and while the link is good.
    for (const answer of [undefined, false] as const) {
      ended = answer
      const before = FakeSocket.opened.length
      while (FakeSocket.opened.length === before) await vi.advanceTimersByTimeAsync(100)
      socket().onclose?.()
      await vi.advanceTimersByTimeAsync(1)
      expect(states.at(-1)).toBe('retrying')
    }
    expect(looks).toBe(2)
    ended = true
    const before = FakeSocket.opened.length
    while (FakeSocket.opened.length === before) await vi.advanceTimersByTimeAsync(100)
    socket().onclose?.()
    await vi.advanceTimersByTimeAsync(120_000)
    expect(states).toEqual(['connecting', 'live', 'retrying', 'ended'])
    expect(FakeSocket.opened).toHaveLength(before + 1)
  })

  it('opens nothing more once it is ended', () => {
    end()
    socket().onclose?.()
    vi.advanceTimersByTime(60_000)
    expect(FakeSocket.opened).toHaveLength(1)
  })
})
