import { extname } from 'node:path'
import { Worker } from 'node:worker_threads'
import type { SearchFault } from '../../shared/contracts/stream.ts'
import type { Facts, FromThread, Told, ToThread, Wanted } from './messages.ts'

/** One search as the pool needs it. What it is told it is told in this order, the end once. */
export interface Job {
  readonly eventId: string
  readonly wanted: Wanted
  /** The log after a sequence number as a JSON list, the number of its last fact, and event time now. */
  log(after: number): { facts: string; seq: number; atMs: number }
  /** A thread has it, and knows the log up to a fact. */
  begun(seq: number): void
  better(told: Told): void
  ended(end: End): void
}

export interface End {
  readonly status: 'done' | 'stopped' | 'broken'
  /** The best it found, judged on all that is known; left out, what it told last stands. */
  readonly told?: Told
  /** What it proved, as JSON. */
  readonly proof?: string
  readonly why?: SearchFault
}

export interface PoolParts {
  /** Threads at most; one is started when there is work for it. */
  threads: number
  /** Longest time of one search, ms. */
  limitMs: number
  /** What a thread runs; left out, the searching thread. */
  entry?: URL | undefined
  /** Told of every fault of a thread. */
  onFault?: ((error: Error) => void) | undefined
}

interface Thread {
  readonly worker: Worker
  /** The last fact it has folded, by event, longest unused first. */
  readonly held: Map<string, number>
  running: Running | undefined
}

/** A job in its turn; one that broke has a second turn, in which the best it found is judged again. */
interface Turn {
  readonly job: Job
  readonly broken: { readonly why: SearchFault; readonly best: Told } | undefined
}

interface Running extends Turn {
  readonly stop: Int32Array<SharedArrayBuffer>
  best: Told | undefined
  /** How it ends once what it found is judged again. */
  end: End | undefined
  alarm: NodeJS.Timeout
  why: SearchFault | undefined
}

/** Events a thread keeps folded. */
const HELD_MOST = 8
/** A search looks many times a second whether it is to stop; one that has not after this is stuck. */
const STOPS_WITHIN_MS = 5_000
/** Memory of one thread, MiB: a search that needs more is at fault, and takes nobody with it. */
const HEAP_MIB = 768

/**
 * The threads that search, so that no search delays a call. First come, first served, one search to a thread; a thread
 * that dies takes its search with it and nothing else, and another one takes its place.
 */
export class Pool {
  readonly #parts: PoolParts
  readonly #threads = new Set<Thread>()
  readonly #queue: Turn[] = []
  #closed = false

  constructor(parts: PoolParts) {
    this.#parts = parts
  }

  /** Queues a search. */
  add(job: Job): void {
    if (this.#closed) {
      job.ended({ status: 'stopped' })
      return
    }
    this.#queue.push({ job, broken: undefined })
    this.#next()
  }

  /** Ends a search; what it found comes with its end. */
  stop(job: Job): void {
    const place = this.#queue.findIndex((turn) => turn.job === job && turn.broken === undefined)
    if (place >= 0) {
      this.#queue.splice(place, 1)
      job.ended({ status: 'stopped' })
      return
    }
    for (const thread of this.#threads) {
      const { running } = thread
      if (running?.job !== job || Atomics.exchange(running.stop, 0, 1) === 1) continue
      clearTimeout(running.alarm)
      running.alarm = this.#alarm(thread, Math.min(STOPS_WITHIN_MS, this.#parts.limitMs))
    }
  }

  /** The thread that has an event's search. */
  threadOf(eventId: string): Worker | undefined {
    return [...this.#threads].find(({ running }) => running?.job.eventId === eventId)?.worker
  }

  /** Ends every search and every thread. */
  async close(): Promise<void> {
    this.#closed = true
    for (const { job } of this.#queue.splice(0)) job.ended({ status: 'stopped' })
    await Promise.all([...this.#threads].map(({ worker }) => worker.terminate()))
  }

  #next(): void {
    while (this.#queue.length > 0) {
      const thread = this.#free()
      const turn = thread && this.#queue.shift()
      if (!turn) return
      this.#begin(thread, turn)
    }
  }

  /** A thread with nothing to do, before all one that knows the event. */
  #free(): Thread | undefined {
    const eventId = this.#queue[0]?.job.eventId ?? ''
    const idle = [...this.#threads].filter(({ running }) => running === undefined)
    const known = idle.find(({ held }) => held.has(eventId)) ?? idle[0]
    return known ?? this.#start()
  }

  /** Another thread, unless there are enough. */
  #start(): Thread | undefined {
    const { entry = entryHere(), threads, onFault } = this.#parts
    if (this.#threads.size >= threads) return undefined
    const worker = new Worker(entry, { resourceLimits: { maxOldGenerationSizeMb: HEAP_MIB } })
    const thread: Thread = { worker, held: new Map(), running: undefined }
    this.#threads.add(thread)
    // A search holds up no stop of the service.
    worker.unref()
    worker.on('message', (said: FromThread) => {
      this.#hear(thread, said)
    })
    worker.on('error', (error) => {
      if (thread.running) thread.running.why ??= 'fault'
      this.#threads.delete(thread)
      onFault?.(error)
    })
    worker.on('exit', () => {
      this.#threads.delete(thread)
      if (thread.running) this.#lost(thread, thread.running)
    })
    return thread
  }

  #begin(thread: Thread, { job, broken }: Turn): void {
    const stop = new Int32Array(new SharedArrayBuffer(Int32Array.BYTES_PER_ELEMENT))
    const alarm = this.#alarm(thread, this.#parts.limitMs)
    const running: Running = { job, broken, stop, best: undefined, end: undefined, alarm, why: undefined }
    thread.running = running
    const { seq, ...facts } = this.#later(thread, job)
    if (broken) {
      running.end = { status: 'broken', why: broken.why }
      say(thread, { kind: 'again', proposal: broken.best.proposal, ...facts })
      return
    }
    say(thread, { kind: 'search', wanted: job.wanted, stop: stop.buffer, ...facts })
    job.begun(seq)
  }

  /** What the thread does not know of the event yet, and which others it need not know any longer. */
  #later({ held }: Thread, job: Job): Facts & { seq: number } {
    const { eventId } = job
    const log = job.log(held.get(eventId) ?? 0)
    held.delete(eventId)
    held.set(eventId, log.seq)
    const forget = [...held.keys()].slice(0, -HELD_MOST)
    for (const other of forget) held.delete(other)
    return { eventId, ...log, forget }
  }

  #hear(thread: Thread, said: FromThread): void {
    const { running } = thread
    if (!running) return
    const { job } = running
    const told = { proposal: said.proposal, seq: said.seq }
    switch (said.kind) {
      case 'better':
        running.best = told
        job.better(told)
        return
      case 'found': {
        const end: End = { status: said.stopped ? 'stopped' : 'done', told, proof: said.proof }
        const { seq, ...facts } = this.#later(thread, job)
        if (seq === said.seq) this.#end(thread, end)
        else {
          running.best = told
          running.end = end
          say(thread, { kind: 'again', proposal: said.proposal, ...facts })
        }
        return
      }
      case 'judged':
        if (running.end) this.#end(thread, { ...running.end, told })
    }
  }

  #end(thread: Thread, end: End): void {
    const { running } = thread
    thread.running = undefined
    clearTimeout(running?.alarm)
    running?.job.ended(end)
    this.#next()
  }

  /** Its thread is gone. What it found is judged again on what has come since, by the thread that takes its place. */
  #lost(thread: Thread, { job, best, broken, why = 'ended' }: Running): void {
    const isBehind = best !== undefined && job.log(best.seq).seq > best.seq
    if (this.#closed) this.#end(thread, { status: 'stopped' })
    else if (!isBehind || broken) this.#end(thread, { status: 'broken', why: broken?.why ?? why })
    else {
      clearTimeout(thread.running?.alarm)
      thread.running = undefined
      this.#queue.unshift({ job, broken: { why, best } })
    }
    if (this.#closed) return
    this.#next()
    // Ready for whoever comes next.
    this.#start()
  }

  #alarm(thread: Thread, afterMs: number): NodeJS.Timeout {
    return setTimeout(() => {
      if (thread.running) thread.running.why = 'too long'
      // It gets no other search while it dies.
      this.#threads.delete(thread)
      void thread.worker.terminate()
    }, afterMs).unref()
  }
}

const say = ({ worker }: Thread, message: ToThread): void => {
  worker.postMessage(message)
}

/** Beside this file, or beside the folder of the one file that is made of all: built, or from the sources by way of a loader. */
function entryHere(): URL {
  return new URL(extname(import.meta.url) === '.ts' ? './source.mjs' : '../work/thread.js', import.meta.url)
}
