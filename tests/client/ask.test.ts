import { expect, it } from 'vitest'
import { askAfter } from '../../client/ask.ts'

const ask = (shipId: string, why: 'check' | 'may be worst' = 'may be worst') => ({ shipId, why, gainS: 10 })

it('asks the ship named before for as long as it is among those worth it', () => {
  expect(askAfter('alder-2', [ask('alder-1'), ask('alder-2')])?.shipId).toBe('alder-2')
  expect(askAfter('alder-2', [ask('alder-1'), ask('alder-3')])?.shipId).toBe('alder-1')
  expect(askAfter(undefined, [])).toBeUndefined()
})

it('lets a figure beyond reason go before it', () => {
  expect(askAfter('alder-2', [ask('alder-1', 'check'), ask('alder-2')])?.shipId).toBe('alder-1')
})
