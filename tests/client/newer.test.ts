import { flushPromises } from '@vue/test-utils'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { effectScope, type EffectScope } from 'vue'
import { demoPlan } from '../../server/demo/plan.ts'
import { usePlan } from '../../client/state/usePlan.ts'
import { usePublish } from '../../client/state/usePublish.ts'
import type { Plan } from '../../shared/contracts/plan.ts'
import { computeOrder } from '../../shared/plan/order.ts'

/* Two who plan one event, and a service that keeps its revisions: constructed. */

const first = demoPlan(Date.UTC(2031, 4, 17, 13))
const renamed = (name: string): Plan => ({ ...first, name })

/** What the service has, and what was asked of it. */
function service() {
  const saved = [first]
  let publishedRevision: number | null = null
  const answer = (status: number, body: unknown) => Promise.resolve(new Response(JSON.stringify(body), { status }))
  const asked: string[] = []
  vi.stubGlobal('fetch', (address: string, { body = '{}' }: { body?: string } = {}) => {
    asked.push(address)
    const plan = saved.at(-1)
    if (address.endsWith('/revisions'))
      return answer(
        200,
        saved
          .map(({ name }, at) => ({ revision: at + 1, savedAtMs: 60_000, savedBy: 'l-2', role: 'commander', name }))
          .toReversed()
      )
    if (address.endsWith('/publish')) {
      const { revision, revisionSeen } = JSON.parse(body) as { revision: number; revisionSeen: number }
      if (revisionSeen < saved.length)
        return answer(409, { code: 'stale-revision', title: 'stale', status: 409, type: 'about:blank' })
      publishedRevision = revision
      return answer(200, { from: 1, to: 1, repeated: false, facts: [] })
    }
    if (address.includes('/compute/')) {
      const view = computeOrder(JSON.parse(body) as { plan: Plan })
      return answer(200, view)
    }
    return answer(200, { eventId: 'basin', revision: saved.length, savedAtMs: 60_000, publishedRevision, plan })
  })
  return { saved, asked, published: () => publishedRevision }
}

const scopes: EffectScope[] = []
beforeEach(() => {
  vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval', 'setTimeout', 'clearTimeout'] })
})
afterEach(() => {
  for (const scope of scopes.splice(0)) scope.stop()
  vi.useRealTimers()
  vi.unstubAllGlobals()
})

async function openPage() {
  const scope = effectScope()
  scopes.push(scope)
  const page = scope.run(() => {
    const plan = usePlan('l-1', 'basin', { worksOut: true })
    return { ...plan, publishing: usePublish(() => plan.answer.value, plan.publish) }
  })
  if (page === undefined) throw new Error('no scope')
  await flushPromises()
  return page
}
const TOLD =
  /^Revision 2, 1970-01-01 00:01Z, under the commander’s link l-2, was saved meanwhile\. Event, Other day: Event Other day, was .*\.$/

describe('a plan that somebody else saved meanwhile', () => {
  it('is not published unseen: who saved what is told, and it is asked', async () => {
    const { saved, published } = service()
    const { publishing, answer, news } = await openPage()
    saved.push(renamed('Other day'))
    await publishing.ask()
    await flushPromises()
    expect(published()).toBeNull()
    expect(answer.value?.revision).toBe(2)
    expect(news.value).toMatch(TOLD)
    expect(publishing.question.value).toBe(`${news.value} Publish revision 2 in its place?`)
    await publishing.publish()
    expect(published()).toBe(2)
    expect(publishing.question.value).toBe('')
    expect(news.value).toBe('')
  })

  it('is seen by the page within a few seconds, and told with what it changes', async () => {
    const { saved } = service()
    const { answer, news } = await openPage()
    await vi.advanceTimersByTimeAsync(20_000)
    expect([answer.value?.revision, news.value]).toEqual([1, ''])
    saved.push(renamed('Other day'))
    await vi.advanceTimersByTimeAsync(20_000)
    await vi.waitFor(() => {
      expect(news.value).toMatch(TOLD)
    })
    expect(answer.value?.plan.name).toBe('Other day')
  })

  it('is not told as news where this page saved it', async () => {
    const { saved } = service()
    const { answer, news, load } = await openPage()
    // The answer to the save comes just behind the look.
    await vi.advanceTimersByTimeAsync(14_900)
    saved.push(renamed('Mine'))
    await vi.advanceTimersByTimeAsync(200)
    await load()
    await vi.advanceTimersByTimeAsync(20_000)
    expect([answer.value?.revision, news.value]).toEqual([2, ''])
  })

  it('is not looked for while the page is out of sight', async () => {
    const { asked } = service()
    await openPage()
    const before = asked.length
    const sight = vi.spyOn(document, 'visibilityState', 'get').mockReturnValue('hidden')
    await vi.advanceTimersByTimeAsync(60_000)
    expect(asked).toHaveLength(before)
    sight.mockRestore()
    document.dispatchEvent(new Event('visibilitychange'))
    await flushPromises()
    expect(asked.length).toBeGreaterThan(before)
  })
})
