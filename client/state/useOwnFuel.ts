import { ref, watch } from 'vue'
import type { Unsent } from '../../shared/entry/understanding.ts'
import type { Vocabulary } from '../../shared/entry/vocabulary.ts'
import { refusalWords, UNREAD } from '../words/refusal.ts'
import type { Outcome } from './useEntry.ts'
import { useKept } from './useKept.ts'
import { isUnread, readerHere, useUnderstanding } from './useUnderstanding.ts'

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

  /** A second touch while there is no answer is the same call. */
  const underWay = new Set<string>()
  /** What came of it, and whether it is done with: recorded, kept, or taken back. */
  async function tell(request: Unsent, sentence: string): Promise<boolean> {
    const same = JSON.stringify(request)
    if (underWay.has(same)) return false
    underWay.add(same)
    outcome.value = { recorded: false, underWay: true, sentence }
    try {
      await parts.record(request, sentence)
      outcome.value = { recorded: true, sentence }
      return true
    } catch (problem) {
      const later = outcomeOfKept(problem, sentence)
      if (later === 'taken back') outcome.value = undefined
      else outcome.value = later ?? { recorded: false, sentence: await refusalWords(problem) }
      return later !== undefined
    } finally {
      underWay.delete(same)
    }
  }

  return {
    text,
    outcome,
    understanding,
    choose: (line: string) => {
      text.value = line.startsWith(prefix()) ? line.slice(prefix().length) : line
    },
    /** Says something else of the own ship. */
    tell: async (request: Unsent, sentence: string) => {
      await tell(request, sentence)
    },
    send: async () => {
      // Whoever types faster than the page loads has said it all the same.
      if (isUnread(text.value, understanding.value) && !(await readerHere())) {
        outcome.value = { recorded: false, sentence: UNREAD }
        return
      }
      const understood = understanding.value
      if (understood.kind !== 'understood' || understood.action.kind !== 'record') return
      const typed = text.value
      // What was refused stays, to be sent again; so does what was typed meanwhile.
      if ((await tell(understood.action.request, understood.sentence)) && text.value === typed) text.value = ''
    }
  }
}
