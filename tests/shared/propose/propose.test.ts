import { describe, expect, it } from 'vitest'
import type { Plan } from '../../../shared/contracts/plan.ts'
import { compareJudgements } from '../../../shared/order/judgement.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { ordersInForce } from '../../../shared/live/state.ts'
import { propose, type Proposal } from '../../../shared/propose/propose.ts'
import { demoPlan } from '../../../server/demo/plan.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, smallPlan } from '../../server/plan.ts'

const MIN = 60_000
const NOW_MS = OPENS_AT_MS + 10 * MIN

type Asked = Parameters<MemoryEvent['ask']>[0]

/** What may come otherwise than planned, on the demonstration plan. */
const DISRUPTIONS: Readonly<Record<string, (plan: Plan, atMs: number) => Asked>> = {
  'a station failed': (plan) => {
    const [tanker] = plan.tankers.slice(1)
    const stations = plan.tankerTypes.find(({ id }) => id === tanker?.tankerTypeId)?.stations
    return { kind: 'setStation', tankerId: tanker?.id, stationId: stations?.at(-1)?.id, status: 'failed' }
  },
  'a ship late': (plan, atMs) => ({
    kind: 'setReady',
    shipId: plan.flights[0]?.ships[0]?.id,
    readyAtMs: atMs + 75 * MIN
  }),
  'a no-show': (plan) => ({ kind: 'setNoShow', shipId: plan.flights[1]?.ships[0]?.id, noShow: true }),
  'a tanker leaving early': (plan) => {
    const tanker = plan.tankers[0]
    return { kind: 'setTankerTimes', tankerId: tanker?.id, leavesAtMs: (tanker?.onStationAtMs ?? 0) + 25 * MIN }
  },
  'a priority raised': (plan) => ({ kind: 'setPriority', flightId: plan.flights.at(-1)?.id, priority: 1 }),
  'a give cut': (plan) => ({
    kind: 'setGive',
    tankerId: plan.tankers[0]?.id,
    mostTransferable: { value: 6_000, unit: 'lb' }
  })
}

/** The event as it would be with the proposal set, or why it would be refused. */
function accepted(event: MemoryEvent, proposal: Proposal, atMs: number) {
  return event.ask({ kind: 'setOrder', orders: proposal.orders, basedOnSeq: event.state.seq }, atMs)
}

describe('a proposal', () => {
  it(
    'would be set as it is, and leads to what it says, whatever has come otherwise than planned',
    { timeout: 60_000 },
    () => {
      const told: string[] = []
      for (const [name, disruption] of Object.entries(DISRUPTIONS)) {
        for (const kind of ['repair', 'anew'] as const) {
          const plan = demoPlan(OPENS_AT_MS)
          const event = new MemoryEvent(plan)
          const atMs = OPENS_AT_MS + 5 * MIN
          expect(event.ask(disruption(plan, atMs), atMs), name).toBeUndefined()
          const before = estimate(event.state, atMs)
          const proposal = propose(event.state, atMs, { kind, judgements: 800 })
          if (!proposal || !before) throw new Error('no plan')
          expect(proposal.before, name).toEqual(before.judgement)
          expect(compareJudgements(proposal.judgement, proposal.before), name).toBeLessThanOrEqual(0)
          told.push(`${name}, ${kind}: ${String(proposal.changes.length)} changes`)
          if (proposal.orders.length === 0) continue
          const draft = estimate(event.state, atMs, ordersWith(event, proposal))
          expect(draft?.judgement, name).toEqual(proposal.judgement)
          expect(accepted(event, proposal, atMs), name).toBeUndefined()
          const { moved, ...levels } = proposal.judgement
          expect(estimate(event.state, atMs)?.judgement, name).toMatchObject(levels)
          // A visit that is gone with the one before it, then as now, is moved and no news for anybody.
          const gone = new Set(before.slots.filter(({ state }) => state === 'gone').map(({ slotId }) => slotId))
          const news = proposal.changes.filter((one) => one.moved)
          expect(news.length, name).toBeLessThanOrEqual(moved)
          expect(news.length + gone.size, name).toBeGreaterThanOrEqual(moved)
        }
      }
      console.info(told.join('; '))
      expect(told.some((line) => !line.endsWith(' 0 changes'))).toBe(true)
    }
  )

  it('tells for each ship from where to where, and when it comes now', () => {
    const event = crowded(smallPlan())
    const proposal = propose(event.state, NOW_MS, { kind: 'anew' })
    if (!proposal) throw new Error('no plan')
    const draft = estimate(event.state, NOW_MS, ordersWith(event, proposal))
    const asIs = estimate(event.state, NOW_MS)
    expect(proposal.changes.length).toBeGreaterThan(0)
    for (const { slotId, was, becomes, contactLaterMs } of proposal.changes) {
      const slot = draft?.slots.find((one) => one.slotId === slotId)
      const before = asIs?.slots.find((one) => one.slotId === slotId)
      expect(becomes).toMatchObject({ contactAtMs: slot?.contactAtMs, onLoadKg: slot?.onLoadKg })
      expect(was).toMatchObject({ contactAtMs: before?.contactAtMs, onLoadKg: before?.onLoadKg })
      if (contactLaterMs !== undefined)
        expect(contactLaterMs).toBe((slot?.contactAtMs ?? NaN) - (before?.contactAtMs ?? NaN))
    }
  })

  it('is the same for the same state, time and wish', () => {
    const event = crowded(smallPlan())
    for (const kind of ['repair', 'anew', 'proof'] as const)
      expect(propose(event.state, NOW_MS, { kind })).toEqual(propose(event.state, NOW_MS, { kind }))
  })

  it('has ships leave with internal tanks only where their flight may and that saves somebody, and not elsewhere', () => {
    const rigged = (mayTakeInternalsOnly: boolean): Plan => {
      const plan = smallPlan()
      const [type] = plan.receiverTypes
      const [body] = type?.groups ?? []
      if (!type || !body) throw new Error('the small plan has another type')
      // A tank that fills slowly, and a push that does not wait for it.
      type.groups.push({
        ...body,
        id: 'tip' as typeof body.id,
        name: 'Tip',
        place: 'external',
        capacity: { value: 800, unit: 'kg' },
        fillRate: { value: 60, unit: 'kg/min' },
        transferRate: { value: 200, unit: 'kg/min' },
        role: { kind: 'stage', turnCount: 1 }
      })
      for (const group of plan.pushGroups) group.pushAtMs = OPENS_AT_MS + 40 * MIN
      for (const flight of plan.flights) {
        flight.mayTakeInternalsOnly = mayTakeInternalsOnly
        for (const ship of flight.ships) ship.fitted.push('tip' as typeof body.id)
        for (const phase of flight.route) if (phase.kind === 'refuelling') phase.onLoad = { kind: 'full' }
      }
      return plan
    }
    const flags = (plan: Plan): boolean[] => {
      const event = crowded(plan)
      const proposal = propose(event.state, NOW_MS, { kind: 'repair' })
      return (proposal?.orders ?? []).flatMap(({ sequences }) =>
        sequences.flatMap(({ slots }) => slots.map((slot) => slot.internalsOnly === true))
      )
    }
    expect(flags(rigged(false))).not.toContain(true)
    expect(flags(rigged(true))).toContain(true)
  })

  it('is undefined while there is no plan', () => {
    const { state } = new MemoryEvent(smallPlan())
    expect(propose({ ...state, plan: undefined }, NOW_MS, { kind: 'anew' })).toBeUndefined()
  })
})

/** The small event (constructed) with all three ships in turn on one station: two stations are better. */
function crowded(plan: Plan): MemoryEvent {
  const [left, right] = plan.orders[0]?.sequences ?? []
  if (!left || !right) throw new Error('the small plan has another order')
  left.slots.push(...right.slots.splice(0))
  return new MemoryEvent(plan)
}

const ordersWith = ({ state }: MemoryEvent, { orders }: Proposal) =>
  ordersInForce(state).map((order) => orders.find((one) => one.tankerId === order.tankerId) ?? order)
