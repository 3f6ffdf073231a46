import { describe, expect, it } from 'vitest'
import type { TankGroup } from '../../shared/contracts/plan.ts'
import type { OnLoadBody } from '../../shared/contracts/requests.ts'
import { RECEIVERS } from '../../shared/library/receivers.ts'
import { computeOnLoad } from '../../shared/plan/onload.ts'
import { KG_PER_LB } from '../../shared/units.ts'

/*
 * Constructed, worked out on paper: Larch clean, 130 lb unusable. Abort fuel 550 lb approach and 2,000 lb reserve: 2,550 lb.
 */
const lb = (value: number) => ({ value, unit: 'lb' as const })

function limits(fuelLb: number, ahead: NonNullable<OnLoadBody['ahead']>) {
  const receiverType = RECEIVERS.find(({ id }) => id === 'larch')
  if (!receiverType) throw new Error('no Larch')
  const answer = computeOnLoad({
    receiverType,
    fuelDensity: { value: 6.7, unit: 'lb/USgal' },
    fitted: [],
    fuelNow: lb(fuelLb),
    externals: 'off',
    ahead,
    stationRate: { value: 3300, unit: 'lb/min' },
    onLoad: { kind: 'full' },
    abort: {
      distance: { value: 0, unit: 'NM' },
      groundSpeed: { value: 400, unit: 'kt' },
      landingReserve: { kind: 'fixed', fuel: lb(2000) }
    }
  })
  if ('faults' in answer || answer.limits === null) throw new Error('no limits')
  return answer.limits
}
const leg = (durationMin: number, lbPerH: number) => ({ durationMin, flow: { value: lbPerH, unit: 'lb/h' as const } })

describe('one on-load of a ship whose flows grow with weight', () => {
  it('burns on the way by its weight there, in contact as a full ship, and flies home with all that does not count', () => {
    const larch = RECEIVERS.find(({ id }) => id === 'larch')
    if (!larch) throw new Error('no Larch')
    const [zeroKg, referenceKg] = [20_000 * KG_PER_LB, 30_000 * KG_PER_LB]
    const external = larch.groups.find(({ place }) => place === 'external')
    if (!external) throw new Error('no external tank')
    const ask = (
      weighing: { weighing: { zeroFuel: ReturnType<typeof lb>; reference: ReturnType<typeof lb> } } | object
    ) =>
      computeOnLoad({
        receiverType: { ...larch, ...weighing },
        fuelDensity: { value: 6.7, unit: 'lb/USgal' },
        fitted: [external.id],
        fuelNow: lb(5000),
        externals: 'selected',
        ahead: [leg(20, 5000)],
        stationRate: { value: 3300, unit: 'lb/min' },
        onLoad: { kind: 'full' },
        abort: {
          distance: { value: 200, unit: 'NM' },
          groundSpeed: { value: 400, unit: 'kt' },
          landingReserve: { kind: 'minutes', holdingMin: 20 }
        }
      })
    const heavy = ask({ weighing: { zeroFuel: lb(20_000), reference: lb(30_000) } })
    const plain = ask({})
    if ('faults' in heavy || 'faults' in plain || !heavy.limits || !plain.limits) throw new Error('no limits')
    const drag = external.dragFactor ?? 1
    const perS = (flow: { value: number; unit: string } | undefined) => {
      if (flow?.unit !== 'lb/h') throw new Error('not in lb/h')
      return (flow.value * KG_PER_LB * drag) / 3600
    }
    // Weight falls as W e^(-kt), k = flow over reference weight (Breguet): 20 min on the way.
    const onTheWay =
      (zeroKg + 5000 * KG_PER_LB) * (1 - Math.exp((-perS({ value: 5000, unit: 'lb/h' }) / referenceKg) * 1200))
    const plainly = 5000 * KG_PER_LB * drag * (20 / 60)
    expect(plain.fuelAtContactKg - heavy.fuelAtContactKg).toBeCloseTo(onTheWay - plainly, 6)
    // Home: full externals and unusable rests are flown along; counted back from the last drop of the reserve.
    const massOf = (groups: readonly TankGroup[], kg: (group: TankGroup) => number) =>
      groups.reduce((sum, group) => sum + group.tankCount * kg(group), 0)
    const asKg = ({ value, unit }: { value: number; unit: string }): number => {
      if (unit === 'lb') return value * KG_PER_LB
      if (unit === 'USgal') return value * 6.7 * KG_PER_LB
      throw new Error(`no ${unit}`)
    }
    const internals = larch.groups.filter(({ place }) => place === 'internal')
    const emptyKg =
      zeroKg +
      massOf([external], ({ capacity }) => asKg(capacity)) +
      massOf(internals, ({ unusable }) => asKg(unusable))
    const backKg = (leftKg: number, flowKgPerS: number, seconds: number): number =>
      (emptyKg + leftKg) * (Math.exp((flowKgPerS / referenceKg) * seconds) - 1)
    const reserveKg = backKg(0, perS(larch.flows.holding), 1200)
    const landingKg = reserveKg + asKg(larch.approachFuel)
    expect(heavy.limits.abortKg).toBeCloseTo(landingKg + backKg(landingKg, perS(larch.flows.recovery), 1800), 6)
    expect(heavy.limits.abortKg).not.toBeCloseTo(plain.limits.abortKg, -1)
  })
})

describe('the latest contact of one on-load', () => {
  it('lies on the way where counted fuel falls to abort fuel there, at the flow flown then', () => {
    // 5,370 lb usable, 2,820 lb above abort fuel: at 2,500 lb/h 67.68 min.
    const { latestContactAtS, slackS } = limits(5500, [leg(80, 2500)])
    expect(latestContactAtS).toBeCloseTo(67.68 * 60, 3)
    expect(slackS).toBeCloseTo((67.68 - 80) * 60, 3)
  })

  it('lies in the leg in which it falls', () => {
    // 50 min at 2,500 lb/h burn 2,083.3 lb; the other 736.7 lb at 6,000 lb/h last 7.367 min.
    expect(limits(5500, [leg(50, 2500), leg(30, 6000)]).latestContactAtS).toBeCloseTo((50 + 7.3667) * 60, 0)
  })

  it('lies there too when the engines find no fuel later on the way', () => {
    // 2,870 lb usable: 320 lb at 5,100 lb/h.
    expect(limits(3000, [leg(40, 5100)]).latestContactAtS).toBeCloseTo((320 / 5100) * 3600, 3)
  })

  it('lies before now where counted fuel is below abort fuel already', () => {
    // 1,870 lb usable: 680 lb too little.
    expect(limits(2000, [leg(10, 5100)]).latestContactAtS).toBeCloseTo((-680 / 5100) * 3600, 3)
    expect(limits(2000, []).latestContactAtS).toBeCloseTo((-680 / 5000) * 3600, 3)
  })

  it('lies after contact where the ship waits on at the refuelling flow', () => {
    // 20 min at 5,100 lb/h burn 1,700 lb; the other 1,120 lb at 5,000 lb/h last 13.44 min.
    const { latestContactAtS, slackS } = limits(5500, [leg(20, 5100)])
    expect(slackS).toBeCloseTo(13.44 * 60, 3)
    expect(latestContactAtS).toBeCloseTo(33.44 * 60, 3)
  })
})
