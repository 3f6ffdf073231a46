import { mount } from '@vue/test-utils'
import { describe, expect, it } from 'vitest'
import { arrivals } from '../../client/left.ts'
import LeftShips from '../../client/parts/LeftShips.vue'
import ShipBoard from '../../client/parts/ShipBoard.vue'
import type { ShipView } from '../../shared/contracts/view.ts'
import { KG_PER_LB } from '../../shared/units.ts'
import { labels, NOW_MS, shipView, viewOf } from './fixture.ts'

/* No outside source: what is shown of ships that left. */

const lb = (value: number) => value * KG_PER_LB
const left = (shipId: string, arrivesMin: number, lowLb: number): ShipView =>
  shipView({
    shipId,
    callSign: labels.ship(shipId),
    status: 'left',
    margin: null,
    left: {
      baseId: 'north',
      atMs: NOW_MS - 60_000,
      arrivesAtMs: NOW_MS + arrivesMin * 60_000,
      fuelOnArrivalKg: lb(lowLb + 200),
      fuelOnArrivalLowKg: lb(lowLb),
      reserveKg: lb(2_000)
    }
  })
const part = (ships: readonly ShipView[], mayWrite = true) =>
  mount(LeftShips, { props: { ships, labels, nowMs: NOW_MS, selected: undefined, mayWrite } })

describe('ships that left', () => {
  it('are shown with base, time, fuel on arrival, its safe side, the reserve and the margin to it', () => {
    const row = part([left('alder-21', 12, 2_405)]).find('[data-ship="alder-21"]')
    expect(row.text()).toContain('North shore')
    const figure = (name: string) =>
      row
        .find(`[data-figure="${name}"]`)
        .text()
        .replace(/^.* {1}(?=[\u2212\d][\d,]* lb)/, '')
    expect(row.find('[data-figure="arrives"]').text()).toContain('12:12:00Z')
    expect(figure('on arrival')).toBe('2,600 lb')
    expect(figure('on arrival low')).toBe('2,400 lb')
    expect(figure('reserve')).toBe('2,000 lb')
    expect(figure('margin to reserve')).toBe('400 lb')
  })

  it('come with the shortest first, then with the next to arrive; the short one is marked by more than colour', () => {
    const ships = [left('alder-21', 12, 2_405), left('sleet-11', 20, 1_900), left('alder-22', 5, 2_100)]
    expect(arrivals(ships).map(({ shipId }) => shipId)).toEqual(['sleet-11', 'alder-22', 'alder-21'])
    const margin = part(ships).find('[data-ship="sleet-11"] [data-figure="margin to reserve"]')
    expect(margin.text()).toContain('\u2212100 lb')
    expect(margin.find('svg').exists()).toBe(true)
  })

  it('that run out before they are there have words for it, no fuel below nothing', () => {
    const row = part([left('alder-21', 12, -300)]).find('[data-ship="alder-21"]')
    expect(row.find('[data-figure="on arrival"]').text()).toContain('runs out before')
    expect(row.find('[data-figure="on arrival low"]').text()).toContain('runs out before')
    expect(row.find('[data-figure="margin to reserve"]').text()).toContain('\u22122,300 lb')
  })

  it('are due when their time is past, and gone once they are down', () => {
    expect(part([left('alder-21', -1, 2_405)]).text()).toContain('due')
    expect(part([left('alder-21', 1, 2_405)]).text()).not.toContain('due')
    expect(
      part([{ ...left('alder-21', 1, 2_405), status: 'landed' }])
        .find('[data-left]')
        .exists()
    ).toBe(false)
  })

  it('are said to be down by a button that fills the line; whoever may only look has none', async () => {
    const ship = left('alder-21', 12, 2_405)
    const shown = part([ship])
    await shown.find('button').trigger('click')
    expect(shown.emitted('say')).toEqual([['alder 21 landed']])
    expect(shown.emitted('select')).toBeUndefined()
    expect(part([ship], false).find('button').exists()).toBe(false)
  })

  it('stand no longer among the ships that count to a limit', () => {
    const view = viewOf({
      ships: viewOf().ships.map((ship) => (ship.shipId === 'alder-21' ? left('alder-21', 9, 2_405) : ship))
    })
    const board = mount(ShipBoard, {
      props: {
        drafted: undefined,
        view,
        order: ['alder-22', 'alder-21', 'sleet-11'],
        labels,
        minutes: 60,
        soonS: 900,
        selected: undefined,
        lastKnown: false
      }
    })
    expect(board.findAll('[data-ship]').map((row) => row.attributes('data-ship'))).toEqual(['alder-22', 'sleet-11'])
  })
})
