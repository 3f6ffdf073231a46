import { mount } from '@vue/test-utils'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { effectScope, nextTick, ref, shallowRef } from 'vue'
import {
  attentionLines,
  causesFirst,
  contactNumberOf,
  dealLine,
  dealOf,
  newReasons,
  nextReason,
  reasonId
} from '../../client/attention.ts'
import AttentionList from '../../client/parts/AttentionList.vue'
import { useAttention, type Attention } from '../../client/state/useAttention.ts'
import { vocabularyOf } from '../../client/vocabulary.ts'
import type { Reason, View } from '../../shared/contracts/view.ts'
import { understand } from '../../shared/entry/understand.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { labelsOf } from '../../client/labels.ts'
import { MemoryEvent } from '../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../make/plan.ts'
import { labels, NOW_MS, slotView, viewOf } from './fixture.ts'

/* No outside source: how what needs attention is grouped, dealt with, told. */

const reason = (kind: Reason['kind'], over: Partial<Reason> = {}): Reason => ({
  kind,
  severity: 'now',
  shipId: null,
  slotId: null,
  tankerId: null,
  pushGroupId: null,
  atMs: null,
  byKg: null,
  byS: null,
  mend: null,
  ...over
})
const stale = (shipId: string, byS: number) => reason('stale call', { severity: 'note', shipId, byS })
const late = reason('past latest contact', {
  shipId: 'alder-22',
  slotId: 'slot-alder-22',
  tankerId: 'kelp',
  byS: 60,
  mend: { kind: 'contact earlier', byKg: null, byS: 60 }
})
const dry = reason('tanker dry', { shipId: 'sleet-11', slotId: 'slot-sleet-11', tankerId: 'kelp', byKg: 1000 })
const suspect = reason('station suspect', { severity: 'soon', tankerId: 'kelp', stationId: 'boom' })

const listOf = (reasons: readonly Reason[], over = {}) =>
  mount(AttentionList, {
    props: {
      view: viewOf(),
      lines: attentionLines(reasons),
      labels,
      most: 12,
      nextId: reasons[0] && reasonId(reasons[0]),
      told: '',
      mayDeal: true,
      ...over
    }
  })
const sentences = (list: ReturnType<typeof listOf>) =>
  list.findAll('ol > li').map((item) => item.text().replace(/\s+/g, ' '))

describe('what needs attention', () => {
  it('is told in sentences with its cause and what deals with it, in the order it comes', () => {
    expect(sentences(listOf([late, dry, suspect]))).toEqual([
      'now Alder 22 comes to contact 01:00 after its latest contact. Move it up, or let it leave for its abort base.Alder 22: Move it up Alt ↑ F9',
      // Alder 22 is missed: the ship behind it is the second in contact.
      'now Kelp runs out by 2,300 lb at contact 2, Sleet 11.Sleet 11: Better order F2',
      'soon Kelp boom is suspect: it takes nobody new until the tanker calls it good.Kelp: Good again Alt G'
    ])
  })

  it('is one line for several ships of one kind, which opens to each of them', async () => {
    const list = listOf([stale('alder-21', 620), stale('alder-22', 900), stale('sleet-11', 610)])
    expect(sentences(list)).toEqual([
      'note 3 ships of Alder 2 and Sleet 1 have not called their fuel, for up to 15:00.Alder 21: Call F9'
    ])
    await list.find('.group').trigger('click')
    expect(list.find('.group').attributes('aria-expanded')).toBe('true')
    expect(list.findAll('.each li').map((item) => item.text())).toEqual([
      'Alder 21 has not called its fuel for 10:20. Ask for it.Alder 21: Call',
      'Alder 22 has not called its fuel for 15:00. Ask for it.Alder 22: Call',
      'Sleet 11 has not called its fuel for 10:10. Ask for it.Sleet 11: Call'
    ])
  })

  it('counts a ship once that has the same trouble in two visits, and keeps tankers and pushes apart', () => {
    const short = (slotId: string) => reason('short at push', { shipId: 'alder-21', slotId, byKg: 10 })
    const [line] = attentionLines([short('a'), short('b')])
    expect(line?.reasons).toHaveLength(2)
    expect(sentences(listOf([short('a'), short('b')]))[0]).toMatch(/^now 1 ship of Alder 2 will be short at its push/)
    expect(attentionLines([dry, { ...dry, tankerId: 'other' }])).toHaveLength(2)
  })

  it('stays short: what goes beyond is counted', () => {
    const many = ['a', 'b', 'c'].map((pushGroupId) => reason('late push', { pushGroupId, byS: 60 }))
    expect(sentences(listOf(many, { most: 2 })).at(-1)).toBe('and 1 more')
  })

  it('tells what is still to come as still to come, and what has come about as it is', () => {
    const waits = (shipId: string, atMs: number) =>
      reason('past latest push', { shipId, slotId: shipId, atMs, byKg: 100 })
    const late = (atMs: number) => reason('late push', { severity: 'soon', pushGroupId: 'first', atMs, byS: 60 })
    const first = (...reasons: Reason[]) => sentences(listOf(reasons))[0]
    const [before, after] = [NOW_MS - 1_000, NOW_MS + 600_000]
    expect(first(waits('alder-21', after))).toContain('at its push: it will wait past its latest push.')
    expect(first(waits('alder-21', before))).toContain('at its push: it waits past its latest push.')
    expect(first(waits('alder-21', after), waits('alder-22', after))).toContain('will wait past their latest push')
    expect(first(waits('alder-21', before), waits('alder-22', after))).toContain('2 ships of Alder 2 wait past')
    expect(first(late(after))).toContain('first wave will be late by 01:00.')
    expect(first(late(NOW_MS))).toContain('first wave is late by 01:00.')
    // Known by its time alone.
    const passed = reason('past latest push', { shipId: 'alder-21', atMs: NOW_MS - 60_000, byS: 60 })
    expect(first(passed)).toContain('Alder 21 waits 01:00 past its latest push.')
  })

  it('says of a way that asks for more than there is what, when, and what would mend it', () => {
    const at = { shipId: 'alder-21', atMs: NOW_MS + 6_000_000, byKg: 13.6 }
    const mend = { kind: 'take more' as const, byKg: 13.6, byS: null }
    const weak = reason('weak point', { ...at, severity: 'soon', slotId: 'slot-alder-21', mend })
    expect(sentences(listOf([weak]))[0]).toContain(
      'Alder 21 will be 30 lb below recovery fuel at 13:40:00Z on its planned way. ' +
        'Let it take more, or send it home while it can recover.'
    )
    // Nothing is recorded of what is told by voice; with no contact before it, it goes home.
    expect(dealOf(weak)).toBe('choose')
    expect(dealOf(reason('weak point', at))).toBe('leaves')
  })

  it('says how many lines end below what is in sight of it', async () => {
    const heights = vi.spyOn(HTMLElement.prototype, 'getBoundingClientRect').mockImplementation(function (
      this: Element
    ) {
      // A list two lines high, each line twenty.
      const at = [...(this.parentElement?.children ?? [])].indexOf(this)
      const bottom = this.tagName === 'OL' ? 40 : (at + 1) * 20
      return { bottom, top: bottom - 20 } as DOMRect
    })
    // A browser tells of each line that is watched from now on.
    class Watcher {
      constructor(private readonly tell: () => void) {}
      observe() {
        this.tell()
      }
      disconnect() {
        // Nothing more is told.
      }
    }
    vi.stubGlobal('IntersectionObserver', Watcher)
    try {
      const groups = ['a', 'b', 'c', 'd'].map((pushGroupId) => reason('late push', { pushGroupId, byS: 60 }))
      const list = listOf(groups, { most: 3 })
      await nextTick()
      expect(list.find('[data-below]').text()).toBe('2 more below')
      await list.setProps({ lines: attentionLines(groups.slice(0, 2)) })
      await nextTick()
      expect(list.find('[data-below]').exists()).toBe(false)
    } finally {
      vi.unstubAllGlobals()
      heights.mockRestore()
    }
  })

  it('offers nothing to deal with to whoever may only look', () => {
    expect(listOf([late], { mayDeal: false }).findAll('[data-deal]')).toEqual([])
  })

  it('hands the reason over that is dealt with: of a group the one whose turn it is', async () => {
    const [first, second] = [stale('alder-21', 620), stale('alder-22', 900)]
    const list = listOf([first, second], { nextId: reasonId(second) })
    await list.find('[data-deal]').trigger('click')
    expect(list.emitted('deal')).toEqual([[second]])
  })

  it('is told to those who hear the page in a place that waits for a pause', () => {
    const live = listOf([late], { told: 'Something new.' }).find('[data-fresh]')
    expect(live.attributes('aria-live')).toBe('polite')
    expect(live.text()).toBe('Something new.')
  })
})

describe('what deals with a reason', () => {
  it('is what the order says would mend it', () => {
    expect(dealOf(late)).toBe('move up')
    expect(dealOf({ ...late, mend: { kind: 'another station', byKg: null, byS: null } })).toBe('better order')
    expect(dealOf(reason('short at push', { mend: { kind: 'top off', byKg: 1, byS: null } }))).toBe('top-off')
  })

  it('is a line the entry understands, with the ship, tanker or station filled in', () => {
    const plan = paperPlan((document) => {
      const [flight] = document['flights'] as { ships: { fitted: string[] }[] }[]
      for (const one of flight?.ships ?? []) one.fitted = ['wing-drop']
    })
    const event = new MemoryEvent(plan)
    const view = estimate(event.state, OPENS_AT_MS)
    if (!view) throw new Error('no view')
    const named = labelsOf(plan)
    const words = vocabularyOf(view, plan, named, event.state)
    const ship = { shipId: 'alder-21', slotId: 'slot-21', tankerId: 'kelp' }
    const station = { tankerId: 'kelp', stationId: 'boom' }
    const table: [Reason, typed: string, meant: unknown][] = [
      [reason('no fuel flowing', ship), '', { kind: 'startFlow', shipId: 'alder-21' }],
      [reason('hold to release', ship), '', { kind: 'setExternals', shipId: 'alder-21', externals: 'selected' }],
      [reason('stale call', ship), '2.1', { kind: 'callFuel', shipId: 'alder-21' }],
      [reason('below limit', ship), 'west', { kind: 'leave', shipId: 'alder-21', baseId: 'west' }],
      [reason('short at base', ship), 'west', { kind: 'leave', shipId: 'alder-21', baseId: 'west' }],
      [reason('station suspect', station), '', { kind: 'setStation', ...station, status: 'good' }],
      [reason('tanker held late', { tankerId: 'kelp' }), '1510', { kind: 'setTankerTimes', tankerId: 'kelp' }]
    ]
    for (const [trouble, typed, meant] of table) {
      const line = `${dealLine(dealOf(trouble), trouble, named) ?? ''}${typed}`
      const understood = understand(line, words)
      expect(understood, line).toMatchObject({ kind: 'understood', action: { kind: 'record', request: meant } })
    }
    const topOff = dealLine('top-off', reason('past latest push', ship), named) ?? ''
    expect(understand(topOff, words)).toMatchObject({ action: { kind: 'topOff', shipId: 'alder-21' } })
  })
})

describe('the next to be taken up', () => {
  it('is the worst, then the one below, then the worst again; and the worst once the last one is dealt with', () => {
    const all = [late, dry, suspect]
    expect(nextReason(all, undefined)).toBe(late)
    expect(nextReason(all, reasonId(late))).toBe(dry)
    expect(nextReason(all, reasonId(suspect))).toBe(late)
    expect(nextReason([dry, suspect], reasonId(late))).toBe(dry)
    expect(nextReason([], undefined)).toBeUndefined()
  })
})

describe('what is new', () => {
  it('is told once, though it flickers, and again after a minute away', () => {
    const first = newReasons(new Map(), [late], 0)
    expect(first.fresh).toEqual([late])
    const gone = newReasons(first.known, [], 30_000)
    expect(newReasons(gone.known, [late], 59_000).fresh).toEqual([])
    expect(newReasons(newReasons(gone.known, [], 60_000).known, [late], 61_000).fresh).toEqual([late])
  })
})

describe('the number of a contact', () => {
  it('counts the contacts of its tanker in their order, and nobody who gets none', () => {
    const slots = [
      slotView({ shipId: 'a', contactAtMs: 3 }),
      slotView({ shipId: 'b', contactAtMs: 1 }),
      slotView({ shipId: 'c', contactAtMs: 2, state: 'missed' }),
      slotView({ shipId: 'd', contactAtMs: 0, tankerId: 'other' })
    ]
    expect(contactNumberOf(slots)('slot-a')).toBe(2)
    expect(contactNumberOf(slots)('nobody')).toBeUndefined()
  })
})

describe('attention as it goes on', () => {
  const spoken = vi.fn()
  const scope = effectScope()
  let view = shallowRef<View>()
  let attention: Attention
  const dealt = vi.fn()
  beforeEach(() => {
    localStorage.clear()
    vi.stubGlobal(
      'SpeechSynthesisUtterance',
      class {
        constructor(readonly text: string) {}
      }
    )
    vi.stubGlobal('speechSynthesis', { cancel: vi.fn(), speak: spoken })
    view = shallowRef<View | undefined>(viewOf({ reasons: [late] }))
    attention = scope.run(() => useAttention({ view, labels: ref(labels), deal: dealt })) as Attention
  })
  afterEach(() => {
    vi.unstubAllGlobals()
    vi.clearAllMocks()
  })
  const show = async (reasons: readonly Reason[], atMs: number) => {
    view.value = viewOf({ reasons: [...reasons], atMs })
    await nextTick()
  }

  it('tells what is new, not what was there, not notes, and not each second', async () => {
    expect(attention.told.value).toBe('')
    await show([late, suspect, stale('alder-21', 700)], NOW_MS + 1000)
    const told = attention.told.value
    expect(told).toBe('Kelp boom is suspect: it takes nobody new until the tanker calls it good.')
    await show([late, suspect], NOW_MS + 2000)
    expect(attention.told.value).toBe(told)
    // Many of one kind are one sentence.
    const closed = ['alder-21', 'alder-22', 'sleet-11'].map((shipId) => reason('station closed', { shipId }))
    await show([...closed, late, suspect, dry], NOW_MS + 3000)
    expect(attention.told.value).toBe(
      '3 ships of Alder 2 and Sleet 1 are ordered to a station that takes nobody then. ' +
        'Kelp runs out by 2,300 lb at contact 2, Sleet 11.'
    )
  })

  it('is silent until somebody asks for the voice, which the browser then keeps', async () => {
    await show([late, suspect], NOW_MS + 1000)
    expect(spoken).not.toHaveBeenCalled()
    attention.spoken.value = true
    await show([late, suspect, dry], NOW_MS + 2000)
    expect(spoken).toHaveBeenCalledOnce()
    expect(localStorage.getItem('ullage-heard')).toBe('spoken')
  })

  it('takes up the worst, then the next, and the worst that a key deals with', async () => {
    await show([late, suspect], NOW_MS + 1000)
    attention.takeUp()
    attention.takeUp()
    expect(dealt.mock.calls).toEqual([[late], [suspect]])
    attention.reset()
    attention.takeUp()
    expect(dealt).toHaveBeenLastCalledWith(late)
    expect(attention.takeUpBy('Alt G')).toBe(true)
    expect(dealt).toHaveBeenLastCalledWith(suspect)
    expect(attention.takeUpBy('Alt Q')).toBe(false)
  })
})

describe('what is new', () => {
  it('is told with the state of a station first, however much follows from it', () => {
    const told = causesFirst(attentionLines([dry, late, suspect]))
    expect(told.map(({ reasons: [first] }) => first.kind)).toEqual([
      'station suspect',
      'tanker dry',
      'past latest contact'
    ])
  })
})
