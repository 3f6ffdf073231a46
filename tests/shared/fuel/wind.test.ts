import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { groundSpeedMPerS } from '../../../shared/fuel/wind.ts'

describe('ground speed', () => {
  it('closes the triangle of air, wind and ground', () => {
    const angle = fc.double({ min: 0, max: 2 * Math.PI, noNaN: true })
    fc.assert(
      fc.property(angle, angle, fc.double({ min: 0, max: 90, noNaN: true }), (trackRad, windFromRad, windMPerS) => {
        const ground = groundSpeedMPerS({ trackRad, trueAirspeedMPerS: 200, windFromRad, windMPerS })
        if (ground === undefined) throw new Error('a wind below half the airspeed can always be flown')
        const north = ground * Math.cos(trackRad) + windMPerS * Math.cos(windFromRad)
        const east = ground * Math.sin(trackRad) + windMPerS * Math.sin(windFromRad)
        expect(Math.hypot(north, east)).toBeCloseTo(200, 9)
      })
    )
  })

  it('is undefined when the course cannot be held or nothing is left', () => {
    const across = { trackRad: 0, windFromRad: Math.PI / 2 }
    expect(groundSpeedMPerS({ ...across, trueAirspeedMPerS: 50, windMPerS: 51 })).toBeUndefined()
    expect(groundSpeedMPerS({ trackRad: 0, windFromRad: 0, trueAirspeedMPerS: 50, windMPerS: 50 })).toBeUndefined()
    expect(groundSpeedMPerS({ trackRad: 0, windFromRad: 0, trueAirspeedMPerS: 50, windMPerS: 49 })).toBeCloseTo(1, 12)
  })
})
