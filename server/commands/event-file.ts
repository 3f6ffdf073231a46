import { createHash } from 'node:crypto'
import { z } from 'zod'
import { anyFact, type Fact } from '../../shared/contracts/facts.ts'
import { eventId, requestId } from '../../shared/contracts/ids.ts'
import type { Plan } from '../../shared/contracts/plan.ts'
import { readPlan } from '../../shared/plan/read.ts'
import type { Outcome, WholeEvent } from '../store/store.ts'

/*
 * One event as a file: JSON lines, UTF-8. A head; a line a plan revision, a fact, a request; an end with the SHA-256 of
 * everything before it, so that a file that was cut off or touched is known. Links and their secrets are not in it. The
 * plan of an adoption stands in its revision alone.
 */

const VERSION = 1

const head = z.strictObject({
  file: z.literal('ullage-event'),
  v: z.literal(VERSION),
  eventId,
  exportedAtMs: z.int(),
  revisions: z.int().min(1),
  facts: z.int().min(0),
  requests: z.int().min(0)
})
const revisionLine = z.strictObject({
  revision: z.strictObject({ revision: z.int().min(1), savedAtMs: z.int(), savedBy: z.string(), plan: z.unknown() })
})
const factLine = z.strictObject({ fact: z.looseObject({ kind: z.string(), seq: z.int().min(1) }) })
const requestLine = z.strictObject({
  request: z.strictObject({ requestId, from: z.int().min(1), to: z.int().min(0), bodyHash: z.string() })
})
const endLine = z.strictObject({ sha256: z.string() })

/** What is wrong with a file, with its line. */
export class FileFault extends Error {}

export function writeEventFile(whole: WholeEvent, exportedAtMs: number): string {
  const { eventId, revisions, facts, outcomes } = whole
  const counts = { revisions: revisions.length, facts: facts.length, requests: outcomes.length }
  const lines = [
    { file: 'ullage-event', v: VERSION, eventId, exportedAtMs, ...counts },
    ...revisions.map((revision) => ({ revision })),
    ...facts.map((fact) => ({ fact: { ...fact, plan: undefined } })),
    ...outcomes.map((request) => ({ request }))
  ]
  const text = lines.map((line) => `${JSON.stringify(line)}\n`).join('')
  return `${text}${JSON.stringify({ sha256: hashOf(text) })}\n`
}

/**
 * The event in a file, checked as if every part of it were asked for here.
 * @throws FileFault naming the line and what is wrong with it
 */
export function readEventFile(text: string): WholeEvent {
  if (text === '') throw new FileFault('the file is empty')
  const lines = text.split('\n')
  if (lines.pop() !== '') throw new FileFault('the file is cut off: its last line does not end')
  const last = lines.pop() ?? ''
  const { sha256 } = parsed(endLine, last, lines.length + 1)
  if (sha256 !== hashOf(text.slice(0, -last.length - 1))) {
    throw new FileFault('the file is not as it was written: its SHA-256 does not fit')
  }
  const told = parsed(head, lines[0] ?? '', 1)
  const count = 1 + told.revisions + told.facts + told.requests
  if (lines.length !== count) {
    throw new FileFault(`the file has ${String(lines.length)} lines before its end, its head tells of ${String(count)}`)
  }
  let at = 1
  const next = <T>(schema: z.ZodType<T>): T => parsed(schema, lines[at] ?? '', ++at)
  const revisions = Array.from({ length: told.revisions }, (_, index) => {
    const { revision } = next(revisionLine)
    if (revision.revision !== index + 1)
      throw new FileFault(`line ${String(at)}: revision ${String(index + 1)} expected`)
    return { ...revision, plan: planOf(revision.plan, at) }
  })
  const facts = Array.from({ length: told.facts }, (_, index) => {
    const fact = factOf(next(factLine).fact, revisions, at)
    if (fact.seq !== index + 1 || fact.eventId !== told.eventId) {
      throw new FileFault(`line ${String(at)}: fact ${String(index + 1)} of ${told.eventId} expected`)
    }
    return fact
  })
  const outcomes = Array.from({ length: told.requests }, () => next(requestLine).request)
  checkOutcomes(outcomes, facts)
  return { eventId: told.eventId, revisions, facts, outcomes }
}

function planOf(document: unknown, line: number): Plan {
  const read = readPlan(document)
  if ('plan' in read) return read.plan
  const [fault] = read.faults
  throw new FileFault(`line ${String(line)}: the plan was refused: ${fault?.path ?? ''} ${fault?.message ?? ''}`)
}

function factOf(fact: Record<string, unknown>, revisions: WholeEvent['revisions'], line: number): Fact {
  if (fact['kind'] !== 'planAdopted') return parsedValue(anyFact, fact, line)
  const adopted = revisions.find(({ revision }) => revision === fact['revision'])
  if (adopted === undefined) throw new FileFault(`line ${String(line)}: no revision ${String(fact['revision'])}`)
  return parsedValue(anyFact, { ...fact, plan: adopted.plan }, line)
}

/** Every fact is the outcome of one request, and of no other. */
function checkOutcomes(outcomes: readonly Outcome[], facts: readonly Fact[]): void {
  const by = new Map<string, Outcome>(outcomes.map((outcome) => [outcome.requestId, outcome]))
  if (by.size !== outcomes.length) throw new FileFault('a request stands in the file twice')
  for (const { seq, requestId: id } of facts) {
    const outcome = by.get(id)
    if (outcome === undefined || seq < outcome.from || seq > outcome.to) {
      throw new FileFault(`fact ${String(seq)} is not what the file says of its request ${id}`)
    }
  }
}

function parsed<T>(schema: z.ZodType<T>, line: string, number: number): T {
  try {
    return parsedValue(schema, JSON.parse(line), number)
  } catch (error) {
    if (error instanceof FileFault) throw error
    throw new FileFault(`line ${String(number)} is not JSON`, { cause: error })
  }
}

function parsedValue<T>(schema: z.ZodType<T>, value: unknown, line: number): T {
  const read = schema.safeParse(value)
  if (read.success) return read.data
  const [issue] = read.error.issues
  throw new FileFault(`line ${String(line)}: ${issue?.path.join('/') ?? ''}: ${issue?.message ?? 'does not fit'}`)
}

const hashOf = (text: string): string => createHash('sha256').update(text).digest('hex')
