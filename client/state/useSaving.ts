import { computed, ref, shallowRef, type ComputedRef, type Ref, type ShallowRef } from 'vue'
import type { Plan } from '../../shared/contracts/plan.ts'
import { differences } from '../../shared/tables/differences.ts'
import { draftOf } from '../../shared/tables/draft.ts'
import { merge, settle } from '../../shared/tables/merge.ts'
import type { Difference, Draft, Merged, Side } from '../../shared/tables/table.ts'
import { createPlan, newRequestId, readPlan, Refusal, savePlan, type CreatedPlan } from '../api.ts'
import type { FirstTry } from '../plan/shelf.ts'
import { refusalWords } from '../words/refusal.ts'
import { mergedText, savedText, TABLES } from '../words/tables.ts'
import { NoDesk, type Consequences } from './useConsequences.ts'
import type { Tables } from './useTables.ts'

/** What both sides changed, with the revision that came between. */
export interface Clash {
  merged: Merged
  /** The draft that was brought together with theirs. */
  mine: Draft
  theirs: Draft
  revision: number
}

export interface Saving {
  /** The newest revision the draft knows of: it began from it, or has been brought together with it. 0: none. */
  revision: Ref<number>
  base: ShallowRef<Draft>
  changes: ComputedRef<readonly Difference[]>
  unsaved: ComputedRef<boolean>
  busy: Ref<boolean>
  clash: ShallowRef<Clash | undefined>
  told: Ref<string>
  refusal: Ref<string>
  save: () => Promise<void>
  /** A newer revision that somebody saved, where nothing of the draft would be lost by it. */
  adopt: (plan: Plan, newest: number) => void
  /** Leaves a clash as it is: nothing is saved. */
  forget: () => void
  /** The choices of a clash, in the order of its conflicts; then it is saved. */
  choose: (choices: readonly Side[]) => Promise<void>
}

/**
 * Saving a draft over the revision it began from. Where somebody was quicker, both are brought together by row and cell, and
 * only what both changed is asked.
 */
export function useSaving(parts: {
  as: string
  /** Undefined: the event is made by the first save. */
  eventId: string | undefined
  beginning: { revision: number; base: Draft }
  /** The first try to make the event; kept beside the draft before it is sent, so that a page loaded anew repeats it. */
  firstTry: Ref<FirstTry | undefined>
  keepTry: () => Promise<void>
  tables: Tables
  consequences: Pick<Consequences, 'settled'>
  saved: (revision: number) => void
  created: (made: CreatedPlan) => void
}): Saving {
  const { as, eventId, tables, consequences, firstTry } = parts
  const revision = ref(parts.beginning.revision)
  const base = shallowRef(parts.beginning.base)
  const busy = ref(false)
  const clash = shallowRef<Clash>()
  const told = ref('')
  const refusal = ref('')
  const changes = computed(() => differences(base.value, tables.draft.value))

  async function attempt() {
    const judged = await consequences.settled()
    if ('faults' in judged) {
      refusal.value = TABLES.tooFaulty
      return
    }
    const { plan, draft } = judged
    if (eventId === undefined) {
      const made = await create(plan)
      // Nothing of it is left to keep or to ask for.
      base.value = draft
      parts.created(made)
      return
    }
    try {
      const { revision: made } = await savePlan(as, eventId, revision.value, plan)
      take(draft, plan, made)
    } catch (problem) {
      if (!(problem instanceof Refusal) || problem.code !== 'stale-revision') throw problem
      await bringTogether(eventId, judged)
    }
  }
  /** One event, however often it is asked for: an answer that was lost may have been of the draft as it was then. */
  async function create(plan: Plan): Promise<CreatedPlan> {
    const text = JSON.stringify(plan)
    const asked = (firstTry.value ??= { requestId: newRequestId(), text })
    await parts.keepTry()
    const made = await createPlan(as, text, asked.requestId)
    if (!made.repeated || text === asked.text) return made
    const { revision: saved } = await savePlan(as, made.eventId, made.revision, plan)
    return { ...made, revision: saved }
  }
  /** What is saved is what the service would give back; what was typed meanwhile stays typed. */
  function take(sent: Draft, plan: Plan, made: number) {
    const kept = draftOf(plan)
    const now = tables.draft.value
    base.value = kept
    revision.value = made
    tables.step(now === sent ? kept : merge(sent, kept, now).draft)
    told.value = [told.value, savedText(made)].filter((text) => text !== '').join(' ')
    parts.saved(made)
  }
  async function bringTogether(event: string, sent: { draft: Draft; plan: Plan }) {
    const newest = await readPlan(as, event)
    const theirs = draftOf(newest.plan)
    // What was typed while the answers were on their way counts too.
    const mine = tables.draft.value
    const merged = merge(base.value, theirs, mine === sent.draft ? draftOf(sent.plan) : mine)
    if (merged.conflicts.length > 0) clash.value = { merged, mine, theirs, revision: newest.revision }
    else await goOn(merged.draft, { mine, theirs, revision: newest.revision })
  }
  async function goOn(draft: Draft, { mine, theirs, revision: newest }: Omit<Clash, 'merged'>) {
    const now = tables.draft.value
    told.value = mergedText(newest, differences(base.value, theirs).length)
    base.value = theirs
    revision.value = newest
    tables.step(now === mine ? draft : merge(mine, draft, now).draft)
    await attempt()
  }
  async function guarded(act: () => Promise<void>) {
    if (busy.value) return
    busy.value = true
    refusal.value = ''
    told.value = ''
    try {
      await act()
    } catch (problem) {
      refusal.value = problem instanceof NoDesk ? TABLES.noWorker : await refusalWords(problem)
    }
    busy.value = false
  }

  return {
    revision,
    base,
    changes,
    unsaved: computed(() => changes.value.length > 0),
    busy,
    clash,
    told,
    refusal,
    save: () => guarded(attempt),
    adopt: (plan, newest) => {
      if (newest <= revision.value || changes.value.length > 0) return
      base.value = draftOf(plan)
      revision.value = newest
      tables.step(base.value)
    },
    forget: () => {
      clash.value = undefined
    },
    choose: (choices) =>
      guarded(async () => {
        const both = clash.value
        clash.value = undefined
        if (both !== undefined) await goOn(settle(both.merged, choices), both)
      })
  }
}
