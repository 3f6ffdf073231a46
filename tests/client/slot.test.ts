import { mount } from '@vue/test-utils'
import { describe, expect, it } from 'vitest'
import { nearFigures } from '../../client/fuel-near.ts'
import { keepSlot, keptSlot, labelsOfNames, lastPlace, namesIn, type LastSlot } from '../../client/last-slot.ts'
import FuelNear from '../../client/parts/FuelNear.vue'
import SlotLeft from '../../client/parts/SlotLeft.vue'
import TroubleKeys from '../../client/parts/TroubleKeys.vue'
import { slotChanges } from '../../client/slot-changes.ts'
import { vocabularyOfLast } from '../../client/vocabulary.ts'
import type { SlotView, View } from '../../shared/contracts/view.ts'
import { understand } from '../../shared/entry/understand.ts'
import { KG_PER_LB } from '../../shared/units.ts'
import { REAL_CLOCK } from '../../shared/live/clock.ts'
import { labels, NOW_MS, shipView, slotView, viewOf } from './fixture.ts'

const lb = (value: number) => value * KG_PER_LB
const SHIP = 'alder-21'
const withSlot = (change: Partial<SlotView>): View => {
  const view = viewOf()
  return {
    ...view,
    slots: view.slots.map((slot) => (slot.shipId === SHIP ? { ...slot, state: 'planned', ...change } : slot))
  }
}
const changes = (before: Partial<SlotView>, now: Partial<SlotView>) =>
  slotChanges(SHIP, { before: withSlot(before), now: withSlot(now), labels })

describe('what is new of a slot', () => {
  const contactAtMs = NOW_MS + 600_000

  it('is nothing while it moves as little as any call moves it', () => {
    const before = { contactAtMs, pushAtMs: 0, onLoadKg: lb(4_500), requiredAtPushKg: lb(7_500) }
    const now = {
      contactAtMs: contactAtMs + 29_000,
      pushAtMs: 59_000,
      onLoadKg: lb(4_590),
      requiredAtPushKg: lb(7_410)
    }
    expect(changes(before, now)).toEqual([])
    expect(changes(before, { ...now, requiredAtPushKg: lb(7_400) - 1 })).toEqual([
      'required at push 7,400 lb, was 7,500 lb'
    ])
  })

  it('is the station, whom it comes after, the times, the fuel and the base, each with what it was', () => {
    const before = { contactAtMs, aheadShipId: null, stationId: 'boom', onLoadKg: lb(4_500), abortBaseId: 'north' }
    const now = {
      contactAtMs: contactAtMs + 180_000,
      aheadShipId: 'alder-22',
      onLoadKg: lb(5_000),
      abortBaseId: 'south'
    }
    expect(changes(before, now)).toEqual([
      'after Alder 22, was first on the station',
      `abort base ${labels.base('south')}, was ${labels.base('north')}`,
      'contact 12:13:00Z, was 12:10:00Z',
      'on-load 5,000 lb, was 4,500 lb'
    ])
  })

  it('is what another plan makes of the same contact: when it must come, with what, and with how little it may go', () => {
    const before = {
      latestContactAtMs: contactAtMs,
      fuelAtContactKg: lb(6_000),
      leastOnLoadKg: lb(1_300),
      abortKg: lb(2_990)
    }
    const now = {
      latestContactAtMs: contactAtMs - 264_000,
      fuelAtContactKg: lb(5_600),
      leastOnLoadKg: lb(1_700),
      abortKg: lb(3_190)
    }
    expect(changes(before, now)).toEqual([
      'latest contact 12:05:36Z, was 12:10:00Z',
      'least on-load 1,700 lb, was 1,300 lb',
      'fuel at contact 5,600 lb, was 6,000 lb',
      'abort fuel 3,190 lb, was 2,990 lb'
    ])
    expect(changes(before, { ...before, fuelAtContactKg: lb(5_710), latestContactAtMs: contactAtMs - 59_000 })).toEqual(
      []
    )
    expect(changes({ ...before, latestContactAtMs: null }, { ...now, latestContactAtMs: null })).toHaveLength(3)
  })

  it('is that it would come too late, once, and nothing more once it has begun', () => {
    expect(changes({}, { state: 'missed' })).toEqual(['contact would come after your latest contact'])
    expect(changes({ state: 'missed' }, { state: 'missed' })).toEqual([])
    expect(changes({ contactAtMs }, { state: 'in contact', contactAtMs: contactAtMs + 180_000 })).toEqual([])
  })

  it('is another slot, or none any more', () => {
    const before = withSlot({})
    const none = { ...before, ships: before.ships.map((ship) => ({ ...ship, slotId: null })) }
    expect(slotChanges(SHIP, { before, now: none, labels })).toEqual(['no slot is planned for you any more'])
    expect(slotChanges(SHIP, { before: none, now: none, labels })).toEqual([])
    const other = withSlot({ slotId: 'slot-new', contactAtMs })
    const ships = other.ships.map((ship) => (ship.shipId === SHIP ? { ...ship, slotId: 'slot-new' } : ship))
    expect(slotChanges(SHIP, { before, now: { ...other, ships }, labels })).toEqual([
      `another slot: ${labels.station('kelp', 'boom')}, contact 12:10:00Z`
    ])
  })
})

describe('figures near to the own gauge', () => {
  it.each([
    [lb(6_430), 'lb', 9_000, [6_200, 6_300, 6_400, 6_500, 6_600]],
    [lb(120), 'lb', 9_000, [0, 100, 200, 300, 400]],
    [lb(9_000), 'lb', 9_050, [8_600, 8_700, 8_800, 8_900, 9_000]],
    [3_010, 'kg', lb(9_000), [2_900, 2_950, 3_000, 3_050, 3_100]]
  ] as const)('about %d kg in %s', (aboutKg, unit, most, figures) => {
    expect(nearFigures(aboutKg, { unit, mostKg: unit === 'lb' ? lb(most) : most, count: 5 })).toEqual(figures)
  })

  it('are taken by one touch, and stay under the finger while the estimate moves by less than a step', async () => {
    const near = mount(FuelNear, { props: { gaugeKg: lb(6_400), mostKg: lb(9_000), unit: 'lb' } })
    const shown = () => near.findAll('[data-near]').map((button) => button.text())
    expect(shown()).toEqual(['6,200', '6,300', '6,400', '6,500', '6,600'])
    await near.setProps({ gaugeKg: lb(6_340) })
    expect(shown()).toEqual(['6,200', '6,300', '6,400', '6,500', '6,600'])
    await near.findAll('[data-near]')[3]?.trigger('click')
    expect((near.emitted('take')?.[0]?.[0] as number) / KG_PER_LB).toBeCloseTo(6_500, 6)
    await near.find('button[aria-label="Higher figures"]').trigger('click')
    expect(shown()).toEqual(['6,700', '6,800', '6,900', '7,000', '7,100'])
  })
})

describe('tank trouble', () => {
  it('is said in two touches, of one tank, and can be taken back', async () => {
    const ship = shipView({ shipId: SHIP, callSign: 'Alder 21' })
    const keys = mount(TroubleKeys, { props: { ship } })
    expect(keys.findAll('li')).toHaveLength(0)
    await keys.find('button').trigger('click')
    await keys.find('button[aria-label="drop 2 not giving"]').trigger('click')
    expect(keys.emitted('tell')).toEqual([
      [
        { kind: 'setTrouble', shipId: SHIP, groupId: 'drop', tankNumber: 2, trouble: 'not giving' },
        'Alder 21 drop 2 not giving'
      ]
    ])
    expect(keys.findAll('li')).toHaveLength(0)
    const tanks = ship.tanks.map((tank) => ({
      ...tank,
      troubles: tank.external ? [{ tankNumber: 2, trouble: 'not giving' as const, read: false }] : []
    }))
    await keys.setProps({ ship: { ...ship, tanks } })
    await keys.find('button').trigger('click')
    await keys.find('button[aria-label="drop 2 well again"]').trigger('click')
    expect(keys.emitted('tell')?.[1]?.[0]).toEqual({ kind: 'setTrouble', shipId: SHIP, groupId: 'drop', tankNumber: 2 })
  })

  it('of a tank inside the ship is never that it is gone', async () => {
    const keys = mount(TroubleKeys, { props: { ship: shipView({ shipId: SHIP, callSign: 'Alder 21' }) } })
    await keys.find('button').trigger('click')
    expect(keys.find('button[aria-label="wing gone"]').exists()).toBe(false)
    expect(keys.find('button[aria-label="drop 1 gone"]').exists()).toBe(true)
  })
})

describe('a ship that has left', () => {
  it('is shown its base, when it is there and with how much, on the safe side too', () => {
    const left = {
      baseId: 'south',
      atMs: NOW_MS,
      arrivesAtMs: NOW_MS + 1_200_000,
      fuelOnArrivalKg: lb(2_400),
      fuelOnArrivalLowKg: lb(2_100),
      reserveKg: lb(2_200)
    }
    const shown = mount(SlotLeft, { props: { ship: shipView({ shipId: SHIP, callSign: 'Alder 21', left }), labels } })
    expect(shown.text()).toContain(labels.base('south'))
    expect(shown.text()).toContain('12:20:00Z')
    expect(shown.find('[data-figure="on arrival"]').text()).toBe('2,400 lb, 2,100 lb')
    expect(shown.find('.now').text()).toContain('\u2212100 lb')
  })
})

describe('the last known slot', () => {
  const ship = shipView({ shipId: SHIP, callSign: 'Alder 21' })
  const slot = slotView({ shipId: SHIP, aheadShipId: 'alder-22' })
  const spoken = { ship, slotView: slot, next: undefined }
  const kept: LastSlot = {
    ...{
      savedAtMs: NOW_MS,
      atMs: NOW_MS,
      clock: REAL_CLOCK,
      ...spoken,
      trackName: 'Yarrow',
      soonS: 300,
      join: undefined
    },
    names: namesIn(spoken, labels)
  }

  it('comes back from the browser as it was kept, with the names of all it speaks of', () => {
    localStorage.clear()
    keepSlot('l-one', kept)
    const again = keptSlot('l-one', SHIP)
    expect(again).toEqual(JSON.parse(JSON.stringify(kept)))
    const names = labelsOfNames(again?.names ?? kept.names)
    expect(names.station('kelp', 'boom')).toBe(labels.station('kelp', 'boom'))
    expect(names.ship('alder-22')).toBe('Alder 22')
    expect(names.base('north')).toBe(labels.base('north'))
    expect(names.massUnit).toBe(labels.massUnit)
  })

  it('lets the own fuel be called without contact, as its own gauge shows it', () => {
    const names = labelsOfNames(kept.names)
    expect(names.gaugeOf(SHIP)).toBe(labels.gaugeOf(SHIP))
    const known = vocabularyOfLast({ ship, labels: names, atMs: NOW_MS })
    expect(understand('alder 21 fuel 2.5', known)).toMatchObject({
      kind: 'understood',
      action: {
        kind: 'record',
        request: { kind: 'callFuel', shipId: SHIP, fuel: { value: 2_500, unit: labels.massUnit } }
      }
    })
  })

  it('is none of another link, another ship or another version', () => {
    localStorage.clear()
    keepSlot('l-one', kept)
    expect(keptSlot('l-two', SHIP)).toBeUndefined()
    expect(keptSlot('l-one', 'alder-22')).toBeUndefined()
    for (const text of ['{', 'null', '{"shape":0,"slot":{}}']) {
      localStorage.setItem(`ullage slot l-one ${SHIP}`, text)
      expect(keptSlot('l-one', SHIP)).toBeUndefined()
    }
  })

  it('holds no secret, and leads back only to a page of ours', () => {
    localStorage.clear()
    localStorage.setItem('ullage place', 'https://elsewhere.example/')
    expect(lastPlace()).toBeUndefined()
    localStorage.setItem('ullage place', '/as/l-one/slot')
    expect(lastPlace()).toBe('/as/l-one/slot')
  })
})
