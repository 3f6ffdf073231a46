import { describe, expect, it } from 'vitest'
import { eventTime } from '../../../shared/live/clock.ts'
import { holderOf } from '../../../shared/live/state.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

const AT = OPENS_AT_MS + 60_000
const one = { linkId: 'link-one', role: 'coordinator' } as const
const other = { linkId: 'link-other', role: 'coordinator' } as const

describe('the clock of an event', () => {
  it('is paused where it stands, and runs on from there at the pace it is given', () => {
    const event = new MemoryEvent(paperPlan())
    expect(event.ask({ kind: 'setClock', rateFactor: 0 }, AT)).toBeUndefined()
    expect(eventTime(event.state.clock, AT)).toBe(AT)
    expect(eventTime(event.state.clock, AT + 600_000)).toBe(AT)
    expect(event.ask({ kind: 'setClock', rateFactor: 4 }, AT + 600_000)).toBeUndefined()
    expect(eventTime(event.state.clock, AT + 600_000)).toBe(AT)
    expect(eventTime(event.state.clock, AT + 601_000)).toBe(AT + 4_000)
  })
})

describe('who looks after a tanker', () => {
  const tankerId = paperPlan().tankers[0]?.id ?? ''
  const hold = (held: boolean) => ({ kind: 'holdTanker' as const, tankerId, held })

  it('is whoever took it last, and nobody once it was let go', () => {
    const event = new MemoryEvent(paperPlan())
    expect(holderOf(event.state, tankerId)).toBeUndefined()
    event.ask(hold(true), AT, one)
    expect(holderOf(event.state, tankerId)).toEqual({ linkId: 'link-one', atMs: AT })
    event.ask(hold(true), AT + 1_000, other)
    expect(holderOf(event.state, tankerId)?.linkId).toBe('link-other')
    event.ask(hold(false), AT + 2_000, one)
    expect(holderOf(event.state, tankerId)).toBeUndefined()
  })

  it('is whoever had it before, where taking it over is withdrawn; no figure changes by it', () => {
    const event = new MemoryEvent(paperPlan())
    const before = estimate(event.state, AT)
    event.ask(hold(true), AT, one)
    event.ask(hold(true), AT, other)
    expect(event.ask({ kind: 'withdrawFact', withdrawnSeq: event.state.seq }, AT, one)).toBeUndefined()
    expect(holderOf(event.state, tankerId)?.linkId).toBe('link-one')
    expect({ ...estimate(event.state, AT), seq: before?.seq }).toEqual(before)
  })
})
