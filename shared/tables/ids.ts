/** New ids: made of what a thing is called, and never one that is in use. */

/** Room is left for a number behind it. */
const LONGEST = 48

/** An id of letters, digits and hyphens out of any name; a word of ours where nothing is left of it. */
export function slug(name: string, otherwise: string): string {
  const plain = name
    .normalize('NFKD')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .slice(0, LONGEST)
    .replace(/^-+|-+$/g, '')
  return plain === '' ? otherwise : plain
}

/** Gives ids that are free, one after the other: the id itself, or with the first number behind it, `alder-2`. */
export function minter(inUse: Iterable<string>): (id: string) => string {
  const taken = new Set(inUse)
  // Where many would have one id, counting goes on from the last.
  const last = new Map<string, number>()
  return (id) => {
    let fresh = id
    for (let number = last.get(id) ?? 2; taken.has(fresh); number++) {
      fresh = `${id}-${String(number)}`
      last.set(id, number + 1)
    }
    taken.add(fresh)
    return fresh
  }
}
