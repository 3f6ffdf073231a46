/* What a cell offers while one types in it: names and words from a closed list. */

const SEVERAL = ';'

/** The part that is being typed: of several the last. */
export function tokenAt(text: string, several: boolean): string {
  return several ? text.slice(text.lastIndexOf(SEVERAL) + 1).trimStart() : text
}

/** Those that begin like it, then those of which a later word does. */
export function offered(choices: readonly string[], typed: string): string[] {
  const wanted = plain(typed)
  const begins = (choice: string) => plain(choice).startsWith(wanted)
  const has = (choice: string) => plain(choice).includes(` ${wanted}`)
  return [...choices.filter(begins), ...choices.filter((choice) => !begins(choice) && has(choice))]
}

/** The one that is meant: the same word, else the only one that begins like it; undefined where nothing is typed. */
export function completed(choices: readonly string[], typed: string): string | undefined {
  const wanted = plain(typed)
  if (wanted === '') return undefined
  const same = choices.find((choice) => plain(choice) === wanted)
  if (same !== undefined) return same
  const begin = choices.filter((choice) => plain(choice).startsWith(wanted))
  return begin.length === 1 ? begin[0] : undefined
}

const plain = (text: string): string => text.trim().toLowerCase()
