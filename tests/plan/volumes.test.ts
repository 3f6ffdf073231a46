import { describe, expect, it } from 'vitest'
import { estimate } from '../../shared/live/estimate.ts'
import { emptyState } from '../../shared/live/state.ts'
import { readPlan } from '../../shared/plan/read.ts'
import { densityKgPerM3, M3_PER_USGAL, massKg } from '../../shared/units.ts'
import { demoPlan } from '../../server/demo/plan.ts'

/*
 * Fuel may be given by mass or by volume wherever it is given. Constructed: every mass of fuel of the demonstration
 * turned into US gallons at its planning density is the same plan.
 */
const OPENS_AT_MS = Date.UTC(2031, 4, 6, 9)
const plan = demoPlan(OPENS_AT_MS)
const fuelKgPerM3 = densityKgPerM3(plan.fuelDensity)
/** What is weighed and no fuel. */
const WEIGHTS = new Set(['zeroFuel', 'reference'])

let turned = 0
function inGallons(value: unknown, key = ''): unknown {
  if (Array.isArray(value)) return value.map((one) => inGallons(one))
  if (typeof value !== 'object' || value === null) return value
  const given = value as { value?: number; unit?: string }
  if ((given.unit === 'lb' || given.unit === 'kg') && typeof given.value === 'number' && !WEIGHTS.has(key)) {
    turned++
    return { value: massKg({ value: given.value, unit: given.unit }) / fuelKgPerM3 / M3_PER_USGAL, unit: 'USgal' }
  }
  return Object.fromEntries(Object.entries(value).map(([name, one]) => [name, inGallons(one, name)]))
}

describe('a plan given by volume', () => {
  it('is the same plan as by mass', () => {
    const read = readPlan(inGallons(JSON.parse(JSON.stringify(plan))))
    if ('faults' in read) throw new Error(JSON.stringify(read.faults))
    expect(turned).toBeGreaterThan(75)
    const view = (of: typeof plan) => estimate({ ...emptyState('volumes'), plan: of, revision: 1 }, OPENS_AT_MS)
    const [byMass, byVolume] = [view(plan), view(read.plan)]
    expect(byVolume?.slots).toHaveLength(byMass?.slots.length ?? -1)
    byMass?.slots.forEach((slot, index) => {
      const other = byVolume?.slots[index]
      expect(other?.slotId).toBe(slot.slotId)
      expect(other?.onLoadKg).toBeCloseTo(slot.onLoadKg, 5)
      expect(other?.contactAtMs).toBeCloseTo(slot.contactAtMs, 1)
      expect(other?.abortKg).toBeCloseTo(slot.abortKg ?? NaN, 6)
      expect(other?.requiredAtPushKg).toBeCloseTo(slot.requiredAtPushKg, 6)
    })
  })

  it('is refused where the volume is absurd', () => {
    const document = JSON.parse(JSON.stringify(plan)) as { flights: { ships: { startFuel: unknown }[] }[] }
    const ship = document.flights[0]?.ships[0]
    if (ship) ship.startFuel = { value: 90_000, unit: 'USgal' }
    const read = readPlan(document)
    expect('faults' in read ? read.faults : []).toEqual([
      expect.objectContaining({ path: '/flights/0/ships/0/startFuel/value', limit: '0 to 200000 kg' })
    ])
  })
})
