import { describe, expect, it } from 'vitest'
import { shallowRef } from 'vue'
import { useDraft } from '../../client/state/useDraft.ts'
import { labelsOf } from '../../client/labels.ts'
import { demoPlan } from '../../server/demo/plan.ts'
import type { Fact } from '../../shared/contracts/facts.ts'
import type { Unsent } from '../../shared/entry/understanding.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { reduce } from '../../shared/live/reduce.ts'
import { emptyState } from '../../shared/live/state.ts'
import { NOW_MS } from './fixture.ts'

/* The demonstration plan; an order that is on its way while the hand goes on. */

const plan = demoPlan(NOW_MS)
const told = (seq: number, fact: object) =>
  ({
    v: 1,
    seq,
    recordedAtMs: NOW_MS,
    atMs: NOW_MS,
    by: 'link',
    requestId: `r-${String(seq)}`,
    ...fact
  }) as unknown as Fact
const facts = [told(1, { kind: 'planAdopted', revision: 1, plan }), told(2, { kind: 'eventOpened' })]
const state = facts.reduce(reduce, emptyState('event'))

function begun() {
  const draft = useDraft({
    state: shallowRef(state),
    view: shallowRef(estimate(state, NOW_MS)),
    labels: shallowRef(labelsOf(plan)),
    estimate: shallowRef(estimate)
  })
  const movable = plan.flights.flatMap(({ ships }) => ships.map(({ id }) => id))
  const moveOne = () => movable.some((id) => draft.move(id, 1))
  expect(moveOne()).toBe(true)
  const asked: Unsent[] = []
  let answer: (recorded: boolean) => void = () => undefined
  const by = (request: Unsent) => {
    asked.push(request)
    return new Promise<boolean>((resolve) => {
      answer = resolve
    })
  }
  const moveOther = () => movable.toReversed().some((id) => draft.move(id, -1))
  return {
    draft,
    asked,
    by,
    answer: (recorded: boolean) => {
      answer(recorded)
    },
    moveOther
  }
}

describe('a moved order on its way', () => {
  it('is sent once, however often it is accepted, and dropped when it is recorded', async () => {
    const { draft, asked, by, answer } = begun()
    const first = draft.send(by, () => 7)
    expect(draft.sending.value).toBe(true)
    expect(await draft.send(by, () => 7)).toBeUndefined()
    expect(asked).toHaveLength(1)
    answer(true)
    expect(await first).toEqual({ recorded: true, same: true })
    expect([draft.sending.value, draft.pending.value]).toEqual([false, false])
  })

  it('takes nothing with it that was moved meanwhile, which is then based on it', async () => {
    const { draft, asked, by, answer, moveOther } = begun()
    const first = draft.send(by, () => 7)
    expect(moveOther()).toBe(true)
    const orders = draft.orders.value
    answer(true)
    expect(await first).toEqual({ recorded: true, same: false })
    expect(draft.orders.value).toBe(orders)
    void draft.send(by, () => 9)
    expect(asked.map((one) => one.kind === 'setOrder' && one.basedOnSeq)).toEqual([2, 7])
  })

  it('does not vouch for what was begun anew meanwhile', async () => {
    const { draft, asked, by, answer, moveOther } = begun()
    const first = draft.send(by, () => 7)
    draft.drop()
    expect(moveOther()).toBe(true)
    answer(true)
    await first
    void draft.send(by, () => 9)
    expect(asked.map((one) => one.kind === 'setOrder' && one.basedOnSeq)).toEqual([2, 2])
  })

  it('stays pending when it is refused', async () => {
    const { draft, by, answer } = begun()
    const first = draft.send(by, () => 7)
    answer(false)
    expect(await first).toEqual({ recorded: false, same: true })
    expect([draft.sending.value, draft.pending.value]).toEqual([false, true])
  })
})
