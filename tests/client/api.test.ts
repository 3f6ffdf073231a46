import { afterEach, describe, expect, it, vi } from 'vitest'
import { listPlans, newRequestId, Refusal } from '../../client/api.ts'

/* Constructed: what a proxy or the sign-in page of a network puts in the place of an answer. */

const answered = async (status: number, body: string): Promise<unknown> => {
  vi.stubGlobal('fetch', () => Promise.resolve(new Response(body, { status })))
  return listPlans('l-1').catch((problem: unknown) => problem)
}
const codeOf = (problem: unknown) => (problem instanceof Refusal ? (problem.code ?? 'no answer') : 'no refusal')

afterEach(() => {
  vi.unstubAllGlobals()
})

describe('an answer', () => {
  it('of the service is given, and its refusal by its code', async () => {
    expect(await answered(200, '{"plans":[]}')).toEqual({ plans: [] })
    expect(codeOf(await answered(507, '{"code":"store-full","title":"There is no room"}'))).toBe('store-full')
  })

  it('of somebody before the service is none: the request may be sent again', async () => {
    for (const [status, body] of [
      [502, '<html>Bad Gateway</html>'],
      [503, '{"statusCode":503,"error":"Service Unavailable","message":"closing"}'],
      [504, ''],
      [200, '<html>Sign in to this network</html>'],
      [403, '<html>Sign in to this network</html>'],
      [429, '<html>Too Many Requests</html>'],
      [403, '{"message":"blocked"}'],
      [403, '{"code":403,"title":"Forbidden"}'],
      [404, 'not here'],
      [511, '']
    ] as const) {
      expect(codeOf(await answered(status, body)), body).toBe('no answer')
    }
  })
})

describe('the id of a request', () => {
  it('follows on those of the same page in the order of letters, and is another one in the same instant', () => {
    vi.useFakeTimers({ now: Date.UTC(2030, 2, 4, 12) })
    const ids = Array.from({ length: 100 }, () => {
      vi.advanceTimersByTime(1)
      return [newRequestId(), newRequestId()]
    })
    vi.useRealTimers()
    expect(new Set(ids.flat()).size).toBe(200)
    const firsts = ids.map(([first]) => first)
    expect(firsts.toSorted()).toEqual(firsts)
    for (const id of ids.flat()) expect(id).toMatch(/^[0-9a-f]{32}$/)
  })
})
