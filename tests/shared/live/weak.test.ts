import { describe, expect, it } from 'vitest'
import { estimate } from '../../../shared/live/estimate.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

/* No outside source: what a way lacks is what mends it when it is taken at the contact before. */

/** The paper plan with every ship taking so much at its contact, and what it lacks of its way home. */
function taking(takesKg: number) {
  const plan = paperPlan((raw) => {
    const document = raw as unknown as { flights: [{ route: { id: string; onLoad?: unknown }[] }] }
    for (const phase of document.flights[0].route)
      if (phase.id === 'fill') phase.onLoad = { kind: 'fixed', fuel: { value: takesKg, unit: 'kg' } }
  })
  const view = estimate(new MemoryEvent(plan).state, OPENS_AT_MS)
  if (view === undefined) throw new Error('no view')
  const marginKg = view.flights[0]?.weakest?.marginKg ?? NaN
  return { view, marginKg, reason: view.reasons.find(({ kind }) => kind === 'weak point') }
}

describe('a way that asks for more than there is', () => {
  // What is taken at the contact is there after it, kilogram for kilogram.
  const enoughKg = 300 - taking(300).marginKg

  it('is mended by so much more at the contact before', () => {
    const { view, reason, marginKg } = taking(enoughKg - 150)
    expect(marginKg).toBeCloseTo(-150, 0)
    expect(reason).toMatchObject({ severity: 'now', mend: { kind: 'take more' } })
    const slot = view.slots.find(({ slotId }) => slotId === reason?.slotId)
    expect(slot?.shipId).toBe(reason?.shipId)
    expect(slot?.disconnectAtMs).toBeLessThanOrEqual(reason?.atMs ?? 0)
    expect(taking(enoughKg - 150 + (reason?.mend?.byKg ?? 0)).marginKg).toBeGreaterThan(-1)
  })

  it('is no trouble of now while it is ahead and lacks less than a board shows', () => {
    const { reason, marginKg } = taking(enoughKg - 50)
    expect(marginKg).toBeCloseTo(-50, 0)
    expect(reason?.severity).toBe('soon')
  })
})
