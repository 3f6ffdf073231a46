import { answerTo, type Answered } from './onload.ts'
import type { Question } from './question.ts'
import type { Fault } from '../shared/contracts/problem.ts'

/*
 * Works the on-load page's questions out beside the page: what it needs of the numbers comes in a bundle of its own, and
 * the first load of the board knows nothing of it.
 */

export type Outcome = Answered | { faults: readonly Fault[] }
export interface Asked {
  turn: number
  question: Question
}
export interface Told {
  turn: number
  outcome: Outcome
}

addEventListener('message', ({ data: { turn, question } }: MessageEvent<Asked>) => {
  const told: Told = { turn, outcome: answerTo(question) }
  postMessage(told)
})
