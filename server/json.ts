import type { FastifyInstance, FastifyRequest } from 'fastify'
import { SIZES } from '../shared/contracts/bounds.ts'
import { Problem } from './problem.ts'

/** A plan stands one or two levels inside the body of a route. */
const DEEPEST = SIZES.depth + 2

/** JSON bodies and nothing else; what cannot be read is refused with the place, before any schema sees it. */
export function registerJson(app: FastifyInstance): void {
  app.removeAllContentTypeParsers()
  app.addContentTypeParser('application/json', { parseAs: 'string' }, (request, text, done) => {
    try {
      refusePacked(request)
      done(null, readJson(String(text)))
    } catch (error) {
      done(error as Problem)
    }
  })
}

/** JSON bodies as the text they come as, for whoever reads them elsewhere. */
export function takeText(app: FastifyInstance): void {
  app.removeAllContentTypeParsers()
  app.addContentTypeParser('application/json', { parseAs: 'string' }, (request, text, done) => {
    try {
      refusePacked(request)
      done(null, text)
    } catch (error) {
      done(error as Problem)
    }
  })
}

/** Bodies are not unpacked: one of some bytes may unpack to megabytes. */
function refusePacked({ headers }: FastifyRequest): void {
  const encoding = headers['content-encoding'] ?? 'identity'
  if (encoding.toLowerCase() === 'identity') return
  throw new Problem('not-json', {
    detail: `The body must come as it is: its content encoding is ${encoding.slice(0, 40)}.`
  })
}

/**
 * The value of a JSON text; undefined for an empty one.
 * @throws Problem `not-json`, or `bad-request` for a text nested too deep
 */
export function readJson(text: string): unknown {
  if (text === '') return undefined
  // Before parsing: a megabyte of brackets takes the parser most of a second.
  const depth = depthOf(text)
  if (depth > DEEPEST) {
    const fault = { path: '', value: `nested ${String(depth)} deep`, limit: `at most ${String(DEEPEST)} deep` }
    throw new Problem('bad-request', { errors: [{ ...fault, message: 'nested too deep' }], errorCount: 1 })
  }
  try {
    return JSON.parse(text)
  } catch (error) {
    const message = error instanceof Error ? error.message.slice(0, 200) : 'not JSON'
    const fault = { path: '', value: 'the text', limit: 'JSON, RFC 8259', message }
    throw new Problem('not-json', { errors: [fault], errorCount: 1 })
  }
}

/** The deepest nesting of lists and objects in a JSON text. */
function depthOf(text: string): number {
  let depth = 0
  let deepest = 0
  for (let at = 0; at < text.length; at += 1) {
    switch (text.charCodeAt(at)) {
      case 0x22: // a string: brackets in it do not count
        at = endOfString(text, at)
        break
      case 0x5b:
      case 0x7b:
        depth += 1
        if (depth > deepest) deepest = depth
        break
      case 0x5d:
      case 0x7d:
        depth -= 1
        break
      default:
    }
  }
  return deepest
}

/** The place of the closing quote of the string that opens at `start`. */
function endOfString(text: string, start: number): number {
  let end = text.indexOf('"', start + 1)
  while (end !== -1 && isEscaped(text, end)) end = text.indexOf('"', end + 1)
  return end === -1 ? text.length : end
}

function isEscaped(text: string, quote: number): boolean {
  let slashes = 0
  while (text.charCodeAt(quote - 1 - slashes) === 0x5c) slashes += 1
  return slashes % 2 === 1
}
