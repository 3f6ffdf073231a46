import { mount } from '@vue/test-utils'
import { describe, expect, it } from 'vitest'
import ContactMark from '../../client/parts/ContactMark.vue'
import EntryLine from '../../client/parts/EntryLine.vue'
import ShipBoard from '../../client/parts/ShipBoard.vue'
import SlotFigures from '../../client/parts/SlotFigures.vue'
import { CAUTION } from '../../client/words/caution.ts'
import CautionLine from '../../client/parts/CautionLine.vue'
import type { Reason } from '../../shared/contracts/view.ts'
import { holdsBroken, holdsBrokenText, judgementDifference } from '../../client/words/board.ts'
import { labels, NOW_MS, viewOf } from './fixture.ts'

const view = viewOf()
const board = (over = {}) =>
  mount(ShipBoard, {
    props: {
      view,
      drafted: undefined,
      order: ['alder-22', 'alder-21', 'sleet-11'],
      labels,
      minutes: 60,
      soonS: 900,
      selected: undefined,
      lastKnown: false,
      ...over
    }
  })
const figure = (found: { find: (selector: string) => { text: () => string } }, name: string) =>
  found.find(`[data-figure="${name}"]`).text()

describe('the board', () => {
  it('shows rows in the order it is given', () => {
    expect(
      board()
        .findAll('[data-ship]')
        .map((row) => row.attributes('data-ship'))
    ).toEqual(['alder-22', 'alder-21', 'sleet-11'])
  })

  it('shows contact and on-load rounded up, latest contact and margin rounded down', () => {
    const row = board().find('[data-ship="alder-22"]')
    expect(figure(row, 'contact')).toBe('12:06:00Z')
    expect(figure(row, 'on-load')).toBe('4,510 lb')
    expect(figure(row, 'latest-contact')).toBe('12:05:00Z')
    expect(figure(row, 'margin')).toBe('\u221201:00')
    expect(figure(row, 'fuel')).toBe('5,500 lb')
  })

  it('says in words that a slot begins past its latest contact', () => {
    expect(board().find('[data-ship="alder-22"]').text()).toContain('past by 01:00')
    expect(board().find('[data-ship="alder-21"]').text()).not.toContain('past by')
  })

  it('says that a ship without an abort base has none', () => {
    const lone = viewOf({ ships: view.ships.map((ship) => ({ ...ship, abortBaseId: null, margin: null })) })
    expect(board({ view: lone }).find('[data-ship="sleet-11"]').text()).toContain('no abort base')
  })

  it('says calmly of a ship that comes to no limit on its way that none is ahead: it needs no abort base', () => {
    const onTask = viewOf({
      ships: view.ships.map((ship) => ({ ...ship, status: 'on task' as const, abortBaseId: null, margin: null }))
    })
    const row = board({ view: onTask }).find('[data-ship="sleet-11"]')
    expect(row.find('.margin').text()).toBe('no limit ahead')
    expect(row.classes()).toContain('urgency-calm')
    const inbound = viewOf({ ships: onTask.ships.map((ship) => ({ ...ship, status: 'inbound' as const })) })
    const pressed = board({ view: inbound }).find('[data-ship="sleet-11"]')
    expect(pressed.find('.margin').text()).toMatch(/^no abort base\s*none$/)
    expect(pressed.classes()).toContain('urgency-now')
  })

  it('names the second abort base where that one counts', () => {
    const moved = viewOf({
      ships: view.ships.map((ship) =>
        ship.shipId === 'alder-21' ? { ...ship, abortBaseId: 'south', abortWhy: 'closed' as const } : ship
      )
    })
    expect(board({ view: moved }).find('[data-ship="alder-21"]').text()).toContain('abort to South shore')
    expect(board({ view: moved }).find('[data-ship="sleet-11"]').text()).not.toContain('abort to')
  })

  it('calls every margin last known while contact is lost', () => {
    const margins = board({ lastKnown: true }).findAll('.margin')
    expect(margins).toHaveLength(3)
    for (const margin of margins) expect(margin.text()).toContain('last known')
    expect(board().text()).not.toContain('last known')
  })

  it('shows a moved order in the lanes that it changes, marked as draft, and all else as it is in force', () => {
    const drafted = viewOf({
      ships: view.ships.map((ship) => ({ ...ship, margin: null, status: 'done' as const })),
      slots: view.slots.map((slot) =>
        slot.shipId === 'alder-22'
          ? {
              ...slot,
              state: 'planned' as const,
              pastS: 0,
              contactAtMs: NOW_MS + 60_000,
              disconnectAtMs: NOW_MS + 90_000
            }
          : slot
      )
    })
    const shown = board({ drafted })
    const row = shown.find('[data-ship="alder-22"]')
    expect(figure(row, 'contact')).toBe('12:01:00Z')
    expect(row.find('.lane [data-draft]').text()).toBe('draft')
    // The working of what is drafted is that of the draft, of all else that of the order in force.
    const ordersOf = (selector: string) =>
      row.find(selector).element.closest('[data-orders]')?.getAttribute('data-orders')
    expect(ordersOf('[data-figure="contact"]')).toBe('')
    expect(ordersOf('[data-figure="margin"]')).toBe('in force')
    expect(row.find('.status').text()).toBe('next')
    expect(figure(row, 'margin')).toBe('\u221201:00')
    expect(row.classes()).toContain('urgency-now')
    expect(shown.find('[data-ship="alder-21"] [data-draft]').exists()).toBe(false)
    expect(board().find('[data-draft]').exists()).toBe(false)
  })

  it('gives the chosen ship a place for what can be done with it', () => {
    expect(board({ selected: 'alder-21' }).find('[aria-current="true"]').attributes('data-ship')).toBe('alder-21')
  })
})

describe('the slot page', () => {
  it('shows the same figures as the board', () => {
    const ship = view.ships[0]
    const slotView = view.slots[1]
    if (ship === undefined || slotView === undefined) throw new Error('the fixture has no such ship')
    const page = mount(SlotFigures, {
      props: {
        ship,
        slotView,
        next: undefined,
        nowMs: NOW_MS,
        labels,
        trackName: 'East track',
        soonS: 300,
        lastKnown: false
      }
    })
    const row = board().find('[data-ship="alder-22"]')
    for (const name of ['contact', 'on-load', 'latest-contact', 'margin']) {
      expect(figure(page, name), name).toBe(figure(row, name))
    }
    expect(figure(page, 'abort')).toBe('2,500 lb')
    expect(figure(page, 'required')).toBe('7,500 lb')
    expect(figure(page, 'push')).toBe('12:31:00Z')
    // What the own gauge shows there.
    expect(page.text()).toContain('own gauge 2,700 lb')
    expect(page.text()).toContain('own gauge 7,700 lb')
    expect(page.text()).toContain('North shore')
    expect(page.text()).toContain('after Alder 21')
  })
})

describe('contact with the service', () => {
  it('says since when there is none', () => {
    const mark = mount(ContactMark, { props: { state: 'silent', lastFrameAtMs: NOW_MS } })
    expect(mark.text()).toBe('no contact since 12:00:00Z')
  })

  it('says that it is live', () => {
    expect(mount(ContactMark, { props: { state: 'live', lastFrameAtMs: NOW_MS } }).text()).toBe('live')
  })
})

describe('the entry line', () => {
  it('shows what was understood before it is entered, and enters only then', async () => {
    const line = mount(EntryLine, {
      props: {
        modelValue: 'alder 21 6.4',
        outcome: undefined,
        understanding: { kind: 'understood', action: { kind: 'help' }, sentence: 'Alder 21 has 6,400 lb total.' }
      }
    })
    expect(line.find('[data-told]').text()).toBe('Alder 21 has 6,400 lb total.')
    expect(line.find('button[type="submit"]').attributes('aria-disabled')).toBe('false')
    await line.setProps({ understanding: { kind: 'ask', sentence: 'Which one?', choices: [] } })
    expect(line.find('button[type="submit"]').attributes('aria-disabled')).toBe('true')
  })

  it('puts a choice into the line', async () => {
    const line = mount(EntryLine, {
      props: {
        modelValue: 'a21',
        outcome: undefined,
        understanding: { kind: 'ask', sentence: 'Which one?', choices: [{ text: 'alder 21', sentence: 'Alder 21' }] }
      }
    })
    await line.find('.told button').trigger('click')
    expect(line.emitted('update:modelValue')).toEqual([['alder 21']])
  })
})

describe('words', () => {
  it('hold the caution', () => {
    expect(mount(CautionLine).text()).toBe(CAUTION)
  })

  it('tell which way a moved order changes the judgement, by the first level that differs', () => {
    const moved = viewOf({ judgement: { ...view.judgement, lostWeight: 0, lateness: 99 }, slots: [] })
    expect(judgementDifference(view, moved)).toBe('Better: 0 past latest contact, was 1.')
    expect(judgementDifference(moved, view)).toBe('Worse: 1 past latest contact, was 0.')
    const later = viewOf({ judgement: { ...view.judgement, lateness: 11 } })
    expect(judgementDifference(view, later)).toBe('Worse: late pushes more.')
    expect(judgementDifference(view, view)).toBe('No difference that counts.')
  })

  it('names the ships whose hold the changed order breaks, and none whose hold was over before', () => {
    const [some] = view.reasons
    if (!some) throw new Error('the fixture has no reason')
    const release = (shipId: string): Reason => ({ ...some, kind: 'hold to release', shipId })
    const before = viewOf({ reasons: [release('alder-1')] })
    const moved = viewOf({
      reasons: [release('alder-1'), release('kelp-2'), { ...release('kelp-3'), kind: 'stale call' }]
    })
    expect(holdsBroken(before, moved)).toEqual(['kelp-2'])
    expect(holdsBroken(moved, before)).toEqual([])
    expect(holdsBrokenText(['Kelp 2'])).toBe(' It breaks the hold of Kelp 2: tell them to select their externals.')
    expect(holdsBrokenText([])).toBe('')
  })
})
