import fc from 'fast-check'
import type { z } from 'zod'

/** Texts that mean something where the values go, by the pattern that they must fit. */
export type Known = readonly string[]

/**
 * Values that fit a schema of ours, made from the schema itself: every kind of it that the contracts use is known here,
 * and another one throws, so that a new kind is not silently left out. Ids are often those that exist.
 */
export function fitting(schema: z.ZodType, known: Known = []): fc.Arbitrary<unknown> {
  const made = unchecked(schema, known)
  // What a check of ours or a trimmed text leaves out cannot be read off the schema.
  const isPlain = checksOf(schema).every(({ check }) => !['custom', 'overwrite'].includes(check))
  return isPlain ? made : made.filter((value) => schema.safeParse(value).success)
}

function unchecked(schema: z.ZodType, known: Known): fc.Arbitrary<unknown> {
  const of = (inner: unknown) => fitting(inner as z.ZodType, known)
  const { def } = schema._zod as unknown as { def: Def }
  switch (def.type) {
    case 'object':
      return objectOf(def, of)
    case 'array':
      return listOf(schema, of(def.element))
    case 'union':
      return fc.oneof(...(def.options ?? []).map(of))
    case 'record':
      return fc.dictionary(of(def.keyType) as fc.Arbitrary<string>, of(def.valueType), { maxKeys: 4 })
    case 'optional':
      return fc.option(of(def.innerType), { nil: undefined })
    case 'nullable':
      return fc.option(of(def.innerType), { nil: null })
    case 'default':
    case 'readonly':
      return of(def.innerType)
    case 'pipe':
      return of(def.out)
    case 'literal':
      return fc.constantFrom(...(def.values ?? []))
    case 'enum':
      return fc.constantFrom(...Object.values(def.entries ?? {}))
    case 'boolean':
      return fc.boolean()
    case 'number':
      return numberOf(schema, def)
    case 'string':
      return stringOf(schema, known)
    case 'unknown':
      return fc.jsonValue({ maxDepth: 2 })
    default:
      throw new Error(`no values are made for a schema of type ${def.type}`)
  }
}

interface Def {
  type: string
  format?: string
  shape?: Record<string, unknown>
  element?: unknown
  options?: unknown[]
  keyType?: unknown
  valueType?: unknown
  innerType?: unknown
  out?: unknown
  values?: unknown[]
  entries?: Record<string, unknown>
}

function listOf(schema: z.ZodType, element: fc.Arbitrary<unknown>): fc.Arbitrary<unknown> {
  const { low = 0, high = 3 } = limitsOf(schema)
  return fc.array(element, { minLength: low, maxLength: Math.max(low, Math.min(high, 3)) })
}

interface Limits {
  low: number | undefined
  high: number | undefined
  pattern: RegExp | undefined
}

/** What the checks of a schema say of size or length, and of the form. */
function limitsOf(schema: z.ZodType): Limits {
  const limits: Limits = { low: undefined, high: undefined, pattern: undefined }
  for (const check of checksOf(schema)) {
    if (check.check === 'greater_than') limits.low = Number(check.value)
    if (check.check === 'less_than') limits.high = Number(check.value)
    if (check.check === 'min_length') limits.low = Number(check.minimum)
    if (check.check === 'max_length') limits.high = Number(check.maximum)
    if (check.check === 'string_format') limits.pattern = check.pattern
  }
  return limits
}

interface Check {
  check: string
  value?: unknown
  minimum?: unknown
  maximum?: unknown
  pattern?: RegExp
}

const checksOf = (schema: z.ZodType): Check[] => {
  const { checks = [] } = schema._zod.def as { checks?: { _zod: { def: unknown } }[] }
  return checks.map(({ _zod }) => _zod.def as Check)
}

function objectOf({ shape = {} }: Def, of: (inner: unknown) => fc.Arbitrary<unknown>): fc.Arbitrary<unknown> {
  const fields = Object.fromEntries(Object.entries(shape).map(([name, inner]) => [name, of(inner)]))
  // A field that is left out is not one that is undefined.
  return fc
    .record(fields)
    .map((made) => Object.fromEntries(Object.entries(made).filter(([, value]) => value !== undefined)))
}

function numberOf(schema: z.ZodType, { format }: Def): fc.Arbitrary<number> {
  const { low = -1e6, high = 1e9 } = limitsOf(schema)
  const whole = fc.integer({ min: Math.ceil(low), max: Math.floor(high) })
  const edges = fc.constantFrom(low, high)
  if (format === 'safeint') return fc.oneof(whole, edges.map(Math.round))
  return fc.oneof(fc.double({ min: low, max: high, noNaN: true }), edges)
}

/** Making what matches a pattern takes far longer than using it, and all ids share one. */
const matching = new Map<string, fc.Arbitrary<string>>()

function textMatching(pattern: RegExp): fc.Arbitrary<string> {
  const made = matching.get(String(pattern)) ?? fc.stringMatching(pattern)
  matching.set(String(pattern), made)
  return made
}

function stringOf(schema: z.ZodType, known: Known): fc.Arbitrary<string> {
  const { low = 0, high = 40, pattern } = limitsOf(schema)
  const lengths = { minLength: low, maxLength: Math.max(low, Math.min(high, 40)) }
  const any = pattern === undefined ? fc.string(lengths) : textMatching(pattern)
  const fit = pattern === undefined ? [] : known.filter((text) => pattern.test(text))
  if (fit.length === 0) return any
  return fc.oneof({ weight: 6, arbitrary: fc.constantFrom(...fit) }, { weight: 1, arbitrary: any })
}
