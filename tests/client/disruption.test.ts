import { describe, expect, it } from 'vitest'
import { DISRUPTION_KEYS, DISRUPTIONS, disrupts, lineOf, topOffRequest, whomOf } from '../../client/disruption.ts'
import { DISRUPTION_LINES } from '../../client/words/disruption.ts'
import type { TankerOrder } from '../../shared/contracts/plan.ts'
import type { Unsent } from '../../shared/entry/understanding.ts'
import { labels, shipView, slotView, viewOf } from './fixture.ts'

/* Constructed: what keys put into the line, and the order a top-off makes. */

const slot = (slotId: string, shipId: string, over: object = {}) => slotView({ slotId, shipId, ...over })
const inOrder = (...slots: [id: string, shipId: string, visitId?: string][]): TankerOrder[] =>
  [
    {
      tankerId: 'kelp',
      sequences: [
        {
          stationId: 'boom',
          slots: slots.map(([id, shipId, visitId = 'visit-1']) => ({ id, shipId, visitId }))
        }
      ]
    }
  ] as unknown as TankerOrder[]
const ship = shipView({ shipId: 'alder-21', callSign: 'Alder 21', slotId: 's1' })
const first = slot('s1', 'alder-21', { tankerId: 'kelp', stationId: 'boom', visitId: 'visit-1', abortBaseId: 'north' })

describe('the key of a disruption', () => {
  it('is a letter of its own, one that no browser takes and no other key of the board', () => {
    const letters = Object.values(DISRUPTIONS).map(({ letter }) => letter)
    expect(new Set(letters).size).toBe(letters.length)
    // Common practice, no source: menus and address lines of desktop browsers; P pins.
    for (const letter of 'DEFBSTVHP') expect(letters).not.toContain(letter)
    expect(Object.keys(DISRUPTION_KEYS)).toHaveLength(letters.length)
    expect(DISRUPTION_KEYS['KeyL']).toBe('late')
  })

  it('is in the help, each once', () => {
    expect(DISRUPTION_LINES.map(({ name }) => name)).toEqual(Object.keys(DISRUPTIONS))
    for (const { name, say } of DISRUPTION_LINES) expect(say).toContain(DISRUPTIONS[name].word)
  })

  it('puts its word behind a name, with room for what follows', () => {
    expect(lineOf('late', 'Alder 21')).toBe('alder 21 late ')
    expect(lineOf('no-show', 'Alder 21')).toBe('alder 21 no-show')
    expect(lineOf('stray', '')).toBe('stray ')
  })

  it('is of the chosen ship, its tanker, its station or its abort base; of nobody while none is chosen', () => {
    const view = viewOf({ ships: [{ ...ship, abortBaseId: null }], slots: [first] })
    expect(whomOf('late', 'alder-21', view, labels)).toBe('Alder 21')
    expect(whomOf('gives', 'alder-21', view, labels)).toBe(labels.tanker('kelp'))
    expect(whomOf('failed', 'alder-21', view, labels)).toBe(labels.station('kelp', 'boom'))
    expect(whomOf('open', 'alder-21', view, labels)).toBe(labels.base('north'))
    expect(whomOf('late', undefined, view, labels)).toBeUndefined()
    expect(whomOf('failed', 'alder-21', viewOf({ ships: [ship], slots: [] }), labels)).toBeUndefined()
    expect(whomOf('stray', undefined, view, labels)).toBe('')
  })

  it('calls for another order, but for a disconnect only where it is a partial one', () => {
    expect(disrupts({ kind: 'setBase', baseId: 'north', open: false } as unknown as Unsent)).toBe(true)
    expect(disrupts({ kind: 'disconnect', shipId: 'alder-21', how: 'partial' } as unknown as Unsent)).toBe(true)
    expect(disrupts({ kind: 'disconnect', shipId: 'alder-21', how: 'whole' } as unknown as Unsent)).toBe(false)
    expect(disrupts({ kind: 'joinShip', shipId: 'alder-21' } as unknown as Unsent)).toBe(false)
  })
})

describe('a top-off', () => {
  const made = (orders: TankerOrder[], slots = [first], seq = 7) => {
    const request = topOffRequest('alder-21', viewOf({ ships: [ship], slots }), orders, seq)
    return request?.kind === 'setOrder' ? request : undefined
  }
  const ids = (orders: readonly TankerOrder[] | undefined) => orders?.[0]?.sequences[0]?.slots.map(({ id }) => id)

  it('is a slot of its own behind the flight, on the state that is seen', () => {
    const request = made(inOrder(['s1', 'alder-21'], ['s2', 'alder-22'], ['s3', 'sleet-1', 'visit-9']))
    expect(ids(request?.orders)).toEqual(['s1', 's2', 'again-7-alder-21', 's3'])
    expect(request?.basedOnSeq).toBe(7)
    expect(request?.orders[0]?.sequences[0]?.slots[2]).toMatchObject({ shipId: 'alder-21', visitId: 'visit-1' })
  })

  it('stands behind whoever is pinned or in contact', () => {
    const orders = inOrder(['s1', 'alder-21'], ['s3', 'sleet-1', 'visit-9'], ['s4', 'sleet-2', 'visit-9'])
    expect(ids(made(orders, [first, slot('s3', 'sleet-1', { pinned: true })])?.orders)).toEqual([
      's1',
      's3',
      'again-7-alder-21',
      's4'
    ])
  })

  it('is none of a ship without a slot', () => {
    expect(made(inOrder(['s1', 'alder-21']), [])).toBeUndefined()
  })
})
