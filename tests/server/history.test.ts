import { describe, expect, it, onTestFinished } from 'vitest'
import type { Fact } from '../../shared/contracts/facts.ts'
import { faultsOf, type Told } from '../long/checker.ts'
import { historyRows } from '../long/history.ts'
import { removeFolders } from '../long/service.ts'

/** `npm run long -- history` does the same until a hundred thousand are acknowledged. */
const ACKNOWLEDGED = 300

describe('a random history of many clients over a line that breaks, with the service killed under it', () => {
  const seed = Date.now() % 1_000_000
  it(`has every acknowledged fact once, in order, and one picture on all boards (seed ${String(seed)})`, async () => {
    onTestFinished(removeFolders)
    const { acknowledged, unanswered, ...rest } = await historyRows({ acknowledged: ACKNOWLEDGED, seed })
    expect(rest).toMatchObject({ holds: true, faults: [], gaps: 0, kills: 2, cuts: 6 })
    expect(acknowledged).toBeGreaterThanOrEqual(ACKNOWLEDGED)
    // Cuts that left nothing unanswered would show nothing.
    expect(unanswered).toBeGreaterThan(0)
  }, 120_000)
})

describe('the checker of histories', () => {
  const fact = (seq: number, requestId = `request-${String(seq)}`): Fact =>
    ({ seq, requestId, atMs: seq * 10, kind: 'eventOpened' }) as unknown as Fact
  const told = (one: Fact, change: Partial<Told> = {}): Told => ({
    requestId: one.requestId,
    atMs: one.atMs,
    answers: [{ from: one.seq, to: one.seq, facts: [one], repeated: false }],
    refusals: [],
    ...change
  })
  const [a, b, c] = [fact(1), fact(2), fact(3)]
  const right = { told: new Map([['one', [told(a), told(b)]]]), log: [a, b, c], seen: new Map([['board', [a, b, c]]]) }

  it('finds nothing in one that holds', () => {
    expect(faultsOf(right)).toEqual([])
  })

  it.each([
    ['a fact that is lost', { ...right, log: [a, { ...c, seq: 2 }], seen: new Map() }, 'acknowledged and is lost'],
    ['one that stands twice', { ...right, log: [a, b, fact(3, b.requestId)], seen: new Map() }, 'or twice'],
    ['a gap', { ...right, log: [a, b, fact(4)], seen: new Map() }, 'fact 3 has the number 4'],
    [
      'an order that is not the order told',
      { ...right, told: new Map([['one', [told(b), told(a)]]]) },
      'request-1 stands before what was told before it'
    ],
    [
      'another observed time',
      { ...right, told: new Map([['one', [told(a, { atMs: 11 })]]]) },
      'observed at 11 ms and recorded at 10 ms'
    ],
    [
      'a refused request in the log',
      { ...right, told: new Map([['one', [told(a, { answers: [], refusals: ['stale-order'] })]]]) },
      'was refused (stale-order) and is in the log'
    ],
    [
      'two answers that both say they recorded it',
      {
        ...right,
        told: new Map([['one', [told(a, { answers: [...told(a).answers, ...told(a).answers] })]]])
      },
      'was recorded by two answers'
    ],
    ['a board that lacks one', { ...right, seen: new Map([['board', [a, c]]]) }, 'board has 2 facts']
  ])('finds %s', (_, history, fault) => {
    expect(faultsOf(history).join('\n')).toContain(fault)
  })
})
