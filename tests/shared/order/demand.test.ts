import { describe, expect, it } from 'vitest'
import { demand, fewestReaching, mostCrowded, type TimedContact } from '../../../shared/order/demand.ts'
import { chance } from './chance.ts'

/* Constructed throughout. Minutes, as they were made. */
const MIN = 60_000
const contact = (readyMin: number, dueMin: number, serviceMin: number, changeoverMin = 0): TimedContact => ({
  readyAtMs: readyMin * MIN,
  dueAtMs: dueMin * MIN,
  serviceMs: serviceMin * MIN,
  changeoverMs: changeoverMin * MIN
})

describe('the most crowded span', () => {
  it('is the one that most stations are needed in, not the whole time', () => {
    // Three of 8 min between 0 and 10 need three stations; six more have all the time in the world.
    const calm = Array.from({ length: 6 }, () => contact(0, 100, 5))
    const crowd = mostCrowded([...calm, contact(0, 10, 8), contact(0, 10, 8), contact(0, 10, 8)])
    expect(crowd).toEqual({ fromMs: 0, toMs: 10 * MIN, contacts: 3, stationMs: 24 * MIN, stations: 3 })
  })

  it('counts no changeover before the first: two of 4 min and a changeover of 2 fit into 10 min, not into 9', () => {
    const two = (dueMin: number) => mostCrowded([contact(0, dueMin, 4, 2), contact(0, dueMin, 4, 2)])?.stations
    expect(two(10)).toBe(1)
    expect(two(9)).toBe(2)
  })

  it('refuses a service longer than its time, and says nothing of nobody', () => {
    expect(() => mostCrowded([contact(5, 10, 6)])).toThrow('serviceMs 360000 does not fit')
    expect(mostCrowded([])).toBeUndefined()
  })

  it('needs as many as the formula for like receivers', () => {
    const random = chance(11)
    for (let round = 0; round < 300; round++) {
      const serviceMin = random.whole(2, 12)
      const windowMin = serviceMin * random.whole(1, 6) + random.whole(0, serviceMin - 1)
      const changeoverMin = random.whole(0, 3)
      const receivers = random.whole(1, 30)
      const like = Array.from({ length: receivers }, () => contact(3, 3 + windowMin, serviceMin, changeoverMin))
      const { tankersByTime } = demand({
        receivers,
        onLoadKg: 1,
        windowMs: (windowMin + changeoverMin) * MIN,
        serviceMs: (serviceMin + changeoverMin) * MIN,
        givePerTankerKg: 1
      })
      expect(mostCrowded(like)?.stations).toBe(tankersByTime)
    }
  })

  it('never needs more stations than the best of all dealings, and mostly as many', () => {
    const random = chance(5)
    let met = 0
    let crowded = 0
    for (let round = 0; round < 200; round++) {
      const contacts = Array.from({ length: random.whole(1, 4) }, () => {
        const serviceMin = random.whole(1, 5)
        const readyMin = random.whole(0, 5)
        return contact(readyMin, readyMin + serviceMin + random.whole(0, 6), serviceMin, random.whole(0, 2))
      })
      const needed = mostCrowded(contacts)?.stations ?? NaN
      const fewest = [1, 2, 3, 4].find((stations) => canBeDealt(contacts, stations)) ?? Infinity
      expect(needed).toBeLessThanOrEqual(fewest)
      if (needed === fewest) met++
      if (fewest > 1) crowded++
    }
    expect(crowded).toBeGreaterThan(60)
    expect(met).toBeGreaterThan(150)
  })
})

/** Whether so many stations serve all contacts in time: every order of them, each at every station. */
function canBeDealt(contacts: readonly TimedContact[], stations: number): boolean {
  const deal = (left: readonly TimedContact[], freeAtMs: readonly (number | undefined)[]): boolean => {
    if (left.length === 0) return true
    return left.some((one, place) =>
      freeAtMs.some((atMs, station) => {
        const startMs = Math.max(one.readyAtMs, atMs === undefined ? -Infinity : atMs + one.changeoverMs)
        const endMs = startMs + one.serviceMs
        if (endMs > one.dueAtMs) return false
        return deal(
          left.filter((_, index) => index !== place),
          freeAtMs.map((was, index) => (index === station ? endMs : was))
        )
      })
    )
  }
  return deal(contacts, Array<number | undefined>(stations).fill(undefined))
}

describe('the fewest that reach a sum', () => {
  it('takes the greatest first, then more of the greatest', () => {
    expect(fewestReaching(10, [3, 6, 5])).toBe(2)
    expect(fewestReaching(14, [3, 6, 5])).toBe(3)
    expect(fewestReaching(15, [3, 6, 5])).toBe(4)
    expect(fewestReaching(27, [3, 6, 5])).toBe(6)
    expect(fewestReaching(0, [3])).toBe(0)
    expect(fewestReaching(0, [])).toBe(0)
  })
  it('has no answer where there is nothing to reach it with', () => {
    expect(fewestReaching(1, [])).toBeUndefined()
    expect(fewestReaching(1, [0, 0])).toBeUndefined()
  })
})
