import type { Column, ColumnKind } from '../table.ts'

type More = Partial<Omit<Column, 'name' | 'heading' | 'kind' | 'hint' | 'aliases'>>

/** A column that may stay blank; aliases are other headings, with semicolons between them. */
export function optional(
  name: string,
  heading: string,
  kind: ColumnKind,
  hint: string,
  aliases = '',
  more: More = {}
): Column {
  const others = aliases === '' ? [] : aliases.split('; ')
  return { name, heading, kind, required: false, aliases: others, hint, ...more }
}

/** A column that every row needs. */
export const needed: typeof optional = (name, heading, kind, hint, aliases, more) => ({
  ...optional(name, heading, kind, hint, aliases, more),
  required: true
})

/** One of a closed list; synonyms are other words for its members. */
export const choice = (choices: readonly string[], synonyms: Readonly<Record<string, string>> = {}) => ({
  choices,
  synonyms
})
