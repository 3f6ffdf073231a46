import { describe, expect, test } from 'vitest'
import { exact } from '../../../shared/order/suggest/exact.ts'
import { judge, type Judged, type SlotOut } from '../../../shared/order/times.ts'
import { MINUTE_MS, order, push, slot, station, tanker } from './make.ts'

const min = (minutes: number): number => minutes * MINUTE_MS
const of = (judged: Judged, id: string): SlotOut => {
  const found = judged.slots.find((one) => one.slotId === id)
  if (found === undefined) throw new RangeError(`no slot ${id}`)
  return found
}
const kinds = (judged: Judged): string[] => judged.reasons.map((one) => one.kind)

describe('a slot starts at the latest of', () => {
  const start = (parts: { readyMin: number; opensMin: number; freeMin: number; nowMin?: number; flightId?: string }) =>
    of(
      judge(
        order({
          slots: [slot('Alder', { readyAtMs: min(parts.readyMin) }, { flightId: 'wood' })],
          stations: [
            station('boom', {
              opensAtMs: min(parts.opensMin),
              freeAtMs: min(parts.freeMin),
              lastFlightId: parts.flightId,
              hookUpMs: min(1.5),
              changeoverWithinFlightMs: min(0.5),
              changeoverBetweenMs: min(2)
            })
          ],
          turns: { boom: ['Alder'] },
          nowMs: parts.nowMin === undefined ? undefined : min(parts.nowMin)
        })
      ),
      'Alder'
    )

  test('the ship is ready, the station opens, now', () => {
    expect(start({ readyMin: 9, opensMin: 4, freeMin: 3 }).startAtMs).toBe(min(9))
    expect(start({ readyMin: 1, opensMin: 4, freeMin: 3 }).startAtMs).toBe(min(4))
    expect(start({ readyMin: 1, opensMin: 4, freeMin: 3, nowMin: 12 }).startAtMs).toBe(min(12))
    expect(start({ readyMin: 1, opensMin: 4, freeMin: 3, nowMin: 12 }).readyAtMs).toBe(min(1))
  })

  test('the last disconnect, with the changeover of its flight or of another, none before the first', () => {
    expect(start({ readyMin: 1, opensMin: 0, freeMin: 6 }).startAtMs).toBe(min(6))
    expect(start({ readyMin: 1, opensMin: 0, freeMin: 6, flightId: 'wood' }).startAtMs).toBe(min(6.5))
    expect(start({ readyMin: 1, opensMin: 0, freeMin: 6, flightId: 'other' }).startAtMs).toBe(min(8))
  })

  test('and its contact comes a hook-up later', () => {
    const { startAtMs, contactAtMs } = start({ readyMin: 9, opensMin: 4, freeMin: 3 })
    expect(contactAtMs - startAtMs).toBe(min(1.5))
  })
})

describe('a push', () => {
  const twoShips = (parts: { plannedMin: number; goneB?: boolean; abortKgB?: number; pushedMin?: number }): Judged =>
    judge(
      order({
        slots: [
          slot('Alder', { serviceMs: min(5), burnKgPerS: 1, targetKg: 1000 }, { requiredAtPushKg: 900 }),
          slot(
            'Birch',
            { serviceMs: min(5), burnKgPerS: 1, targetKg: 1000, abortKg: parts.abortKgB },
            { gone: parts.goneB ?? false }
          )
        ],
        stations: [station('boom')],
        pushGroups: [
          push('push', {
            plannedAtMs: min(parts.plannedMin),
            reformMs: min(2),
            pushedAtMs: parts.pushedMin === undefined ? undefined : min(parts.pushedMin)
          })
        ],
        turns: { boom: ['Alder', 'Birch'] }
      })
    )

  test('is the planned one, or the last disconnect of the group and the reform', () => {
    expect(twoShips({ plannedMin: 20 }).pushes).toEqual([
      { pushGroupId: 'push', plannedAtMs: min(20), pushAtMs: min(20), lateMs: 0 }
    ])
    const late = twoShips({ plannedMin: 3 })
    expect(late.pushes[0]).toMatchObject({ pushAtMs: min(12), lateMs: min(9) })
    expect(late.reasons).toContainEqual(expect.objectContaining({ kind: 'late push', byS: 540, severity: 'soon' }))
  })

  test('waits neither for a ship that is gone nor for one that misses', () => {
    expect(twoShips({ plannedMin: 3, goneB: true }).pushes[0]?.pushAtMs).toBe(min(7))
    const missed = twoShips({ plannedMin: 3, abortKgB: 900 })
    expect(of(missed, 'Birch')).toMatchObject({ state: 'missed', onLoadKg: 0, shortageKg: 0 })
    expect(missed.pushes[0]?.pushAtMs).toBe(min(7))
  })

  test('stands once it is flown', () => {
    expect(twoShips({ plannedMin: 3, pushedMin: 30 }).pushes[0]?.pushAtMs).toBe(min(30))
  })

  test('finds a ship with the fuel it had at disconnect less what the wait burns', () => {
    const alder = of(twoShips({ plannedMin: 3 }), 'Alder')
    // Full at 5 min with 1,000 kg, pushes at 12: 420 s at 1 kg/s. It falls to 900 kg at 5 min + 100 s.
    expect(alder.fuelAtDisconnectKg).toBeCloseTo(1000, 9)
    expect(alder.fuelAtPushKg).toBeCloseTo(580, 9)
    expect(alder.shortageKg).toBeCloseTo(320, 9)
    expect(alder.latestPushAtMs).toBeCloseTo(min(5) + 100_000, 6)
  })

  test('that comes too late for a ship is told apart from fuel it never took', () => {
    expect(kinds(twoShips({ plannedMin: 3 }))).toContain('past latest push')
    const short = judge(
      order({
        slots: [slot('Alder', { burnKgPerS: 1, targetKg: 1000 }, { requiredAtPushKg: 1100 })],
        stations: [station('boom')],
        turns: { boom: ['Alder'] }
      })
    )
    expect(short.reasons).toContainEqual(expect.objectContaining({ kind: 'short at push', slotId: 'Alder' }))
    expect(of(short, 'Alder').latestPushAtMs).toBeUndefined()
  })
})

describe('a ship that would come too late', () => {
  const late = (serveAnyway: boolean): Judged =>
    judge(
      order({
        slots: [
          slot('Alder', { serviceMs: min(10) }),
          slot(
            'Sleet',
            { fuelKg: 1000, burnKgPerS: 1, abortKg: 700, targetKg: 2000, serviceMs: min(4) },
            { serveAnyway }
          ),
          slot('Kelp', { serviceMs: min(3) })
        ],
        stations: [station('boom', { hookUpMs: min(1), changeoverBetweenMs: min(2) })],
        turns: { boom: ['Alder', 'Sleet', 'Kelp'] }
      })
    )

  test('is drawn where it would have been, by how much it is past, and takes no station time', () => {
    const judged = late(false)
    expect(of(judged, 'Sleet')).toMatchObject({
      state: 'missed',
      startAtMs: min(13),
      contactAtMs: min(14),
      disconnectAtMs: min(18),
      latestContactAtMs: min(5),
      pastMs: min(9),
      slackMs: min(-9),
      onLoadKg: 0,
      fuelAtContactKg: 160,
      aheadSlotId: 'Alder'
    })
    expect(of(judged, 'Sleet').neededKg).toBeGreaterThan(1000)
    expect(of(judged, 'Kelp')).toMatchObject({ startAtMs: min(13), aheadSlotId: 'Alder' })
    expect(judged.ledger[0]?.promisedKg).toBeCloseTo(4000, 6)
  })

  test('is served anyway when so pinned', () => {
    const judged = late(true)
    expect(of(judged, 'Sleet')).toMatchObject({ state: 'planned', pastMs: min(9) })
    expect(of(judged, 'Kelp')).toMatchObject({ startAtMs: min(20), aheadSlotId: 'Sleet' })
    expect(judged.judgement.lostWeight).toBe(0)
    expect(kinds(judged)).toContain('past latest contact')
  })

  test('is none that has no abort fuel', () => {
    const judged = judge(
      order({
        slots: [slot('Alder', { readyAtMs: min(300), burnKgPerS: 0.01 })],
        stations: [station('boom')],
        turns: { boom: ['Alder'] }
      })
    )
    expect(of(judged, 'Alder')).toMatchObject({ state: 'planned', pastMs: 0 })
    expect(of(judged, 'Alder').latestContactAtMs).toBeUndefined()
    expect(of(judged, 'Alder').slackMs).toBeUndefined()
  })

  test('later than its curve knows is served all the same when it may be', () => {
    const judged = judge(
      order({
        slots: [slot('Alder', { burnKgPerS: 0.01, fuelKg: 3000, targetKg: 2900 })],
        stations: [station('boom', { opensAtMs: min(500) })],
        turns: { boom: ['Alder'] }
      })
    )
    // 500 min at 0.01 kg/s: 300 kg gone of 3,000, so 200 kg are wanted, with what is burned meanwhile.
    const { fuelAtContactKg, onLoadKg } = of(judged, 'Alder')
    expect(fuelAtContactKg).toBeCloseTo(2700, 9)
    expect(onLoadKg).toBeCloseTo((200 * 20) / (20 - 0.01), 9)
  })
})

describe('a station', () => {
  const one = (parts: Parameters<typeof station>[1], ship: Parameters<typeof slot>[1] = {}): Judged =>
    judge(order({ slots: [slot('Alder', ship)], stations: [station('boom', parts)], turns: { boom: ['Alder'] } }))

  test('that takes nobody new loses its slots, with that reason and without their latest contact mattering', () => {
    const judged = one({ takesNew: false, hookUpMs: min(1) }, { burnKgPerS: 1, abortKg: 400 })
    expect(of(judged, 'Alder')).toMatchObject({ state: 'missed', contactAtMs: min(1), latestContactAtMs: min(10) })
    expect(kinds(judged)).toEqual(['station closed'])
  })

  test('loses a contact that would begin when its window is over, and cuts short one that would end after', () => {
    expect(kinds(one({ opensAtMs: min(9), hookUpMs: min(1), closesAtMs: min(10) }))).toEqual(['station closed'])
    const cut = one({ closesAtMs: min(1) }, { fuelKg: 0, rateKgPerS: 20, targetKg: 3000 })
    expect(of(cut, 'Alder')).toMatchObject({
      endedBy: 'window',
      onLoadKg: 1200,
      disconnectAtMs: min(1),
      neededKg: 3000
    })
  })

  test('tells when a ship is full before it has what it needs', () => {
    const judged = one({}, { fuelKg: 1000, capacityKg: 2000, targetKg: 2600 })
    expect(of(judged, 'Alder')).toMatchObject({ endedBy: 'full', onLoadKg: 1000, neededKg: 1600 })
  })
})

describe('slots flown already', () => {
  const flown = {
    contactAtMs: min(2),
    disconnectAtMs: min(7),
    onLoadKg: 800,
    fuelAtContactKg: 900,
    fuelAtDisconnectKg: 1700,
    latestContactAtMs: min(20)
  }
  const judged = judge(
    order({
      slots: [
        slot('done', {}, { fixed: { ...flown, disconnectAtMs: min(4), done: true }, flightId: 'wood' }),
        slot(
          'contact',
          {},
          { fixed: { ...flown, contactAtMs: min(5), disconnectAtMs: min(9), done: false }, gone: true }
        ),
        slot('next', { serviceMs: min(3) }, { flightId: 'wood' })
      ],
      stations: [station('boom', { changeoverWithinFlightMs: min(0.5), changeoverBetweenMs: min(2) })],
      turns: { boom: ['done', 'contact', 'next'] },
      nowMs: min(6)
    })
  )

  test('keep their instants whatever now is, and the next comes after the one in contact', () => {
    expect(of(judged, 'done')).toMatchObject({ state: 'done', contactAtMs: min(2), disconnectAtMs: min(4) })
    expect(of(judged, 'contact')).toMatchObject({ state: 'in contact', disconnectAtMs: min(9), aheadSlotId: 'done' })
    expect(of(judged, 'next')).toMatchObject({ startAtMs: min(11), aheadSlotId: 'contact' })
  })

  test('stand in the ledger as given when done, as promised when in contact', () => {
    expect(judged.ledger[0]).toMatchObject({ givenKg: 800, lastDisconnectAtMs: min(14) })
    expect(judged.ledger[0]?.promisedKg).toBeCloseTo(800 + of(judged, 'next').onLoadKg, 9)
  })

  test('stand at the station where they were flown, though the order has them elsewhere or nowhere', () => {
    const out = judge(
      order({
        slots: [
          slot('elsewhere', {}, { fixed: { ...flown, done: false, stationId: 'right' } }),
          slot('nowhere', {}, { fixed: { ...flown, disconnectAtMs: min(3), done: true, stationId: 'left' } }),
          slot('a', { serviceMs: min(3) }),
          slot('b', { serviceMs: min(3) })
        ],
        stations: [station('left'), station('right')],
        turns: { left: ['elsewhere', 'a'], right: ['b'] }
      })
    )
    expect(of(out, 'elsewhere').stationId).toBe('right')
    expect(of(out, 'nowhere')).toMatchObject({ stationId: 'left', index: -1, state: 'done' })
    expect(of(out, 'a')).toMatchObject({ startAtMs: min(3), aheadSlotId: undefined })
    expect(of(out, 'b').startAtMs).toBe(min(7))
  })

  test('hold up their station wherever they stand in the sequence', () => {
    const other = judge(
      order({
        slots: [
          slot('next', { serviceMs: min(3) }),
          slot('contact', {}, { fixed: { ...flown, disconnectAtMs: min(9), done: false } })
        ],
        stations: [station('boom')],
        turns: { boom: ['next', 'contact'] },
        nowMs: min(6)
      })
    )
    expect(of(other, 'next').startAtMs).toBe(min(9))
  })
})

describe('a second visit', () => {
  const twice = (parts: { firstAbortKg?: number; groupMateMin?: number; firstFuelKg?: number }): Judged =>
    judge(
      order({
        slots: [
          slot(
            'first',
            {
              fuelKg: parts.firstFuelKg ?? 1000,
              burnKgPerS: 1,
              rateKgPerS: 21,
              targetKg: 2000,
              abortKg: parts.firstAbortKg
            },
            { shipId: 'Alder', pushGroupId: 'early' }
          ),
          slot('mate', { serviceMs: min(parts.groupMateMin ?? 5) }, { pushGroupId: 'early' }),
          slot(
            'second',
            { burnKgPerS: 1, rateKgPerS: 21, targetKg: 2000, legMs: min(10), legKg: 600 },
            { shipId: 'Alder', pushGroupId: 'late', afterSlotId: 'first' }
          )
        ],
        stations: [station('left', { hookUpMs: min(1) }), station('right')],
        pushGroups: [push('early', { plannedAtMs: min(3), reformMs: min(1) }), push('late')],
        turns: { left: ['first', 'second'], right: ['mate'] }
      })
    )

  test('is ready after the push of the whole first group, with what the first left less wait and leg', () => {
    const judged = twice({})
    // The mate disconnects at 5 min, push at 6, ready at 16; the first left 2,000 kg at 1 min + (1,060 / 20) s.
    const second = of(judged, 'second')
    expect(second.readyAtMs).toBe(min(16))
    const waitedS = 360 - 60 - 1060 / 20
    expect(second.fuelAtContactKg).toBeCloseTo(2000 - waitedS - 600 - 60, 9)
  })

  test('follows the mate that is late, and the fuel the first one came with', () => {
    expect(of(twice({ groupMateMin: 9 }), 'second').readyAtMs).toBe(min(20))
    const less = of(twice({ firstFuelKg: 800 }), 'second')
    expect(less.fuelAtContactKg).toBeGreaterThan(of(twice({}), 'second').fuelAtContactKg)
  })

  test('is gone with a first one that is missed, and its group does not wait for it', () => {
    const judged = twice({ firstAbortKg: 990 })
    expect(of(judged, 'first').state).toBe('missed')
    expect(of(judged, 'second')).toMatchObject({ state: 'gone', onLoadKg: 0, shortageKg: 0 })
    expect(judged.pushes.find((one) => one.pushGroupId === 'late')?.pushAtMs).toBe(0)
    expect(judged.judgement.lostWeight).toBe(1)
    expect(kinds(judged).filter((kind) => kind !== 'late push')).toEqual(['past latest contact'])
  })

  test('after a contact the tanker cut short comes with less', () => {
    const cut = (giveKg: number): SlotOut =>
      of(
        judge(
          order({
            slots: [
              slot('first', { burnKgPerS: 1, rateKgPerS: 21, targetKg: 2000 }),
              slot(
                'second',
                { burnKgPerS: 1, rateKgPerS: 21, legMs: min(10), legKg: 600 },
                { afterSlotId: 'first', pushGroupId: 'late' }
              )
            ],
            stations: [station('left'), station('right', { tankerId: 'other' })],
            pushGroups: [push('push', { plannedAtMs: min(5) }), push('late')],
            tankers: [tanker('tanker', { giveKg: () => giveKg }), tanker('other')],
            turns: { left: ['first'], right: ['second'] }
          })
        ),
        'second'
      )
    // 420 kg at 21 kg/s: 20 s, in which 20 kg are burned; the same push, so all else is alike.
    expect(cut(420).fuelAtContactKg).toBeCloseTo(1000 + 420 - 300 - 600, 9)
  })

  test('of a ship that flew its first one starts from the state after it', () => {
    const fixed = {
      contactAtMs: min(1),
      disconnectAtMs: min(2),
      onLoadKg: 500,
      fuelAtContactKg: 900,
      fuelAtDisconnectKg: 1340,
      latestContactAtMs: undefined,
      done: true
    }
    const after = (state?: { fuelKg: number }): number =>
      of(
        judge(
          order({
            slots: [
              slot(
                'first',
                { fuelKg: 960, burnKgPerS: 1, rateKgPerS: 21, targetKg: 2000 },
                { fixed: state === undefined ? fixed : { ...fixed, state } }
              ),
              slot('second', { burnKgPerS: 1, legKg: 100 }, { afterSlotId: 'first', pushGroupId: 'late' })
            ],
            stations: [station('boom')],
            pushGroups: [push('push', { pushedAtMs: min(3) }), push('late')],
            turns: { boom: ['first', 'second'] }
          })
        ),
        'second'
      ).fuelAtContactKg
    expect(after({ fuelKg: 1340 })).toBeCloseTo(1340 - 60 - 100, 9)
    // Without it the service of the first one is asked for what 500 kg leave.
    expect(after()).toBeCloseTo(960 - 60 + 500 - 500 / 21 - 60 - 100, 9)
  })
})

describe('slots that wait for each other', () => {
  test('in a circle are lost, each with that reason, and hold up nobody else', () => {
    const judged = judge(
      order({
        slots: [
          slot('A1', {}, { pushGroupId: 'a' }),
          slot('B1', {}, { pushGroupId: 'b' }),
          slot('A2', {}, { pushGroupId: 'late', afterSlotId: 'A1', weight: 4 }),
          slot('B2', {}, { pushGroupId: 'late', afterSlotId: 'B1', weight: 2 }),
          slot('Kelp', { serviceMs: min(5) })
        ],
        stations: [station('left'), station('right'), station('boom')],
        pushGroups: [push('a'), push('b'), push('late'), push()],
        turns: { left: ['A2', 'B1'], right: ['B2', 'A1'], boom: ['Kelp'] }
      })
    )
    expect(judged.slots.map((one) => one.state)).toEqual(['missed', 'missed', 'missed', 'missed', 'planned'])
    expect(kinds(judged).filter((kind) => kind === 'waits in a circle')).toHaveLength(4)
    expect(judged.judgement.lostWeight).toBe(8)
    for (const one of judged.slots) expect(Object.values(one).filter(Number.isNaN), one.slotId).toEqual([])
  })

  test('through a push group whose last ship stands behind the second visit are found too', () => {
    const judged = judge(
      order({
        slots: [slot('A1', {}), slot('mate', {}), slot('A2', {}, { afterSlotId: 'A1', pushGroupId: 'late' })],
        stations: [station('boom')],
        pushGroups: [push(), push('late')],
        turns: { boom: ['A1', 'A2', 'mate'] }
      })
    )
    expect(judged.slots.map((one) => [one.slotId, one.state])).toEqual([
      ['A1', 'planned'],
      ['A2', 'missed'],
      ['mate', 'missed']
    ])
  })

  test('do not wait for one that is gone with its first visit', () => {
    const judged = judge(
      order({
        slots: [
          slot('A1', {}, { gone: true }),
          slot('A2', {}, { afterSlotId: 'A1', pushGroupId: 'b' }),
          slot('B1', {}, { pushGroupId: 'b' }),
          slot('B2', {}, { afterSlotId: 'B1', pushGroupId: 'late' })
        ],
        stations: [station('left'), station('right')],
        pushGroups: [push(), push('b'), push('late')],
        turns: { left: ['A1', 'B2', 'A2'], right: ['B1'] }
      })
    )
    expect(of(judged, 'A2').state).toBe('gone')
    expect(of(judged, 'B2').state).toBe('planned')
    expect(judged.judgement.lostWeight).toBe(0)
  })
})

describe('an order that does not hold together', () => {
  test('is refused by name', () => {
    const bad = (parts: Parameters<typeof slot>[2], tankerId = 'tanker') =>
      judge(order({ slots: [slot('Alder', {}, parts)], stations: [station('boom', { tankerId })], turns: {} }))
    expect(() => bad({ pushGroupId: 'none' })).toThrow(new RangeError('pushGroupId none is not known'))
    expect(() => bad({ afterSlotId: 'none' })).toThrow(new RangeError('afterSlotId none is not known'))
    expect(() => bad({}, 'none')).toThrow(new RangeError('tankerId none is not known'))
    expect(() => bad({ afterSlotId: 'Alder' })).toThrow(new RangeError('afterSlotId of Alder leads back to itself'))
  })

  test('passes over ids nobody has and a slot named again', () => {
    const judged = judge(
      order({
        slots: [slot('Alder', {}), slot('Kelp', {})],
        stations: [station('boom')],
        turns: { boom: ['Alder', 'nobody', 'Kelp', 'Alder'], nowhere: ['Kelp'] }
      })
    )
    expect(judged.slots.map((one) => [one.slotId, one.index])).toEqual([
      ['Alder', 0],
      ['Kelp', 1]
    ])
  })
})

describe('a ship at another tanker than its own', () => {
  const ways = (turns: Record<string, readonly string[]>, away = min(4)): Judged =>
    judge(
      order({
        slots: [slot('Kelp', { fuelKg: 1500, burnKgPerS: 0.5, abortKg: 1380, wayMs: { far: away } })],
        stations: [station('near'), station('far', { tankerId: 'other', hookUpMs: min(0.5) })],
        tankers: [tanker(), tanker('other')],
        turns
      })
    )

  test('is ready later by the way there, with as much less, and its latest contact stays when the way burns like the wait', () => {
    const near = of(ways({ near: ['Kelp'], far: [] }), 'Kelp')
    const far = of(ways({ near: [], far: ['Kelp'] }, min(2)), 'Kelp')
    expect([near.readyAtMs, far.readyAtMs]).toEqual([0, min(2)])
    expect(near.fuelAtContactKg).toBe(1500)
    expect(far.fuelAtContactKg).toBe(1440 - 15)
    // 120 kg above abort fuel last 4 min wherever they are burned.
    expect(near.latestContactAtMs).toBe(min(4))
    expect(far.latestContactAtMs).toBe(min(4))
  })

  test('comes too late when the way is too long', () => {
    expect(of(ways({ near: [], far: ['Kelp'] }, min(3.5)), 'Kelp').state).toBe('planned')
    expect(of(ways({ near: [], far: ['Kelp'] }, min(4)), 'Kelp')).toMatchObject({ state: 'missed', pastMs: min(0.5) })
  })

  test('is planned near by a search that may send it away', () => {
    const input = order({
      slots: ['Kelp', 'Rasp'].map((id) => slot(id, { serviceMs: min(5), wayMs: { far: min(4) } })),
      stations: [station('near'), station('far', { tankerId: 'other' })],
      tankers: [tanker(), tanker('other')],
      turns: { near: [], far: ['Kelp', 'Rasp'] }
    })
    const mayUse = new Map(['Kelp', 'Rasp'].map((id) => [id, ['near', 'far']]))
    const found = exact({ input, mayUse, judgements: 50, labels: 1000, orders: 0 })
    // One near, over at 5 min, one far, over at 9: both far end at 14, both near at 10.
    expect(found.judgement.lastDisconnect).toBe(90)
    expect(found.bound.metLevels).toBeGreaterThanOrEqual(4)
  })
})

describe('a top-off', () => {
  const ship = { fuelKg: 1000, burnKgPerS: 0.5, rateKgPerS: 20.5, targetKg: 2200, abortKg: 700 }
  const twice = (parts: {
    turns: Record<string, readonly string[]>
    abortKg?: number
    mateMin?: number
    hookUpMin?: number
  }) =>
    judge(
      order({
        slots: [
          slot('Kelp', ship, { requiredAtPushKg: 2100, weight: 4 }),
          slot('mate', { serviceMs: min(parts.mateMin ?? 10) }),
          slot(
            'Kelp again',
            { ...ship, abortKg: parts.abortKg ?? 700 },
            { afterSlotId: 'Kelp', requiredAtPushKg: 2100, weight: 4 }
          ),
          slot('Kelp later', ship, { afterSlotId: 'Kelp again', pushGroupId: 'late' })
        ],
        stations: [station('boom', { hookUpMs: min(parts.hookUpMin ?? 0) }), station('pod'), station('hose')],
        pushGroups: [push('push', { plannedAtMs: min(6) }), push('late')],
        turns: parts.turns
      })
    )
  const turns = { boom: ['Kelp', 'Kelp again'], pod: ['mate'], hose: ['Kelp later'] }

  test('waits for the disconnect of the contact before, not for its push, and the push for both', () => {
    // 1,200 kg at 20 kg/s: over after 1 min, with 2,200 kg; nothing is lacking then.
    const judged = twice({ turns })
    expect(of(judged, 'Kelp').disconnectAtMs).toBe(min(1))
    expect(of(judged, 'Kelp again')).toMatchObject({
      state: 'planned',
      readyAtMs: min(1),
      contactAtMs: min(1),
      onLoadKg: 0
    })
    expect(judged.pushes[0]?.pushAtMs).toBe(min(10))
    expect(kinds(judged)).not.toContain('waits in a circle')
  })

  test('counts in place of the contact before it, for shortage, latest push and lateness', () => {
    // Topped off behind the mate at 10 min: 270 kg burned since 1 min, back to 2,200 kg in 13.5 s; the first alone would lack.
    const judged = twice({ turns: { ...turns, boom: ['Kelp'], pod: ['mate', 'Kelp again'] } })
    const first = of(judged, 'Kelp')
    const top = of(judged, 'Kelp again')
    expect(top.onLoadKg).toBeCloseTo(270 + 13.5 * 0.5, 9)
    expect(top).toMatchObject({ shortageKg: 0, toppedBySlotId: undefined })
    expect(first).toMatchObject({ shortageKg: 0, latestPushAtMs: undefined, toppedBySlotId: 'Kelp again' })
    expect(first.fuelAtPushKg).toBe(top.fuelAtPushKg)
    expect(judged.judgement.shortage).toBe(0)
    // 4 min 13.5 s late: 42 steps, the ship once with 4, its mate once with 1; the later visit on its own.
    const own = Math.round(of(judged, 'Kelp later').disconnectAtMs / 6000)
    expect(judged.judgement.lateness).toBe(42 * (4 + 1) + own)
  })

  test('that is missed loses no ship: the contact before stands, with its shortage, and the next visit starts from it', () => {
    const judged = twice({ turns: { ...turns, boom: ['Kelp'], pod: ['mate', 'Kelp again'] }, abortKg: 1950 })
    expect(of(judged, 'Kelp again')).toMatchObject({ state: 'missed', onLoadKg: 0 })
    expect(judged.judgement.lostWeight).toBe(0)
    expect(kinds(judged)).toContain('top-off missed')
    expect(kinds(judged)).not.toContain('past latest contact')
    // Pushed at 10 min with 2,200 kg less 9 min of burn: 170 kg short.
    expect(of(judged, 'Kelp')).toMatchObject({ toppedBySlotId: undefined, fuelAtPushKg: 1930 })
    expect(of(judged, 'Kelp').shortageKg).toBeCloseTo(170, 9)
    expect(of(judged, 'Kelp later')).toMatchObject({ state: 'planned', readyAtMs: min(10), fuelAtContactKg: 1930 })
  })

  test('goes with a first contact that is missed, and the ship is lost once', () => {
    const late = { ...ship, readyAtMs: min(1), abortKg: 1000 }
    const judged = judge(
      order({
        slots: [slot('Kelp', late, { weight: 4 }), slot('Kelp again', ship, { afterSlotId: 'Kelp', weight: 4 })],
        stations: [station('boom', { hookUpMs: min(1) })],
        turns: { boom: ['Kelp', 'Kelp again'] }
      })
    )
    expect(judged.slots.map((one) => one.state)).toEqual(['missed', 'gone'])
    expect(judged.judgement.lostWeight).toBe(4)
  })
})

describe('stations that exclude each other', () => {
  const pair = (parts: { hookUpMin?: [number, number]; readyMin?: [number, number]; boomFirst?: boolean }): Judged => {
    const stations = [
      station('boom', { excludes: ['hose'], methodChangeMs: min(3), hookUpMs: min(parts.hookUpMin?.[0] ?? 1) }),
      // Named on one side it holds for both.
      station('hose', { methodChangeMs: min(4), hookUpMs: min(parts.hookUpMin?.[1] ?? 1) })
    ]
    const ready = parts.readyMin ?? [0, 0]
    return judge(
      order({
        slots: [
          slot('Kelp', { serviceMs: min(5), readyAtMs: min(ready[0]) }),
          slot('Rasp', { serviceMs: min(5), readyAtMs: min(ready[1]) })
        ],
        stations: parts.boomFirst === false ? stations.toReversed() : stations,
        turns: { boom: ['Kelp'], hose: ['Rasp'] }
      })
    )
  }
  const starts = (judged: Judged): number[] => ['Kelp', 'Rasp'].map((id) => of(judged, id).startAtMs / MINUTE_MS)

  test('serve the one that could start earlier first, the other after its disconnect and its own method change', () => {
    // Disconnect 6 min after the start: 1 min of hook-up, 5 of service.
    expect(starts(pair({ readyMin: [1, 2] }))).toEqual([1, 1 + 6 + 4])
    expect(starts(pair({ readyMin: [2, 1] }))).toEqual([1 + 6 + 3, 1])
    expect(of(pair({ readyMin: [1, 2] }), 'Rasp')).toMatchObject({ waitsForSlotId: 'Kelp', aheadSlotId: undefined })
    expect(of(pair({ readyMin: [1, 2] }), 'Kelp').waitsForSlotId).toBeUndefined()
  })

  test('go by the start, not by the contact, and of equals by the order they are given in', () => {
    expect(starts(pair({ readyMin: [1, 2], hookUpMin: [4, 1] }))).toEqual([1, 1 + 9 + 4])
    expect(starts(pair({}))).toEqual([0, 6 + 4])
    expect(starts(pair({ boomFirst: false }))).toEqual([6 + 3, 0])
  })

  test('do not wait where the other one is over long before', () => {
    expect(starts(pair({ readyMin: [0, 20] }))).toEqual([0, 20])
    expect(of(pair({ readyMin: [0, 20] }), 'Rasp').waitsForSlotId).toBeUndefined()
  })

  test('wait for what is in contact at the other one, and for the last one known there', () => {
    const fixed = {
      contactAtMs: min(-1),
      disconnectAtMs: min(4),
      onLoadKg: 0,
      fuelAtContactKg: 0,
      fuelAtDisconnectKg: 0,
      latestContactAtMs: undefined,
      done: false
    }
    const stations = [
      station('boom', { excludes: ['hose'], methodChangeMs: min(3) }),
      station('hose', { excludes: ['boom'] })
    ]
    const held = order({
      slots: [slot('Kelp', {}), slot('Rasp', {}, { fixed })],
      stations,
      turns: { boom: ['Kelp'], hose: ['Rasp'] }
    })
    expect(of(judge(held), 'Kelp')).toMatchObject({ startAtMs: min(7), waitsForSlotId: 'Rasp' })
    const left = order({
      slots: [slot('Kelp', {})],
      stations: [stations[0] ?? station('boom'), station('hose', { freeAtMs: min(2), lastFlightId: 'other' })],
      turns: { boom: ['Kelp'], hose: [] }
    })
    expect(of(judge(left), 'Kelp')).toMatchObject({ startAtMs: min(5), waitsForSlotId: undefined })
  })

  test('lose a ship whose latest contact comes while it waits', () => {
    const judged = judge(
      order({
        slots: [slot('Kelp', { serviceMs: min(5) }), slot('Rasp', { burnKgPerS: 1, fuelKg: 1300, abortKg: 1000 })],
        stations: [station('boom', { excludes: ['hose'] }), station('hose', { methodChangeMs: min(1) })],
        turns: { boom: ['Kelp'], hose: ['Rasp'] }
      })
    )
    // 300 kg at 1 kg/s: 5 min; it could come at 6.
    expect(of(judged, 'Rasp')).toMatchObject({ state: 'missed', pastMs: min(1) })
  })
})

describe('a window', () => {
  test('ends the contact in it at its closing, and closes the station to the next', () => {
    const judged = judge(
      order({
        slots: [slot('Kelp', { serviceMs: min(5) }), slot('Rasp', { serviceMs: min(5) }), slot('Sleet', {})],
        stations: [station('boom', { opensAtMs: min(10), closesAtMs: min(18), hookUpMs: min(0.5) })],
        turns: { boom: ['Kelp', 'Rasp', 'Sleet'] }
      })
    )
    expect(of(judged, 'Kelp')).toMatchObject({ contactAtMs: min(10.5), disconnectAtMs: min(15.5), endedBy: 'target' })
    // Two of its five minutes.
    expect(of(judged, 'Rasp')).toMatchObject({ contactAtMs: min(16), disconnectAtMs: min(18), endedBy: 'window' })
    expect(of(judged, 'Rasp').onLoadKg).toBeCloseTo((2000 * 2) / 5, 9)
    expect(of(judged, 'Sleet')).toMatchObject({ state: 'missed', contactAtMs: min(18.5) })
    expect(kinds(judged)).toContain('station closed')
    expect(judged.judgement.lostWeight).toBe(1)
  })
})

describe('a slot that is not to start before an instant', () => {
  const later = (notBeforeMin: number | undefined) =>
    judge(
      order({
        slots: [
          slot('Kelp', { serviceMs: min(2) }, notBeforeMin === undefined ? {} : { notBeforeMs: min(notBeforeMin) }),
          slot('Rasp', { serviceMs: min(2) })
        ],
        stations: [station('boom', { hookUpMs: min(1) })],
        turns: { boom: ['Kelp', 'Rasp'] }
      })
    )

  test('starts at it, and whoever is behind comes as much later', () => {
    expect(later(undefined).slots.map((one) => one.startAtMs)).toEqual([0, min(3)])
    expect(later(5).slots.map((one) => one.startAtMs)).toEqual([min(5), min(8)])
    expect(of(later(5), 'Kelp').readyAtMs).toBe(0)
  })
})
