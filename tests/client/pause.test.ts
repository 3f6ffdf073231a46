import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { askAgain } from '../../client/pause.ts'

/* Constructed: proposals that lapse at one moment, and as soon as they come. */

describe('asking again', () => {
  beforeEach(() => vi.useFakeTimers())
  afterEach(() => vi.useRealTimers())
  const begin = () => {
    const asked: string[] = []
    const again = askAgain<string>((kind) => asked.push(kind), 1000)
    return { asked, again }
  }

  it('is done of every kind that lapses at one moment', () => {
    const { asked, again } = begin()
    again.ask('repair')
    again.ask('anew')
    expect(asked).toEqual(['repair', 'anew'])
  })

  it('within its pause is done once when that ends, and not before', () => {
    const { asked, again } = begin()
    again.ask('repair')
    again.ask('repair')
    again.ask('repair')
    vi.advanceTimersByTime(999)
    expect(asked).toEqual(['repair'])
    vi.advanceTimersByTime(1)
    expect(asked).toEqual(['repair', 'repair'])
    // The pause after that holds as well, and nothing is asked that nobody asked for.
    again.ask('repair')
    expect(asked).toHaveLength(2)
    vi.advanceTimersByTime(5000)
    expect(asked).toHaveLength(3)
    again.ask('repair')
    expect(asked).toHaveLength(4)
  })

  it('is no longer done once it is stopped', () => {
    const { asked, again } = begin()
    again.ask('anew')
    again.ask('anew')
    again.stop()
    vi.advanceTimersByTime(5000)
    expect(asked).toEqual(['anew'])
  })
})
