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

/** The id itself, or with the first number behind it that is free: `alder-2`. */
export function unused(id: string, taken: { has: (id: string) => boolean }): string {
  if (!taken.has(id)) return id
  for (let number = 2; ; number++) if (!taken.has(`${id}-${String(number)}`)) return `${id}-${String(number)}`
}
