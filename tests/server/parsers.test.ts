import fc from 'fast-check'
import { EventEmitter } from 'node:events'
import { describe, expect, it } from 'vitest'
import { readJson } from '../../server/json.ts'
import { Stream, type Socket } from '../../server/live/stream.ts'
import { Problem } from '../../server/problem.ts'
import { SIZES } from '../../shared/contracts/bounds.ts'
import { understand } from '../../shared/entry/understand.ts'
import { readPlan } from '../../shared/plan/read.ts'
import { strange, places, replaced } from '../make/strange.ts'
import { vocabulary } from '../shared/entry/event.ts'
import { smallPlan } from './plan.ts'
import { logWith, streamParts } from './service.ts'

/** Any bytes, as the text they would be read as. */
const bytes = fc.uint8Array({ maxLength: 200 }).map((some) => Buffer.from(some).toString('utf8'))
/** Nearly a document: brackets, quotes, escapes, and a little inside. */
const nearJson = fc
  .array(fc.constantFrom('{', '}', '[', ']', '"', '\\', ':', ',', '1', 'a', ' ', 'null', '\\u0041', '"k":'), {
    maxLength: 60
  })
  .map((parts) => parts.join(''))
const document = fc.json({ maxDepth: 6 })

function depthOf(value: unknown): number {
  if (typeof value !== 'object' || value === null) return 0
  return 1 + Math.max(0, ...Object.values(value).map(depthOf))
}

describe('the reader of bodies', () => {
  it('takes what the language takes and gives the same, or refuses with a fault, on any bytes', () => {
    fc.assert(
      fc.property(fc.oneof(bytes, nearJson, document), (text) => {
        let wanted: unknown
        let isJson = true
        try {
          wanted = JSON.parse(text)
        } catch {
          isJson = false
        }
        try {
          expect(readJson(text)).toEqual(wanted)
          expect(isJson || text === '').toBe(true)
        } catch (error) {
          if (!(error instanceof Problem)) throw error
          expect(error.details.errors).toHaveLength(1)
          expect(isJson && depthOf(wanted) <= SIZES.depth + 2).toBe(false)
        }
      }),
      { numRuns: 2_000 }
    )
  })

  it('refuses by depth at the same place as a walk of the value does', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 60 }), fc.constantFrom('[', '{"a":'), fc.string(), (depth, open, inner) => {
        const text = open.repeat(depth) + JSON.stringify(inner) + (open === '[' ? ']' : '}').repeat(depth)
        const read = () => readJson(text)
        if (depth <= SIZES.depth + 2) expect(read()).toEqual(JSON.parse(text))
        else expect(read).toThrow(Problem)
      })
    )
  })
})

describe('the reader of plans', () => {
  it('gives a plan or faults, each with its place and limit, for any value and a plan wrong in any two places', () => {
    const plan = smallPlan()
    const wrong = fc
      .tuple(fc.constantFrom(...places(plan)), strange, fc.constantFrom(...places(plan)), strange)
      .map(([at, by, also, alsoBy]) => {
        const once = replaced(plan, at, by)
        // The second place may be gone by then: what is put there makes it anew or changes nothing.
        return replaced(typeof once === 'object' && once !== null ? once : {}, also, alsoBy)
      })
    fc.assert(
      fc.property(fc.oneof(strange, wrong), (input) => {
        const read = readPlan(input)
        if ('plan' in read) return
        expect(read.count).toBeGreaterThan(0)
        expect(read.faults.length).toBe(Math.min(read.count, SIZES.errors))
        for (const { path, limit } of read.faults) {
          expect(path === '' || path.startsWith('/')).toBe(true)
          expect(limit).not.toBe('')
        }
      }),
      { numRuns: 1_000 }
    )
  })
})

describe('the entry line', () => {
  const said = [
    'alder',
    '21',
    'ash',
    'sleet',
    'kelp',
    '5.4',
    '54',
    'contact',
    'off',
    'minus',
    'at',
    '1432',
    'joined',
    '?',
    'left'
  ]
  const line = fc.oneof(
    bytes,
    fc.string({ unit: 'grapheme', maxLength: 60 }),
    fc
      .array(fc.oneof({ weight: 8, arbitrary: fc.constantFrom(...said) }, { weight: 1, arbitrary: fc.string() }))
      .map((words) => words.join(' '))
  )

  it('understands, asks or takes nothing of any line, and says so in a sentence', () => {
    fc.assert(
      fc.property(line, (text) => {
        const meant = understand(text, vocabulary)
        expect(['nothing', 'understood', 'ask']).toContain(meant.kind)
        if (meant.kind === 'nothing') expect(text.replace(/[^\p{L}\p{N}?]/gu, '')).toBe('')
        else expect(meant.sentence).not.toBe('')
      }),
      { numRuns: 2_000 }
    )
  })
})

describe('the frames of a page', () => {
  it('are the one that tells what was seen, or end the socket; none throws', () => {
    fc.assert(
      fc.property(fc.oneof(bytes, nearJson, document, fc.constant('{"kind":"seen","seq":3}')), (text) => {
        const closed: number[] = []
        const socket = Object.assign(new EventEmitter(), {
          bufferedAmount: 0,
          send: () => undefined,
          close: (code: number) => void closed.push(code),
          terminate: () => undefined
        })
        const log = logWith({ seq: 0, facts: () => '[]', endOfPage: () => 0 })
        const stream = new Stream(log, streamParts())
        stream.add(socket as unknown as Socket, { after: 0, linkId: 'l-1' })
        socket.emit('message', Buffer.from(text))
        const isSeen = /^\s*\{\s*"kind"\s*:\s*"seen"\s*,\s*"seq"\s*:\s*\d+\s*\}\s*$/.test(text)
        expect(closed).toEqual(isSeen ? [] : [1008])
        socket.emit('close')
        expect(stream.size).toBe(0)
      })
    )
  })
})
