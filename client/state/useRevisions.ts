import { ref, shallowRef, type Ref, type ShallowRef } from 'vue'
import { differences } from '../../shared/tables/differences.ts'
import { draftOf } from '../../shared/tables/draft.ts'
import type { Difference, Draft } from '../../shared/tables/table.ts'
import { listRevisions, readRevision, type RevisionList } from '../api.ts'
import { refusalSentence } from '../words/refusal.ts'

export type RevisionLine = RevisionList[number] & {
  /** Against the one before; undefined until it is asked for. */
  differences: readonly Difference[] | undefined
}

export interface Revisions {
  lines: ShallowRef<readonly RevisionLine[]>
  refusal: Ref<string>
  /** Reads the list anew. */
  list: () => Promise<void>
  /** Works out what changed in one. */
  open: (revision: number) => Promise<void>
  draftAt: (revision: number) => Promise<Draft | undefined>
}

/** The revisions of a plan. A revision never changes: each is read once at most. */
export function useRevisions(as: string, eventId: string): Revisions {
  const lines = shallowRef<readonly RevisionLine[]>([])
  const refusal = ref('')
  const drafts = new Map<number, Promise<Draft>>()

  function draftOfRevision(revision: number): Promise<Draft> {
    const known = drafts.get(revision)
    if (known !== undefined) return known
    const reading = readRevision(as, eventId, revision).then(({ plan }) => draftOf(plan))
    drafts.set(revision, reading)
    reading.catch(() => drafts.delete(revision))
    return reading
  }
  async function attempt<Answer>(act: () => Promise<Answer>): Promise<Answer | undefined> {
    refusal.value = ''
    try {
      return await act()
    } catch (problem) {
      refusal.value = await refusalSentence(problem)
      return undefined
    }
  }

  return {
    lines,
    refusal,
    list: async () => {
      const known = new Map(lines.value.map((line) => [line.revision, line.differences]))
      const read = await attempt(() => listRevisions(as, eventId))
      if (read) lines.value = read.map((line) => ({ ...line, differences: known.get(line.revision) }))
    },
    open: async (revision) => {
      if (revision <= 1 || lines.value.find((line) => line.revision === revision)?.differences !== undefined) return
      const both = await attempt(() => Promise.all([draftOfRevision(revision - 1), draftOfRevision(revision)]))
      if (both === undefined) return
      const found = differences(...both)
      lines.value = lines.value.map((line) => (line.revision === revision ? { ...line, differences: found } : line))
    },
    draftAt: (revision) => attempt(() => draftOfRevision(revision))
  }
}
