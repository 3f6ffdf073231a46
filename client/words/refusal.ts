import type { ProblemCode } from '../../shared/contracts/problem.ts'
import { Refusal } from '../api.ts'

/** Said when no answer came at all. */
const NO_ANSWER = 'The service did not answer. Nothing is known to be recorded; send it again when contact is back.'

/** The words for every refusal; they come after the first paint, so that a page has them when contact is lost. */
export const loadSentences = () => import('./problems.ts')

/** Whatever went wrong, as one sentence. A code of a newer service is told by its own title. */
export async function refusalSentence(problem: unknown): Promise<string> {
  if (!(problem instanceof Refusal)) return codeSentence('internal', 'Something went wrong here.')
  return problem.code === undefined ? NO_ANSWER : codeSentence(problem.code, problem.message)
}

/** What of a request was refused: where it stands in it, what stood there, what it may be. */
const faultWords = (problem: unknown): string =>
  problem instanceof Refusal
    ? problem.faults
        .map(({ path, value, limit }) => ` ${path.split('/').slice(1).join(' ')}: ${value}, may be ${limit}.`)
        .join('')
    : ''

/** Why it was refused, whole. */
export const refusalWords = async (problem: unknown): Promise<string> =>
  (await refusalSentence(problem)) + faultWords(problem)

/** A problem code in words; `title` stands in where there are none. */
export async function codeSentence(code: ProblemCode, title: string): Promise<string> {
  try {
    const { PROBLEM_SENTENCES } = await loadSentences()
    return Object.hasOwn(PROBLEM_SENTENCES, code) ? PROBLEM_SENTENCES[code] : title
  } catch {
    return title
  }
}

/** What reads a line did not arrive: what was typed stays, and nothing is recorded. */
export const UNREAD = 'Not read: a part of this page did not come. Load the page again.'
/** A part of the page did not arrive. */
export const NOT_WHOLE = 'This page did not load whole. Load it again.'
