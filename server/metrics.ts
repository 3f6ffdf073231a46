import { monitorEventLoopDelay } from 'node:perf_hooks'
import type { FastifyInstance } from 'fastify'
import type { Rooms } from './live/rooms.ts'
import type { Store } from './store/store.ts'

/** Upper bounds of the times of answers, s. */
const BUCKETS_S = [0.005, 0.02, 0.1, 0.5, 2, 10]
const NS_PER_S = 1e9

interface Times {
  counts: number[]
  sumS: number
  count: number
}

interface Sources {
  store: Pick<Store, 'trouble'>
  rooms: Rooms
  version: string
}

type Sample = [labels: Readonly<Record<string, string>>, value: number]

/**
 * Figures of the running service in the Prometheus text format 0.0.4: what it answers, what it carries, how it fares.
 * Labels are routes of the table and the statuses they answer, so their number is bounded.
 */
export class Metrics {
  readonly #sources: Sources
  readonly #answers = new Map<string, number>()
  readonly #times = new Map<string, Times>()
  readonly #delay = monitorEventLoopDelay({ resolution: 20 })

  constructor(sources: Sources) {
    this.#sources = sources
    this.#delay.enable()
  }

  stop(): void {
    this.#delay.disable()
  }

  /** Counts an answer; sockets count when they are opened. */
  answered({ route, status, tookMs }: { route: string; status: number; tookMs: number }): void {
    const key = `${route} ${String(status)}`
    this.#answers.set(key, (this.#answers.get(key) ?? 0) + 1)
    const times = this.#timesOf(route)
    const tookS = tookMs / 1000
    for (let index = BUCKETS_S.length - 1; tookS <= (BUCKETS_S[index] ?? -1); index -= 1) {
      times.counts[index] = (times.counts[index] ?? 0) + 1
    }
    times.sumS += tookS
    times.count += 1
  }

  #timesOf(route: string): Times {
    const times = this.#times.get(route) ?? { counts: BUCKETS_S.map(() => 0), sumS: 0, count: 0 }
    this.#times.set(route, times)
    return times
  }

  text(): string {
    const { store, rooms, version } = this.#sources
    const open = rooms.open
    const sum = (of: (room: (typeof open)[number]) => number) => open.reduce((total, room) => total + of(room), 0)
    const cpu = process.cpuUsage()
    const lagS = this.#delay.percentile(99) / NS_PER_S
    this.#delay.reset()
    return [
      family('ullage_info', 'gauge', 'The version that runs.', [[{ version }, 1]]),
      family('ullage_rooms', 'gauge', 'Events in memory.', [[{}, open.length]]),
      family('ullage_boards', 'gauge', 'Open boards.', [[{}, sum(({ stream }) => stream.size)]]),
      family('ullage_facts', 'gauge', 'Facts of the events in memory.', [[{}, sum(({ seq }) => seq)]]),
      family('ullage_facts_recorded_total', 'counter', 'Facts recorded since the start.', [[{}, rooms.recorded.facts]]),
      family('ullage_commits_total', 'counter', 'Commits since the start.', [[{}, rooms.recorded.commits]]),
      family('ullage_commit_seconds_total', 'counter', 'Time spent in commits.', [[{}, rooms.recorded.tookMs / 1000]]),
      family(
        'ullage_store_trouble',
        'gauge',
        '1 while nothing can be recorded for that reason.',
        (['store-full', 'store-broken'] as const).map((kind) => [{ kind }, store.trouble === kind ? 1 : 0])
      ),
      family('ullage_answers_total', 'counter', 'Answers by route and status.', this.#answerSamples()),
      this.#histogram(),
      family('process_resident_memory_bytes', 'gauge', 'Resident memory.', [[{}, process.memoryUsage.rss()]]),
      family('process_cpu_seconds_total', 'counter', 'Processor time, user and system.', [
        [{}, (cpu.user + cpu.system) / 1e6]
      ]),
      family('nodejs_eventloop_lag_p99_seconds', 'gauge', '99th percentile since it was last asked for.', [
        [{}, Number.isFinite(lagS) ? lagS : 0]
      ])
    ].join('')
  }

  #answerSamples(): Sample[] {
    return [...this.#answers].map(([key, count]) => {
      const [route = '', status = ''] = key.split(' ')
      return [{ route, status }, count]
    })
  }

  #histogram(): string {
    const name = 'ullage_answer_seconds'
    const lines = [...this.#times].flatMap(([route, { counts, sumS, count }]) => [
      ...BUCKETS_S.map((boundS, index) => sample(`${name}_bucket`, { route, le: String(boundS) }, counts[index] ?? 0)),
      sample(`${name}_bucket`, { route, le: '+Inf' }, count),
      sample(`${name}_sum`, { route }, sumS),
      sample(`${name}_count`, { route }, count)
    ])
    return `# HELP ${name} Time from a request to its answer.\n# TYPE ${name} histogram\n${lines.join('')}`
  }
}

const family = (name: string, type: 'gauge' | 'counter', help: string, samples: Sample[]): string =>
  `# HELP ${name} ${help}\n# TYPE ${name} ${type}\n${samples.map(([labels, value]) => sample(name, labels, value)).join('')}`

function sample(name: string, labels: Readonly<Record<string, string>>, value: number): string {
  const pairs = Object.entries(labels).map(([key, text]) => `${key}="${text.replace(/[\\"\n]/g, ' ')}"`)
  return `${name}${pairs.length > 0 ? `{${pairs.join(',')}}` : ''} ${String(value)}\n`
}

/** Every answer is counted; the log has a line for each where it is asked to, and always where it could not be given. */
export function registerWatching(app: FastifyInstance, metrics: Metrics): void {
  app.addHook('onResponse', (request, reply, done) => {
    const route = request.routeName ?? 'page'
    const { statusCode: status, elapsedTime: tookMs } = reply
    metrics.answered({ route, status, tookMs })
    // No address, header, body or query: what is secret stands in one of them.
    const line = {
      route,
      method: request.method,
      status,
      tookMs: Math.round(tookMs * 10) / 10,
      link: request.link?.linkId
    }
    if (status >= 500) request.log.warn(line, 'answered')
    else request.log.info(line, 'answered')
    done()
  })
  app.addHook('onClose', () => {
    metrics.stop()
  })
}
