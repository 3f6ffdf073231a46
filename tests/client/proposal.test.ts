import { mount } from '@vue/test-utils'
import { describe, expect, it } from 'vitest'
import { Desk, type Asked, type FromDesk } from '../../client/order-desk.ts'
import {
  candidateOf,
  changeRows,
  changesBetween,
  closeIn,
  movedShips,
  outcomeOf,
  troubleOf
} from '../../client/proposal.ts'
import type { Orders } from '../../client/order.ts'
import { pictureOf } from '../../client/picture.ts'
import { Sights } from '../../client/sights.ts'
import ProposalChanges from '../../client/parts/ProposalChanges.vue'
import ProposalCompare from '../../client/parts/ProposalCompare.vue'
import ProposalPanel from '../../client/parts/ProposalPanel.vue'
import { offerSentence, proofSentence, searchSentence } from '../../client/words/proposal.ts'
import type { Fact } from '../../shared/contracts/facts.ts'
import type { TankerOrder } from '../../shared/contracts/plan.ts'
import type { SearchView } from '../../shared/contracts/search.ts'
import type { View } from '../../shared/contracts/view.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { reduce } from '../../shared/live/reduce.ts'
import { compareJudgements } from '../../shared/order/judgement.ts'
import { emptyState, ordersInForce } from '../../shared/live/state.ts'
import { propose } from '../../shared/propose/propose.ts'
import { FACTS } from './failed-station.ts'
import { labels, NOW_MS, slotView, viewOf } from './fixture.ts'

/* The demonstration plan with a station failed (constructed), and small constructed pictures. */

const state = FACTS.reduce(reduce, emptyState('event'))
const AT_MS = NOW_MS + 60_000

const asked = (ask: number, kind: Asked['kind'], over: Partial<Asked> = {}): { asked: Asked } => ({
  asked: { ask, kind, atMs: AT_MS, ...over }
})

function deskWith(facts: readonly Fact[]): Desk {
  const desk = new Desk()
  desk.hear({ eventId: 'event' })
  desk.hear({ facts })
  return desk
}

describe('the desk beside the page', () => {
  it('proposes what a direct call proposes on the same facts, and never anything worse', () => {
    const desk = deskWith(FACTS)
    desk.hear(asked(1, 'repair'))
    desk.hear(asked(2, 'anew'))
    for (const kind of ['repair', 'anew'] as const) {
      const answer = desk.answer()
      expect(answer?.kind).toBe(kind)
      expect(answer?.proposal).toEqual(propose(state, AT_MS, { kind }))
      expect(answer?.proposal?.basedOnSeq).toBe(3)
      expect(answer?.proposal?.orders.length).toBeGreaterThan(0)
    }
    expect(desk.answer()).toBeUndefined()
  })

  it('tells of better orders on the way, the first at once, and of nothing worse with the answer', () => {
    const desk = deskWith(FACTS)
    desk.hear(asked(1, 'repair'))
    const early: FromDesk[] = []
    const answer = desk.answer((one) => early.push(one))
    expect(early.length).toBeGreaterThan(0)
    expect(early.every(({ ask, kind, more }) => ask === 1 && kind === 'repair' && more)).toBe(true)
    expect(answer).toMatchObject({ ask: 1, kind: 'repair', more: false })
    const judgements = [...early, answer].map((one) => one?.proposal?.judgement)
    judgements.forEach((judgement, i) => {
      const before = i === 0 ? estimate(state, AT_MS)?.judgement : judgements[i - 1]
      if (!judgement || !before) throw new Error('there is a plan')
      expect(compareJudgements(judgement, before)).toBeLessThan(i < early.length ? 0 : 1)
    })
  })

  it('folds each fact once, however often it is told', () => {
    const desk = deskWith(FACTS.slice(0, 2))
    desk.hear({ facts: FACTS })
    desk.hear({ facts: FACTS })
    desk.hear(asked(1, 'repair'))
    expect(desk.answer()?.proposal).toEqual(propose(state, AT_MS, { kind: 'repair' }))
  })

  it('answers only the newest question of a kind', () => {
    const desk = deskWith(FACTS)
    desk.hear(asked(1, 'repair'))
    desk.hear(asked(3, 'repair', { atMs: AT_MS + 1000 }))
    desk.hear(asked(2, 'repair'))
    const answer = desk.answer()
    expect(answer?.ask).toBe(3)
    expect(answer?.proposal?.atMs).toBe(AT_MS + 1000)
    expect(desk.answer()).toBeUndefined()
  })

  it('has no proposal before there is a plan', () => {
    const desk = deskWith([])
    desk.hear(asked(1, 'anew'))
    expect(desk.answer()).toEqual({ ask: 1, kind: 'anew', proposal: undefined, more: false })
  })
})

describe('a proposal on the present state', () => {
  const asIs = estimate(state, AT_MS)
  if (asIs === undefined) throw new Error('there is a plan')
  const inForce = ordersInForce(state)
  const see = (orders: Orders) => estimate(state, AT_MS, orders)
  const proposal = propose(state, AT_MS, { kind: 'repair' })
  if (proposal === undefined) throw new Error('there is a proposal')
  const came = { changed: proposal.orders, basedOnSeq: proposal.basedOnSeq }

  it('is seen as it was judged: same judgement, same changes', () => {
    const candidate = candidateOf(came, { asIs, inForce, see })
    if (typeof candidate === 'string') throw new Error(candidate)
    expect(candidate.view.judgement).toEqual(proposal.judgement)
    expect(asIs.judgement).toEqual(proposal.before)
    const plain = (changes: typeof proposal.changes) =>
      changes.map(({ slotId, shipId, turns, moved }) => ({ slotId, shipId, turns, moved }))
    expect(plain(candidate.changes)).toEqual(plain(proposal.changes))
    expect(movedShips(candidate.changes).length).toBeGreaterThan(0)
  })

  it('is seen beside the page as it would be on it, from one look to the next', () => {
    const sights = new Sights()
    sights.hear({ eventId: 'event' })
    sights.hear({ facts: FACTS })
    let last: View | undefined
    for (const atMs of [AT_MS, AT_MS + 1_000, AT_MS + 120_000]) {
      sights.hear({ look: { atMs, proposals: [{ kind: 'repair', ...came }] } })
      // As it comes through the post.
      const [sight] = structuredClone(sights.seen() ?? [])
      const then = estimate(state, atMs)
      if (sight === undefined || typeof sight.outcome === 'string' || then === undefined) throw new Error('it stands')
      const { news, ...candidate } = sight.outcome
      last = pictureOf(last, news)
      const onPage = candidateOf(came, { asIs: then, inForce, see: (orders) => estimate(state, atMs, orders) })
      expect({ ...candidate, view: last }).toEqual(onPage)
    }
    expect(sights.seen()).toBeUndefined()
    sights.hear({ look: { atMs: AT_MS, proposals: [{ kind: 'repair', changed: came.changed, basedOnSeq: 0 }] } })
    expect(sights.seen()).toEqual([{ kind: 'repair', outcome: 'order changed' }])
  })

  it('lapses when an order it changes was set since, whoever set it', () => {
    const tankers = asIs.tankers.map((one) => ({ ...one, orderSeq: 9 }))
    expect(candidateOf(came, { asIs: { ...asIs, tankers }, inForce, see })).toBe('order changed')
  })

  it('lapses when a ship that it moves is in contact now', () => {
    const candidate = candidateOf(came, { asIs, inForce, see })
    if (typeof candidate === 'string') throw new Error(candidate)
    const moved = candidate.changes.find((change) => change.moved)?.slotId
    const slots = asIs.slots.map((slot) => (slot.slotId === moved ? { ...slot, state: 'in contact' as const } : slot))
    expect(candidateOf(came, { asIs: { ...asIs, slots }, inForce, see })).toBe('held')
  })

  it('lapses when it is no better than the order in force', () => {
    expect(candidateOf(came, { asIs, inForce, see: () => asIs })).toBe('not better')
  })
})

describe('what an order leads to', () => {
  it('counts who is lost, short and late', () => {
    const view = viewOf()
    const outcome = outcomeOf(view)
    expect(outcome.lost.map((slot) => slot.shipId)).toEqual(['alder-22'])
    expect(outcome.short).toEqual([])
    expect(outcome.late.map((push) => push.pushGroupId)).toEqual(['first'])
    expect(outcome.worstLateS).toBe(60)
    expect(outcome.last).toEqual({ tankerId: 'kelp', atMs: view.tankers[0]?.lastDisconnectAtMs })
    expect(troubleOf(view)).toBe('lost slot-alder-22, late first')
    expect(troubleOf(viewOf({ slots: [], pushes: [] }))).toBe('')
  })

  it('says who is moved, saved and later between two orders', () => {
    const a = slotView({ shipId: 'a', index: 0 })
    const b = slotView({ shipId: 'b', index: 1, state: 'missed' })
    const before = viewOf({ slots: [a, b] })
    const after = viewOf({
      slots: [
        { ...b, index: 0, state: 'planned' },
        { ...a, index: 1, contactAtMs: a.contactAtMs + 90_000 }
      ]
    })
    const order = (...ids: string[]) =>
      [
        { tankerId: 'kelp', sequences: [{ stationId: 'boom', slots: ids.map((id) => ({ id })) }] }
      ] as unknown as TankerOrder[]
    const changes = changesBetween(before, after, order('slot-a', 'slot-b'), order('slot-b', 'slot-a'))
    expect(changes.map(({ shipId, turns, contactLaterMs }) => ({ shipId, turns, contactLaterMs }))).toEqual([
      { shipId: 'b', turns: 'saved', contactLaterMs: undefined },
      { shipId: 'a', turns: undefined, contactLaterMs: 90_000 }
    ])
    // One of the two is enough to explain the difference.
    expect(movedShips(changes)).toHaveLength(1)
  })
})

describe('slack to latest contact', () => {
  /* Constructed: the first is brought close, the second comes later with time to spare, the third was close before. */
  const slot = (shipId: string, slackS: number, over = {}) => slotView({ shipId, slackS, ...over })
  const later = (shipId: string, slackS: number, by: number, over = {}) =>
    slot(shipId, slackS, { contactAtMs: NOW_MS + 240_100 + by * 1000, ...over })
  const before = viewOf({ slots: [slot('alder-22', 900), slot('alder-21', 500.5), slot('sleet-11', 250)] })
  const after = viewOf({
    slots: [
      later('alder-22', 700, 200, { notBeforeAtMs: NOW_MS + 420_000, internalsOnly: true }),
      later('alder-21', 200.9, 100),
      later('sleet-11', 100, 150)
    ]
  })
  const changes = changesBetween(before, after, [], [])
  const soonS = 300

  it('counts who comes within the late margin, and nobody who is lost or in contact', () => {
    expect(closeIn(before, soonS).map(({ shipId }) => shipId)).toEqual(['sleet-11'])
    expect(closeIn(after, soonS).map(({ shipId }) => shipId)).toEqual(['alder-21', 'sleet-11'])
    const edge = [slot('a', 300), slot('b', 299.9), slot('c', 0), slot('d', -1, { state: 'missed' })]
    const over = [slot('e', 10, { state: 'in contact' }), slotView({ shipId: 'f', slackS: null })]
    expect(closeIn(viewOf({ slots: [...edge, ...over] }), soonS).map(({ shipId }) => shipId)).toEqual(['b', 'c'])
  })

  it('puts who is brought close first, but for who is lost', () => {
    const rows = changeRows(changes, { asIs: before, view: after, soonS })
    expect(changes.map(({ shipId }) => shipId)).toEqual(['alder-22', 'sleet-11', 'alder-21'])
    expect(rows.map(({ shipId, broughtClose }) => [shipId, broughtClose])).toEqual([
      ['alder-21', true],
      ['alder-22', false],
      ['sleet-11', false]
    ])
    const lost = viewOf({
      slots: after.slots.map((one) => (one.shipId === 'sleet-11' ? { ...one, state: 'missed' } : one))
    })
    const worst = changeRows(changesBetween(before, lost, [], []), { asIs: before, view: lost, soonS })
    expect(worst.map(({ shipId }) => shipId)).toEqual(['sleet-11', 'alder-21', 'alder-22'])
  })

  it('is shown before and after of every ship changed, with what the order says of it', () => {
    const table = mount(ProposalChanges, {
      props: { asIs: before, view: after, changes, name: 'repair', labels, soonS }
    })
    const rows = table.findAll('[data-change]')
    expect(rows.map((row) => row.find('th').text())).toEqual(['Alder 21', 'Alder 22', 'Sleet 11'])
    const slack = rows.map((row) => row.findAll('[data-slack] .figure').map((one) => one.text()))
    expect(slack).toEqual([
      ['08:20', '03:20'],
      ['15:00', '11:40'],
      ['04:10', '01:40']
    ])
    expect(rows[0]?.find('[data-close]').text().replace(/\s+/g, ' ')).toContain(
      'comes within 03:20 of its latest contact'
    )
    expect(rows[1]?.find('[data-close]').exists()).toBe(false)
    expect(rows[1]?.find('[data-said]').text()).toBe('not before 12:07:00Z, internal fuel only')
    expect(rows[0]?.find('[data-said]').exists()).toBe(false)
  })

  it('is counted beside the order in force', () => {
    const candidate = { orders: [], view: after, changes }
    const table = mount(ProposalCompare, {
      props: {
        asIs: before,
        columns: [{ name: 'repair', candidate, looking: false, unseen: false }],
        chosen: 'in force',
        labels,
        soonS
      }
    })
    const cell = (name: string) => table.find(`[data-cell="${name} close"]`).text().replace(/\s+/g, ' ')
    expect(cell('in force')).toBe('1 Sleet 11')
    expect(cell('repair')).toBe('2 Alder 21, Sleet 11')
    expect(table.text()).toContain('close to latest contact')
  })

  it('says that what it leads to could not be worked out, and why, and cannot be chosen then', () => {
    const column = { name: 'repair' as const, candidate: undefined, looking: false }
    const shown = (unseen: boolean) =>
      mount(ProposalPanel, {
        props: {
          ...{ asIs: before, columns: [{ ...column, unseen }], chosen: 'in force' as const, told: '', labels, soonS },
          ...{ proof: '', proving: false }
        }
      })
    const seen = shown(false)
    expect(seen.find('[data-cell="repair lost"]').text()).toBe('nothing better found')
    expect(seen.find('[data-proposal-told]').text()).toBe('')
    const unseen = shown(true)
    expect(unseen.find('[data-cell="repair lost"]').text()).toBe('found, not worked out')
    expect(unseen.find('[data-proposal-told]').text()).toContain('could not be worked out')
    expect(unseen.findAll('thead button')[1]?.attributes('disabled')).toBeDefined()
  })
})

describe('words of a proposal', () => {
  it('offer a repair in one line', () => {
    const served = viewOf({ slots: [], pushes: [] })
    expect(offerSentence(served, 2)).toBe('A repair is ready: 2 ships move, nobody is lost.')
    expect(offerSentence(viewOf(), 1)).toBe('A repair is ready: 1 ship moves, 1 still lost, 1 push still late.')
  })

  const judgement = { lostWeight: 0, shortage: 0, lateness: 20, lastDisconnect: 400, moved: 3 }
  const proof = (least: typeof judgement, metLevels: number) => ({
    seq: 4,
    atMs: NOW_MS,
    judgement,
    bound: { least, metLevels, proved: metLevels === 5, by: 'bound', bestOfBlocks: metLevels >= 4 }
  })

  it('say what is proved, or what might still be saved', () => {
    expect(proofSentence(proof(judgement, 5), 'lb')).toBe(
      'Proved best: no order in which each ship comes as soon as it can and takes what its rule asks is better, and none as good moves fewer.'
    )
    expect(proofSentence(proof({ ...judgement, lateness: 8 }, 2), 'lb')).toBe(
      'Of the orders in which each ship comes as soon as it can and takes what its rule asks none loses fewer, none leaves less short; up to 1.2 min of lateness, by weight, might still be saved.'
    )
    // Who comes later than it could may be better off than in all that the proof speaks of.
    expect(
      proofSentence({ ...proof(judgement, 5), judgement: { ...judgement, lateness: judgement.lateness - 1 } }, 'lb')
    ).toBe('Better than any order in which each ship comes as soon as it can and takes what its rule asks.')
    expect(proofSentence({ ...proof(judgement, 0), judgement: { ...judgement, lostWeight: 8 } }, 'lb')).toBe(
      'Not proved: ships of weight 8 in all might still be saved.'
    )
  })

  it('say which narrower orders the proof is of, where it is not of all', () => {
    const open = proof({ ...judgement, lateness: 8 }, 2)
    const words =
      'No order in which each ship comes as soon as it can and takes what its rule asks, and flights come to each tanker one after another, worst first in each, is better, but for ships moved.'
    const blocks = proofSentence({ ...open, bound: { ...open.bound, bestOfBlocks: true } }, 'lb')
    expect(blocks).toBe(`${proofSentence(open, 'lb')} ${words}`)
    // Nothing is said twice: what is proved of all orders is so of these.
    expect(proofSentence(proof({ ...judgement, moved: 1 }, 4), 'lb')).not.toContain('one after another')
  })

  it('say that a search broke off and what stands', () => {
    const search = { status: 'broken', proof: null, judgedAtSeq: 4 } as unknown as SearchView
    expect(searchSentence(search, 'lb')).toBe('The proof broke off: the best order found so far stands.')
    const done = { status: 'done', proof: proof(judgement, 5), judgedAtSeq: 5 } as unknown as SearchView
    expect(searchSentence(done, 'lb')).toMatch(/^Proved best: .* Facts have come since\.$/)
  })
})
