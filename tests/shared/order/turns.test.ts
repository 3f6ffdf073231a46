import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { longestRising } from '../../../shared/order/judgement.ts'
import { longestInTurn } from '../../../shared/order/turns.ts'

const rises = (turns: readonly number[]): boolean => turns.every((turn, i) => i === 0 || (turns[i - 1] ?? NaN) < turn)

describe('the most things in rising turn', () => {
  it('are as many as in the best of all choices, and as many as the judgement counts', () => {
    fc.assert(
      fc.property(fc.uniqueArray(fc.nat(30), { maxLength: 9 }), (turns) => {
        const kept = longestInTurn(turns, (turn) => turn)
        const choices = Array.from({ length: 2 ** turns.length }, (_, mask) => turns.filter((_, i) => (mask >> i) & 1))
        expect(rises(kept)).toBe(true)
        expect(kept).toHaveLength(Math.max(...choices.filter(rises).map((choice) => choice.length)))
        const scratch = new Int32Array(turns.length + 1)
        expect(longestRising(Int32Array.from(turns), turns.length, scratch)).toBe(kept.length)
      })
    )
  })
})
