import { extname } from 'node:path'
import { Worker } from 'node:worker_threads'
import type { Fault } from '../../shared/contracts/problem.ts'
import type { PlanBody } from './reading.ts'

/** `order`: the view of an `orderBody`. The others: the body of that route, read and checked. */
export interface Asked {
  what: 'order' | PlanBody
  text: string
}

/** What a document came to, as JSON, or why it came to nothing. */
export type Computed = { json: string } | { code: 'plan-refused' | 'bad-request' | 'not-json'; details: Refused }
export interface Refused {
  detail?: string
  errors?: Fault[]
  errorCount?: number
}

/** The thread says once that it is there, then what each document came to. */
export type FromComputing = 'ready' | Computed

/** Why nothing was computed: the queue is full, or it took too long. */
export class TooBusy extends Error {}

interface Job {
  asked: Asked
  by: string
  done: (computed: Computed) => void
  fail: (error: Error) => void
}

interface ComputerParts {
  /** Told of every fault of the thread. */
  onFault: (error: Error) => void
  /** What the thread runs; left out, the computing thread. */
  entry?: URL | undefined
  /** Longest time of one computation, ms. */
  limitMs?: number | undefined
}

/** Two hundred ships take under a second on a machine with nothing else to do. */
const LIMIT_MS = 10_000
/** Waiting at most, in all and from one address. */
const MOST_WAITING = 32
const MOST_FROM_ONE = 8
const HEAP_MIB = 256

/**
 * Reads and computes whole plans on a thread of its own, one after the other: a plan of two hundred ships, or four
 * megabytes that are none, take as long as thousands of calls, and calls must not wait for it.
 */
export class Computer {
  readonly #parts: ComputerParts
  readonly #queue: Job[] = []
  #running: (Job & { alarm: NodeJS.Timeout }) | undefined
  #worker: Worker | undefined
  #isReady = false

  constructor(parts: ComputerParts) {
    this.#parts = parts
  }

  /**
   * What a text comes to; `by` is the address or the link it comes from.
   * @throws TooBusy when too much waits already, or it took too long
   */
  ask(asked: Asked, by: string): Promise<Computed> {
    const fromOne = this.#queue.filter((job) => job.by === by).length
    if (this.#queue.length >= MOST_WAITING || fromOne >= MOST_FROM_ONE) return Promise.reject(new TooBusy())
    return new Promise((done, fail) => {
      this.#queue.push({ asked, by, done, fail })
      this.#next()
    })
  }

  async close(): Promise<void> {
    for (const { fail } of this.#queue.splice(0)) fail(new TooBusy())
    await this.#worker?.terminate()
  }

  #next(): void {
    if (this.#running || this.#queue.length === 0) return
    const worker = (this.#worker ??= this.#start())
    // Its start is not the first one's time.
    const job = this.#isReady ? this.#queue.shift() : undefined
    if (!job) return
    const alarm = setTimeout(() => {
      this.#lose(worker, new TooBusy())
      void worker.terminate()
    }, this.#parts.limitMs ?? LIMIT_MS).unref()
    this.#running = { ...job, alarm }
    worker.postMessage(job.asked)
  }

  #start(): Worker {
    const worker = new Worker(this.#parts.entry ?? entryHere(), {
      workerData: { module: 'computing' },
      resourceLimits: { maxOldGenerationSizeMb: HEAP_MIB }
    })
    worker.unref()
    worker.on('message', (said: FromComputing) => {
      if (said === 'ready') this.#isReady = true
      else this.#settle()?.done(said)
      this.#next()
    })
    worker.on('error', (error) => {
      this.#parts.onFault(error)
      this.#lose(worker, error)
    })
    worker.on('exit', () => {
      this.#lose(worker, new Error('the computing thread has ended'))
    })
    return worker
  }

  #settle(): Job | undefined {
    const job = this.#running
    clearTimeout(job?.alarm)
    this.#running = undefined
    return job
  }

  /** The thread is gone, with what it worked on; the next one gets a new thread. */
  #lose(worker: Worker, error: Error): void {
    if (this.#worker !== worker) return
    // One that never came up would never do so: whoever waits for it is told.
    const job = this.#settle() ?? (this.#isReady ? undefined : this.#queue.shift())
    this.#worker = undefined
    this.#isReady = false
    job?.fail(error)
    this.#next()
  }
}

/** Beside this file, or beside the folder of the one file that is made of all: built, or from the sources by way of a loader. */
function entryHere(): URL {
  return new URL(extname(import.meta.url) === '.ts' ? './source.mjs' : '../work/computing.js', import.meta.url)
}
