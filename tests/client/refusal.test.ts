import { describe, expect, it } from 'vitest'
import { Refusal } from '../../client/api.ts'
import { PROBLEM_SENTENCES } from '../../client/words/problems.ts'
import { codeSentence, refusalSentence, refusalWords } from '../../client/words/refusal.ts'
import type { ProblemCode } from '../../shared/contracts/problem.ts'

describe('a refusal', () => {
  it('is told in the words of its code', async () => {
    const sentence = await refusalSentence(new Refusal({ code: 'station-occupied', title: 'Taken' }))
    expect(sentence).toBe(PROBLEM_SENTENCES['station-occupied'])
  })

  it('without an answer says that nothing is known to be recorded', async () => {
    expect(await refusalSentence(new Refusal(undefined))).toContain('did not answer')
  })

  it('names the field, what stood in it, and what it may be', async () => {
    const fault = {
      path: '/fuel/value',
      value: '2000 lb',
      limit: 'at least 2340 lb',
      message: 'below what is computed'
    }
    expect(await refusalWords(new Refusal({ code: 'limit-below-computed', errors: [fault] }))).toBe(
      `${PROBLEM_SENTENCES['limit-below-computed']} fuel value: 2000 lb, may be at least 2340 lb.`
    )
    expect(await refusalWords(new Refusal({ code: 'station-occupied' }))).toBe(PROBLEM_SENTENCES['station-occupied'])
  })

  it('with a code of a newer service is told by its title', async () => {
    expect(await codeSentence('constructor' as ProblemCode, 'Something new')).toBe('Something new')
  })
})
