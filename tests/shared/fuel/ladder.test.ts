import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  ladder,
  ladderDownTo,
  ladderKg,
  weakestPoint,
  type LadderStep,
  type ProofPiece
} from '../../../shared/fuel/ladder.ts'
import { recoveryFuelKg, type Recovery } from '../../../shared/fuel/limits.ts'
import type { Position } from '../../../shared/contracts/quantities.ts'
import { alongLeg } from '../../../shared/geodesy.ts'
import truth from '../../truth/burn.json' with { type: 'json' }

describe('the fuel ladder', () => {
  it('is what the worked examples print', () => {
    for (const { inputs, expected, id } of truth.ladders) {
      const phases = inputs.steps.map((step) =>
        'mass' in step
          ? { durationS: 60, flowKgPerS: step.mass / 60 }
          : { durationS: step.time_min * 60, flowKgPerS: step.flow_per_h / 3600 }
      )
      const made = ladderKg(inputs.start, phases)
      expect(made.length, id).toBe(expected.length)
      made.forEach((kg, index) => {
        expect(kg, id).toBeCloseTo(expected[index] ?? NaN, 9)
      })
      expect(
        ladder(
          inputs.start,
          phases.map((phase) => ({ kind: 'flow', ...phase }))
        ).fuelKg,
        id
      ).toEqual(made)
    }
  })
})

describe('the ladder of a ship whose burn grows with its weight', () => {
  const weighing = { zeroFuelKg: 11_000, referenceKg: 15_000 }
  // Constructed: climb charted whole, transit, hold, home, approach.
  const steps: readonly LadderStep[] = [
    { kind: 'lump', durationS: 600, fuelKg: 700 },
    { kind: 'flow', durationS: 2700, flowKgPerS: 0.9 },
    { kind: 'flow', durationS: 1500, flowKgPerS: 0.7 },
    { kind: 'flow', durationS: 1800, flowKgPerS: 0.95 },
    { kind: 'lump', durationS: 420, fuelKg: 180 }
  ]

  it('agrees with flying it in short steps', () => {
    const made = ladder(8000, steps, weighing)
    let kg = 8000
    steps.forEach((step, index) => {
      if (step.kind === 'lump') kg -= step.fuelKg
      else {
        const parts = 20_000
        const dtS = step.durationS / parts
        for (let i = 0; i < parts; i++) {
          const middleKg = kg - (dtS / 2) * ((step.flowKgPerS * (11_000 + kg)) / 15_000)
          kg -= dtS * ((step.flowKgPerS * (11_000 + middleKg)) / 15_000)
        }
      }
      expect(made.fuelKg[index + 1]).toBeCloseTo(kg, 4)
      expect(made.burnsKgPerS[index]).toBeCloseTo(
        ((made.fuelKg[index] ?? NaN) - (made.fuelKg[index + 1] ?? NaN)) / step.durationS,
        12
      )
    })
  })

  it('comes back to its start from what is left, whatever the phases', () => {
    const step = fc.oneof(
      fc.record({
        kind: fc.constant('flow' as const),
        durationS: fc.double({ min: 0, max: 7200, noNaN: true }),
        flowKgPerS: fc.double({ min: 0, max: 3, noNaN: true })
      }),
      fc.record({
        kind: fc.constant('lump' as const),
        durationS: fc.double({ min: 1, max: 1800, noNaN: true }),
        fuelKg: fc.double({ min: 0, max: 3000, noNaN: true })
      })
    )
    const any = fc.option(fc.constant(weighing), { nil: undefined })
    fc.assert(
      fc.property(fc.array(step, { maxLength: 12 }), any, (random, of) => {
        const forward = ladder(9000, random, of)
        const back = ladderDownTo(forward.fuelKg.at(-1) ?? NaN, random, of)
        expect(back.fuelKg.length).toBe(random.length + 1)
        back.fuelKg.forEach((kg, index) => {
          expect(kg).toBeCloseTo(forward.fuelKg[index] ?? NaN, 6)
        })
        back.burnsKgPerS.forEach((rate, index) => {
          expect(rate).toBeCloseTo(forward.burnsKgPerS[index] ?? NaN, 6)
        })
      })
    )
  })

  it('needs never less fuel before for more left after', () => {
    const left = fc.double({ min: 0, max: 5000, noNaN: true })
    fc.assert(
      fc.property(left, left, (oneKg, otherKg) => {
        const [less, more] = [Math.min(oneKg, otherKg), Math.max(oneKg, otherKg)]
        expect(ladderDownTo(more, steps, weighing).fuelKg[0]).toBeGreaterThanOrEqual(
          ladderDownTo(less, steps, weighing).fuelKg[0] ?? NaN
        )
      })
    )
  })

  it('is the plain ladder without a weighing, and burns a lump alike with and without', () => {
    const plain = ladder(8000, steps)
    expect(plain.fuelKg.map((kg) => Math.round(kg))).toEqual([8000, 7300, 4870, 3820, 2110, 1930])
    expect(plain.burnsKgPerS[1]).toBe(0.9)
    expect(ladder(8000, steps, weighing).burnsKgPerS[0]).toBe(plain.burnsKgPerS[0])
  })

  it('lies inside a phase no further below the even line than an eighth of weight by the share burned, squared', () => {
    const long: LadderStep = { kind: 'flow', durationS: 3600, flowKgPerS: 0.9 }
    const whole = ladder(8000, [long], weighing)
    let widestKg = 0
    for (let atS = 0; atS <= 3600; atS += 10) {
      const evenKg = 8000 - atS * (whole.burnsKgPerS[0] ?? NaN)
      const trueKg = ladder(8000, [{ ...long, durationS: atS }], weighing).fuelKg[1] ?? NaN
      expect(evenKg - trueKg).toBeGreaterThan(-1e-9)
      widestKg = Math.max(widestKg, evenKg - trueKg)
    }
    const share = (0.9 / 15_000) * 3600
    expect(widestKg).toBeLessThanOrEqual((19_000 * share * share) / 8)
    expect(widestKg).toBeGreaterThan(90)
  })

  it('has a rate for a phase without length, and none for a lump without', () => {
    expect(ladder(4000, [{ kind: 'flow', durationS: 0, flowKgPerS: 0.9 }], weighing)).toEqual({
      fuelKg: [4000, 4000],
      burnsKgPerS: [0.9]
    })
    expect(ladder(4000, [{ kind: 'lump', durationS: 0, fuelKg: 0 }]).burnsKgPerS).toEqual([0])
    expect(() => ladder(4000, [{ kind: 'lump', durationS: 0, fuelKg: 5 }])).toThrow('a lump of 5 kg')
    expect(() => ladder(4000, steps, { ...weighing, referenceKg: 0 })).toThrow(RangeError)
  })
})

describe('the weakest point of a route', () => {
  const recovery: Recovery = {
    trueAirspeedMPerS: 200,
    wind: { fromRad: 4.2, speedMPerS: 35 },
    flowKgPerS: 0.8,
    approachKg: 200,
    reserveKg: 500
  }
  const west = { id: 'west', position: { latitudeDeg: 54, longitudeDeg: 0 } }
  const east = { id: 'east', position: { latitudeDeg: 54.3, longitudeDeg: 9 } }
  const out = { latitudeDeg: 54.5, longitudeDeg: 1 }
  const far = { latitudeDeg: 54.5, longitudeDeg: 8.5 }
  const crossing: ProofPiece = { fromS: 0, toS: 2400, fuelFromKg: 2600, fuelToKg: 2300, from: out, to: far }

  it('lies between two bases where they change places, as sampling finds', () => {
    const bases = [west, east]
    const found = weakestPoint([crossing], bases, recovery)
    let sampledKg = Infinity
    for (let atS = 0; atS <= 2400; atS += 2) {
      const position = alongLeg(out, far, atS / 2400)
      const leastKg = Math.min(...bases.map((base) => recoveryFuelKg(position, base.position, recovery) ?? Infinity))
      sampledKg = Math.min(sampledKg, 2600 - (300 * atS) / 2400 - leastKg)
    }
    expect(found?.atS).toBeGreaterThan(300)
    expect(found?.atS).toBeLessThan(2100)
    expect(Math.abs((found?.marginKg ?? NaN) - sampledKg)).toBeLessThan(2)
    expect(found?.marginKg).toBeCloseTo((found?.fuelKg ?? NaN) - (found?.recoveryKg ?? NaN), 9)
  })

  it('lies at the end of a leg away from the only base', () => {
    const found = weakestPoint([crossing], [west], recovery)
    expect(found).toMatchObject({ atS: 2400, baseId: 'west', fuelKg: 2300 })
  })

  it('lies at the end of a wait, and across pieces at the least of all', () => {
    const wait: ProofPiece = { fromS: 2400, toS: 4200, fuelFromKg: 2300, fuelToKg: 900, from: far, to: far }
    const filled: ProofPiece = { fromS: 4200, toS: 4800, fuelFromKg: 3000, fuelToKg: 2600, from: far, to: far }
    const found = weakestPoint([crossing, wait, filled], [west, east], recovery)
    expect(found).toMatchObject({ atS: 4200, fuelKg: 900, baseId: 'east' })
    expect(found?.marginKg).toBeCloseTo(900 - (recoveryFuelKg(far, east.position, recovery) ?? NaN), 9)
  })

  it('counts each base by its own reserve, where that depends on the base', () => {
    const dear = { ...recovery, reserveKg: 1500 }
    const bases = [west, { ...east, recovery: dear }]
    const found = weakestPoint([crossing], bases, recovery)
    let sampledKg = Infinity
    for (let atS = 0; atS <= 2400; atS += 2) {
      const position = alongLeg(out, far, atS / 2400)
      const homeKg = recoveryFuelKg(position, west.position, recovery) ?? Infinity
      const awayKg = recoveryFuelKg(position, east.position, dear) ?? Infinity
      sampledKg = Math.min(sampledKg, 2600 - (300 * atS) / 2400 - Math.min(homeKg, awayKg))
    }
    expect(Math.abs((found?.marginKg ?? NaN) - sampledKg)).toBeLessThan(2)
    expect(found?.marginKg).toBeLessThan((weakestPoint([crossing], [west, east], recovery)?.marginKg ?? NaN) - 100)
    // So too at an end, where what is asked for is kept from one look to the next.
    const alone = weakestPoint([crossing], [{ ...west, recovery: dear }], recovery)
    expect(alone?.marginKg).toBeCloseTo(2300 - (recoveryFuelKg(far, west.position, dear) ?? NaN), 9)
    expect(weakestPoint([crossing], [west], recovery)?.marginKg).toBeCloseTo((alone?.marginKg ?? NaN) + 1000, 9)
  })

  it('is found where burn grows with weight too', () => {
    const heavy: Recovery = { ...recovery, weighing: { zeroFuelKg: 11_000, referenceKg: 10_000 } }
    const found = weakestPoint([crossing], [west, east], heavy)
    let sampledKg = Infinity
    for (let atS = 0; atS <= 2400; atS += 2) {
      const position = alongLeg(out, far, atS / 2400)
      const leastKg = Math.min(
        ...[west, east].map((base) => recoveryFuelKg(position, base.position, heavy) ?? Infinity)
      )
      sampledKg = Math.min(sampledKg, 2600 - (300 * atS) / 2400 - leastKg)
    }
    expect(Math.abs((found?.marginKg ?? NaN) - sampledKg)).toBeLessThan(2)
  })

  it('is the earliest of those that are equally weak, from whenever on it is looked for', () => {
    // Fuel falls as what the way home asks for: on the way back to one base the margin is one figure all along.
    const margin = (atS: number, { from, to, toS }: { from: Position; to: Position; toS: number }): number =>
      Math.min(
        ...[west, east].map(
          (base) => recoveryFuelKg(alongLeg(from, to, atS / toS), base.position, recovery) ?? Infinity
        )
      )
    const still = { latitudeDeg: 54.2, longitudeDeg: 4.4 }
    const lull: ProofPiece = { fromS: 2400, toS: 4000, fuelFromKg: 0, fuelToKg: 0, from: far, to: still }
    const homeKg = [0, 400, 800, 1200, 1600].map((atS) => margin(atS, { from: far, to: still, toS: 1600 }))
    // Five pieces of one flat margin, each as weak as the others but for rounding.
    const flat = homeKg.slice(1).map((toKg, index): ProofPiece => {
      const [a, b] = [index / 4, (index + 1) / 4].map((share) => alongLeg(far, still, share))
      const [fromS, endS] = [2400 + index * 400, 2800 + index * 400]
      return {
        ...lull,
        fromS,
        toS: endS,
        fuelFromKg: (homeKg[index] ?? 0) + 50,
        fuelToKg: toKg + 50,
        from: a ?? far,
        to: b ?? far
      }
    })
    const whole = weakestPoint([crossing, ...flat], [west, east], recovery)
    if (!whole) throw new Error('no weakest point')
    fc.assert(
      fc.property(fc.double({ min: 0, max: whole.atS, noNaN: true }), (nowS) => {
        const rest = [crossing, ...flat].flatMap((piece): ProofPiece[] => {
          if (piece.toS < nowS) return []
          if (piece.fromS >= nowS) return [piece]
          const share = (nowS - piece.fromS) / (piece.toS - piece.fromS)
          return [
            {
              ...piece,
              fromS: nowS,
              fuelFromKg: piece.fuelFromKg + share * (piece.fuelToKg - piece.fuelFromKg),
              from: alongLeg(piece.from, piece.to, share)
            }
          ]
        })
        const found = weakestPoint(rest, [west, east], recovery)
        expect(found?.atS).toBeCloseTo(whole.atS, 2)
        expect(found?.marginKg).toBeCloseTo(whole.marginKg, 5)
      }),
      { numRuns: 60, seed: 20310506 }
    )
    const early = { ...crossing, from: west.position, to: west.position, fuelFromKg: 900, fuelToKg: 900 }
    const late = { ...early, fromS: 2400, toS: 3000 }
    expect(weakestPoint([late, early], [west, east], recovery)?.atS).toBe(0)
  })

  it('is unknown where no base is open or none can be reached', () => {
    expect(weakestPoint([crossing], [], recovery)).toBeUndefined()
    expect(weakestPoint([], [west], recovery)).toBeUndefined()
    const gale = { ...recovery, wind: { fromRad: 0, speedMPerS: 220 } }
    expect(
      weakestPoint([crossing], [{ ...west, position: { latitudeDeg: 60, longitudeDeg: 2 } }], gale)
    ).toBeUndefined()
  })
})
