import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import type { Sequences } from '../../shared/order/times.ts'
import { chance } from '../shared/order/chance.ts'
import { instancesIn, knownIn, outcomeOf, rowOf, type Budget } from './compare.ts'
import published from './published.json' with { type: 'json' }
import { unrelatedMachines, valueOf, weightedTardiness, type Aim, type Instance } from './sets.ts'

const BUDGET: Budget = { judgements: 300, labels: 100_000, orders: 0 }

/** All sequences of all jobs on all machines. */
function* allSequences({ jobs, machines }: Instance): Generator<Sequences> {
  const dealt: string[][] = Array.from({ length: machines }, () => [])
  function* deal(job: number): Generator<Sequences> {
    if (job === jobs.length) {
      yield new Map(dealt.map((inTurn, k) => [String(k), inTurn]))
      return
    }
    for (const inTurn of dealt)
      for (let place = 0; place <= inTurn.length; place++) {
        inTurn.splice(place, 0, String(job))
        yield* deal(job + 1)
        inTurn.splice(place, 1)
      }
  }
  yield* deal(0)
}

function leastOfAll(instance: Instance): number {
  let least = Infinity
  for (const sequences of allSequences(instance)) least = Math.min(least, valueOf(instance, sequences))
  return least
}

/**
 * The least weighted tardiness of jobs that are all there from the start, over all sets of jobs that come first.
 * Source: M. Held and R. Karp, Journal of SIAM 10, 1962 (from memory).
 */
function leastBySets({ jobs }: Instance): number {
  const least = new Float64Array(1 << jobs.length).fill(Infinity)
  const ends = new Float64Array(1 << jobs.length)
  least[0] = 0
  for (let set = 1; set < least.length; set++)
    jobs.forEach(({ works, weight, dueAt }, j) => {
      if ((set & (1 << j)) === 0) return
      const rest = set & ~(1 << j)
      ends[set] = (ends[rest] ?? NaN) + (works[0] ?? NaN)
      const late = weight * Math.max(0, (ends[set] ?? NaN) - (dueAt ?? Infinity))
      least[set] = Math.min(least[set] ?? Infinity, (least[rest] ?? Infinity) + late)
    })
  return least.at(-1) ?? NaN
}

/** As the OR-Library instances are made: works to 100, weights to 10, due instants around a part of all work. */
function randomJobs(jobs: number, seed: number): Instance {
  const { whole, number } = chance(seed)
  const works = Array.from({ length: jobs }, () => whole(1, 100))
  const all = works.reduce((sum, one) => sum + one, 0)
  const [spread, tight] = [0.2 * whole(1, 5), 0.2 * whole(1, 5)]
  return {
    name: `random-${String(seed)}`,
    aim: 'weighted tardiness',
    machines: 1,
    setUps: undefined,
    jobs: works.map((work) => ({
      works: [work],
      weight: whole(1, 10),
      releasedAt: 0,
      dueAt: Math.max(0, Math.round(all * number(1 - tight - spread / 2, 1 - tight + spread / 2)))
    }))
  }
}

function randomMachines(jobs: number, machines: number, seed: number): Instance {
  const { whole } = chance(seed)
  return {
    name: `random-${String(seed)}`,
    aim: 'last end',
    machines,
    jobs: Array.from({ length: jobs }, () => ({
      works: Array.from({ length: machines }, () => whole(1, 99)),
      weight: 1,
      releasedAt: 0,
      dueAt: undefined
    })),
    setUps: Array.from({ length: machines }, () =>
      Array.from({ length: jobs }, (_, i) => Array.from({ length: jobs }, (__, j) => (i === j ? 0 : whole(1, 49))))
    )
  }
}

describe('published instances', { timeout: 60_000 }, () => {
  test('come out with their published values, proved, and as all sequences say', () => {
    for (const { id, aim, works, weights, due, released, value, sequences } of published) {
      const instance: Instance = {
        name: id,
        aim: aim as Aim,
        machines: 1,
        setUps: undefined,
        jobs: works.map((work, j) => ({
          works: [work],
          weight: weights[j] ?? NaN,
          dueAt: due[j] ?? NaN,
          releasedAt: released[j] ?? NaN
        }))
      }
      const outcome = outcomeOf(instance, BUDGET, { value, optimal: true })
      expect(outcome, id).toMatchObject({ found: value, least: value, proved: true, fault: undefined })
      expect(leastOfAll(instance), id).toBe(value)
      for (const inTurn of sequences)
        expect(valueOf(instance, new Map([['0', inTurn.map((job) => String(Number(job) - 1))]])), id).toBe(value)
    }
    expect(published.length).toBeGreaterThanOrEqual(4)
  })

  test('of weighted tardiness are solved to the optimum over all sets of jobs, 10 jobs, with the proof', () => {
    for (let seed = 1; seed <= 40; seed++) {
      const instance = randomJobs(10, seed)
      const value = leastBySets(instance)
      const outcome = outcomeOf(instance, BUDGET, { value, optimal: true })
      expect(outcome, instance.name).toMatchObject({ found: value, proved: true, fault: undefined })
    }
  })

  test('of two machines with set-ups are solved to the least of all sequences', () => {
    let worth = 0
    for (let seed = 1; seed <= 40; seed++) {
      const instance = randomMachines(5, 2, seed)
      const value = leastOfAll(instance)
      const outcome = outcomeOf(instance, BUDGET, { value, optimal: true })
      expect(outcome, instance.name).toMatchObject({ found: value, proved: true, fault: undefined })
      worth += value
    }
    expect(worth).toBeGreaterThan(0)
  })

  test('are read from their files and compared with the list of known values', () => {
    const folder = mkdtempSync(join(tmpdir(), 'instances-'))
    try {
      writeFileSync(join(folder, 'wt4.txt'), '12 8 15 9\n4 5 3 5\n16 26\n25 27\n1 1 1 1 2 2 2 2 1 2 3 4\n')
      writeFileSync(join(folder, 'two.txt'), TWO_MACHINES)
      writeFileSync(join(folder, 'known.txt'), '# worked out by hand\nwt4-1 67\nwt4-2 0\ntwo 9 best\n')
      const { instances, known } = instancesIn(folder)
      expect(instances.map(({ name }) => name)).toEqual(['two', 'wt4-1', 'wt4-2'])
      const outcomes = instances.map((one) => outcomeOf(one, BUDGET, known.get(one.name)))
      // Better than the best known is no fault: 1, set-up 2, 3 on the first machine, 4 on the second.
      expect(outcomes.map(({ found, fault }) => [found, fault])).toEqual([
        [6, undefined],
        [67, undefined],
        [0, undefined]
      ])
    } finally {
      rmSync(folder, { recursive: true })
    }
  })

  test('tell what cannot be: below a known optimum, a bound or a proof above a known value', () => {
    const [instance] = weightedTardiness('wt4', '12 8 15 9 4 5 3 5 16 26 25 27', 4)
    if (instance === undefined) throw new RangeError('nothing was read')
    expect(outcomeOf(instance, BUDGET, { value: 68, optimal: true }).fault).toMatch(/below the known optimum/)
    expect(outcomeOf(instance, BUDGET, { value: 68, optimal: false }).fault).toBeUndefined()
    expect(outcomeOf(instance, BUDGET, { value: 60, optimal: true }).fault).toMatch(/bound 67 is above/)
    const row = rowOf({ ...outcomeOf(instance, BUDGET, { value: 64, optimal: true }), ms: 1 })
    expect(row).toMatch(/^wt4 +67 +64 +4.69 +yes +1\n {2}FAULT/)
  })

  test('are refused by name when a part is missing', () => {
    expect(() => weightedTardiness('wt40', '1 2 3', 40)).toThrow(/wt40 has 3 numbers/)
    expect(() => unrelatedMachines('two', TWO_MACHINES.replace('0 2 2', '0 2'))).toThrow(/set-ups/)
    expect(() => unrelatedMachines('two', TWO_MACHINES.replace('0 1 1 9', '0 1'))).toThrow(/pairs/)
    expect(() => knownIn('wt40-1 many')).toThrow(/wt40-1 many/)
  })
})

const TWO_MACHINES = `3 2 1
1
0 1 1 9
0 3 1 9
0 9 1 4
SSD
M0
0 2 2
5 0 5
5 5 0
M1
0 1 1
1 0 1
1 1 0
`
