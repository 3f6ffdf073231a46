import { ref, watch } from 'vue'
import type { Unsent } from '../../shared/entry/understanding.ts'
import type { Vocabulary } from '../../shared/entry/vocabulary.ts'
import { refusalWords } from '../words/refusal.ts'
import type { Outcome } from './useEntry.ts'
import { useKept } from './useKept.ts'
import { useUnderstanding } from './useUnderstanding.ts'

/** A figure for the own ship, read as the entry line reads it behind the ship's name. */
export function useOwnFuel(parts: {
  callSign: () => string | undefined
  vocabulary: () => Vocabulary | undefined
  record: (request: Unsent, sentence: string) => Promise<unknown>
}) {
  const text = ref('')
  const outcome = ref<Outcome>()
  const outcomeOfKept = useKept(outcome)
  const prefix = () => `${parts.callSign()?.toLowerCase() ?? ''} `
  const understanding = useUnderstanding(
    () => (text.value.trim() === '' ? '' : `${prefix()}fuel ${text.value}`),
    parts.vocabulary
  )

  // A refusal is told until the figure is changed.
  watch(
    text,
    (next) => {
      if (next !== '') outcome.value = undefined
    },
    { flush: 'sync' }
  )

  return {
    text,
    outcome,
    understanding,
    choose: (line: string) => {
      text.value = line.startsWith(prefix()) ? line.slice(prefix().length) : line
    },
    /** Says something else of the own ship. */
    tell: async (request: Unsent, sentence: string) => {
      try {
        await parts.record(request, sentence)
        outcome.value = { recorded: true, sentence }
      } catch (problem) {
        const later = outcomeOfKept(problem, sentence)
        if (later === 'taken back') return
        outcome.value = later ?? { recorded: false, sentence: await refusalWords(problem) }
      }
    },
    send: async () => {
      const understood = understanding.value
      if (understood.kind !== 'understood' || understood.action.kind !== 'record') return
      try {
        await parts.record(understood.action.request, understood.sentence)
        text.value = ''
        outcome.value = { recorded: true, sentence: understood.sentence }
      } catch (problem) {
        const later = outcomeOfKept(problem, understood.sentence)
        if (later === undefined) {
          // What was typed stays, to be sent again.
          outcome.value = { recorded: false, sentence: await refusalWords(problem) }
          return
        }
        text.value = ''
        if (later !== 'taken back') outcome.value = later
      }
    }
  }
}
