/** Why a text cannot be read, and what would be right. */
export interface Wrong {
  /** What the value must keep to. */
  readonly limit: string
  readonly message: string
  /** As a sentence. */
  readonly mend: string
  /** It waits for something that is not there yet. */
  readonly lacking?: true
}

export type Reading<T> = { readonly value: T } | { readonly wrong: Wrong }

export const wrong = (limit: string, message: string, mend: string): { wrong: Wrong } => ({
  wrong: { limit, message, mend }
})

export const lacking = (limit: string, message: string, mend: string): { wrong: Wrong } => ({
  wrong: { limit, message, mend, lacking: true }
})
