import { ref, watch, type ComputedRef, type Ref } from 'vue'
import type { RecordedAnswer } from '../../shared/contracts/answers.ts'
import type { ProblemCode } from '../../shared/contracts/problem.ts'
import type { Action, Understanding, Unsent } from '../../shared/entry/understanding.ts'
import type { Vocabulary } from '../../shared/entry/vocabulary.ts'
import { Refusal } from '../api.ts'
import { refusalWords, UNREAD } from '../words/refusal.ts'
import { useKept } from './useKept.ts'
import { isUnread, readerHere, useUnderstanding } from './useUnderstanding.ts'

/** What came of the last line. */
export interface Outcome {
  recorded: boolean
  /** Neither recorded nor refused: the call that goes out when contact is back. */
  keptId?: string
  /** Neither of these yet: no answer has come. */
  underWay?: true
  sentence: string
  /** Event time of what was recorded. */
  atMs?: number | undefined
  /** Of a refusal by the service. */
  code?: ProblemCode | undefined
}

export interface Entry {
  text: Ref<string>
  understanding: ComputedRef<Understanding>
  outcome: Ref<Outcome | undefined>
  enter: () => Promise<void>
  /** Records without typing: a button of a row. Says whether it is done with: recorded, or kept to go out later. */
  send: (request: Unsent, sentence: string) => Promise<boolean>
  tell: (outcome: Outcome) => void
  /** What a fact entered on this page was told as; empty for others. */
  saidOf: (seq: number) => string
}

/** The entry line: what is typed, what it means, what came of it. `act` does what needs no record. */
export function useEntry(parts: {
  vocabulary: () => Vocabulary | undefined
  record: (request: Unsent, sentence: string) => Promise<RecordedAnswer>
  act: (action: Exclude<Action, { kind: 'record' }>) => void | Promise<void>
  /** Keeps a refused call in sight while the next one is typed. */
  setAside: (request: Unsent, sentence: string, refusal: string) => void
}): Entry {
  const text = ref('')
  const outcome = ref<Outcome>()
  const said = new Map<number, string>()
  const outcomeOfKept = useKept(outcome)
  const understanding = useUnderstanding(() => text.value, parts.vocabulary)
  // What came of the last line is told until the next one is begun, or a refused one is changed.
  watch(
    text,
    (next) => {
      if (next !== '') outcome.value = undefined
    },
    { flush: 'sync' }
  )

  async function send(request: Unsent, sentence: string): Promise<boolean> {
    try {
      const { facts } = await parts.record(request, sentence)
      for (const { seq } of facts) said.set(seq, sentence)
      outcome.value = { recorded: true, sentence, atMs: facts.at(-1)?.atMs }
      return true
    } catch (problem) {
      const later = outcomeOfKept(problem, sentence)
      if (later !== undefined) {
        if (later !== 'taken back') outcome.value = later
        return true
      }
      const refusal = await refusalWords(problem)
      // The next key would wipe it, and nobody would know of what it spoke.
      if (text.value !== '') parts.setAside(request, sentence, refusal)
      else {
        const code = problem instanceof Refusal ? problem.code : undefined
        outcome.value = { recorded: false, sentence: refusal, code }
      }
      return false
    }
  }

  return {
    text,
    understanding,
    outcome,
    send,
    saidOf: (seq) => said.get(seq) ?? '',
    tell: (told) => {
      outcome.value = told
    },
    enter: async () => {
      // Whoever types faster than the page loads has said it all the same.
      if (isUnread(text.value, understanding.value) && !(await readerHere())) {
        outcome.value = { recorded: false, sentence: UNREAD }
        return
      }
      const understood = understanding.value
      if (understood.kind !== 'understood') return
      const typed = text.value
      text.value = ''
      if (understood.action.kind !== 'record') return parts.act(understood.action)
      const sent = await send(understood.action.request, understood.sentence)
      // A refused line comes back to be mended, unless the next one has been begun.
      if (sent || text.value !== '') return
      const refused = outcome.value
      text.value = typed
      outcome.value = refused
    }
  }
}
