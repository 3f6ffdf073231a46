import { describe, expect, it } from 'vitest'
import { compareJudgements } from '../../../shared/order/judgement.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { again } from '../../../shared/propose/again.ts'
import { propose, type Proposal } from '../../../shared/propose/propose.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, SHIPS, smallPlan } from '../../server/plan.ts'

const MIN = 60_000
const NOW_MS = OPENS_AT_MS + 10 * MIN

/** The small event (constructed) with all three ships in turn on one station: two stations are better. */
function crowded(): { event: MemoryEvent; proposal: Proposal } {
  const plan = smallPlan()
  const [order] = plan.orders
  const [left, right] = order?.sequences ?? []
  if (!order || !left || !right) throw new Error('the small plan has another order')
  left.slots.push(...right.slots.splice(0))
  const event = new MemoryEvent(plan)
  const proposal = propose(event.state, NOW_MS, { kind: 'proof' })
  if (!proposal) throw new Error('no plan')
  return { event, proposal }
}

const stationOf = ({ orders }: Proposal, slotId: string): string | undefined =>
  orders.flatMap(({ sequences }) => sequences).find(({ slots }) => slots.some(({ id }) => id === slotId))?.stationId

const call = (shipId: string, fuelKg: number) => ({
  kind: 'callFuel' as const,
  shipId,
  fuel: { value: fuelKg, unit: 'kg' as const },
  covers: 'total' as const
})

describe('a proposal judged again', () => {
  it('is the same while nothing has come, and after it went through JSON', () => {
    const { event, proposal } = crowded()
    expect(proposal.orders).toHaveLength(1)
    expect(compareJudgements(proposal.judgement, proposal.before)).toBeLessThan(0)
    expect(proposal.bound?.proved).toBe(true)
    expect(again(event.state, NOW_MS, proposal)).toEqual(proposal)
    const sent = JSON.parse(JSON.stringify(proposal)) as Proposal
    expect(sent).toEqual(proposal)
    expect(again(event.state, NOW_MS, sent)).toEqual(proposal)
  })

  it('keeps its orders after a fuel call, judged as the event judges them once they are set; the bound is gone', () => {
    const { event, proposal } = crowded()
    event.ask(call(SHIPS.alder1, 2600), NOW_MS)
    const laterMs = NOW_MS + MIN
    const judged = again(event.state, laterMs, proposal)
    expect(judged).toMatchObject({ basedOnSeq: event.state.seq, atMs: laterMs, orders: proposal.orders })
    expect(judged.bound).toBeUndefined()
    expect(judged.judgement).not.toEqual(proposal.judgement)
    expect(judged.before).toEqual(estimate(event.state, laterMs)?.judgement)
    expect(event.ask({ kind: 'setOrder', orders: judged.orders, basedOnSeq: event.state.seq }, laterMs)).toBeUndefined()
    const { moved, ...levels } = judged.judgement
    expect(estimate(event.state, laterMs)?.judgement).toMatchObject(levels)
    expect(moved).toBe(1)
  })

  it('offers nothing once its orders are set', () => {
    const { event, proposal } = crowded()
    event.ask({ kind: 'setOrder', orders: proposal.orders, basedOnSeq: event.state.seq }, NOW_MS)
    const judged = again(event.state, NOW_MS, proposal)
    expect(judged).toMatchObject({ orders: [], changes: [] })
    expect(judged.judgement).toEqual(judged.before)
  })

  it.each([
    [
      'a station of it is closed',
      () => ({ kind: 'setStation' as const, tankerId: 'rasp', stationId: 'right', status: 'failed' })
    ],
    ['the event is closed', () => ({ kind: 'closeEvent' as const })],
    [
      'a ship that would move is in contact where it stood',
      (shipId: string) => ({ kind: 'makeContact' as const, shipId })
    ],
    ['a ship that would move has left', (shipId: string) => ({ kind: 'leave' as const, shipId })]
  ] as const)('offers nothing once %s', (_, request) => {
    const { event, proposal } = crowded()
    const moved = proposal.changes.find((change) => change.moved)
    expect(stationOf(proposal, moved?.slotId ?? '')).toBe('right')
    const laterMs = OPENS_AT_MS + 31 * MIN
    expect(event.ask(request(moved?.shipId ?? ''), laterMs)).toBeUndefined()
    const judged = again(event.state, laterMs, proposal)
    expect(judged).toMatchObject({ orders: [], changes: [] })
    expect(judged.judgement).toEqual(judged.before)
  })

  it('offers nothing once the orders in force are better', () => {
    const { event, proposal } = crowded()
    const worse: Proposal = { ...proposal, orders: event.state.plan?.orders ?? [] }
    event.ask({ kind: 'setOrder', orders: proposal.orders, basedOnSeq: event.state.seq }, NOW_MS)
    const judged = again(event.state, NOW_MS, worse)
    expect(judged.orders).toEqual([])
    expect(judged.judgement).toEqual(judged.before)
  })

  it('has nothing to say of an event without a plan', () => {
    const { event, proposal } = crowded()
    const judged = again({ ...event.state, plan: undefined, seq: 9 }, NOW_MS, proposal)
    expect(judged).toMatchObject({ orders: [], changes: [], basedOnSeq: 9 })
  })
})
