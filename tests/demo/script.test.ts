import { describe, expect, it } from 'vitest'
import type { Fact, FactOf } from '../../shared/contracts/facts.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { reduce } from '../../shared/live/reduce.ts'
import { demoPlan } from '../../server/demo/plan.ts'
import { saidNext } from '../../server/demo/script.ts'
import { MemoryEvent } from '../make/event.ts'

/* Constructed: what the demonstration's crews say, played into an event in memory at five-second steps. */
const OPENS_AT_MS = Date.UTC(2031, 4, 6, 9)
const MIN = 60_000

function playedOn(event: MemoryEvent, fromMin: number, toMin: number): { event: MemoryEvent; refused: string[] } {
  const refused: string[] = []
  for (let atMs = OPENS_AT_MS + fromMin * MIN; atMs <= OPENS_AT_MS + toMin * MIN; atMs += 5_000) {
    for (const said of saidNext(event.state, atMs)) {
      const refusal = event.ask(said, atMs)
      if (refusal) refused.push(`${said.kind}: ${refusal.code}`)
    }
  }
  return { event, refused }
}
const of = <Kind extends Fact['kind']>(log: readonly Fact[], kind: Kind): FactOf<Kind>[] =>
  log.filter((fact): fact is FactOf<Kind> => fact.kind === kind)

describe('the script of the demonstration', { timeout: 60_000 }, () => {
  const { event, refused } = playedOn(new MemoryEvent(demoPlan(OPENS_AT_MS)), 0, 95)
  const { log } = event

  it('says nothing that the event refuses', () => {
    expect(refused).toEqual([])
  })

  it('keeps the board alive: no five minutes without a word once ships fly, all three tankers busy', () => {
    const times = log.filter((fact) => fact.atMs > OPENS_AT_MS).map((fact) => fact.atMs)
    const gaps = times.slice(1).map((atMs, index) => atMs - (times[index] ?? 0))
    expect(Math.max(...gaps)).toBeLessThan(5 * MIN)
    expect(new Set(of(log, 'contactMade').map((fact) => fact.tankerId))).toEqual(new Set(['mallet', 'auger', 'sorrel']))
    expect(of(log, 'contactMade').length).toBeGreaterThan(24)
    expect(of(log, 'disconnected').length).toBeGreaterThan(24)
    expect(of(log, 'pushed').length).toBeGreaterThan(20)
  })

  it('reads gauges to the 100 lb, and has a partial disconnect and an uncalled flow now and then', () => {
    const calls = of(log, 'fuelCalled')
    expect(calls.length).toBeGreaterThan(200)
    expect(calls.filter(({ fuel }) => fuel.unit !== 'lb' || fuel.value % 100 !== 0)).toEqual([])
    expect(of(log, 'disconnected').some((fact) => fact.how === 'partial')).toBe(true)
    expect(of(log, 'fuelFlowing').length).toBeLessThan(of(log, 'contactMade').length)
  })

  it('covers with each figure what the gauge of the ship shows', () => {
    const covers = new Map(of(log, 'fuelCalled').map((fact) => [fact.shipId as string, fact.covers]))
    expect(covers.get('chisel-1')).toBe('internal')
    expect(covers.get('alder-1')).toBe('total')
  })

  it('goes on after a break from the log alone, to the same words', () => {
    const again = new MemoryEvent(demoPlan(OPENS_AT_MS))
    for (const fact of log.slice(again.log.length).filter(({ atMs }) => atMs < OPENS_AT_MS + 40 * MIN)) {
      again.log.push(fact)
      again.state = reduce(again.state, fact)
    }
    playedOn(again, 40, 60)
    const bare = (facts: readonly Fact[]) => facts.map(({ kind, atMs }) => [kind, atMs])
    expect(bare(again.log)).toEqual(bare(log.filter((fact) => fact.atMs <= OPENS_AT_MS + 60 * MIN)))
  })

  it('leaves nothing to say of ships that have pushed and landed', () => {
    const view = estimate(event.state, OPENS_AT_MS + 95 * MIN)
    const landed = view?.ships.filter((ship) => ship.status === 'landed').map((ship) => ship.shipId) ?? []
    expect(landed.length).toBeGreaterThan(4)
    expect(view?.reasons.filter((reason) => landed.includes(reason.shipId ?? ''))).toEqual([])
    expect(view?.pushes.find((push) => push.pushGroupId === 'escort')?.lateS).toBeLessThan(3 * 60)
  })

  it('says nothing to an event without a plan', () => {
    expect(saidNext({ ...event.state, plan: undefined }, OPENS_AT_MS)).toEqual([])
  })
})
