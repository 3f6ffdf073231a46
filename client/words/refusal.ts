import { Refusal } from '../api.ts'
import { NO_ANSWER_SENTENCE, PROBLEM_SENTENCES } from './problems.ts'

/** Whatever went wrong, as one sentence. A code of a newer service is told by its own title. */
export function refusalSentence(problem: unknown): string {
  if (!(problem instanceof Refusal)) return PROBLEM_SENTENCES.internal
  if (problem.code === undefined) return NO_ANSWER_SENTENCE
  return Object.hasOwn(PROBLEM_SENTENCES, problem.code) ? PROBLEM_SENTENCES[problem.code] : problem.message
}
