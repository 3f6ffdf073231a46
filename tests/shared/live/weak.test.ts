import { describe, expect, it } from 'vitest'
import type { View } from '../../../shared/contracts/view.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

/* No outside source: what a way lacks is what mends it when it is taken at the contact before. */

interface Document {
  flights: [{ route: { id: string; onLoad?: unknown; span?: unknown }[] }]
  tankers: [{ mostTransferable: { value: number; unit: string } }]
}

/**
 * The paper plan with every ship taking so much at its contact, and what it lacks of its way home, with a task of so many
 * minutes and a tanker that gives so much in all.
 */
function taking(takesKg: number, { taskMin = 30, givesKg = 20_000 } = {}) {
  const plan = paperPlan((raw) => {
    const document = raw as unknown as Document
    document.tankers[0].mostTransferable.value = givesKg
    for (const phase of document.flights[0].route) {
      if (phase.id === 'fill') phase.onLoad = { kind: 'fixed', fuel: { value: takesKg, unit: 'kg' } }
      if (phase.id === 'task') phase.span = { by: 'duration', durationMin: taskMin }
    }
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

  it('is not mended by more than its tanks have room for', () => {
    // Fuselage and feed hold 1000 and 3000 kg; no external is fitted.
    const roomKg = (view: View) =>
      4_000 - (view.slots.find(({ shipId }) => shipId === 'alder-21')?.fuelAtDisconnectKg ?? 0)
    const mended = [30, 60, 90, 120, 150].map((taskMin) => {
      const { view, reason, marginKg } = taking(300, { taskMin })
      expect(reason, String(taskMin)).toMatchObject({ shipId: 'alder-21', byKg: -marginKg })
      const fits = -marginKg <= roomKg(view)
      expect(reason?.mend?.kind, String(taskMin)).toBe(fits ? 'take more' : undefined)
      if (!fits) expect(reason).toMatchObject({ mend: null, slotId: null })
      return fits
    })
    expect(new Set(mended)).toEqual(new Set([true, false]))
  })

  it('is not mended by more than its tanker has left', () => {
    const takesKg = enoughKg - 150
    // Two ships take so much each; a kilogram is the tanker's more or less than what the first of them lacks.
    expect(taking(takesKg, { givesKg: 2 * takesKg + 151 }).reason?.mend?.kind).toBe('take more')
    expect(taking(takesKg, { givesKg: 2 * takesKg + 149 }).reason).toMatchObject({ kind: 'weak point', mend: null })
  })
})
