import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { requiredAtPushKg } from '../../../shared/fuel/need.ts'

const nextVisit = { burnToContactKg: 1500, abortKg: 1200 }
const home = { burnFromPushKg: 2000, approachKg: 200, reserveKg: 400 }

describe('what a ship needs at its push', () => {
  it('names the term that asks for the most', () => {
    // Constructed.
    const points = [
      { burnFromPushKg: 500, recoveryKg: 1800 },
      { burnFromPushKg: 900, recoveryKg: 1700 }
    ]
    expect(requiredAtPushKg({ points, nextVisit })).toMatchObject({
      requiredKg: 2700,
      binds: 'next contact',
      pointIndex: undefined
    })
    expect(requiredAtPushKg({ points, home })).toMatchObject({ requiredKg: 2600, binds: 'recovery', pointIndex: 1 })
    expect(requiredAtPushKg({ points: [], home })).toMatchObject({
      requiredKg: 2600,
      binds: 'home',
      pointIndex: undefined
    })
    expect(requiredAtPushKg({ points, home, taskEnd: { burnFromPushKg: 1000, bingoKg: 1650 } })).toMatchObject({
      requiredKg: 2650,
      binds: 'bingo',
      pointIndex: undefined
    })
  })

  it('counts the wait and the hook-up of the next visit, each by its name', () => {
    // Constructed.
    const need = requiredAtPushKg({ points: [], nextVisit: { ...nextVisit, waitKg: 300, hookUpKg: 40 } })
    expect(need.requiredKg).toBe(3040)
    expect(need.parts).toEqual([
      { name: 'burn', kg: 1500 },
      { name: 'wait', kg: 300 },
      { name: 'hook-up', kg: 40 },
      { name: 'abort fuel', kg: 1200 }
    ])
    expect(requiredAtPushKg({ points: [], home }).parts).toEqual([
      { name: 'burn', kg: 2000 },
      { name: 'approach', kg: 200 },
      { name: 'landing reserve', kg: 400 }
    ])
    // Without them the visit no longer asks for most.
    const points = [{ burnFromPushKg: 900, recoveryKg: 2100 }]
    expect(requiredAtPushKg({ points, nextVisit }).binds).toBe('recovery')
    expect(requiredAtPushKg({ points, nextVisit: { ...nextVisit, waitKg: 300, hookUpKg: 40 } }).binds).toBe(
      'next contact'
    )
  })

  it('is enough for every term, and just enough for one, whatever lies ahead', () => {
    const kg = fc.double({ min: 0, max: 9000, noNaN: true })
    fc.assert(
      fc.property(
        fc.array(fc.record({ burnFromPushKg: kg, recoveryKg: kg }), { minLength: 1, maxLength: 6 }),
        fc.option(fc.record({ burnToContactKg: kg, abortKg: kg }), { nil: undefined }),
        (points, visit) => {
          const { requiredKg, parts } = requiredAtPushKg({ points, nextVisit: visit })
          expect(parts.reduce((sumKg, part) => sumKg + part.kg, 0)).toBe(requiredKg)
          const left = points.map((point) => requiredKg - point.burnFromPushKg - point.recoveryKg)
          if (visit !== undefined) left.push(requiredKg - visit.burnToContactKg - visit.abortKg)
          expect(Math.min(...left)).toBeCloseTo(0, 9)
        }
      )
    )
  })

  it('refuses a ship with nothing ahead', () => {
    expect(() => requiredAtPushKg({ points: [] })).toThrow(RangeError)
  })
})
