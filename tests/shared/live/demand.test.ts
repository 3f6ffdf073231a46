import { describe, expect, it } from 'vitest'
import { demoPlan } from '../../../server/demo/plan.ts'
import type { Plan } from '../../../shared/contracts/plan.ts'
import { demandOf, type MethodDemand } from '../../../shared/live/demand.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { emptyState } from '../../../shared/live/state.ts'
import { demand } from '../../../shared/order/demand.ts'
import { chance } from '../order/chance.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

/*
 * Constructed from the paper plan (tests/make/plan.ts), worked out by hand; no outside source. A ship is ready at 20 min
 * and burns 0.4 kg/s; hook-up 90 s; body fills at 15 kg/s beside the burn of 0.4: 15.4 kg/s through the boom.
 */
const MIN = 60_000

interface PaperFlight {
  route: { onLoad?: object }[]
  ships: unknown[]
}
interface Alike {
  ships: number
  pushMin: number
  fixedKg?: number
  changeoverMin?: number
  mostTransferableKg?: number
  tankers?: number
}

/** The paper plan with so many like ships and like tankers; the changeover is the same between and within flights. */
const alike = ({ ships, pushMin, fixedKg, changeoverMin = 1, mostTransferableKg = 20_000, tankers = 1 }: Alike): Plan =>
  paperPlan((document) => {
    Object.assign(document['rules'] as object, {
      changeoverWithinFlightMin: changeoverMin,
      changeoverBoomMin: changeoverMin
    })
    document['pushGroups'] = [{ id: 'first', name: 'First push', pushAtMs: OPENS_AT_MS + pushMin * MIN }]
    const [kelp] = document['tankers'] as object[]
    document['tankers'] = Array.from({ length: tankers }, (_, index) => ({
      ...kelp,
      ...(index === 0 ? {} : { id: `kelp-${String(index)}`, callSign: `Kelp 1${String(index)}` }),
      // No burn counts where the most it can transfer is the lesser.
      fuelOnStation: { value: 90_000, unit: 'kg' },
      mostTransferable: { value: mostTransferableKg, unit: 'kg' }
    }))
    const flights = document['flights'] as PaperFlight[]
    const visit = flights[0]?.route[1]
    if (visit && fixedKg !== undefined) visit.onLoad = { kind: 'fixed', fuel: { value: fixedKg, unit: 'kg' } }
    if (flights[0])
      flights[0].ships = Array.from({ length: ships }, (_, index) => ({
        id: `ship-${String(index)}`,
        callSign: `Alder 3${String(index)}`,
        fitted: [],
        startFuel: { value: 2500, unit: 'kg' }
      }))
    document['orders'] = []
  })

const boomOf = (plan: Plan): MethodDemand => {
  const [boom] = demandOf(plan).methods
  if (boom?.method !== 'boom') throw new Error('no boom')
  return boom
}

describe('the demand of the paper plan', () => {
  const boom = boomOf(paperPlan())

  it('asks for hook-up, fill and changeover of each contact, at the ready time', () => {
    // Required 1490 at 60 min: 1490 + 0.4 x 2400 - 1900 = 550 kg at 15.4 kg/s. The first comes from another flight.
    expect(boom.contacts.map(({ hookUpS, changeoverS }) => [hookUpS, changeoverS])).toEqual([
      [90, 120],
      [90, 30]
    ])
    for (const { fillS, onLoadKg } of boom.contacts) {
      expect(onLoadKg).toBeCloseTo(550, 6)
      expect(fillS).toBeCloseTo(550 / 15.4, 6)
    }
    expect(boom.stationS).toBeCloseTo(2 * (90 + 550 / 15.4) + 150, 6)
  })

  it('has one boom from ready to push less reform, and what the tanker gives', () => {
    expect(boom.thereS).toBe((58 - 20) * 60)
    expect(boom.stationCount).toBe(1)
    expect(boom.askedKg).toBeCloseTo(1100, 6)
    // 30,000 - 3 h x 3600 x 1 kg/s - 5,000.
    expect(boom.giveKg).toBeCloseTo(14_200, 6)
    expect(boom).toMatchObject({ tankersByTime: 1, tankersByGive: 1, tankers: 1, tankerCount: 1, binds: 'neither' })
  })

  it('takes one after the other for the cycle of the push group', () => {
    const [cycle] = demandOf(paperPlan()).groups
    // The first waits as long as the ship before it takes, and takes the burn of that time more only to hold as much.
    expect(cycle?.cycleS).toBeCloseTo(2 * (90 + 550 / 15.4) + 30, 6)
    expect(cycle?.windowS).toBe((58 - 20) * 60)
    expect(cycle).toMatchObject({ pushGroupId: 'first', contactCount: 2, fromMs: OPENS_AT_MS + 20 * MIN })
  })

  it('needs no order, and is the same with one', () => {
    const without = paperPlan((document) => (document['orders'] = []))
    expect(demandOf(without)).toEqual(demandOf(paperPlan()))
    expect(demandOf(without)).toBe(demandOf(without))
  })
})

describe('the demand of ships and stations alike', () => {
  it('comes to the tankers of the constant-service formula', () => {
    const random = chance(3)
    const binding = { time: 0, give: 0, both: 0 }
    for (let round = 0; round < 60; round++) {
      const fillMin = random.whole(1, 2)
      const fixedKg = fillMin * 60 * 15.4
      const changeoverMin = random.whole(0, 3)
      const ships = random.whole(1, 8)
      const windowMin = random.whole(Math.ceil(1.5 + fillMin), 20)
      const mostTransferableKg = random.whole(2, 12) * 700
      const plan = alike({ ships, pushMin: 22 + windowMin, fixedKg, changeoverMin, mostTransferableKg })
      const formula = demand({
        receivers: ships,
        onLoadKg: fixedKg,
        windowMs: (windowMin + changeoverMin) * MIN,
        serviceMs: (1.5 + fillMin + changeoverMin) * MIN,
        givePerTankerKg: mostTransferableKg
      })
      const { tankersByTime, tankersByGive, tankers } = boomOf(plan)
      expect({ tankersByTime, tankersByGive, tankers }).toEqual({
        tankersByTime: formula.tankersByTime,
        tankersByGive: formula.tankersByGive,
        tankers: formula.tankers
      })
      binding[formula.binds]++
    }
    expect(Math.min(binding.time, binding.give, binding.both)).toBeGreaterThan(5)
  })

  it('says which of the two its tankers do not cover', () => {
    const fixedKg = 60 * 15.4
    const four = { ships: 4, fixedKg, changeoverMin: 0 }
    // Four of 2.5 min on one boom take 10 min; 924 kg each, 3696 in all.
    const binds = (pushMin: number, mostTransferableKg: number, tankers = 1) =>
      boomOf(alike({ ...four, pushMin, mostTransferableKg, tankers })).binds
    expect(binds(32, 3700)).toBe('neither')
    expect(binds(31.9, 3700)).toBe('time')
    expect(binds(32, 3690)).toBe('give')
    expect(binds(31.9, 3690)).toBe('both')
    expect(binds(31.9, 3690, 2)).toBe('neither')
  })

  it('c1: four ships of 3.5 min on one boom end at 14 min', () => {
    const [cycle] = demandOf(alike({ ships: 4, pushMin: 62, fixedKg: 120 * 15.4, changeoverMin: 0 })).groups
    expect(cycle?.cycleS).toBeCloseTo(14 * 60, 6)
  })

  it('names a contact that lasts beyond the push whatever the tankers, and counts it as time', () => {
    const { contacts, binds, crowd } = boomOf(alike({ ships: 2, pushMin: 24, fixedKg: 60 * 15.4 }))
    // 2 min between ready and push less reform, 2.5 min of hook-up and fill.
    expect(contacts.map((contact) => contact.fits)).toEqual([false, false])
    expect(binds).toBe('time')
    expect(crowd).toBeUndefined()
  })

  it('has no number of tankers by give where they give nothing', () => {
    const { tankersByGive, tankers, binds } = boomOf(alike({ ships: 2, pushMin: 60, mostTransferableKg: 0 }))
    expect([tankersByGive, tankers, binds]).toEqual([undefined, undefined, 'give'])
  })
})

describe('the demand of the demonstration plan', () => {
  const plan = demoPlan(Date.UTC(2030, 2, 4, 12))
  const asked = demandOf(plan)

  it('has every contact of the plan once, by method', () => {
    const pairs = asked.methods.flatMap(({ contacts }) => contacts.map((one) => `${one.visitId}.${one.shipId}`))
    const ordered = plan.orders.flatMap((order) => order.sequences).flatMap((one) => one.slots.map((slot) => slot.id))
    expect(pairs.sort()).toEqual(ordered.map(String).sort())
    expect(asked.methods.map(({ method }) => method)).toEqual(['boom', 'drogue'])
    expect(asked.groups.map((group) => group.pushGroupId)).toEqual(plan.pushGroups.map((group) => group.id))
  })

  it('asks for no more than the order in force shows to be enough', () => {
    const view = estimate({ ...emptyState('computed'), plan }, plan.opensAtMs)
    expect(view?.slots.every((slot) => slot.state === 'planned')).toBe(true)
    for (const one of asked.methods) {
      expect(one.binds).toBe('neither')
      expect(one.tankersByTime).toBeGreaterThan(0)
      expect(one.tankers).toBeLessThanOrEqual(one.tankerCount)
      expect(one.stationS).toBeLessThan(one.thereS)
    }
  })
})
