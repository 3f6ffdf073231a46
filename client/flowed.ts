import type { Vocabulary } from '../shared/entry/vocabulary.ts'
import type { flowedNow } from '../shared/live/flowed.ts'
import type { LiveState } from '../shared/live/state.ts'

/* What has flowed in a contact: numbers that come with the reader of lines, after the page is painted. */

let ofContact: typeof flowedNow | undefined

/** Nothing is understood before it is here. */
export async function loadFlowed(): Promise<void> {
  const { flowedNow } = await import('../shared/live/flowed.ts')
  ofContact = flowedNow
}

/** Worked out only where a disconnect is typed. */
export const flowedOf =
  (state: LiveState, shipId: string): Vocabulary['ships'][number]['flowedAt'] =>
  (atMs) =>
    ofContact?.(state, shipId, atMs)
