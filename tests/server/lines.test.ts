import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { Lines } from '../../server/live/lines.ts'

function linesOf(texts: readonly string[]): Lines {
  const lines = new Lines()
  for (const text of texts) lines.push(text)
  return lines
}

describe('the lines of a log', () => {
  it('are given back as they came, whatever is asked for: short, long, of many bytes a letter', () => {
    // Some longer than a piece, so that spans begin, end and lie across pieces.
    const text = fc.oneof(
      fc.string({ unit: 'grapheme', maxLength: 40 }).map((said) => JSON.stringify({ said })),
      fc.integer({ min: 10_000, max: 70_000 }).map((length) => JSON.stringify({ said: 'ü'.repeat(length) }))
    )
    fc.assert(
      fc.property(fc.array(text, { maxLength: 12 }), fc.nat(14), fc.nat(14), (texts, start, count) => {
        const lines = linesOf(texts)
        const [from, to] = [start + 1, start + count]
        expect(lines.count).toBe(texts.length)
        expect(lines.text({ from, to })).toBe(texts.slice(from - 1, to).join(','))
        expect(lines.within({ from, to }, '«', '»').toString()).toBe(`«${texts.slice(from - 1, to).join(',')}»`)
        expect(lines.lengthOf(from)).toBe(Buffer.byteLength(texts[from - 1] ?? ''))
      }),
      { numRuns: 60 }
    )
  })

  it('fill one piece after the other, with nothing lost where one ends', () => {
    const texts = Array.from({ length: 3_000 }, (_, index) => JSON.stringify({ seq: index + 1, said: '·'.repeat(20) }))
    const lines = linesOf(texts)
    for (const [from, to] of [
      [1, 3_000],
      [1_499, 1_501],
      [2_999, 3_000],
      [3_000, 9_999]
    ] as const)
      expect(lines.text({ from, to })).toBe(texts.slice(from - 1, to).join(','))
    expect([lines.text({ from: 3_001, to: 3_000 }), lines.text({ from: 1, to: 0 })]).toEqual(['', ''])
  })
})
