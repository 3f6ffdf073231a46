import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { serviceAt, type ServiceCurve } from '../../../shared/order/curves.ts'

const curve: ServiceCurve = {
  contactAtMs: [1000, 3000, 3500],
  disconnectAtMs: [2000, 3500, 4500],
  onLoadKg: [10, 30, 30],
  fuelAtContactKg: [100, 80, 75],
  fuelAtDisconnectKg: [110, 110, 105],
  latestContactAtMs: 3200
}

describe('a service curve', () => {
  test('gives its breakpoints exactly', () => {
    expect(serviceAt(curve, 1000)).toEqual({
      disconnectAtMs: 2000,
      onLoadKg: 10,
      fuelAtContactKg: 100,
      fuelAtDisconnectKg: 110
    })
    expect(serviceAt(curve, 3000).onLoadKg).toBe(30)
    expect(serviceAt(curve, 3500).disconnectAtMs).toBe(4500)
  })

  test('is a straight line between two breakpoints', () => {
    expect(serviceAt(curve, 2000)).toEqual({
      disconnectAtMs: 2750,
      onLoadKg: 20,
      fuelAtContactKg: 90,
      fuelAtDisconnectKg: 110
    })
    expect(serviceAt(curve, 3250).disconnectAtMs).toBe(4000)
  })

  test('refuses an instant outside its ends, naming it and them', () => {
    expect(() => serviceAt(curve, 999)).toThrow(
      new RangeError('contactAtMs 999 is outside the service curve, 1000 to 3500')
    )
    expect(() => serviceAt(curve, 3500.5)).toThrow(RangeError)
    expect(() => serviceAt(curve, NaN)).toThrow(RangeError)
    expect(() => serviceAt({ ...curve, contactAtMs: [] }, 1000)).toThrow(RangeError)
  })

  test('of one breakpoint answers at that instant alone', () => {
    const one = { ...curve, contactAtMs: [1000], disconnectAtMs: [2000] }
    expect(serviceAt(one, 1000).disconnectAtMs).toBe(2000)
    expect(() => serviceAt(one, 1001)).toThrow(RangeError)
  })

  test('holds the later value where two breakpoints share an instant', () => {
    const step = { ...curve, contactAtMs: [1000, 1000, 2000], disconnectAtMs: [1500, 1800, 2000] }
    expect(serviceAt(step, 1000).disconnectAtMs).toBe(1800)
  })

  test('agrees with a search from the front on random curves', () => {
    const ascending = fc
      .array(
        fc.record({
          dx: fc.double({ min: 0.5, max: 1e6, noNaN: true }),
          y: fc.double({ min: -1e5, max: 1e5, noNaN: true })
        }),
        {
          minLength: 2,
          maxLength: 12
        }
      )
      .map((steps) => {
        let x = 1.7e12
        return { xs: steps.map((step) => (x += step.dx)), ys: steps.map((step) => step.y) }
      })
    fc.assert(
      fc.property(ascending, fc.double({ min: 0, max: 1, noNaN: true }), ({ xs, ys }, share) => {
        const first = xs[0] ?? NaN
        const last = xs.at(-1) ?? NaN
        const x = Math.min(last, first + share * (last - first))
        const i = Math.max(
          1,
          xs.findIndex((at) => at >= x)
        )
        const [x0, x1, y0, y1] = [xs[i - 1] ?? NaN, xs[i] ?? NaN, ys[i - 1] ?? NaN, ys[i] ?? NaN]
        const expected = (y0 * (x1 - x)) / (x1 - x0) + (y1 * (x - x0)) / (x1 - x0)
        const made = {
          ...curve,
          contactAtMs: xs,
          onLoadKg: ys,
          disconnectAtMs: ys,
          fuelAtContactKg: ys,
          fuelAtDisconnectKg: ys
        }
        expect(serviceAt(made, x).onLoadKg).toBeCloseTo(expected, 5)
      })
    )
  })
})
