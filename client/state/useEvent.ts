import {
  computed,
  getCurrentScope,
  onScopeDispose,
  ref,
  shallowRef,
  watch,
  type ComputedRef,
  type Ref,
  type ShallowRef
} from 'vue'
import type { Fact } from '../../shared/contracts/facts.ts'
import type { RecordedAnswer } from '../../shared/contracts/answers.ts'
import type { SearchView } from '../../shared/contracts/search.ts'
import { markOf, type EventClock, type FrameOut, type Hello, type Present } from '../../shared/contracts/stream.ts'
import type { View } from '../../shared/contracts/view.ts'
import type { Unsent } from '../../shared/entry/understanding.ts'
import { eventTime } from '../../shared/live/clock.ts'
import { planWithReceivers } from '../../shared/live/receivers.ts'
import { reduce } from '../../shared/live/reduce.ts'
import { emptyState, withdrawable, type LiveState } from '../../shared/live/state.ts'
import { isEnded, readLog, readMembership, readState, Refusal } from '../api.ts'
import { labelsOf, type Labels } from '../labels.ts'
import { isOutdated } from '../build.ts'
import { observedAtMs } from '../observed.ts'
import { painted } from '../painted.ts'
import type { KeptCall } from '../outbox-shelf.ts'
import { skewMeter } from '../skew.ts'
import { openStream } from '../stream.ts'
import type { ContactState } from '../words/contact.ts'
import { loadSentences } from '../words/refusal.ts'
import { useNotices } from './useNotices.ts'
import { useNow } from './useNow.ts'
import { useOutbox } from './useOutbox.ts'
import type { Moving } from './useDraft.ts'
import { usePicture, type Picture } from './usePicture.ts'

export interface LiveEvent {
  state: Ref<LiveState>
  /** What the event looks like now; the last known picture while contact is lost. */
  view: Ref<View | undefined>
  labels: ComputedRef<Labels | undefined>
  /** What works a picture out of the facts; the first picture is the service's own, so that the page need not wait. */
  moving: Ref<Moving | undefined>
  contact: Ref<ContactState>
  /** Figures are not of now. */
  lastKnown: ComputedRef<boolean>
  /** Looks again whether a link that has ended was renewed. */
  again: () => void
  /** Real time of the last thing heard, ms. */
  lastFrameAtMs: Ref<number | undefined>
  /** How far this device's clock is behind the service's, ms. */
  skewMs: Ref<number>
  /** The clock of the event; as this device knew it, `clockBefore`, where nothing of the log is there yet. */
  clock: ComputedRef<EventClock>
  clockBefore: ShallowRef<EventClock | undefined>
  /** The service is another version than the one this page came from. */
  outdated: Ref<boolean>
  /** What is wrong with the page as a whole, in words. */
  refusal: ComputedRef<string>
  /**
   * Asks for something to be recorded; `sentence` is what a call is known by while it waits.
   * @throws Refusal of the service; Kept when a call goes out by itself, later
   */
  record: (request: Unsent, sentence?: string) => Promise<RecordedAnswer>
  /** Calls without an answer yet, and those that were refused when they came through. */
  kept: ShallowRef<readonly KeptCall[]>
  /** Keeps a refused call in sight until somebody takes it away. */
  setAside: (request: Unsent, sentence: string, refusal: string) => void
  /** Takes a kept call away, unless the service may have it. */
  dropKept: (requestId: string) => boolean
  /** Which links look on, each with how many pages. */
  presence: ShallowRef<readonly Present[]>
  /** The last search of the service that was heard of. */
  search: ShallowRef<SearchView | undefined>
  /** The facts folded, in turn: it grows in place. */
  log: readonly Fact[]
  /** The last entry of this link that can be withdrawn. */
  lastOwnFact: () => Fact | undefined
  /** Whether this browser asked for it: several people may share a link. */
  isMadeHere: (fact: Fact) => boolean
}

/** One event, folded from its log and kept up to date by its stream. */
export function useEvent(as: string, eventId: string): LiveEvent {
  const state = shallowRef<LiveState>(emptyState(eventId))
  const view = shallowRef<View>()
  const served = shallowRef<View>()
  const moving = shallowRef<Moving>()
  const picture = shallowRef<Picture>()
  const scope = getCurrentScope()
  let gone = false
  let close: () => void = () => undefined
  const search = shallowRef<SearchView>()
  const presence = shallowRef<readonly Present[]>([])
  const contact = ref<ContactState>('connecting')
  const lastFrameAtMs = ref<number>()
  const lost = computed(() => contact.value !== 'live' && contact.value !== 'connecting')
  /** The last fact there was when contact came back, until a picture has it: the one before is not of now. */
  const awaited = ref<number>()
  const lastKnown = computed(() => lost.value || awaited.value !== undefined)
  const notices = useNotices()
  const skewMs = ref(0)
  const clockBefore = shallowRef<EventClock>()
  const clock = computed(() => (state.value.seq === 0 && clockBefore.value) || state.value.clock)
  const log: Fact[] = []
  const { now, refresh } = useNow(skewMs)
  const meter = skewMeter()
  const outdated = ref(false)

  /** How far the log of the service was known to go; without end from the loss of contact until it is told again. */
  let heardSeq = 0
  const isBehind = () => foreign || state.value.seq < heardSeq

  function fold(facts: readonly Fact[]) {
    const wasBehind = isBehind()
    let next = state.value
    for (const fact of facts) {
      if (fact.seq !== next.seq + 1) continue
      next = reduce(next, fact)
      log.push(fact)
    }
    state.value = next
    refresh()
    if (wasBehind && !isBehind()) void outbox.flush()
  }

  function refused(problem: unknown) {
    if (isEnded(problem)) end()
    else void notices.refused(problem)
  }
  function end() {
    close()
    contact.value = 'ended'
  }

  /** By HTTP: the first load, and whatever the stream skipped. */
  let catching: Promise<void> | undefined
  const catchUp = () =>
    (catching ??= readLog(as, eventId, state.value.seq)
      .then(({ facts }) => {
        if (!foreign) fold(facts)
        notices.answered()
      })
      .catch(refused)
      .finally(() => {
        catching = undefined
      }))

  /** What is folded is not what the service has at the same place: it was restored, and counts on from there. */
  let foreign = false
  let beginning: Promise<void> | undefined
  const isOurs = ({ after, mark }: Hello) => {
    const fact = log[after - 1]
    return after === 0 || (fact !== undefined && markOf(fact) === mark)
  }
  /** The old picture stays, as one that is not of now, until the whole new one is there. */
  const beginAnew = () =>
    (beginning ??= readLog(as, eventId, 0)
      .then(({ facts }) => {
        foreign = false
        log.length = 0
        state.value = emptyState(eventId)
        fold(facts)
        notices.answered()
        notices.begunAnew()
      })
      .catch(refused)
      .finally(() => {
        beginning = undefined
      }))

  const { kept, made, ...outbox } = useOutbox({
    as,
    eventId,
    skewMs: meter.knownMs,
    eventMs: ({ atMs, skewMs: thenMs = skewMs.value }) =>
      observedAtMs(log, clock.value, atMs + thenMs, Date.now() + skewMs.value),
    isRecorded: (requestId) => log.some((fact) => fact.requestId === requestId),
    contact,
    lost,
    behind: isBehind,
    onEnded: end,
    // The answer may come before the stream's frame; folding is by sequence number, so twice is once.
    onAnswer: ({ facts }) => {
      if (!foreign) fold(facts)
    }
  })

  function hear(frame: FrameOut) {
    if (frame.kind === 'hello' || frame.kind === 'beat') {
      skewMs.value = meter.heard(frame.realAtMs)
      heardSeq = frame.seq
    }
    if (frame.kind === 'hello') {
      outdated.value = isOutdated(frame.serverVersion)
      foreign ||= !isOurs(frame)
      // Whoever comes anew is told again after the greeting.
      void notices.trouble(null)
    }
    lastFrameAtMs.value = Date.now() + skewMs.value
    if (frame.kind === 'facts' && !foreign) {
      if (frame.from > state.value.seq + 1) void catchUp()
      else fold(frame.facts)
    }
    if (frame.kind === 'hello' && !isBehind()) void outbox.flush()
    if (foreign) void beginAnew()
    // The facts up to a hello follow it at once; a beat beyond what is folded means that some were missed.
    else if (frame.kind === 'beat' && frame.seq > state.value.seq) void catchUp()
    // The line is good; what waits may be waiting for something else, like room on the disk.
    if (frame.kind === 'beat') void outbox.flush()
    if (frame.kind === 'search') search.value = frame.search
    if (frame.kind === 'presence') presence.value = frame.links
    if (frame.kind === 'trouble') void notices.trouble(frame.code)
    if (frame.kind === 'problem') refused(new Refusal({ code: frame.code, title: frame.code }))
  }

  // With the service's picture the page waits until that is on the screen; without one it works its own out at once.
  void readState(as, eventId)
    .then(async (first) => {
      served.value = first
      await painted()
    })
    .catch(() => undefined)
    .then(() => {
      if (gone) return undefined
      picture.value = scope?.run(() => usePicture({ eventId, log, show, fail: alone })) ?? undefined
      // What is moved by hand is seen at once, on the page itself.
      return import('../moving.ts')
    })
    .then((came) => {
      if (came !== undefined) moving.value = came
    }, notices.notWhole)

  const ready = catchUp()
  void ready.then(loadSentences)
  const connect = () =>
    openStream({
      ...{ as, eventId, seq: () => state.value.seq, foreign: () => foreign, ready },
      onFrame: hear,
      onState: (next) => {
        // What was said of an opening without contact is over.
        if (next === 'live' && contact.value !== 'live') notices.answered()
        if (next === 'live' && lost.value && view.value !== undefined) awaited.value = state.value.seq
        if (next !== 'live') heardSeq = Infinity
        // Figures that were of an ended link are not of now before more is heard.
        contact.value = next === 'connecting' && lost.value ? 'retrying' : next
      },
      hasEnded: () => readMembership(as).then(() => false, isEnded)
    })
  close = connect()
  onScopeDispose(() => {
    gone = true
    close()
  })

  // Figures of old facts carried on by our own clock would look live.
  const isHeld = () => lost.value && view.value !== undefined
  function show(next: View | undefined) {
    if (isHeld()) return
    view.value = next
    if (next !== undefined && next.seq >= (awaited.value ?? 0)) awaited.value = undefined
  }
  /** Nothing works beside the page: it works by itself. */
  function alone() {
    picture.value = undefined
  }
  // Not of the view: what is shown must not ask for itself again.
  watch(
    [state, now, lost, picture, served, moving],
    () => {
      const { plan, clock } = state.value
      if (plan === undefined || isHeld()) return
      const atMs = eventTime(clock, now.value)
      if (picture.value !== undefined) {
        picture.value.ask(atMs)
        view.value ??= served.value
      } else show(moving.value?.estimate(state.value, atMs) ?? view.value ?? served.value)
    },
    { immediate: true }
  )
  const plan = computed(() => planWithReceivers(state.value))

  return {
    state,
    view,
    moving,
    labels: computed(() => (plan.value === undefined ? undefined : labelsOf(plan.value))),
    contact,
    lastKnown,
    again: () => {
      close()
      close = connect()
    },
    lastFrameAtMs,
    skewMs,
    clock,
    clockBefore,
    outdated,
    refusal: notices.said,
    record: (request, sentence = '') => outbox.record(request, sentence),
    kept,
    setAside: (request, sentence, reason) => {
      outbox.setAside(request, sentence, reason)
    },
    dropKept: (requestId) => outbox.drop(requestId),
    search,
    presence,
    log,
    lastOwnFact: () => log.findLast((fact) => fact.by === as && withdrawable(state.value, fact.seq) !== undefined),
    isMadeHere: ({ requestId }) => made.has(requestId)
  }
}
