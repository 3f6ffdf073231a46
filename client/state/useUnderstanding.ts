import { computed, shallowRef, type ComputedRef } from 'vue'
import type { Understanding } from '../../shared/entry/understanding.ts'
import type { Vocabulary } from '../../shared/entry/vocabulary.ts'
import { loadFlowed } from '../flowed.ts'

/** What a line means, once the reader of lines is here: a page paints before it comes. */
export function useUnderstanding(
  line: () => string,
  vocabulary: () => Vocabulary | undefined
): ComputedRef<Understanding> {
  const understand = shallowRef<(text: string, vocabulary: Vocabulary) => Understanding>()
  void Promise.all([import('../../shared/entry/understand.ts'), loadFlowed()]).then(([reader]) => {
    understand.value = reader.understand
  })
  return computed(() => {
    const text = line()
    // Nothing typed needs no vocabulary, which would follow the view every second.
    if (text.trim() === '' || understand.value === undefined) return { kind: 'nothing' }
    const words = vocabulary()
    return words === undefined ? { kind: 'nothing' } : understand.value(text, words)
  })
}
