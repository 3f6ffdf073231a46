/*
 * So many pages of one event in a process of their own, each with the page's own stream, which comes back by itself. Of
 * each the instant is noted at which it had the fact that was asked for, and how long it was live behind the service.
 */
import { WebSocket } from 'ws'
import { openStream } from '../../client/stream.ts'
import type { FrameOut } from '../../shared/contracts/stream.ts'

export interface PagesOpening {
  origin: string
  headers: Record<string, string>
  eventId: string
  linkId: string
  count: number
}
export type ToPages = { kind: 'open'; opening: PagesOpening } | { kind: 'until'; seq: number }

/** All pages have the fact: when each had it, on the machine's steady clock, and how long each was live without, ms. */
export interface FromPages {
  kind: 'have'
  atNs: string[]
  behindMs: number[]
}

interface Page {
  seq: number
  isLive: boolean
  /** The last fact there was when its socket opened. */
  missedTo: number
  /** Since when it says that it is live without having that. */
  behindSinceNs: bigint | undefined
  behindMs: number
  wantedAtNs: bigint | undefined
}

const NS_PER_MS = 1e6
const pages: Page[] = []
let wanted = Infinity

process.on('message', (message: ToPages) => {
  if (message.kind === 'open') open(message.opening)
  else {
    wanted = message.seq
    for (const page of pages) Object.assign(page, { wantedAtNs: undefined, behindMs: 0 })
    for (const page of pages) look(page)
  }
})
// Whoever opened them is gone.
process.once('disconnect', () => process.exit(0))

function open({ origin, headers, eventId, linkId, count }: PagesOpening): void {
  class Socket extends WebSocket {
    constructor(address: URL) {
      super(address, { headers, perMessageDeflate: false })
      // A refused connection closes too, which is what a page goes by.
      this.on('error', () => undefined)
    }
  }
  Object.assign(globalThis, { location: { href: origin }, WebSocket: Socket })
  for (let n = 0; n < count; n += 1) {
    const page: Page = {
      seq: 0,
      isLive: false,
      missedTo: 0,
      behindSinceNs: undefined,
      behindMs: 0,
      wantedAtNs: undefined
    }
    pages.push(page)
    openStream({
      as: linkId,
      eventId,
      seq: () => page.seq,
      onFrame: (frame) => {
        hear(page, frame)
      },
      onState: (state) => {
        page.isLive = state === 'live'
        weigh(page)
      }
    })
  }
}

function hear(page: Page, frame: FrameOut): void {
  if (frame.kind === 'hello') page.missedTo = frame.seq
  if (frame.kind === 'facts') page.seq = frame.to
  weigh(page)
  look(page)
}

/** Adds up for how long it was live and behind. */
function weigh(page: Page): void {
  const nowNs = process.hrtime.bigint()
  if (page.behindSinceNs !== undefined) page.behindMs += Number(nowNs - page.behindSinceNs) / NS_PER_MS
  page.behindSinceNs = page.isLive && page.seq < page.missedTo ? nowNs : undefined
}

function look(page: Page): void {
  if (page.wantedAtNs !== undefined || page.seq < wanted) return
  page.wantedAtNs = process.hrtime.bigint()
  if (pages.some(({ wantedAtNs }) => wantedAtNs === undefined)) return
  const have: FromPages = {
    kind: 'have',
    atNs: pages.map(({ wantedAtNs = 0n }) => String(wantedAtNs)),
    behindMs: pages.map(({ behindMs }) => behindMs)
  }
  process.send?.(have)
}
