import { onScopeDispose, ref, shallowRef, type Ref, type ShallowRef } from 'vue'
import type { PlanAnswer } from '../../shared/contracts/answers.ts'
import type { Plan } from '../../shared/contracts/plan.ts'
import type { Fault } from '../../shared/contracts/problem.ts'
import type { View } from '../../shared/contracts/view.ts'
import type { Losses } from '../../shared/live/lost.ts'
import { computeOrder, importPlan, listRevisions, publishPlan, readPlan, Refusal } from '../api.ts'
import { labelsOf, type Labels } from '../labels.ts'
import { painted } from '../painted.ts'
import { PLAN } from '../words/plan.ts'
import { refusalSentence } from '../words/refusal.ts'
import { useLosses } from './useLosses.ts'
import { useNewer } from './useNewer.ts'

/** What is worked out at length follows the draft at this distance. */
const REST_MS = 1500
/** Whoever saves hears of it this much later at the most; what is newer after that, somebody else saved. */
const OWN_SAVE_MS = 2000

/** A plan, what the board would show of it at its opening, and what its things are called. */
export interface ShownPlan {
  plan: Plan
  view: View
  labels: Labels
}

export interface PlanPage {
  /** The newest revision. */
  answer: Ref<PlanAnswer | undefined>
  /** The plan that is shown, as it works out at its opening: the newest revision, or the draft of whoever may plan. */
  shown: ShallowRef<ShownPlan | undefined>
  /** The same, once the answer is painted: for the long tables below it. */
  below: ShallowRef<ShownPlan | undefined>
  /** The same, once it has rested a moment: for what takes long to work out or to draw. */
  rested: ShallowRef<ShownPlan | undefined>
  /** What is lost with each thing of it. */
  losses: ShallowRef<Losses | undefined>
  refusal: Ref<string>
  told: Ref<string>
  /** What somebody else saved since the page was read. */
  news: Ref<string>
  faults: Ref<{ list: readonly Fault[]; count: number }>
  /** The draft as it was worked out beside the page. */
  show: (shown: { plan: Plan; view: View }) => void
  /** Reads the newest revision anew. */
  load: () => Promise<void>
  /** Has the service work the newest revision out, where the page cannot. */
  askView: () => Promise<void>
  take: (file: string) => Promise<void>
  /** Publishes the revision that is shown; where somebody saved a newer one, that is shown, and what it changes is answered. */
  publish: () => Promise<string>
}

/** The newest revision of a plan, with what a commander does to it; a page that works drafts out asks for no view. */
export function usePlan(as: string, eventId: string, { worksOut }: { worksOut: boolean }): PlanPage {
  const answer = shallowRef<PlanAnswer>()
  const shown = shallowRef<ShownPlan>()
  const below = shallowRef<ShownPlan>()
  const rested = shallowRef<ShownPlan>()
  const refusal = ref('')
  const told = ref('')
  const news = ref('')
  const faults = shallowRef<{ list: readonly Fault[]; count: number }>({ list: [], count: 0 })
  let timer: ReturnType<typeof setTimeout> | undefined

  async function attempt(act: () => Promise<void>) {
    refusal.value = ''
    told.value = ''
    news.value = ''
    faults.value = { list: [], count: 0 }
    try {
      await act()
    } catch (problem) {
      refusal.value = await refusalSentence(problem)
      if (problem instanceof Refusal) faults.value = { list: problem.faults, count: problem.faultCount }
    }
  }
  function show({ plan, view }: { plan: Plan; view: View }) {
    const now = { plan, view, labels: labelsOf(plan) }
    shown.value = now
    below.value ??= now
    rested.value ??= now
    clearTimeout(timer)
    timer = setTimeout(() => {
      rested.value = now
    }, REST_MS)
    void painted().then(() => {
      below.value = shown.value
    })
  }
  async function compute({ plan }: PlanAnswer) {
    show({ plan, view: await computeOrder(plan) })
  }
  async function load() {
    const read = await readPlan(as, eventId)
    if (!worksOut) await compute(read)
    answer.value = read
  }
  /** Shows the newest revision, and says what it changes. */
  async function catchUp() {
    const before = answer.value
    if (before === undefined) return ''
    const [[saved]] = await Promise.all([listRevisions(as, eventId), load()])
    const after = answer.value
    if (saved === undefined || after === undefined || after.revision <= before.revision) return ''
    const { newsOfRevision } = await import('../plan/newer.ts')
    news.value = newsOfRevision(before.plan, after.plan, saved)
    return news.value
  }
  const isBehind = async () =>
    ((await listRevisions(as, eventId))[0]?.revision ?? 0) > (answer.value?.revision ?? Infinity)
  useNewer(async () => {
    if (answer.value === undefined || !(await isBehind())) return
    await new Promise((resolve) => setTimeout(resolve, OWN_SAVE_MS))
    if (await isBehind()) await catchUp()
  })
  onScopeDispose(() => {
    clearTimeout(timer)
  })
  void attempt(load)

  return {
    answer,
    shown,
    below,
    rested,
    losses: useLosses(rested),
    refusal,
    told,
    news,
    faults,
    show,
    load: () => attempt(load),
    askView: () =>
      attempt(async () => {
        if (answer.value !== undefined) await compute(answer.value)
      }),
    take: (file) =>
      attempt(async () => {
        if (answer.value === undefined) return
        const { revision } = await importPlan(as, eventId, file, answer.value.revision)
        await load()
        told.value = PLAN.imported(revision)
      }),
    publish: async () => {
      let newer = ''
      await attempt(async () => {
        const revision = answer.value?.revision
        if (revision === undefined) return
        try {
          await publishPlan(as, eventId, revision)
        } catch (problem) {
          if (!(problem instanceof Refusal) || problem.code !== 'stale-revision') throw problem
          newer = await catchUp()
          return
        }
        await load()
        told.value = PLAN.published(revision)
      })
      return newer
    }
  }
}
