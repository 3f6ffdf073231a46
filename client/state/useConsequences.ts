import { computed, onScopeDispose, ref, shallowRef, watch, type ComputedRef, type Ref, type ShallowRef } from 'vue'
import type { Plan } from '../../shared/contracts/plan.ts'
import type { View } from '../../shared/contracts/view.ts'
import { TABLE_NAMES, type CellFault, type Draft, type PastePreview } from '../../shared/tables/table.ts'
import { pictureOf } from '../picture.ts'
import type { FromDraftDesk, PasteText, ToDraftDesk } from '../plan/desk.ts'

/** A draft worked out; faulty, it keeps nothing of what was before. */
export type Judged = { draft: Draft } & ({ plan: Plan; view: View } | { faults: readonly CellFault[] })

/** Nothing works drafts out: its part of the page did not come, or broke. */
export class NoDesk extends Error {}

interface Waiting {
  resolve: (answer: FromDraftDesk) => void
  reject: (problem: NoDesk) => void
}

export interface Consequences {
  /** Of the newest draft that has been worked out; undefined before the first. */
  judged: ShallowRef<Judged | undefined>
  /** The plan of the last draft without a fault, and what the board would show of it. */
  shown: ShallowRef<{ plan: Plan; view: View } | undefined>
  /** What is worked out is of an earlier draft. */
  busy: ComputedRef<boolean>
  /** Nothing works drafts out: its part of the page did not come. */
  failed: Ref<boolean>
  /** Settles when the draft as it is now has been worked out; it and the questions reject with NoDesk where nothing does. */
  settled: () => Promise<Judged>
  read: (paste: PasteText) => Promise<{ preview: PastePreview; isPlaced: boolean }>
  apply: (preview: PastePreview) => Promise<Draft['tables']>
}

/** What a draft comes to, worked out beside the page after each change of it: one at a time, the newest next. */
export function useConsequences(draft: Readonly<Ref<Draft>>): Consequences {
  const worker = new Worker(new URL('../draft-worker.ts', import.meta.url), { type: 'module' })
  const say = (message: ToDraftDesk) => {
    worker.postMessage(message)
  }
  const judged = shallowRef<Judged>()
  const shown = shallowRef<{ plan: Plan; view: View }>()
  const failed = ref(false)
  const waiting = new Map<number, Waiting>()
  let turn = 0
  let last: View | undefined
  let said: Draft | undefined
  let judging: Draft | undefined

  function tell(): Draft {
    const now = draft.value
    const before = said
    const names = TABLE_NAMES.filter((name) => before?.tables[name] !== now.tables[name])
    if (names.length > 0) say({ tables: Object.fromEntries(names.map((name) => [name, now.tables[name]])) })
    said = now
    return now
  }
  function judge() {
    if (failed.value || judging !== undefined || judged.value?.draft === draft.value) return
    judging = tell()
    say({ judge: ++turn })
  }
  function hear(answer: FromDraftDesk) {
    if ('ask' in answer) {
      waiting.get(answer.ask)?.resolve(answer)
      waiting.delete(answer.ask)
      return
    }
    const of = judging
    judging = undefined
    if (of === undefined) return
    if ('faults' in answer) judged.value = { draft: of, faults: answer.faults }
    else {
      last = pictureOf(last, answer.news)
      shown.value = { plan: answer.plan, view: last }
      judged.value = { draft: of, ...shown.value }
    }
    judge()
  }
  worker.addEventListener('message', ({ data }: MessageEvent<FromDraftDesk>) => {
    hear(data)
  })
  worker.addEventListener('error', () => {
    failed.value = true
    judging = undefined
    for (const { reject } of waiting.values()) reject(new NoDesk())
    waiting.clear()
  })
  onScopeDispose(() => {
    worker.terminate()
  })
  watch(draft, judge, { immediate: true, flush: 'sync' })

  function ask(question: (number: number) => ToDraftDesk): Promise<FromDraftDesk> {
    if (failed.value) return Promise.reject(new NoDesk())
    tell()
    const number = ++turn
    return new Promise((resolve, reject) => {
      waiting.set(number, { resolve, reject })
      say(question(number))
    })
  }
  return {
    judged,
    shown,
    failed,
    busy: computed(() => judged.value?.draft !== draft.value),
    settled: () =>
      new Promise((resolve, reject) => {
        const stop = watch(
          [judged, failed],
          ([now, isBroken]) => {
            if (isBroken) reject(new NoDesk())
            else if (now?.draft === draft.value) resolve(now)
            else return
            queueMicrotask(() => {
              stop()
            })
          },
          { immediate: true, flush: 'sync' }
        )
      }),
    read: async (paste) => {
      const answer = await ask((number) => ({ ask: number, read: paste }))
      if (!('preview' in answer)) throw new TypeError('another answer than was asked for')
      return answer
    },
    apply: async (preview) => {
      const answer = await ask((number) => ({ ask: number, apply: preview }))
      if (!('tables' in answer)) throw new TypeError('another answer than was asked for')
      return answer.tables
    }
  }
}
