import { computed, shallowRef, type ComputedRef } from 'vue'
import type { Understanding } from '../../shared/entry/understanding.ts'
import type { Vocabulary } from '../../shared/entry/vocabulary.ts'
import { loadFlowed } from '../flowed.ts'

/** One reader of lines for the whole page, which paints before it comes. */
const understand = shallowRef<(text: string, vocabulary: Vocabulary) => Understanding>()
let coming: Promise<void> | undefined

/** Settles once lines are understood; where the reader could not be had it is asked for anew the next time. */
export const readerHere = (): Promise<void> =>
  (coming ??= Promise.all([import('../../shared/entry/understand.ts'), loadFlowed()]).then(
    ([reader]) => {
      understand.value = reader.understand
    },
    () => {
      coming = undefined
    }
  ))

/** What a line means, once the reader of lines is here. */
export function useUnderstanding(
  line: () => string,
  vocabulary: () => Vocabulary | undefined
): ComputedRef<Understanding> {
  void readerHere()
  return computed(() => {
    const text = line()
    // Nothing typed needs no vocabulary, which would follow the view every second.
    if (text.trim() === '' || understand.value === undefined) return { kind: 'nothing' }
    const words = vocabulary()
    return words === undefined ? { kind: 'nothing' } : understand.value(text, words)
  })
}
