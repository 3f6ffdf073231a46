import { mount } from '@vue/test-utils'
import { describe, expect, it } from 'vitest'
import HeldBy from '../../client/parts/HeldBy.vue'
import LogSheet from '../../client/parts/LogSheet.vue'
import { changedSince } from '../../client/stale.ts'
import { factWords } from '../../client/words/log.ts'
import { memberName, presentWords } from '../../client/words/members.ts'
import type { MemberList } from '../../shared/contracts/answers.ts'
import type { Fact } from '../../shared/contracts/facts.ts'
import { FACT_KINDS } from '../../shared/contracts/kinds.ts'
import { labelsOf } from '../../client/labels.ts'
import { MemoryEvent } from '../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../make/plan.ts'

const plan = paperPlan()
const labels = labelsOf(plan)
const members: MemberList = [
  { linkId: 'c', role: 'commander', shipId: null },
  { linkId: 'one', role: 'coordinator', shipId: null },
  { linkId: 'two', role: 'coordinator', shipId: null },
  { linkId: 'crew', role: 'crew', shipId: 'alder-21' },
  { linkId: 'v', role: 'viewer', shipId: null }
]
const known = { members, labels, own: 'one' }
const nameOf = (linkId: string) => memberName(linkId, known)

describe('a link in words', () => {
  it('is its role, told apart where there are more, or the crew of its ship', () => {
    expect(['c', 'one', 'two', 'crew', 'v', 'unheard-of'].map(nameOf)).toEqual([
      'commander',
      'you',
      'coordinator 2',
      'crew of Alder 21',
      'viewer',
      'owner'
    ])
    expect(memberName('two', { ...known, members: [] })).toBe('another link')
  })

  it('looks on by name where it runs the event, counted where it does not', () => {
    const present = ['crew', 'two', 'v', 'one'].map((linkId) => ({ linkId, boards: linkId === 'v' ? 3 : 1 }))
    expect(presentWords(present, known)).toBe('you, coordinator 2, crew of 1 ship, 3 viewers')
    expect(presentWords([{ linkId: 'one', boards: 2 }], known)).toBe('you on 2 pages')
  })
})

describe('who holds a tanker', () => {
  const held = (holder: { name: string; isMine: boolean } | undefined, mayHold = true) =>
    mount(HeldBy, { props: { name: 'Kelp', holder, mayHold } })

  it.each([
    [undefined, '', 'Hold', true],
    [{ name: 'coordinator 2', isMine: false }, 'held by coordinator 2', 'Take over', true],
    [{ name: 'you', isMine: true }, 'held by you', 'Let go', false]
  ])('is said, and can be changed by one key: %o', async (holder, said, act, asked) => {
    const line = held(holder)
    expect(line.text()).toContain(said)
    expect(line.find('button').text()).toBe(act)
    await line.find('button').trigger('click')
    expect(line.emitted('hold')).toEqual([[asked]])
  })

  it('is only read by those who may not', () => {
    expect(held({ name: 'coordinator 2', isMine: false }, false).find('button').exists()).toBe(false)
  })
})

/** An event with calls of two coordinators and a crew. */
function played() {
  const event = new MemoryEvent(plan)
  const as = (linkId: string, role: 'coordinator' | 'crew', shipId?: string) =>
    ({ linkId, role, ...(shipId === undefined ? {} : { shipId }) }) as const
  const call = { kind: 'callFuel' as const, fuel: { value: 3100, unit: 'kg' }, covers: 'total' }
  event.ask({ ...call, shipId: 'alder-21' }, OPENS_AT_MS + 60_000, as('crew', 'crew', 'alder-21'))
  event.ask({ ...call, shipId: 'alder-22' }, OPENS_AT_MS + 61_000, as('two', 'coordinator'))
  return event
}
const sheetOf = (event: MemoryEvent, membership: { role: 'viewer' | 'crew' | 'coordinator'; linkId: string }) =>
  mount(LogSheet, {
    props: {
      log: event.log,
      state: event.state,
      labels,
      membership: { ...membership, eventId: 'paper', shipId: null },
      nameOf
    },
    global: { stubs: { teleport: true } },
    attachTo: document.body
  })

describe('the log', () => {
  it('tells what was recorded, newest first, by whom and when', () => {
    const lines = sheetOf(played(), { role: 'viewer', linkId: 'v' }).findAll('[data-fact]')
    expect(lines.map((line) => line.attributes('data-fact'))).toEqual(['4', '3', '2', '1'])
    expect(lines[0]?.text()).toContain('Alder 22 fuel 3,100 kg total')
    expect(lines[0]?.text()).toContain('coordinator 2')
    expect(lines[1]?.text()).toContain('crew of Alder 21')
  })

  it('lets a crew take back its own, a coordinator also what others recorded, a viewer nothing', () => {
    const taken = (role: 'viewer' | 'crew' | 'coordinator', linkId: string) =>
      sheetOf(played(), { role, linkId })
        .findAll('[data-fact]')
        .filter((line) => line.find('button').exists())
        .map((line) => line.attributes('data-fact'))
    expect(taken('crew', 'crew')).toEqual(['3'])
    expect(taken('coordinator', 'one')).toEqual(['4', '3'])
    expect(taken('viewer', 'v')).toEqual([])
  })

  it('says which entry a withdrawal took back, and marks that one', () => {
    const event = played()
    event.ask({ kind: 'withdrawFact', withdrawnSeq: 4 }, OPENS_AT_MS + 62_000)
    const lines = sheetOf(event, { role: 'coordinator', linkId: 'one' }).findAll('[data-fact]')
    expect(lines[0]?.text()).toContain('Withdrawn: Alder 22 fuel 3,100 kg total')
    expect(lines[1]?.text()).toContain('withdrawn')
    expect(lines[1]?.find('s').exists()).toBe(true)
  })

  it('has words for every kind of fact', () => {
    const bare = (kind: string) =>
      ({
        kind,
        shipId: 'alder-21',
        tankerId: 'kelp',
        stationId: 'boom',
        flight: { callSign: 'Tarn 1' }
      }) as unknown as Fact
    const needs: Record<string, object> = {
      planAdopted: { revision: 2 },
      stationStatus: { status: 'good' },
      externalsSet: { externals: 'held' },
      troubleSet: { groupId: 'wing', trouble: 'gone' },
      limitSet: { limit: 'abort' },
      pinSet: { slotId: 'slot-21', pinned: true },
      shipLeft: { baseId: 'north' },
      landed: { baseId: 'north' },
      prioritySet: { flightId: 'alder' },
      baseSet: { baseId: 'north' },
      factWithdrawn: { withdrawnSeq: 3 },
      fuelCalled: { fuel: { value: 1, unit: 'kg' }, covers: 'total' },
      tankerFuelCalled: { fuel: { value: 1, unit: 'kg' } },
      jettisoned: { groupIds: ['wing'] },
      clockSet: { eventAtMs: OPENS_AT_MS, rateFactor: 2 }
    }
    for (const kind of FACT_KINDS) {
      const said = factWords({ ...bare(kind), ...needs[kind] }, labels)
      expect(said, kind).not.toBe(kind)
      expect(said).not.toMatch(/undefined|NaN/)
    }
  })
})

describe('an order that was changed meanwhile', () => {
  it('is told with who changed it and which ships stand elsewhere now', () => {
    const event = new MemoryEvent(plan)
    const order = plan.orders[0]
    if (!order) throw new Error('the paper plan has no order')
    const seq = event.state.seq
    const sequences = order.sequences.map((sequence) => ({ ...sequence, slots: sequence.slots.toReversed() }))
    const two = { linkId: 'two', role: 'coordinator' } as const
    const asked = { kind: 'setOrder' as const, orders: [{ tankerId: order.tankerId, sequences }], basedOnSeq: seq }
    expect(event.ask(asked, OPENS_AT_MS, two)).toBeUndefined()
    const parts = { log: event.log, state: event.state, labels, nameOf }
    const told = changedSince(seq, [order.tankerId], parts)
    expect(told).toContain(`${labels.tanker(order.tankerId)} was changed by coordinator 2 at`)
    const first = sequences.find(({ slots }) => slots.length > 1)
    expect(told).toContain(
      `${labels.ship(first?.slots[0]?.shipId ?? '')} is now number 1 at ${labels.station(order.tankerId, first?.stationId ?? '')}`
    )
    expect(changedSince(event.state.seq, [order.tankerId], parts)).toBe('')
  })
})
