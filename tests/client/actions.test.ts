import { mount } from '@vue/test-utils'
import { describe, expect, it } from 'vitest'
import LimitForm from '../../client/parts/LimitForm.vue'
import PlanFlights from '../../client/parts/PlanFlights.vue'
import PlanStops from '../../client/parts/PlanStops.vue'
import ShipActions from '../../client/parts/ShipActions.vue'
import SlotFigures from '../../client/parts/SlotFigures.vue'
import { reasonWords } from '../../client/words/reasons.ts'
import type { ShipView, SlotView } from '../../shared/contracts/view.ts'
import { KG_PER_LB } from '../../shared/units.ts'
import { labels, NOW_MS, shipView, slotView, viewOf } from './fixture.ts'

/* No outside source: what is shown of limits, tanks and stops, and what the buttons ask for. */

const lb = (value: number) => value * KG_PER_LB
const limits = (byHandLb: number): ShipView['limits'] => ({
  ...shipView({ shipId: 'alder-21', callSign: 'Alder 21' }).limits,
  bingo: { fuelKg: lb(Math.max(3_000, byHandLb)), computedKg: lb(3_000), byHandKg: lb(byHandLb), gaugeKg: lb(3_300) }
})
const alder = (over: Partial<ShipView> = {}) => shipView({ shipId: 'alder-21', callSign: 'Alder 21', ...over })

const actions = (ship: ShipView, may = { mayWrite: true, mayLimit: true }) =>
  mount(ShipActions, {
    props: { ship, slotView: slotView({ shipId: 'alder-21' }), labels, neighbours: [], ...may }
  })

describe('what can be done with the chosen ship', () => {
  it('says which limit is set by hand, and which is overruled by the computed one', () => {
    expect(actions(alder({ limits: limits(3_400) })).text()).toContain('bingo 3,400 lb, by hand, own gauge 3,300 lb')
    expect(actions(alder({ limits: limits(2_400) })).text()).toContain('bingo 3,000 lb, by hand, computed rules')
    expect(actions(alder()).text()).not.toContain('by hand,')
  })

  it('puts the words about its tanks into the line', async () => {
    const part = actions(alder())
    const words = part.findAll('[data-tank-words] button')
    expect(words.map((button) => button.text())).toEqual(['Held', 'Jettisoned', 'Not giving', 'Not taking'])
    for (const button of words) await button.trigger('click')
    expect(part.emitted('say')).toEqual([
      ['alder 21 held'],
      ['alder 21 jettisoned'],
      ['alder 21 not giving'],
      ['alder 21 not taking']
    ])
    const thrown = actions(alder({ jettisoned: ['drop'] })).findAll('[data-tank-words] button')
    expect(thrown.map((button) => button.text())).toEqual(['Not giving', 'Not taking'])
  })

  it('tells what the order says of its slot, and puts the words that lift it into the line', async () => {
    const part = mount(ShipActions, {
      props: {
        ship: alder(),
        slotView: slotView({ shipId: 'alder-21', notBeforeAtMs: NOW_MS + 60_000, internalsOnly: true }),
        labels,
        neighbours: [],
        mayWrite: true,
        mayLimit: true
      }
    })
    expect(part.find('[data-said]').text()).toBe('not before 12:01:00Z, internal fuel only')
    expect(part.find('.aloud').text()).toContain('internal fuel only')
    for (const name of ['not before', 'internals only']) await part.find(`[data-disruption="${name}"]`).trigger('click')
    expect(part.emitted('say')).toEqual([['alder 21 lift not before'], ['alder 21 full on-load']])
    const free = actions(alder())
    expect(free.find('[data-said]').exists()).toBe(false)
    expect(free.find('[data-disruption="not before"]').exists()).toBe(false)
    expect(free.find('[data-disruption="internals only"]').exists()).toBe(false)
  })

  it('lets only those set a limit who may', () => {
    expect(actions(alder()).find('[data-limit-form]').exists()).toBe(true)
    expect(actions(alder(), { mayWrite: true, mayLimit: false }).find('[data-limit-form]').exists()).toBe(false)
    expect(actions(alder(), { mayWrite: false, mayLimit: false }).find('[data-tank-words]').exists()).toBe(false)
  })
})

describe('the form for a limit', () => {
  it('asks for the figure as the entry line reads it, and only for a clear one', async () => {
    const form = mount(LimitForm, { props: { ship: alder(), unit: 'lb' } })
    await form.find('select').setValue('bingo')
    // Six hundred or six thousand: both would fit.
    await form.find('input').setValue('6')
    expect(form.find('button[type="submit"]').attributes('disabled')).toBeDefined()
    await form.find('form').trigger('submit')
    expect(form.emitted('record')).toBeUndefined()
    await form.find('input').setValue('45')
    expect(form.find('button[type="submit"]').text()).toBe('Set 4,500 lb')
    await form.find('input').setValue('4.5')
    expect(form.find('button[type="submit"]').text()).toBe('Set 4,500 lb')
    await form.find('form').trigger('submit')
    expect(form.emitted('record')).toEqual([
      [
        { kind: 'setLimit', shipId: 'alder-21', limit: 'bingo', fuel: { value: 4500, unit: 'lb' } },
        'Alder 21 bingo by hand: 4,500 lb.'
      ]
    ])
  })

  it('takes back what is set by hand, and nothing else', async () => {
    const form = mount(LimitForm, { props: { ship: alder({ limits: limits(3_400) }), unit: 'lb' } })
    expect(form.findAll('button')).toHaveLength(1)
    await form.find('select').setValue('bingo')
    await form.findAll('button')[1]?.trigger('click')
    expect(form.emitted('record')).toEqual([
      [{ kind: 'setLimit', shipId: 'alder-21', limit: 'bingo' }, 'Alder 21 bingo: as computed again.']
    ])
  })
})

describe('the slot page', () => {
  const page = (ship: ShipView, slot: Partial<SlotView> = {}) =>
    mount(SlotFigures, {
      props: {
        ship,
        slotView: slotView({ shipId: 'alder-21', ...slot }),
        next: undefined,
        nowMs: NOW_MS,
        labels,
        trackName: 'East track',
        soonS: 300,
        lastKnown: false
      }
    })

  it('tells beside the fuel what an internal gauge says of the externals, and where it stands while they give', () => {
    const band = { lowKg: lb(3_701), highKg: lb(4_249), notGivingBelowKg: null }
    const text = page(alder({ externalsRead: 'not giving', gaugeBand: band })).text()
    expect(text).toContain('externals not giving')
    // A gauge that stands lower than shown is out of the band for sure.
    expect(text).toContain('Externals give: own gauge 3,710 lb to 4,240 lb')
    expect(page(alder({ gaugeBand: band, externals: 'off' })).text()).not.toContain('Externals give:')
  })

  it('tells what it has at its push beside what is required there, how long that holds, and what it is short', () => {
    const enough = page(alder())
    expect(enough.find('[data-figure="at-push"]').text()).toBe('with 8,000 lb')
    expect(enough.find('[data-figure="latest-push"]').text()).toBe('latest 12:50:00Z')
    expect(enough.find('[data-figure="short"]').exists()).toBe(false)
    const short = page(alder(), { fuelAtPushKg: lb(790), shortageKg: lb(6_710), latestPushAtMs: null })
    expect(short.find('[data-figure="short"]').text()).toContain('short by 6,710 lb')
    expect(short.find('.now dt svg').exists()).toBe(true)
    expect(short.find('[data-figure="latest-push"]').exists()).toBe(false)
    expect(page(alder(), { fuelAtPushKg: -1 }).text()).toContain('runs out before push')
    // Of a contact that does not come about nothing is known at the push.
    expect(page(alder(), { state: 'missed', fuelAtPushKg: 0 }).find('[data-figure="at-push"]').exists()).toBe(false)
  })

  it('counts a wait of more than a day in days', () => {
    const far = page(alder(), { contactAtMs: NOW_MS + 1_557 * 86_400_000 + 5_000 })
    expect(far.text()).toContain('in 1,557 d')
    expect(page(alder(), { contactAtMs: NOW_MS + 86_399_000 }).text()).toContain('in 1439:59')
  })

  it('tells that the order has it come no earlier, and take internal fuel only', () => {
    const told = page(alder(), { notBeforeAtMs: NOW_MS + 61_500, internalsOnly: true })
    expect(told.find('[data-said]').text()).toContain('not before 12:01:02Z, internal fuel only')
    expect(page(alder()).find('[data-said]').exists()).toBe(false)
  })

  it('tells of the low-level light, now or on the way to the tanker', () => {
    expect(page(alder({ feedLow: true })).text()).toContain('Low-level light on')
    expect(page(alder({ feedLowAtMs: NOW_MS + 61_500 })).text()).toContain('Low-level light at 12:01:01Z')
    // After the contact it says nothing of the way there.
    expect(page(alder({ feedLowAtMs: NOW_MS + 3_600_000 })).text()).not.toContain('Low-level')
  })

  it('tells when to hold, at what on the own gauge, what it saves, and when to give it up', () => {
    const hold: SlotView['hold'] = {
      kind: 'hold',
      fromMs: NOW_MS + 30_900,
      gaugeFromKg: lb(9_311),
      releaseAtMs: NOW_MS + 600_900,
      gaugeReleaseKg: lb(5_591),
      savedS: 81.9,
      withS: 200,
      withoutS: 281.9,
      externalUsedKg: lb(300),
      gaugeAtContactKg: lb(6_000),
      countedAtContactKg: lb(5_000),
      aboveFloorKg: lb(100),
      fuelAtDisconnectKg: lb(9_000)
    }
    const told = page(alder(), { hold })
      .findAll('.hold [data-working]')
      .map((mark) => `${String(mark.attributes('data-working'))} ${mark.text()}`)
    expect(told).toEqual([
      'hold from 12:00:30Z',
      'hold gauge 9,320 lb',
      'hold saves 01:21',
      'release at 12:10:00Z',
      'release gauge 5,600 lb'
    ])
    expect(page(alder(), { hold: { kind: 'none', why: 'floor' } }).text()).toContain(
      'No hold: too little would count at contact.'
    )
  })
})

describe('the plan', () => {
  it('shows the limits of every ship of a flight, and whose hand is on them', () => {
    const flights = mount(PlanFlights, {
      props: {
        view: viewOf({
          ships: [alder({ limits: limits(3_400) })],
          flights: [{ flightId: 'alder-2', callSign: 'Alder 2', weakest: null, ladder: [] }]
        }),
        labels
      }
    })
    const row = flights.find('[data-limits="alder-21"]').findAll('td')
    expect(row.map((cell) => cell.find('button').exists() && cell.find('button').text())).toEqual([
      false,
      '2,500 lb',
      '3,400 lb',
      '3,500 lb'
    ])
    expect(row.map((cell) => (cell.find('.hand').exists() ? cell.find('.hand').text() : ''))).toEqual([
      '',
      '',
      'by hand',
      ''
    ])
  })

  it('shows of each place to stop, once opened, what it saves, rounded down, and what it forgoes, rounded up', async () => {
    const stop = {
      minutesS: 100.2,
      onLoadKg: lb(2_001),
      fuelKg: lb(7_000),
      usableKg: lb(6_809),
      closes: 'Wing',
      knee: true,
      savesS: 99.8,
      savesKg: lb(2_499),
      forgoesKg: lb(2_401)
    }
    const slot = slotView({ shipId: 'alder-21', stops: [stop], lostKg: lb(101), gaugeAtDisconnectKg: lb(9_209) })
    const stops = mount(PlanStops, { props: { view: viewOf({ slots: [slot] }), labels } })
    expect(stops.findAll('td')).toEqual([])
    const details = stops.find<HTMLDetailsElement>('details')
    details.element.open = true
    await details.trigger('toggle')
    expect(stops.findAll('td').map((cell) => cell.text())).toEqual([
      '01:41',
      'Wing, knee',
      '2,010 lb',
      '6,800 lb',
      '01:39',
      '2,490 lb',
      '2,410 lb'
    ])
    expect(stops.text()).toContain('into tanks that do not give 110 lb')
    expect(stops.text().replaceAll(/\s+/g, ' ')).toContain('Own gauge at disconnect 9,200 lb')
  })

  it('says by how much a limit by hand lies below the computed one, as a figure that opens', () => {
    const reason = {
      ...viewOf().reasons[0],
      kind: 'hand limit overruled',
      mend: null,
      byS: null,
      byKg: lb(191),
      shipId: 'alder-21'
    }
    expect(reasonWords(reason as Parameters<typeof reasonWords>[0], labels, 'lb')).toEqual([
      'A limit set by hand for Alder 21 lies ',
      { figure: 'overruled by', of: 'alder-21', text: '200 lb' },
      ' below the computed one, which rules.'
    ])
  })
})
