import { describe, expect, it } from 'vitest'
import { unsaidOf } from '../../client/unsaid.ts'
import { MemoryEvent } from '../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../make/plan.ts'

/* Constructed: two logs that part after the same beginning. */

const called = (value: number) => {
  const event = new MemoryEvent(paperPlan())
  const call = { kind: 'callFuel' as const, shipId: 'alder-21', fuel: { value, unit: 'kg' }, covers: 'total' }
  event.ask(call, OPENS_AT_MS + 60_000)
  return event.log
}

describe('what a worker was not told yet', () => {
  it('is what came since it was asked for', () => {
    const log = [...called(3_000)]
    const last = log.pop()
    const unsaid = unsaidOf(log)
    expect(unsaid()).toEqual({ anew: false, facts: log })
    expect(unsaid()).toEqual({ anew: false, facts: [] })
    if (last !== undefined) log.push(last)
    expect(unsaid()).toEqual({ anew: false, facts: [last] })
  })

  it('is all of a log that was begun anew, be it shorter or as long', () => {
    const log = [...called(3_000)]
    const unsaid = unsaidOf(log)
    unsaid()
    log.splice(0, log.length, ...called(2_900))
    expect(unsaid()).toEqual({ anew: true, facts: log })
    log.splice(0, log.length, ...called(2_800).slice(0, 1))
    expect(unsaid()).toEqual({ anew: true, facts: log })
  })
})
