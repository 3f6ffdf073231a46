import { describe, expect, it } from 'vitest'
import { z } from 'zod'
import {
  healthAnswer,
  linkAnswer,
  logAnswer,
  onLoadAnswer,
  planAnswer,
  recordedAnswer
} from '../../shared/contracts/answers.ts'
import { anyFact } from '../../shared/contracts/facts.ts'
import { plan } from '../../shared/contracts/plan.ts'
import { anyRequest, onLoadBody, orderBody, publishBody, savePlanBody } from '../../shared/contracts/requests.ts'
import { searchAnswer, searchBody } from '../../shared/contracts/search.ts'
import { view } from '../../shared/contracts/view.ts'

/** A quantity says its unit in its name. */
const UNIT = /(Kg|Ms|S|Min|M|Deg|Rad|KgPerS|KgPerM3|MPerS|Factor|Percent|Count)$/
/** Ordinals and versions have none; steps of the judgement are named in view.ts. */
const ORDINALS = new Set([
  'v',
  'seq',
  'withdrawnSeq',
  'seenSeq',
  'basedOnSeq',
  'judgedAtSeq',
  'orderSeq',
  'revision',
  'revisionSeen',
  'publishedRevision',
  'rank',
  'index',
  'kneeIndex',
  'tankNumber',
  'priority',
  'from',
  'to'
])
const STEPS = new Set(['lostWeight', 'shortage', 'lateness', 'lastDisconnect', 'moved'])
/** Levels of the judgement met, orders judged. */
const COUNTS = new Set(['metLevels', 'judgements'])

/** What others register of a schema, a service for its answers, would stand in its place. */
const NOBODYS = z.registry<Record<string, never>>()

type Json = Record<string, unknown>

/** Every named number of a schema, with the path to it. */
function* numbersOf(
  schema: unknown,
  path: string,
  name: string,
  inReported: boolean
): Generator<{ path: string; name: string }> {
  if (typeof schema !== 'object' || schema === null) return
  const node = schema as Json
  const isNumber = node['type'] === 'number' || node['type'] === 'integer' || typeof node['const'] === 'number'
  if (isNumber && !inReported) yield { path, name }
  const properties = node['properties'] as Json | undefined
  const reported = properties !== undefined && Object.keys(properties).sort().join() === 'unit,value'
  for (const [key, child] of Object.entries(properties ?? {}))
    yield* numbersOf(child, `${path}/${key}`, key, reported && key === 'value')
  for (const key of ['anyOf', 'oneOf', 'allOf'])
    for (const child of (node[key] as unknown[] | undefined) ?? []) yield* numbersOf(child, path, name, inReported)
  if (node['items'] !== undefined) yield* numbersOf(node['items'], `${path}/*`, name, false)
}

describe('every number in the contract', () => {
  const schemas = {
    plan,
    anyFact,
    anyRequest,
    view,
    onLoadBody,
    orderBody,
    publishBody,
    savePlanBody,
    healthAnswer,
    linkAnswer,
    logAnswer,
    onLoadAnswer,
    planAnswer,
    recordedAnswer,
    searchBody,
    searchAnswer
  }
  for (const [title, schema] of Object.entries(schemas)) {
    it(`says its unit in ${title}`, () => {
      const found = [
        ...numbersOf(
          z.toJSONSchema(schema, { reused: 'inline', unrepresentable: 'any', metadata: NOBODYS }),
          '',
          '',
          false
        )
      ]
      const bare = found.filter(
        ({ name }) => !UNIT.test(name) && !ORDINALS.has(name) && !STEPS.has(name) && !COUNTS.has(name)
      )
      expect(found.length).toBeGreaterThan(0)
      expect(bare.map(({ path }) => path)).toEqual([])
    })
  }

  it('is found by this walk when it has no unit', () => {
    const loose = z.object({
      deep: z.array(z.object({ fuel: z.number() })),
      weight: z.object({ value: z.number(), unit: z.string() })
    })
    expect([...numbersOf(z.toJSONSchema(loose), '', '', false)].map(({ path }) => path)).toEqual(['/deep/*/fuel'])
  })
})
