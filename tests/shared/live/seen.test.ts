import { describe, expect, it } from 'vitest'
import { seenOf } from '../../../shared/live/state.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

const MIN = 60_000
const event = () => new MemoryEvent(paperPlan())
const see = (revision: number, seenSeq: number) => ({ kind: 'seeSlot' as const, shipId: 'alder-21', revision, seenSeq })

describe('what was read of a slot', () => {
  it('is nothing before somebody says so, and then what was shown, with when', () => {
    const made = event()
    expect(seenOf(made.state, 'alder-21')).toBeUndefined()
    expect(made.ask(see(1, 2), OPENS_AT_MS + MIN)).toBeUndefined()
    expect(seenOf(made.state, 'alder-21')).toMatchObject({ revision: 1, seenSeq: 2, atMs: OPENS_AT_MS + MIN })
    expect(seenOf(made.state, 'alder-22')).toBeUndefined()
  })

  it('may be said before the event opens, and by a crew for its own ship', () => {
    const made = event()
    const crew = { linkId: 'link-crew', role: 'crew', shipId: 'alder-21' } as const
    expect(made.ask(see(1, 1), OPENS_AT_MS - MIN, crew)).toBeUndefined()
    expect(seenOf(made.state, 'alder-21')?.by).toBe('link-crew')
  })

  it('is the newest of it, though a phone that was out of contact sends an older one later', () => {
    const made = event()
    made.ask({ kind: 'adoptPlan', revision: 2, plan: paperPlan() }, OPENS_AT_MS)
    made.ask(see(2, 3), OPENS_AT_MS + 2 * MIN)
    made.ask(see(1, 2), OPENS_AT_MS + MIN)
    expect(seenOf(made.state, 'alder-21')).toMatchObject({ revision: 2, seenSeq: 3 })
  })

  it('goes when it is withdrawn, and changes no figure', () => {
    const made = event()
    const before = estimate(made.state, OPENS_AT_MS)
    made.ask(see(1, 2), OPENS_AT_MS)
    expect({ ...estimate(made.state, OPENS_AT_MS), seq: before?.seq }).toEqual(before)
    expect(made.ask({ kind: 'withdrawFact', withdrawnSeq: made.state.seq }, OPENS_AT_MS)).toBeUndefined()
    expect(seenOf(made.state, 'alder-21')).toBeUndefined()
  })
})
