import { describe, expect, it } from 'vitest'
import { addressOf, whereOf } from '../../client/address.ts'
import { useAddress } from '../../client/state/useAddress.ts'
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

describe('leaving a page', () => {
  const back = (to: string) => {
    history.replaceState(null, '', to)
    window.dispatchEvent(new PopStateEvent('popstate'))
  }

  it('by the way back is asked first too, and stays where nobody may go', () => {
    const { go, guard, where } = useAddress()
    go('/as/l-1/events')
    go('/as/l-1/new')
    const asked: string[] = []
    let may = false
    const unguard = guard(() => {
      asked.push(location.pathname)
      return may
    })
    const here = where.value
    back('/as/l-1/events')
    expect(asked).toHaveLength(1)
    expect(where.value).toEqual(here)
    expect(location.pathname).toBe('/as/l-1/new')
    may = true
    back('/as/l-1/events')
    expect(location.pathname).toBe('/as/l-1/events')
    expect(where.value).not.toEqual(here)
    // A mark within the page leads nowhere else.
    back('/as/l-1/events#slots')
    expect(asked).toHaveLength(2)
    unguard()
    go('/')
  })
})
