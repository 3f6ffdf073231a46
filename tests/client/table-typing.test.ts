import { describe, expect, it } from 'vitest'
import { completed, offered, tokenAt } from '../../client/plan/choice.ts'
import { shiftOf } from '../../client/plan/shift.ts'

const BASES = ['Adze Field', 'Elder Strip', 'Elm Field', 'adze']

describe('what a cell offers while one types', () => {
  it('is what begins like it, then what has a later word that does', () => {
    expect(offered(BASES, 'el')).toEqual(['Elder Strip', 'Elm Field'])
    expect(offered(BASES, 'field')).toEqual(['Adze Field', 'Elm Field'])
    expect(offered(BASES, '')).toEqual(BASES)
  })

  it('is taken by Enter where it is the only one meant', () => {
    expect(completed(BASES, 'eld')).toBe('Elder Strip')
    expect(completed(BASES, 'el')).toBeUndefined()
    expect(completed(BASES, 'ADZE')).toBe('adze')
    expect(completed(BASES, '')).toBeUndefined()
    expect(completed(BASES, 'nowhere')).toBeUndefined()
  })

  it('is of several the one being typed', () => {
    expect(tokenAt('Adze Field; el', true)).toBe('el')
    expect(tokenAt('Adze Field; ', true)).toBe('')
    expect(tokenAt('a; b', false)).toBe('a; b')
  })
})

describe('a shift of all times', () => {
  const OPENS = Date.UTC(2031, 4, 17, 13, 0)
  const MIN = 60_000
  it.each([
    ['+24 h', 1440],
    ['-30 min', -30],
    ['\u221230min', -30],
    ['+1 d 02:00', 1560],
    ['+1d 2h 15m', 1575],
    ['+1,5 h', 90],
    ['2031-05-18 1300Z', 1440],
    ['2031-05-18T13:30:00Z', 1470],
    ['2031-05-17 0900', -240]
  ])('reads %s', (text, minutes) => {
    expect(shiftOf(text, OPENS)).toBe(minutes * MIN)
  })

  it.each(['', '24 h', '+', '+24', '+24 weeks', 'tomorrow', '2031-13-18 1300Z', '+1 dh', '+:30'])(
    'refuses %j',
    (text) => {
      expect(shiftOf(text, OPENS)).toBeUndefined()
    }
  )
})
