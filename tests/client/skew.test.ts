import { describe, expect, it } from 'vitest'
import { skewMeter } from '../../client/skew.ts'
import { clockSentence } from '../../client/words/contact.ts'

/* Constructed: a beat every two seconds, a way that takes 5 to 900 ms, a device whose clock is set. */

/** A device whose clock can be set; `upMs` only counts. */
function device() {
  const clocks = { atMs: 0, offMs: 0 }
  const meter = skewMeter({ nowMs: () => clocks.atMs + clocks.offMs, upMs: () => clocks.atMs })
  /** A frame sent at a time of the service, which takes its way. */
  const heard = (sentAtMs: number, wayMs: number) => {
    clocks.atMs = sentAtMs + wayMs
    return meter.heard(sentAtMs)
  }
  return { clocks, meter, heard }
}

describe('the clock of a device', () => {
  it('is told by the frame that travelled fastest', () => {
    const { clocks, heard } = device()
    clocks.offMs = -60_000
    const told = [400, 900, 5, 300].map((wayMs, beat) => heard(1_000_000 + 2_000 * beat, wayMs))
    expect(told).toEqual([59_600, 59_600, 59_995, 59_995])
  })

  it.each([-900_000, 600_000])('that was off by %i ms and is set right is told anew by the next frame', (offMs) => {
    const { clocks, meter, heard } = device()
    clocks.offMs = offMs
    for (let beat = 0; beat < 20; beat++) heard(2_000 * beat, 20)
    expect(meter.knownMs()).toBe(-offMs - 20)
    clocks.offMs = 0
    // Until then nobody can say what it is behind.
    expect(meter.knownMs()).toBeUndefined()
    expect(heard(40_000, 20)).toBe(-20)
    expect(meter.knownMs()).toBe(-20)
  })

  it('is not known before a frame, and still is when two clocks of it drift apart a little', () => {
    const { clocks, meter, heard } = device()
    expect(meter.knownMs()).toBeUndefined()
    heard(2_000, 20)
    clocks.atMs += 4 * 3_600_000
    clocks.offMs += 400
    expect(meter.knownMs()).toBe(-20)
  })

  it('is spoken of when it is far off, and only then', () => {
    expect(clockSentence(29_000)).toBe('')
    expect(clockSentence(-29_000)).toBe('')
    expect(clockSentence(45_000)).toBe('this device’s clock is 45 s slow')
    expect(clockSentence(-241_000)).toBe('this device’s clock is 4 min fast')
    expect(clockSentence(7_300_000)).toBe('this device’s clock is 2 h 2 min slow')
  })
})
