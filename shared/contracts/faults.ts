import type { z } from 'zod'
import { SIZES } from './bounds.ts'
import type { Fault } from './problem.ts'

/*
 * From a schema's issues to faults a person can mend: where, what stood there, which limit. The value is shown
 * shortened, and only for plain values: a document is never echoed.
 */

/** Looks up a path in what was sent; own properties only. */
function valueAt(input: unknown, path: readonly PropertyKey[]): unknown {
  let at: unknown = input
  for (const key of path) {
    if (typeof at !== 'object' || at === null || !Object.hasOwn(at, key)) return undefined
    at = (at as Record<PropertyKey, unknown>)[key]
  }
  return at
}

function shown(value: unknown): string {
  if (value === undefined) return 'nothing'
  if (value === null) return 'null'
  if (Array.isArray(value)) return `a list of ${String(value.length)}`
  if (typeof value === 'object') return 'an object'
  if (typeof value !== 'string' && typeof value !== 'number' && typeof value !== 'boolean') return typeof value
  const text = typeof value === 'string' ? JSON.stringify(value) : String(value)
  return text.length > 60 ? `${text.slice(0, 57)}...` : text
}

/** JSON pointer of a path, RFC 6901. */
export function pointerOf(path: readonly PropertyKey[]): string {
  return path.map((key) => '/' + String(key).replaceAll('~', '~0').replaceAll('/', '~1')).join('')
}

/** What the bound of a length counts. */
const counted = (origin: string): string => (origin === 'array' ? ' of them' : origin === 'string' ? ' letters' : '')

/** What is wrong, in plain words: those of the schema library are about types. */
function messageOf(issue: z.core.$ZodIssue, value: unknown): string {
  switch (issue.code) {
    case 'invalid_type':
      return value === undefined ? 'it is missing' : 'something else stands there'
    case 'too_small':
      return issue.origin === 'array' ? 'too few' : issue.origin === 'string' ? 'too short' : 'too little'
    case 'too_big':
      return issue.origin === 'array' ? 'too many' : issue.origin === 'string' ? 'too long' : 'too much'
    case 'invalid_value':
    case 'invalid_union':
      return 'none of what may stand there'
    case 'unrecognized_keys':
      return 'a field that is not known'
    default:
      return issue.message
  }
}

function limitOf(issue: z.core.$ZodIssue): string {
  switch (issue.code) {
    case 'invalid_type':
      return `${/^[aeiou]/.test(issue.expected) ? 'an' : 'a'} ${issue.expected}`
    case 'too_small':
      return `at least ${String(issue.minimum)}${counted(issue.origin)}`
    case 'too_big':
      return `at most ${String(issue.maximum)}${counted(issue.origin)}`
    case 'invalid_value':
      return `one of ${issue.values.map(String).join(', ')}`
    case 'unrecognized_keys':
      return `no such field: ${issue.keys
        .map((key) => key.slice(0, 40))
        .slice(0, 5)
        .join(', ')}`
    case 'custom':
      return typeof issue.params?.['limit'] === 'string' ? issue.params['limit'] : issue.message
    default:
      return issue.message
  }
}

/** All faults of a failed parse, at most SIZES.errors, and how many there are in all. */
export function faultsOf(error: z.core.$ZodError, input: unknown): { faults: Fault[]; count: number } {
  const faults = error.issues.slice(0, SIZES.errors).map((issue) => ({
    path: pointerOf(issue.path),
    value: shown(valueAt(input, issue.path)),
    limit: limitOf(issue),
    message: messageOf(issue, valueAt(input, issue.path))
  }))
  return { faults, count: error.issues.length }
}
