/**
 * The later of two values, with the very parts of the earlier one where both say the same: what is kept by identity, as
 * shared/plan/frame.ts keeps what follows from a flight, is then found again. Things with an id are the same thing
 * wherever they stand in their list.
 */
export function again<Value>(before: unknown, now: Value): Value {
  if (Object.is(before, now)) return now
  if (isList(now)) return isList(before) ? (listAgain(before, now) as Value) : now
  if (!isThing(before) || !isThing(now) || isList(before)) return now
  return thingAgain(before, now) as Value
}

function listAgain(before: readonly unknown[], now: readonly unknown[]): readonly unknown[] {
  const byId = new Map(before.map((one, at) => [idOf(one) ?? at, one]))
  const list = now.map((one, at) => again(byId.get(idOf(one) ?? at), one))
  return list.length === before.length && list.every((one, at) => Object.is(one, before[at])) ? before : list
}

function thingAgain(before: Thing, now: Thing): Thing {
  const entries = Object.entries(now).map(([key, value]) => [key, again(before[key], value)] as const)
  const isSame =
    entries.length === Object.keys(before).length &&
    entries.every(([key, value]) => Object.hasOwn(before, key) && Object.is(value, before[key]))
  return isSame ? before : Object.fromEntries(entries)
}

type Thing = Readonly<Record<string, unknown>>
const isList = (value: unknown): value is readonly unknown[] => Array.isArray(value)
const isThing = (value: unknown): value is Thing => typeof value === 'object' && value !== null
const idOf = (value: unknown): unknown => (isThing(value) && typeof value['id'] === 'string' ? value['id'] : undefined)
