/** Several things in one cell, with semicolons between them; one that has a semicolon itself stands in quotes. */

/** Said of a list that is there and empty. */
export const NONE = 'none'

/** The things of a list; blanks between semicolons are nothing. */
export function listOf(text: string): string[] {
  if (!text.includes('"')) return text.split(';').flatMap((part) => part.trim() || [])
  const items: string[] = []
  for (const [, quoted, plain = ''] of text.matchAll(/\s*(?:"((?:[^"]|"")*)"\s*(?=;|$)|([^;]+))(?:;|$)/g)) {
    const item = quoted === undefined ? plain.trim() : quoted.replaceAll('""', '"')
    if (item !== '') items.push(item)
  }
  return items
}

/** True of a name that would be read as something else without quotes. */
const needsQuotes = (item: string): boolean => item.includes(';') || item.includes('"') || item.toLowerCase() === NONE

/** The list as it is written in a cell. */
export const listText = (items: readonly string[]): string =>
  items.map((item) => (needsQuotes(item) ? `"${item.replaceAll('"', '""')}"` : item)).join('; ')
