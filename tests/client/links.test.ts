import { mount } from '@vue/test-utils'
import { describe, expect, it } from 'vitest'
import type { LinkList as Links } from '../../client/api.ts'
import type { Labels } from '../../client/labels.ts'
import LinkList from '../../client/parts/LinkList.vue'
import { linkSentences } from '../../client/words/links.ts'

const AT_MS = Date.UTC(2031, 4, 17, 14, 30)
const labels = { ship: (shipId: string) => `Ship ${shipId}` } as unknown as Labels
const link = (over: Partial<Links[number]> = {}): Links[number] => ({
  linkId: 'l-1',
  role: 'crew',
  shipId: 'a-1',
  createdAtMs: AT_MS,
  expiresAtMs: null,
  revokedAtMs: null,
  lastUsedAtMs: null,
  factCount: 0,
  lastFacts: [],
  ...over
})
const shown = (links: Links) =>
  mount(LinkList, { props: { links, labels, ships: [{ shipId: 'a-1', callSign: 'Ash 1' }], made: '' } })

describe('the links of an event', () => {
  it('are told with what was done under each, in words and with times', () => {
    expect(linkSentences(link(), labels.ship)).toEqual(['never used', 'recorded nothing'])
    const used = link({
      expiresAtMs: AT_MS + 3_600_000,
      lastUsedAtMs: AT_MS,
      factCount: 7,
      lastFacts: [
        { seq: 9, kind: 'fuelCalled', atMs: AT_MS, shipId: 'a-1' },
        { seq: 8, kind: 'orderSet', atMs: AT_MS - 60_000 }
      ]
    })
    expect(linkSentences(used, labels.ship)).toEqual([
      'holds until 2031-05-17 15:30Z',
      'last used 2031-05-17 14:30Z',
      'recorded 7, last Ship a-1 fuel call 14:30Z, order 14:29Z'
    ])
  })

  it('are made for a role and a time, and for a ship where the role has one', async () => {
    const part = shown([])
    const [role, holds] = part.findAll('select')
    await holds?.setValue('12')
    await part.find('form').trigger('submit')
    await role?.setValue('crew')
    await part.findAll('select')[1]?.setValue('a-1')
    await part.find('form').trigger('submit')
    expect(part.emitted('make')).toEqual([
      [{ role: 'coordinator', shipId: undefined, hours: 12 }],
      [{ role: 'crew', shipId: 'a-1', hours: 12 }]
    ])
  })

  it('are renewed and ended by buttons that say which; one that is over says so, one that was ended has none', async () => {
    const part = shown([link(), link({ linkId: 'l-2', expiresAtMs: 1 }), link({ linkId: 'l-3', revokedAtMs: 5 })])
    const rows = part.findAll('li')
    expect(rows.map((row) => row.findAll('button').length)).toEqual([2, 2, 0])
    expect(rows.map((row) => /expired|ended/.exec(row.text())?.[0])).toEqual([undefined, 'expired', 'ended'])
    const [renew, end] = rows[0]?.findAll('button') ?? []
    expect(renew?.text()).toContain('crew l-1')
    await renew?.trigger('click')
    await end?.trigger('click')
    expect(part.emitted('renew')).toEqual([['l-1', { hours: 0 }]])
    expect(part.emitted('end')).toEqual([['l-1']])
  })
})
