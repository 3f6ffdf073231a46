import { computed, onScopeDispose, ref, watch, type ComputedRef, type Ref } from 'vue'
import type { Reason, View } from '../../shared/contracts/view.ts'
import {
  attentionLines,
  causesFirst,
  contactNumberOf,
  DEAL_KEYS,
  dealOf,
  flightsOf,
  newReasons,
  nextReason,
  reasonId,
  type AttentionLine
} from '../attention.ts'
import type { Labels } from '../labels.ts'
import { speak, stopSpeaking } from '../voice.ts'
import { ATTENTION } from '../words/attention.ts'
import { groupWords, reasonWords, saidReason } from '../words/reasons.ts'
import { useHeard, type Heard } from './useHeard.ts'

export interface Attention extends Heard {
  lines: ComputedRef<readonly AttentionLine[]>
  /** The reason that is taken up next. */
  nextId: ComputedRef<string | undefined>
  /** What newly needs attention, for those who hear the page. */
  told: Ref<string>
  /** Takes up the worst, then the one below it, and begins anew after the last. */
  takeUp: () => void
  /** Takes up the worst that a key deals with; whether there is one. */
  takeUpBy: (key: string) => boolean
  /** The worst is the next again. */
  reset: () => void
}

/** Sentences told at once; the rest is counted. */
const MOST_TOLD = 3

/** What needs attention: as lines, as what is next, and as what is newly so. */
export function useAttention(parts: {
  /** The picture of the order in force: what is moved or proposed is no trouble yet, and mends none. */
  view: Ref<View | undefined>
  labels: Ref<Labels | undefined>
  deal: (reason: Reason) => void
}): Attention {
  const heard = useHeard()
  const takenId = ref<string>()
  const told = ref('')
  const lines = computed(() => attentionLines(parts.view.value?.reasons ?? []))
  const inTurn = computed(() => lines.value.flatMap(({ reasons }) => reasons))
  const next = computed(() => nextReason(inTurn.value, takenId.value))

  function take(reason: Reason | undefined): boolean {
    if (reason === undefined) return false
    takenId.value = reasonId(reason)
    parts.deal(reason)
    return true
  }

  let known: ReadonlyMap<string, number> | undefined
  watch(
    parts.view,
    (view) => {
      const labels = parts.labels.value
      if (view === undefined || labels === undefined) return
      const urgent = view.reasons.filter(({ severity }) => severity !== 'note')
      const first = known === undefined
      const { fresh, known: seen } = newReasons(known ?? new Map(), urgent, view.atMs)
      known = seen
      // What was there when the page came is on it already.
      if (first || fresh.length === 0) return
      const contactNumber = contactNumberOf(view.slots)
      const sentences = causesFirst(attentionLines(fresh)).map(({ reasons }) =>
        reasons.length > 1
          ? groupWords(reasons, flightsOf(reasons, view, labels), labels.massUnit, view.atMs)
          : saidReason(reasonWords(reasons[0], labels, labels.massUnit, { contactNumber, nowMs: view.atMs }))
      )
      told.value = ATTENTION.fresh(sentences.slice(0, MOST_TOLD), Math.max(0, sentences.length - MOST_TOLD))
      if (heard.sound.value) void sounded(fresh.some(({ severity }) => severity === 'now'))
      if (heard.spoken.value) speak(told.value)
    },
    { immediate: true }
  )
  onScopeDispose(stopSpeaking)

  return {
    ...heard,
    lines,
    nextId: computed(() => next.value && reasonId(next.value)),
    told,
    takeUp: () => {
      take(next.value)
    },
    takeUpBy: (key) => take(inTurn.value.find((reason) => DEAL_KEYS[dealOf(reason)] === key)),
    reset: () => {
      takenId.value = undefined
    }
  }
}

/** Off until somebody wants it: it stays out of the first load. */
const sounded = async (urgent: boolean) => {
  const { quietTone } = await import('../tone.ts')
  quietTone(urgent)
}
