import { describe, expect, it } from 'vitest'
import { skewMeter } from '../../client/skew.ts'
import { clockSentence } from '../../client/words/contact.ts'

/* Constructed: a beat every two seconds, a way that takes 5 to 900 ms, a device whose clock is set. */

describe('the clock of a device', () => {
  it('is told by the frame that travelled fastest', () => {
    const skew = skewMeter()
    const ways = [400, 900, 5, 300]
    const told = ways.map((wayMs, beat) => skew(1_000_000 + 2_000 * beat, 1_000_000 + 2_000 * beat + wayMs - 60_000))
    expect(told).toEqual([59_600, 59_600, 59_995, 59_995])
  })

  it('that is set right while the page is open is believed within half a minute', () => {
    const skew = skewMeter()
    let told = 0
    for (let beat = 0; beat < 10; beat++) told = skew(2_000 * beat, 2_000 * beat - 240_000 + 20)
    expect(told).toBe(239_980)
    for (let beat = 10; beat < 25; beat++) told = skew(2_000 * beat, 2_000 * beat + 20)
    expect(told).toBe(-20)
  })

  it('is spoken of when it is far off, and only then', () => {
    expect(clockSentence(29_000)).toBe('')
    expect(clockSentence(-29_000)).toBe('')
    expect(clockSentence(45_000)).toBe('this device’s clock is 45 s slow')
    expect(clockSentence(-241_000)).toBe('this device’s clock is 4 min fast')
    expect(clockSentence(7_300_000)).toBe('this device’s clock is 2 h 2 min slow')
  })
})
