import { beforeEach, describe, expect, it } from 'vitest'
import { forget } from '../../client/sign-out.ts'
import { browserShelf, type KeptCall } from '../../client/outbox-shelf.ts'
import { browserShelf as draftShelf, countDrafts } from '../../client/plan/shelf.ts'

/* Constructed: what two links and no link have kept in one browser. */
describe('a link that leaves a browser', () => {
  beforeEach(() => {
    localStorage.clear()
    sessionStorage.clear()
  })

  it('takes everything kept under it along, of every event, and nothing of another link or of the browser itself', async () => {
    for (const as of ['l-1', 'l-11']) {
      localStorage.setItem(`ullage link ${as}`, '{}')
      localStorage.setItem(`ullage slot ${as} alder-1`, '{}')
      sessionStorage.setItem(`ullage draft of this tab ${as} e-1`, 'd')
      for (const eventId of ['e-1', 'e-2'])
        browserShelf(as, eventId).put({
          ...{ requestId: `r-${as}-${eventId}`, sentence: 'Alder 1 joined', tried: false },
          request: { kind: 'joinShip', shipId: 'a1', atMs: 1 } as unknown as KeptCall['request']
        })
      const draft = { v: 1 as const, revision: 0, draft: { tables: {} } as never, keptAtMs: 1 }
      draftShelf(as, 'e-1', 'd').putAtOnce(draft)
    }
    localStorage.setItem('ullage place', '/as/l-1/slot')
    localStorage.setItem('ullage library', '{}')
    expect(await countDrafts('l-1')).toBe(1)
    await forget('l-1')
    const left = [...Object.keys(localStorage), ...Object.keys(sessionStorage)]
    expect(left.filter((key) => key.split(' ').includes('l-1'))).toEqual([])
    expect(left.filter((key) => key.split(' ').includes('l-11'))).toHaveLength(6)
    expect(left).toContain('ullage library')
    expect(left).not.toContain('ullage place')
    expect(await countDrafts('l-1')).toBe(0)
    expect(await countDrafts('l-11')).toBe(1)
  })
})
