import fc from 'fast-check'

export type Path = readonly (string | number)[]

/** Every place in a document, the document itself first. */
export function places(value: unknown, at: Path = []): Path[] {
  if (typeof value !== 'object' || value === null) return [at]
  return [at, ...Object.entries(value).flatMap(([key, inner]) => places(inner, [...at, key]))]
}

/** A copy in which another value stands at a place. */
export function replaced(value: unknown, [key, ...rest]: Path, by: unknown): unknown {
  if (key === undefined) return by
  const copy: unknown = Array.isArray(value) ? [...(value as unknown[])] : { ...(value as object) }
  const record = copy as Record<string | number, unknown>
  record[key] = replaced(record[key], rest, by)
  return copy
}

/** What a careless or hostile program puts into a field. */
export const strange = fc.oneof(
  fc.jsonValue({ maxDepth: 3 }),
  fc.constantFrom<unknown>('', '__proto__', '\u0000', 'NaN', -0, 1e308, -1, 0, 0.5, 2 ** 53, null, [], {}, true),
  fc.double({ noNaN: true }),
  fc.integer()
)

/** Any character there is. Given as a unit of its own: fast-check's of that name makes a map of a million first. */
export const anyCharacter = fc.integer({ min: 0, max: 0x10ffff }).map(
  (code) => String.fromCodePoint(code),
  (text) => {
    const code = typeof text === 'string' ? (text.codePointAt(0) ?? 0) : 0
    if (text !== String.fromCodePoint(code)) throw new RangeError('not one character')
    return code
  }
)
