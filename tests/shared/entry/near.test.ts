import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { distance } from '../../../shared/entry/near.ts'
import { understand } from '../../../shared/entry/understand.ts'
import { vocabulary } from './event.ts'

/*
 * Distances of words: the usual textbook pairs, from memory. "ca" to "abc" is 3 for the alignment distance, 2 for the
 * unrestricted one of Damerau; "kitten" to "sitting" is 3 after Levenshtein.
 */
const PAIRS: readonly (readonly [string, string, number])[] = [
  ['ca', 'abc', 3],
  ['kitten', 'sitting', 3],
  ['saturday', 'sunday', 3],
  ['flaw', 'lawn', 2],
  ['jioned', 'joined', 1],
  ['alder', 'alder', 0],
  ['', 'abc', 3]
]

const word = fc.string({ unit: fc.constantFrom('a', 'b', 'c', 'd'), maxLength: 8 })

describe('the distance of two words', () => {
  it.each(PAIRS)('%s to %s is %i', (one, other, wanted) => {
    expect(distance(one, other)).toBe(wanted)
  })

  it('is the same both ways, none only to itself, and no more than the longer word', () => {
    fc.assert(
      fc.property(word, word, (one, other) => {
        const by = distance(one, other)
        expect(distance(other, one)).toBe(by)
        expect(by === 0).toBe(one === other)
        expect(by).toBeLessThanOrEqual(Math.max(one.length, other.length))
      })
    )
  })
})

describe('a near miss', () => {
  it('is never recorded by itself, whatever one slip of the hand makes of a line', () => {
    const line = 'alder 21 joined'
    fc.assert(
      fc.property(fc.nat(line.length - 2), (at) => {
        const slipped = line.slice(0, at) + (line[at + 1] ?? '') + (line[at] ?? '') + line.slice(at + 2)
        const means = understand(slipped, vocabulary)
        if (means.kind !== 'understood' || means.action.kind !== 'record') return
        // What is still understood says the same, or was a slip that makes another line: never another word of the ship.
        expect(means.action.request.kind).toBe('joinShip')
      })
    )
  })
})
