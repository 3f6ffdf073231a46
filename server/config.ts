import { isIP } from 'node:net'
import { availableParallelism } from 'node:os'
import { resolve } from 'node:path'

export interface Config {
  port: number
  host: string
  dataDir: string
  /** Origin under which people reach the service; undefined: whatever host they typed. */
  publicUrl: string | undefined
  /** Whether an empty data folder is filled with the demonstration event. */
  demo: boolean
  /** Threads that look for better orders, at most. */
  searchThreads: number
  /** Longest time of one search, s. */
  searchLimitS: number
  /** Days after which an event in which nothing happens is deleted; undefined: none ever is. */
  keepDays: number | undefined
  logLevel: LogLevel
  /** Whether links and addresses are held to their rates. */
  isLimited: boolean
  /** Proxies whose word for the address of a caller is taken. */
  trustedProxies: readonly string[]
}

const LOG_LEVELS = ['error', 'warn', 'info'] as const
type LogLevel = (typeof LOG_LEVELS)[number]

/** One core is for calls. */
const threadsHere = (): number => Math.min(2, Math.max(1, availableParallelism() - 1))

/** Every fault of the settings at once, a line each. */
export class ConfigFaults extends Error {
  constructor(readonly lines: readonly string[]) {
    super(lines.join('\n'))
  }
}

type Environment = Readonly<Record<string, string | undefined>>
/** Gives the setting's value, or says what is wrong with it. */
type Reading<T> = { value: T } | { fault: string }

/**
 * The settings of the service; an empty variable counts as one that is not set.
 * @throws ConfigFaults naming each variable, what stood there, and what it may be
 */
export function readConfig(environment: Environment = process.env): Config {
  const faults: string[] = []
  const read = <T>(name: string, unset: T, reading: (text: string) => Reading<T>): T => {
    const text = environment[name]?.trim() ?? ''
    if (text === '') return unset
    const found = reading(text)
    if ('value' in found) return found.value
    faults.push(`${name} is ${JSON.stringify(text)}: ${found.fault}`)
    return unset
  }
  const config = {
    port: read('PORT', 8080, readPort),
    host: read('HOST', '127.0.0.1', readHost),
    dataDir: resolve(read('DATA_DIR', 'data', (text) => ({ value: text }))),
    publicUrl: read<string | undefined>('PUBLIC_URL', undefined, readOrigin),
    demo: read('DEMO', true, readSwitch),
    searchThreads: read('SEARCH_THREADS', threadsHere(), readThreads),
    searchLimitS: read('SEARCH_LIMIT_S', 120, readLimit),
    keepDays: read<number | undefined>('KEEP_DAYS', undefined, readDays),
    logLevel: read<LogLevel>('LOG_LEVEL', 'warn', readLevel),
    isLimited: read('RATE_LIMITS', true, readSwitch),
    trustedProxies: read<readonly string[]>('TRUSTED_PROXIES', ['loopback'], readProxies)
  }
  if (faults.length > 0) throw new ConfigFaults(faults)
  return config
}

function readPort(text: string): Reading<number> {
  const port = Number(text)
  if (/^\d{1,5}$/.test(text) && port <= 65_535) return { value: port }
  return { fault: 'a port number from 0 to 65535 (0: any free port)' }
}

function readHost(text: string): Reading<string> {
  if (/^[A-Za-z0-9.:_-]+$/.test(text)) return { value: text }
  return { fault: 'an address or host name to listen on, without port or path' }
}

function readOrigin(text: string): Reading<string> {
  const fault = { fault: 'an address like https://ullage.example.org, without path, query or name' }
  const url = URL.canParse(text) ? new URL(text) : undefined
  if (url === undefined || !['http:', 'https:'].includes(url.protocol)) return fault
  const bare = url.pathname === '/' && url.search === '' && url.hash === '' && url.username === ''
  return bare ? { value: url.origin } : fault
}

function readSwitch(text: string): Reading<boolean> {
  if (['on', 'true', '1', 'yes'].includes(text.toLowerCase())) return { value: true }
  if (['off', 'false', '0', 'no'].includes(text.toLowerCase())) return { value: false }
  return { fault: 'on or off' }
}

function readThreads(text: string): Reading<number> {
  if (text === 'auto') return { value: threadsHere() }
  const threads = Number(text)
  return /^\d+$/.test(text) && threads >= 1 && threads <= 16
    ? { value: threads }
    : { fault: 'auto, or 1 to 16 threads' }
}

function readDays(text: string): Reading<number | undefined> {
  if (text === 'all') return { value: undefined }
  const days = Number(text)
  return /^\d+$/.test(text) && days >= 1 && days <= 36_500 ? { value: days } : { fault: 'all, or 1 to 36500 days' }
}

/** Sets of addresses that have names, in the words of the framework. */
const ADDRESS_SETS = ['loopback', 'linklocal', 'uniquelocal']

function readProxies(text: string): Reading<readonly string[]> {
  if (text === 'none') return { value: [] }
  const proxies = text.split(',').map((proxy) => proxy.trim())
  if (proxies.every((proxy) => ADDRESS_SETS.includes(proxy) || isNetwork(proxy))) return { value: proxies }
  return {
    fault: `none, or addresses and networks like 10.0.0.0/8, or ${ADDRESS_SETS.join(', ')}, with commas between`
  }
}

function isNetwork(text: string): boolean {
  const [address = '', bits, ...more] = text.split('/')
  const most = { 0: -1, 4: 32, 6: 128 }[isIP(address)] ?? -1
  return most > 0 && more.length === 0 && (bits === undefined || (/^\d{1,3}$/.test(bits) && Number(bits) <= most))
}

function readLevel(text: string): Reading<LogLevel> {
  const level = LOG_LEVELS.find((name) => name === text)
  return level === undefined ? { fault: LOG_LEVELS.join(', ') } : { value: level }
}

function readLimit(text: string): Reading<number> {
  const limitS = Number(text)
  return /^\d+$/.test(text) && limitS >= 1 && limitS <= 3600 ? { value: limitS } : { fault: '1 to 3600 seconds' }
}
