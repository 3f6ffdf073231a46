import { computed, shallowRef, type ComputedRef } from 'vue'
import type { Understanding } from '../../shared/entry/understanding.ts'
import type { Vocabulary } from '../../shared/entry/vocabulary.ts'
import { loadFlowed } from '../flowed.ts'

/** One reader of lines for the whole page, which paints before it comes. */
const understand = shallowRef<(text: string, vocabulary: Vocabulary) => Understanding>()
let coming: Promise<boolean> | undefined

/** Whether lines are understood, once that is known. A browser asks for a part of a page once: without it never. */
export const readerHere = (): Promise<boolean> =>
  (coming ??= Promise.all([import('../../shared/entry/understand.ts'), loadFlowed()]).then(
    ([reader]) => {
      understand.value = reader.understand
      return true
    },
    () => false
  ))

/** Something is typed, and nothing is known of it. */
export const isUnread = (text: string, { kind }: Understanding): boolean => kind === 'nothing' && text.trim() !== ''

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
