import { isIP } from 'node:net'
import { RATES, type Rate, type RateName } from '../shared/contracts/bounds.ts'
import type { RouteName } from '../shared/contracts/routes.ts'
import { Problem } from './problem.ts'
import { Sockets, type MostSockets } from './sockets.ts'
import { Unread, type MostUnread } from './unread.ts'

/** Which budget a call of a route is taken from. */
const RATE_OF: Record<RouteName, RateName> = {
  health: 'open',
  ready: 'open',
  metrics: 'read',
  openapi: 'open',
  computeOnLoad: 'compute',
  computeOrder: 'compute',
  signIn: 'open',
  membership: 'open',
  signOut: 'open',
  createPlan: 'plan',
  listPlans: 'read',
  readPlan: 'read',
  listRevisions: 'read',
  readRevision: 'read',
  savePlan: 'plan',
  importPlan: 'plan',
  exportPlan: 'read',
  publishPlan: 'plan',
  readState: 'read',
  readLog: 'read',
  record: 'record',
  takeReadings: 'record',
  startSearch: 'plan',
  readSearch: 'read',
  stopSearch: 'plan',
  stream: 'read',
  listMembers: 'read',
  listLinks: 'read',
  createLink: 'links',
  renewLink: 'links',
  revokeLink: 'links'
}

/** Keys a budget remembers at most; beyond them the longest known is forgotten. */
const MOST_KEYS = 10_000
const MS_PER_S = 1000

/**
 * A budget for each key: a burst, filled again at a steady rate. Kept as the one instant at which the budget is whole
 * again, so that an unused key costs nothing.
 */
export class Budget {
  readonly #stepMs: number
  readonly #burstMs: number
  readonly #wholeAtMs = new Map<string, number>()

  constructor({ burstCount, perS }: Rate) {
    this.#stepMs = MS_PER_S / perS
    this.#burstMs = burstCount * this.#stepMs
  }

  /** How long until so many are left, ms; 0 when they are. No more than the burst ever are. */
  waitMs(key: string, nowMs: number, count = 1): number {
    const wholeAtMs = Math.max(nowMs, this.#wholeAtMs.get(key) ?? nowMs)
    // What is owed first: an instant is large, and the rounding of its sum would ask a rested key to wait.
    return Math.max(0, wholeAtMs - nowMs + (count * this.#stepMs - this.#burstMs))
  }

  /** Takes so many, whether or not they are left: never more is owed than the whole budget. */
  take(key: string, nowMs: number, count = 1): void {
    const wholeAtMs = Math.max(nowMs, this.#wholeAtMs.get(key) ?? nowMs)
    this.#wholeAtMs.delete(key)
    this.#wholeAtMs.set(key, Math.min(wholeAtMs + count * this.#stepMs, nowMs + this.#burstMs))
    if (this.#wholeAtMs.size > MOST_KEYS) this.#forget(nowMs)
  }

  get size(): number {
    return this.#wholeAtMs.size
  }

  #forget(nowMs: number): void {
    for (const [key, wholeAtMs] of this.#wholeAtMs) if (wholeAtMs <= nowMs) this.#wholeAtMs.delete(key)
    for (const key of this.#wholeAtMs.keys()) {
      if (this.#wholeAtMs.size <= MOST_KEYS) return
      this.#wholeAtMs.delete(key)
    }
  }
}

/**
 * What one link and one address may ask in a time. A link has its own budgets, wherever it is used from; who shows none
 * is known by the address. A right secret is let through whatever others behind the same address guess; wrong ones are
 * refused as such up to a rate, and beyond it with the time to wait.
 */
export class Limits {
  readonly sockets: Sockets
  readonly unread: Unread
  readonly #nowMs: () => number
  readonly #budgets: Readonly<Record<RateName, Budget>>

  constructor(
    nowMs: () => number,
    { mostSockets, mostUnread }: { mostSockets?: MostSockets | undefined; mostUnread?: MostUnread | undefined } = {}
  ) {
    this.sockets = new Sockets(mostSockets)
    this.unread = new Unread(mostUnread)
    this.#nowMs = nowMs
    this.#budgets = {
      open: new Budget(RATES.open),
      compute: new Budget(RATES.compute),
      read: new Budget(RATES.read),
      record: new Budget(RATES.record),
      reading: new Budget(RATES.reading),
      plan: new Budget(RATES.plan),
      links: new Budget(RATES.links),
      wrongSecret: new Budget(RATES.wrongSecret)
    }
  }

  /** @throws Problem `too-many-requests` */
  call(name: RouteName, key: string): void {
    this.spend(RATE_OF[name], key)
  }

  /** @throws Problem `too-many-requests` */
  spend(rate: RateName, key: string, count = 1): void {
    const nowMs = this.#nowMs()
    const waitMs = this.#budgets[rate].waitMs(key, nowMs, count)
    if (waitMs > 0) throw tooMany(waitMs)
    this.#budgets[rate].take(key, nowMs, count)
  }

  /**
   * After a secret was looked up and opened nothing.
   * @throws Problem `too-many-requests` to an address that showed too many
   */
  wrongSecret(address: string): void {
    this.spend('wrongSecret', address)
  }

  /**
   * After it was found to be of a link that has ended.
   * @throws Problem `too-many-requests` from an address that asks with such more often than anyone may ask without
   */
  endedSecret(address: string): void {
    this.spend('open', address)
  }
}

const tooMany = (waitMs: number): Problem => new Problem('too-many-requests', {}, Math.ceil(waitMs / MS_PER_S))

interface Caller {
  readonly ip: string
  readonly socket?: { readonly remoteAddress?: string | undefined }
}

/**
 * Whom a request without a link comes from: an IPv4 address, or the half of an IPv6 address that names a network, since
 * one machine has the whole other half to choose from.
 */
export function addressOf(caller: Caller): string {
  // A handshake that is injected has no socket, and no address to ask for.
  if (caller.socket === undefined) return ''
  // What a proxy passed on may be anything.
  const address = isIP(caller.ip) > 0 ? caller.ip : (caller.socket.remoteAddress ?? '')
  const mapped = /^::ffff:(\d+\.\d+\.\d+\.\d+)$/i.exec(address)?.[1]
  if (mapped !== undefined) return mapped
  return isIP(address) === 6 ? networkOf(address) : address
}

/** The first four of the eight groups. */
function networkOf(address: string): string {
  const [head = '', tail] = address.split('%', 1)[0]?.split('::') ?? []
  const groupsOf = (text: string | undefined) => (text === undefined || text === '' ? [] : text.split(':'))
  const [first, last] = [groupsOf(head), groupsOf(tail)]
  const zeros = tail === undefined ? 0 : 8 - first.length - last.length
  const groups = [...first, ...Array.from({ length: Math.max(0, zeros) }, () => '0'), ...last]
  return groups
    .slice(0, 4)
    .map((group) => Number.parseInt(group, 16).toString(16))
    .join(':')
}
