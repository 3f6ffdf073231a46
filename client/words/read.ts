import { clockText } from '../figures.ts'

export const READ = {
  read: 'Read',
  readOf: (revision: number) => `Read revision ${revision}`
} as const

interface Read {
  revision: number
  atMs: number
}

/** How the slot's ship stands to the published revision. */
export function readSentence(seen: Read | undefined, revision: number): string {
  if (seen === undefined) return `Revision ${revision}: not read yet.`
  if (seen.revision < revision)
    return `Changed since you read it: revision ${revision} is published, you read ${seen.revision}.`
  return `Revision ${revision}, read ${clockText(seen.atMs)}.`
}
