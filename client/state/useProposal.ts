import { computed, onScopeDispose, shallowRef, watch, type ComputedRef, type ShallowRef } from 'vue'
import type { View } from '../../shared/contracts/view.ts'
import { compareJudgements } from '../../shared/order/judgement.ts'
import { ordersInForce } from '../../shared/live/state.ts'
import type { Asked, FromDesk, InstantKind, ToDesk } from '../order-desk.ts'
import { askAgain } from '../pause.ts'
import { unsaidOf } from '../unsaid.ts'
import { changesBetween, movedShips, troubleOf, type Candidate, type Lapse } from '../proposal.ts'
import type { Orders } from '../order.ts'
import type { Came, SightKind } from '../sights.ts'
import { LAPSES, offerSentence, PROPOSAL, type ColumnName } from '../words/proposal.ts'
import type { Draft } from './useDraft.ts'
import type { LiveEvent } from './useEvent.ts'
import type { OrderDesk, Wish } from './useOrder.ts'
import { useSights, type Looked } from './useSights.ts'

/** An order in the comparison. */
export interface Column {
  name: ColumnName
  /** Undefined while it is looked for, when nothing better was found, or where how it stands cannot be seen. */
  candidate: Candidate | undefined
  looking: boolean
  /** It is there, and what would see how it stands fails. */
  unseen: boolean
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
  const newest = new Map<InstantKind, number>()
  say({ eventId: event.state.value.eventId })

  function ask(kind: InstantKind) {
    const view = event.view.value
    if (view === undefined) return
    const { anew, facts } = unsaid()
    if (anew) say({ eventId: event.state.value.eventId })
    say({ facts })
    const from = draft.pending.value && draft.name.value === undefined ? draft.orders.value : undefined
    const asked: Asked = { ask: ++askCount, kind, atMs: view.atMs, from }
    newest.set(kind, asked.ask)
    looking.value = new Set([...looking.value, kind])
    say({ asked })
  }

  worker.addEventListener('message', ({ data: { ask, kind, proposal, more } }: MessageEvent<FromDesk>) => {
    if (newest.get(kind) !== ask) return
    if (!more) looking.value = new Set([...looking.value].filter((one) => one !== kind))
    const { orders: changed = [], basedOnSeq = 0 } = proposal ?? {}
    came.value = changed.length === 0 ? without(kind) : new Map([...came.value, [kind, { changed, basedOnSeq }]])
    look()
    settle()
  })
  worker.addEventListener('error', () => {
    told.value = PROPOSAL.failed
    looking.value = new Set()
    unsee()
  })
  const again = askAgain(ask, PAUSE_MS)
  onScopeDispose(() => {
    again.stop()
    worker.terminate()
  })
  const without = (kind: Kind) => new Map([...came.value].filter(([one]) => one !== kind))

  const sights = useSights(event, { seen: take, fail: unsee })
  /** Has what came seen on the present state. */
  function look() {
    const asIs = event.view.value
    if (asIs !== undefined && came.value.size > 0) sights.look(asIs, came.value)
    else unsee()
  }
  /** What was seen last would stand still from here on. */
  function unsee() {
    draft.sights.value = new Map()
    see(event.view.value, new Map())
  }
  /** What no longer stands is asked for again; what was taken away or came anew meanwhile is not of this look. */
  function take({ asIs, of, outcomes }: Looked) {
    const candidates = new Map(seen.value?.candidates)
    const sightsNow: [Orders, View][] = []
    for (const [kind, outcome] of outcomes) {
      const changed = of.get(kind)?.changed
      if (changed === undefined || came.value.get(kind)?.changed !== changed) continue
      if (typeof outcome === 'string') {
        candidates.delete(kind)
        lapse(kind, outcome)
      } else {
        candidates.set(kind, outcome)
        sightsNow.push([changed, outcome.view])
      }
    }
    draft.sights.value = new Map(sightsNow)
    see(asIs, candidates)
    settle()
  }
  function see(asIs: View | undefined, candidates: ReadonlyMap<Kind, Candidate>) {
    seen.value = asIs && { asIs, candidates: new Map([...candidates].filter(([kind]) => came.value.has(kind))) }
  }

  /** It came, and does not stand before anybody yet, or no longer. */
  const isAwaited = (kind: Kind) => came.value.has(kind) && seen.value?.candidates.has(kind) !== true

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
    // What came is still to be seen.
    if (sights.isLooking() && (isAwaited('repair') || isAwaited('anew'))) return
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
    if (proposal !== undefined && !isAwaited(name)) draft.take(name, proposal.changed, proposal.basedOnSeq)
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
          unsee()
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
      const unseen = sights.isFailing.value && isAwaited(name)
      if (name === 'proof' && candidate === undefined && !unseen) return []
      const isLookedFor = name !== 'proof' && (looking.value.has(name) || isAwaited(name))
      return [{ name, candidate, looking: isLookedFor && !unseen, unseen }]
    }),
    ...(byHand.value === undefined
      ? []
      : [{ name: 'by hand' as const, candidate: byHand.value, looking: false, unseen: false }])
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
