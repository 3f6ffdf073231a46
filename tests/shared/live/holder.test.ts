import { describe, expect, it } from 'vitest'
import { holderOf } from '../../../shared/live/state.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

const AT = OPENS_AT_MS + 60_000
const one = { linkId: 'link-one', role: 'coordinator' } as const
const other = { linkId: 'link-other', role: 'coordinator' } as const

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
