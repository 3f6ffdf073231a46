import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { effectScope, nextTick, shallowRef, type EffectScope } from 'vue'
import type { Asked, FromDesk, ToDesk } from '../../client/order-desk.ts'
import { Sights, type ToSights } from '../../client/sights.ts'
import { useDraft } from '../../client/state/useDraft.ts'
import type { LiveEvent } from '../../client/state/useEvent.ts'
import { useOrder } from '../../client/state/useOrder.ts'
import { useProposal } from '../../client/state/useProposal.ts'
import type { Fact } from '../../shared/contracts/facts.ts'
import type { SearchView } from '../../shared/contracts/search.ts'
import type { View } from '../../shared/contracts/view.ts'
import * as moving from '../../client/moving.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { reduce } from '../../shared/live/reduce.ts'
import { emptyState } from '../../shared/live/state.ts'
import { propose, type Proposal } from '../../shared/propose/propose.ts'
import { FACTS, plan, told } from './failed-station.ts'
import { labels, NOW_MS } from './fixture.ts'

/*
 * No outside source: what is shown follows from what came and what was seen. The demonstration plan with a station failed
 * (constructed), and workers that answer when the test says so.
 */

const AT_MS = NOW_MS + 60_000
const failed = FACTS.reduce(reduce, emptyState('event'))
const proposals = new Map<string, Proposal | undefined>()
/** What the search finds at the first instant: looked for once. */
function found(kind: Asked['kind']): Proposal {
  if (!proposals.has(kind)) proposals.set(kind, propose(failed, AT_MS, { kind }))
  const proposal = proposals.get(kind)
  if (proposal === undefined) throw new Error('there is a proposal')
  return proposal
}

type Heard = (event: { data?: unknown }) => void
/** A worker that answers when it is told to. */
class Beside {
  static all: Beside[] = []
  readonly isSight: boolean
  isEnded = false
  private readonly listeners = new Map<string, Heard>()
  private readonly sights = new Sights()
  private asked: Asked[] = []

  constructor(url: URL) {
    this.isSight = url.href.includes('sight')
    Beside.all.push(this)
  }
  addEventListener(kind: string, heard: Heard) {
    this.listeners.set(kind, heard)
  }
  postMessage(message: ToDesk | ToSights) {
    if (this.isSight) this.sights.hear(message as ToSights)
    else if ('asked' in message) this.asked.push(message.asked)
  }
  terminate() {
    this.isEnded = true
  }
  answer() {
    if (this.isSight) {
      const seen = this.sights.seen()
      if (seen !== undefined) this.listeners.get('message')?.({ data: structuredClone(seen) })
    }
    for (const { ask, kind } of this.asked.splice(0)) {
      const answer: FromDesk = { ask, kind, proposal: found(kind), more: false }
      this.listeners.get('message')?.({ data: structuredClone(answer) })
    }
  }
  die() {
    this.listeners.get('error')?.({})
  }
}
const alive = (isSight: boolean) => Beside.all.find((worker) => worker.isSight === isSight && !worker.isEnded)

/** A page with its proposals. */
function page() {
  const log = [...FACTS]
  const state = shallowRef(failed)
  const view = shallowRef<View | undefined>(estimate(failed, AT_MS))
  const search = shallowRef<SearchView>()
  const parts = { state, view, labels: shallowRef(labels), moving: shallowRef(moving) }
  const event = { ...parts, log, search, lastKnown: shallowRef(false) } as unknown as LiveEvent
  const draft = useDraft(parts)
  const desk = useOrder(view)
  const proposal = useProposal({ event, draft, desk })
  return {
    draft,
    desk,
    proposal,
    column: (name: string) => proposal.columns.value.find((one) => one.name === name),
    hear: (fact: Fact) => {
      log.push(fact)
      state.value = reduce(state.value, fact)
    },
    prove: async ({ orders, basedOnSeq }: Proposal) => {
      search.value = { status: 'done', proposal: { orders, basedOnSeq } } as unknown as SearchView
      await nextTick()
    },
    passTo: async (s: number) => {
      view.value = estimate(state.value, NOW_MS + s * 1000)
      await nextTick()
    },
    /** A picture of a second later that is otherwise the same. */
    tick: async () => {
      if (view.value !== undefined) view.value = { ...view.value, atMs: view.value.atMs + 1_000 }
      await nextTick()
    }
  }
}
/** What is looked for and what is seen, as often as it is asked. */
const answers = async () => {
  for (let n = 0; n < 3; n += 1) for (const worker of Beside.all) if (!worker.isEnded) worker.answer()
  await nextTick()
}

describe('proposals on a page', () => {
  let scope: EffectScope
  beforeEach(() => {
    Beside.all = []
    vi.stubGlobal('Worker', Beside)
    scope = effectScope()
  })
  afterEach(() => {
    scope.stop()
    vi.unstubAllGlobals()
  })
  /** With both that were asked for there, and one of them chosen. */
  const suggested = async () => {
    const shown = scope.run(page)
    if (shown === undefined) throw new Error('there is no scope')
    shown.desk.suggest('repair')
    await nextTick()
    await answers()
    expect(shown.proposal.chosen.value).toBe('repair')
    return shown
  }
  const secondsOf = (view: View | undefined) => view && (view.atMs - NOW_MS) / 1000

  it('go on with time where one is pending and their panel was closed', async () => {
    const { draft, desk, passTo } = await suggested()
    desk.close()
    await nextTick()
    for (const s of [70, 120]) {
      await passTo(s)
      expect(draft.pending.value).toBe(true)
      expect(secondsOf(draft.view.value)).toBe(s)
    }
  })

  it('go on with time where what sees them failed, and what stood then is shown no longer', async () => {
    const { draft, column, passTo } = await suggested()
    await passTo(70)
    alive(true)?.die()
    await nextTick()
    expect(column('repair')).toEqual({ name: 'repair', candidate: undefined, looking: false, unseen: true })
    expect(secondsOf(draft.view.value)).toBe(70)
  })

  it('show a proof no longer, and do not let it be chosen, where it lapsed', async () => {
    const { draft, proposal, column, hear, prove, passTo } = await suggested()
    const proof = found('anew')
    await prove(proof)
    await answers()
    expect(column('proof')?.candidate).toBeDefined()
    const [first] = proof.orders
    const before = plan.orders.find(({ tankerId }) => tankerId === first?.tankerId)
    hear(told(4, { kind: 'orderSet', ...before, basedOnSeq: 3 }))
    await passTo(70)
    await answers()
    expect(column('proof')).toBeUndefined()
    draft.drop()
    proposal.choose('proof')
    expect(proposal.chosen.value).toBe('in force')
    // The service looked at it again.
    await prove({ ...proof, basedOnSeq: 4 })
    await answers()
    expect(secondsOf(column('proof')?.candidate?.view)).toBe(70)
    proposal.choose('proof')
    expect(proposal.chosen.value).toBe('proof')
  })

  it('are looked for until they were seen, and not before that said to be none', async () => {
    const shown = scope.run(page)
    shown?.desk.suggest('best')
    await nextTick()
    expect(shown?.column('repair')?.looking).toBe(true)
    alive(false)?.answer()
    await nextTick()
    expect(shown?.column('repair')).toEqual({ name: 'repair', candidate: undefined, looking: true, unseen: false })
    await answers()
    expect(shown?.column('repair')?.candidate).toBeDefined()
    expect(shown?.column('repair')?.looking).toBe(false)
  })

  it('are seen by another where what sees them failed', async () => {
    const { draft, column, passTo } = await suggested()
    const first = alive(true)
    await passTo(70)
    first?.die()
    await nextTick()
    expect(first?.isEnded).toBe(true)
    expect(column('repair')?.unseen).toBe(true)
    await passTo(80)
    await answers()
    expect(alive(true)).toBeDefined()
    // Whole, though the new one tells of nothing against what the old one told.
    const repair = column('repair')?.candidate
    expect(repair?.view).toEqual(estimate(failed, NOW_MS + 80_000, repair?.orders))
    expect(secondsOf(draft.view.value)).toBe(80)
    expect(column('repair')?.unseen).toBe(false)
  })

  it('are tried to be seen ever more rarely where what sees them never loads, which each says, and chosen once it does', async () => {
    vi.useFakeTimers()
    try {
      const shown = scope.run(page)
      shown?.desk.suggest('repair')
      await nextTick()
      for (const worker of Beside.all) worker.answer()
      await nextTick()
      const MINUTES = 10
      for (let s = 1; s <= MINUTES * 60; s += 1) {
        alive(true)?.die()
        await shown?.tick()
        vi.advanceTimersByTime(1_000)
        expect(shown?.column('repair')).toEqual({ name: 'repair', candidate: undefined, looking: false, unseen: true })
      }
      // The first, at the next picture, after 2, 4, 8, 16 and 32 s, and once a minute from then on.
      const sightCount = Beside.all.filter((worker) => worker.isSight).length
      expect(sightCount).toBeGreaterThan(MINUTES)
      expect(sightCount).toBeLessThanOrEqual(7 + MINUTES)
      expect(shown?.proposal.chosen.value).toBe('in force')
      alive(true)?.die()
      await shown?.tick()
      vi.advanceTimersByTime(60_000)
      alive(true)?.answer()
      await nextTick()
      expect(shown?.column('repair')?.unseen).toBe(false)
      expect(shown?.proposal.chosen.value).toBe('repair')
    } finally {
      vi.useRealTimers()
    }
  })
})
