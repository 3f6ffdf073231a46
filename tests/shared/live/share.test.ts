import { describe, expect, it } from 'vitest'
import type { Plan } from '../../../shared/contracts/plan.ts'
import type { View } from '../../../shared/contracts/view.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { sharingOf } from '../../../shared/live/share.ts'
import type { Sharing } from '../../../shared/order/share.ts'
import type { LiveState } from '../../../shared/live/state.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

/* Constructed from the paper plan (tests/make/plan.ts), by hand; no outside source. 15.4 kg/s through the boom. */
const MIN = 60_000

interface PaperFlight {
  id: string
  callSign: string
  priority: number
  route: { id: string; onLoad?: object }[]
  ships: object[]
}

/** Flights of like ships by priority, each ship to take 1000 kg; the tanker may transfer so much. */
const shortPlan = (giveKg: number, flights: readonly { priority: number; ships: number }[]): Plan =>
  paperPlan((document) => {
    const [kelp] = document['tankers'] as object[]
    document['tankers'] = [{ ...kelp, mostTransferable: { value: giveKg, unit: 'kg' } }]
    const [alder] = document['flights'] as PaperFlight[]
    if (!alder) return
    document['flights'] = flights.map(({ priority, ships }, f) => ({
      ...alder,
      id: `flight-${String(f)}`,
      callSign: `Alder ${String(f + 5)}`,
      priority,
      route: alder.route.map((phase) => ({
        ...phase,
        id: `${phase.id}-${String(f)}`,
        ...(phase.onLoad ? { onLoad: { kind: 'fixed', fuel: { value: 1000, unit: 'kg' } } } : {})
      })),
      ships: Array.from({ length: ships }, (_, s) => ({
        ...alder.ships[0],
        id: `ship-${String(f)}${String(s)}`,
        callSign: `Alder ${String(f + 5)}${String(s)}`
      }))
    }))
    const slots = flights.flatMap(({ ships }, f) =>
      Array.from({ length: ships }, (_, s) => {
        const shipId = `ship-${String(f)}${String(s)}`
        return { id: `slot-${shipId}`, shipId, visitId: `fill-${String(f)}` }
      })
    )
    document['orders'] = [{ tankerId: 'kelp', sequences: [{ stationId: 'boom', slots }] }]
  })

function seen(state: LiveState, atMs: number): View {
  const view = estimate(state, atMs)
  if (!view) throw new Error('no plan')
  return view
}
function sharing(state: LiveState, atMs = OPENS_AT_MS): Sharing | undefined {
  const view = seen(state, atMs)
  const [tanker] = view.tankers
  const flightOf = (shipId: string) =>
    state.plan?.flights.find((flight) => flight.ships.some((ship) => ship.id === shipId))
  return tanker && sharingOf(tanker, view.slots, (shipId) => flightOf(shipId)?.priority ?? 5)
}
const given = (shared: Sharing | undefined): [string, number][] =>
  (shared?.shared ?? []).map((portion) => [portion.slotId, Math.round(portion.givenKg * 100) / 100])

describe('a tanker whose give is short in the order in force', () => {
  it('gives eight ships of 1000 kg 937.5 each of 7500, or sends one home; 500 kg more would mend it', () => {
    const shared = sharing(new MemoryEvent(shortPlan(7500, [{ priority: 3, ships: 8 }])).state)
    expect(given(shared)).toEqual(Array.from({ length: 8 }, (_, s) => [`slot-ship-0${String(s)}`, 937.5]))
    expect(shared?.home).toHaveLength(1)
    expect(shared?.lackingKg).toBeCloseTo(500, 6)
  })

  it('serves the higher priority whole though it comes later', () => {
    const shared = sharing(
      new MemoryEvent(
        shortPlan(3000, [
          { priority: 4, ships: 2 },
          { priority: 1, ships: 2 }
        ])
      ).state
    )
    expect(given(shared)).toEqual([
      ['slot-ship-00', 500],
      ['slot-ship-01', 500],
      ['slot-ship-10', 1000],
      ['slot-ship-11', 1000]
    ])
    expect(shared?.home).toHaveLength(1)
    expect(['slot-ship-00', 'slot-ship-01']).toContain(shared?.home[0])
  })

  it('shares nothing where the give lasts', () => {
    expect(sharing(new MemoryEvent(shortPlan(8000, [{ priority: 3, ships: 8 }])).state)).toBeUndefined()
    expect(sharing(new MemoryEvent(shortPlan(7990, [{ priority: 3, ships: 8 }])).state)).toBeDefined()
  })

  it('leaves a contact under way its whole on-load, and shares the rest; nothing is recorded', () => {
    const event = new MemoryEvent(shortPlan(2500, [{ priority: 3, ships: 3 }]))
    const readyMs = OPENS_AT_MS + 20 * MIN
    expect(event.ask({ kind: 'joinShip', shipId: 'ship-00' }, readyMs)).toBeUndefined()
    expect(event.ask({ kind: 'makeContact', shipId: 'ship-00' }, readyMs + 1.5 * MIN)).toBeUndefined()
    expect(event.ask({ kind: 'startFlow', shipId: 'ship-00' }, readyMs + 1.5 * MIN)).toBeUndefined()
    const { seq } = event.state
    const shared = sharing(event.state, readyMs + 2 * MIN)
    expect(given(shared)).toEqual([
      ['slot-ship-01', 750],
      ['slot-ship-02', 750]
    ])
    expect(shared?.lackingKg).toBeCloseTo(500, 6)
    expect(event.state.seq).toBe(seq)
  })

  it('shares what the ledger says is lacking, whoever it is that runs dry', () => {
    const { state } = new MemoryEvent(shortPlan(2200, [{ priority: 2, ships: 4 }]))
    const [tanker] = seen(state, OPENS_AT_MS).tankers
    expect(tanker?.dryAtSlotId).toBe('slot-ship-02')
    expect(sharing(state)?.lackingKg).toBeCloseTo(tanker?.shortKg ?? NaN, 6)
    expect(sharing(state)?.home).toHaveLength(2)
  })
})
