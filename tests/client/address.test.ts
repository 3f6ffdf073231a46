import { describe, expect, it } from 'vitest'
import { addressOf, whereOf } from '../../client/address.ts'
import type { Membership } from '../../shared/contracts/answers.ts'

const crew: Membership = { linkId: 'link-1', role: 'crew', eventId: 'basin', shipId: 'alder-21' }
const owner: Membership = { linkId: 'link-0', role: 'owner', eventId: null, shipId: null }

describe('addresses', () => {
  it('lead back to the page they were made for', () => {
    expect(whereOf(addressOf(crew, 'basin', 'slot', 'alder-22'))).toEqual({
      page: 'member',
      linkId: 'link-1',
      place: 'slot',
      eventId: undefined,
      shipId: 'alder-22'
    })
    expect(whereOf(addressOf(owner, 'basin', 'plan'))).toEqual({
      page: 'member',
      linkId: 'link-0',
      place: 'plan',
      eventId: 'basin',
      shipId: undefined
    })
  })

  it('of the cards may name one flight or tanker', () => {
    expect(whereOf(addressOf(crew, 'basin', 'cards'))).toMatchObject({ place: 'cards', shipId: undefined })
    expect(whereOf(addressOf(owner, 'basin', 'cards', 'alder'))).toMatchObject({
      place: 'cards',
      eventId: 'basin',
      shipId: 'alder'
    })
  })

  it('of the one on-load and of the type sheets need no link', () => {
    expect(whereOf('/onload')).toEqual({ page: 'onload' })
    expect(whereOf('/types')).toEqual({ page: 'types' })
  })

  it('of a new event say whose link makes it, and what it is a copy of', () => {
    expect(whereOf('/as/link-0/new')).toEqual({ page: 'new', linkId: 'link-0', from: undefined })
    expect(whereOf('/as/link-0/new/basin')).toEqual({ page: 'new', linkId: 'link-0', from: 'basin' })
  })

  it('that name nothing lead home', () => {
    for (const path of ['/', '/as/link-1', '/as/link-1/attic', '/as//board', '/as/link-1/event/board', '/elsewhere']) {
      expect(whereOf(path), path).toEqual({ page: 'home' })
    }
  })
})
