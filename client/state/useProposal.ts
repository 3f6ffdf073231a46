import { computed, onScopeDispose, shallowRef, watch, type ComputedRef, type ShallowRef } from 'vue'
import type { View } from '../../shared/contracts/view.ts'
import { compareJudgements } from '../../shared/order/judgement.ts'
import { ordersInForce } from '../../shared/live/state.ts'
import type { Asked, Came, FromDesk, InstantKind, Looked, SightKind, ToDesk } from '../order-desk.ts'
import { askAgain } from '../pause.ts'
import { unsaidOf } from '../unsaid.ts'
import { changesBetween, movedShips, troubleOf, type Candidate, type Lapse } from '../proposal.ts'
import { sightsHeard } from '../sights.ts'
import { LAPSES, offerSentence, PROPOSAL, type ColumnName } from '../words/proposal.ts'
import type { Draft } from './useDraft.ts'
import type { LiveEvent } from './useEvent.ts'
import type { OrderDesk, Wish } from './useOrder.ts'

/** An order in the comparison. */
export interface Column {
  name: ColumnName
  /** Undefined while it is looked for, or when nothing better was found. */
  candidate: Candidate | undefined
  looking: boolean
}

export interface Proposals {
  /** The order in force as the others were compared with it; undefined until there is one. */
  asIs: ComputedRef<View | undefined>
  columns: ComputedRef<readonly Column[]>
  chosen: ComputedRef<ColumnName>
  /** What became of proposals, in a sentence. */
  told: ShallowRef<string>
  /** A repair that nobody asked for. */
  offer: ComputedRef<string>
  choose: (name: ColumnName) => void
  dismiss: () => void
}

type Kind = SightKind
interface Seen {
  asIs: View
  candidates: ReadonlyMap<Kind, Candidate>
}

/** An order that goes wrong is looked at again when nothing was recorded for so long. */
const LOOK_AGAIN_MS = 30_000
/** A proposal that lapses as soon as it comes is asked for again no sooner. */
const PAUSE_MS = 1_000
const KINDS = ['repair', 'anew', 'proof'] as const

/** Proposals for an event: made beside the page, seen on the present state, never the page's own to put in force. */
export function useProposal({ event, draft, desk }: { event: LiveEvent; draft: Draft; desk: OrderDesk }): Proposals {
  const came = shallowRef<ReadonlyMap<Kind, Came>>(new Map())
  const seen = shallowRef<Seen>()
  const looking = shallowRef<ReadonlySet<InstantKind>>(new Set())
  const told = shallowRef('')
  const dismissed = shallowRef('')
  const open = computed(() => desk.wish.value !== undefined)

  const worker = new Worker(new URL('../order-worker.ts', import.meta.url), { type: 'module' })
  const say = (message: ToDesk) => {
    worker.postMessage(message)
  }
  let askCount = 0
  const unsaid = unsaidOf(event.log)
  /** The last asking of a kind, and the last fact that was known to it. */
  const newest = new Map<InstantKind, { ask: number; seq: number }>()
  const heard = sightsHeard()
  say({ eventId: event.state.value.eventId })

  function tellFacts() {
    const { anew, facts } = unsaid()
    if (anew) say({ eventId: event.state.value.eventId })
    if (facts.length > 0) say({ facts })
  }
  function ask(kind: InstantKind) {
    const view = event.view.value
    if (view === undefined) return
    tellFacts()
    const from = draft.pending.value && draft.name.value === undefined ? draft.orders.value : undefined
    const asked: Asked = { ask: ++askCount, kind, atMs: view.atMs, from }
    newest.set(kind, { ask: asked.ask, seq: event.state.value.seq })
    looking.value = new Set([...looking.value, kind])
    say({ asked })
  }

  worker.addEventListener('message', ({ data }: MessageEvent<FromDesk | Looked>) => {
    if ('sights' in data) looked(data)
    else answered(data)
  })
  function answered({ ask, kind, proposal, more, sight }: FromDesk) {
    const candidates = sight === undefined ? [] : [heard(sight)]
    const asked = newest.get(kind)
    if (asked?.ask !== ask) return
    if (!more) looking.value = new Set([...looking.value].filter((one) => one !== kind))
    const { orders: changed = [], basedOnSeq = 0 } = proposal ?? {}
    came.value = changed.length === 0 ? without(kind) : new Map([...came.value, [kind, { changed, basedOnSeq }]])
    // It may not stand on what was recorded meanwhile, and the others are of another instant.
    const isOld = event.state.value.seq > asked.seq
    see(event.view.value, isOld ? [] : candidates)
    if (isOld || came.value.size > 1) look()
    settle()
  }
  worker.addEventListener('error', () => {
    told.value = PROPOSAL.failed
    looking.value = new Set()
    underway = undefined
  })
  const again = askAgain(ask, PAUSE_MS)
  onScopeDispose(() => {
    again.stop()
    worker.terminate()
  })
  const without = (kind: Kind) => new Map([...came.value].filter(([one]) => one !== kind))

  /** What is seen is of these. */
  const seenOf = new Map<Kind, Came | undefined>()
  /** Takes proposals as they stand; what no longer stands is asked for again. */
  function see(asIs: View | undefined, sights: readonly (readonly [Kind, Candidate | Lapse])[]) {
    for (const [kind] of sights) seenOf.set(kind, came.value.get(kind))
    const known = [...(seen.value?.candidates ?? []), ...sights]
    const standing = known.filter(([kind]) => came.value.has(kind) && seenOf.get(kind) === came.value.get(kind))
    const candidates = new Map<Kind, Candidate>()
    for (const [kind, candidate] of standing) if (typeof candidate !== 'string') candidates.set(kind, candidate)
    for (const [kind, candidate] of sights) {
      if (typeof candidate !== 'string') continue
      candidates.delete(kind)
      lapse(kind, candidate)
    }
    seen.value = asIs && { asIs, candidates }
  }

  /** Has what came seen on the present state, beside the page: one look at a time, and another when more came meanwhile. */
  let underway: { asIs: View; came: ReadonlyMap<Kind, Came> } | undefined
  let isLookAsked = false
  function look() {
    const asIs = event.view.value
    if (asIs === undefined || came.value.size === 0) {
      see(asIs, [])
      return
    }
    isLookAsked = underway !== undefined
    if (isLookAsked) return
    underway = { asIs, came: came.value }
    tellFacts()
    say({ look: { atMs: asIs.atMs, proposals: [...came.value].map(([kind, one]) => ({ kind, ...one })) } })
  }
  function looked({ sights }: Looked) {
    const candidates = sights.map(heard)
    const asked = underway
    underway = undefined
    if (asked === undefined) return
    // What was taken away or came anew meanwhile is not of this look.
    const still = candidates.filter(([kind]) => came.value.has(kind) && came.value.get(kind) === asked.came.get(kind))
    if (still.length > 0) see(asked.asIs, still)
    if (isLookAsked) look()
    settle()
  }

  function lapse(kind: Kind, why: Lapse) {
    const chosenOne = draft.name.value === kind
    if (chosenOne) draft.drop()
    // The service looks at its own again; until then it is not shown.
    if (kind === 'proof') {
      if (chosenOne) told.value = PROPOSAL.proofLapsed
      return
    }
    came.value = without(kind)
    if (open.value) told.value = LAPSES[why]
    again.ask(kind)
  }

  /** Chooses what was asked for, once all that was looked for is there, unless something was moved by hand. */
  let settled: Wish | undefined
  function settle() {
    const wish = desk.wish.value
    if (wish === undefined || looking.value.size > 0 || settled?.turn === wish.turn) return
    // What came is still being looked at.
    if (underway !== undefined && [...came.value.keys()].some((kind) => seen.value?.candidates.has(kind) !== true))
      return
    settled = wish
    if (draft.pending.value && draft.name.value === undefined) return
    const { candidates } = seen.value ?? {}
    const order = wish.choose === 'anew' ? (['anew', 'repair'] as const) : (['repair', 'anew'] as const)
    const there = order.flatMap((kind) => {
      const candidate = candidates?.get(kind)
      return candidate === undefined ? [] : [{ kind, candidate }]
    })
    const [wanted, other] = there
    if (wanted === undefined) return
    const better =
      wish.choose === 'best' &&
      other !== undefined &&
      compareJudgements(other.candidate.view.judgement, wanted.candidate.view.judgement) < 0
    choose(better ? other.kind : wanted.kind)
  }

  function choose(name: ColumnName) {
    if (name === 'in force') draft.drop()
    if (name === 'in force' || name === 'by hand') return
    const proposal = came.value.get(name)
    if (proposal !== undefined) draft.take(name, proposal.changed, proposal.basedOnSeq)
  }

  function dismiss() {
    dismissed.value = seen.value === undefined ? '' : troubleOf(seen.value.asIs)
  }

  watch(
    desk.wish,
    (wish) => {
      if (wish === undefined) {
        // Whoever closed them need not be offered the same again.
        dismiss()
        came.value = new Map()
        look()
        return
      }
      told.value = wish.stale ? PROPOSAL.stale : ''
      ask('repair')
      ask('anew')
    },
    { immediate: true }
  )

  // The service's order is seen here like the others, on the state this page has.
  watch(event.search, (search) => {
    const proposal = search?.proposal
    if (!proposal || proposal.orders.length === 0) {
      if (draft.name.value === 'proof') draft.drop()
      came.value = without('proof')
    } else {
      const { orders: changed, basedOnSeq } = proposal
      came.value = new Map([...came.value, ['proof', { changed, basedOnSeq }]])
      if (draft.name.value === 'proof') draft.take('proof', changed, basedOnSeq)
    }
    if (open.value) look()
  })

  let lookedSeq = 0
  let lookedAtMs = 0
  watch(
    event.view,
    (view) => {
      if (view === undefined || event.lastKnown.value) return
      if (open.value) {
        look()
        return
      }
      const troubled = troubleOf(view) !== ''
      if (came.value.size > 0) {
        if (troubled) look()
        else {
          came.value = new Map()
          seen.value = undefined
        }
      }
      if (!troubled || (view.seq === lookedSeq && view.atMs - lookedAtMs < LOOK_AGAIN_MS)) return
      lookedSeq = view.seq
      lookedAtMs = view.atMs
      ask('repair')
    },
    { immediate: true }
  )

  const byHand = computed((): Candidate | undefined => {
    const [orders, view, asIs] = [draft.orders.value, draft.view.value, event.view.value]
    if (draft.name.value !== undefined || orders === undefined || view === undefined || asIs === undefined)
      return undefined
    return { orders, view, changes: changesBetween(asIs, view, ordersInForce(event.state.value), orders) }
  })
  const columns = computed((): Column[] => [
    ...KINDS.flatMap((name): Column[] => {
      const candidate = seen.value?.candidates.get(name)
      if (name === 'proof') return candidate === undefined ? [] : [{ name, candidate, looking: false }]
      return [{ name, candidate, looking: looking.value.has(name) }]
    }),
    ...(byHand.value === undefined ? [] : [{ name: 'by hand' as const, candidate: byHand.value, looking: false }])
  ])
  watch(columns, (all) => {
    desk.named.value = new Map([
      ['in force', ordersInForce(event.state.value)],
      ...all.flatMap(({ name, candidate }) => (candidate === undefined ? [] : [[name, candidate.orders] as const]))
    ])
  })

  return {
    asIs: computed(() => (open.value ? seen.value?.asIs : undefined)),
    columns,
    chosen: computed(() => {
      if (!draft.pending.value) return 'in force'
      return KINDS.find((kind) => kind === draft.name.value) ?? 'by hand'
    }),
    told,
    offer: computed(() => {
      const repair = seen.value?.candidates.get('repair')
      if (open.value || draft.pending.value || repair === undefined || seen.value === undefined) return ''
      if (troubleOf(seen.value.asIs) === dismissed.value) return ''
      return offerSentence(repair.view, movedShips(repair.changes).length)
    }),
    choose,
    dismiss
  }
}
