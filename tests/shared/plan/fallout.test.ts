import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Plan } from '../../../shared/contracts/plan.ts'
import { fallOutOf } from '../../../shared/plan/fallout.ts'
import { paperPlan } from '../../make/plan.ts'

/* Constructed, worked out by hand: Alder of three ships that needs two, Kelp of two that needs one with one air spare. */

type Flight = Plan['flights'][number]

function plan(
  fallOut: string[],
  { spare = true, alderLeast = 2 }: { spare?: boolean; alderLeast?: number } = {}
): Plan {
  const made = paperPlan()
  const [flight] = made.flights
  const [ship] = flight?.ships ?? []
  if (!flight || !ship) throw new Error('the paper plan has a flight')
  const shipsOf = (ids: string[]) => ids.map((id) => ({ ...ship, id, callSign: id }) as Flight['ships'][number])
  const spared = (ships: Flight['ships']): Flight['ships'] =>
    ships.map((one, index) => (spare && index === 1 ? { ...one, airSpare: true as const } : one))
  const alder = { ...flight, id: 'alder', leastShipCount: alderLeast, ships: shipsOf(['a1', 'a2', 'a3']) } as Flight
  const kelp = { ...flight, id: 'kelp', leastShipCount: 1, ships: spared(shipsOf(['k1', 'k2'])) } as Flight
  return { ...made, flights: [alder, kelp], fallOut: fallOut as Plan['fallOut'] & string[] }
}
const promised = (kg: Record<string, number>) => new Map(Object.entries(kg))
const EACH = promised({ a1: 1000, a2: 1000, a3: 1000, k1: 800, k2: 800 })
const short = (shortKg: number, promisedKg = EACH) => [{ tankerId: 'mallet', shortKg, promisedKg }]
const names = (of: Plan, shortKg: number) =>
  fallOutOf(of, short(shortKg)).tankers.map(({ dropped }) => dropped.map(({ shipId }) => shipId))

describe('who falls out when give is too short', () => {
  it('is nobody where there is enough, to the step in which orders are judged', () => {
    expect(fallOutOf(plan(['a3']), short(4.9)).tankers).toEqual([])
    expect(fallOutOf(plan(['a3']), short(0)).flights).toEqual([
      { flightId: 'alder', goes: 3, ships: 3, least: 2 },
      { flightId: 'kelp', goes: 2, ships: 2, least: 1 }
    ])
  })

  it('is the first in the list, and the next one only when that is not enough', () => {
    expect(names(plan(['k2', 'a3', 'a2']), 700)).toEqual([['k2']])
    expect(names(plan(['k2', 'a3', 'a2']), 900)).toEqual([['k2', 'a3']])
    expect(names(plan(['k2', 'a3', 'a2']), 803)).toEqual([['k2']])
  })

  it('is nobody without whom a flight would not go: the next one falls out in his place, and what lacks is told', () => {
    const its = fallOutOf(plan(['a3', 'a2', 'k1'], { spare: false }), short(2500)).tankers[0]
    expect(its).toMatchObject({ dropped: [{ shipId: 'a3' }, { shipId: 'k1' }], kept: ['a2'], stillShortKg: 700 })
  })

  it('may be one whom an air spare of the type replaces, while the flight of the spare still goes', () => {
    const its = fallOutOf(plan(['a3', 'a2', 'a1']), short(2500))
    expect(its.tankers[0]).toMatchObject({
      dropped: [
        { shipId: 'a3', spareId: undefined },
        { shipId: 'a2', spareId: 'k2' }
      ],
      kept: ['a1'],
      stillShortKg: 500
    })
    expect(its.flights.map(({ goes }) => goes)).toEqual([2, 1])
  })

  it('falls out of all its visits: what it frees at one tanker it frees at the next', () => {
    const its = fallOutOf(plan(['a3', 'k2'], { alderLeast: 1 }), [
      { tankerId: 'mallet', shortKg: 500, promisedKg: promised({ a3: 600 }) },
      { tankerId: 'auger', shortKg: 300, promisedKg: promised({ a3: 300, k2: 900 }) }
    ])
    expect(its.tankers.map(({ dropped, stillShortKg }) => [dropped.length, stillShortKg])).toEqual([
      [1, 0],
      [0, 0]
    ])
  })

  it('never leaves a flight with fewer than its least, nor drops whom nobody names', () => {
    fc.assert(
      fc.property(
        fc.shuffledSubarray(['a1', 'a2', 'a3', 'k1', 'k2']),
        fc.double({ min: 0, max: 6000, noNaN: true }),
        fc.boolean(),
        (list, shortKg, spare) => {
          const { tankers, flights } = fallOutOf(plan(list, { spare }), short(shortKg))
          for (const { goes, least } of flights) expect(goes).toBeGreaterThanOrEqual(least)
          for (const { dropped, stillShortKg } of tankers) {
            for (const { shipId } of dropped) expect(list).toContain(shipId)
            const freedKg = dropped.reduce((kg, one) => kg + one.freesKg, 0)
            expect(stillShortKg).toBeCloseTo(Math.max(0, shortKg - freedKg), 6)
          }
        }
      ),
      { seed: 20310506 }
    )
  })
})
