/** A figure in a line of words: what it is of, and as it is shown. */
export interface FigurePart {
  figure: string
  of?: string
  text: string
}
/** A line of words with its figures apart. */
export type Words = readonly (string | FigurePart)[]
