import { ref, watch } from 'vue'
import type { Unsent } from '../../shared/entry/understanding.ts'
import type { Vocabulary } from '../../shared/entry/vocabulary.ts'
import { Kept } from '../outbox.ts'
import { refusalSentence } from '../words/refusal.ts'
import type { Outcome } from './useEntry.ts'
import { useUnderstanding } from './useUnderstanding.ts'

/** A figure for the own ship, read as the entry line reads it behind the ship's name. */
export function useOwnFuel(parts: {
  callSign: () => string | undefined
  vocabulary: () => Vocabulary | undefined
  record: (request: Unsent, sentence: string) => Promise<unknown>
}) {
  const text = ref('')
  const outcome = ref<Outcome>()
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
    send: async () => {
      const understood = understanding.value
      if (understood.kind !== 'understood' || understood.action.kind !== 'record') return
      try {
        await parts.record(understood.action.request, understood.sentence)
        text.value = ''
        outcome.value = { recorded: true, sentence: understood.sentence }
      } catch (problem) {
        if (problem instanceof Kept) {
          text.value = ''
          outcome.value = { recorded: false, kept: true, sentence: understood.sentence }
          return
        }
        // What was typed stays, to be sent again.
        outcome.value = { recorded: false, sentence: await refusalSentence(problem) }
      }
    }
  }
}
