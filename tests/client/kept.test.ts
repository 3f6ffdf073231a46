import { mount } from '@vue/test-utils'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { effectScope, nextTick } from 'vue'
import { Refusal } from '../../client/api.ts'
import { madeHere } from '../../client/made-here.ts'
import { Kept } from '../../client/outbox.ts'
import type { KeptCall } from '../../client/outbox-shelf.ts'
import KeptCalls from '../../client/parts/KeptCalls.vue'
import { useOwnFuel } from '../../client/state/useOwnFuel.ts'
import type { Unsent } from '../../shared/entry/understanding.ts'

/* Constructed: calls that wait with a good line, a button that is touched twice. */

const kept = (requestId: string): KeptCall => ({
  requestId,
  request: { kind: 'callFuel', shipId: 'a1', fuel: { value: 1, unit: 'lb' }, covers: 'total', atMs: 1_000 } as never,
  sentence: `call ${requestId}`,
  tried: true
})

describe('calls that wait', () => {
  beforeEach(() => {
    vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout', 'performance'] })
  })
  afterEach(() => {
    vi.useRealTimers()
  })

  it('are shown at once without a line, and with one those that stay longer than a moment', async () => {
    expect(mount(KeptCalls, { props: { calls: [kept('a')], lost: true } }).text()).toContain('call a')
    const shown = mount(KeptCalls, { props: { calls: [kept('a')], lost: false } })
    expect(shown.text()).toBe('')
    await vi.advanceTimersByTimeAsync(1_000)
    // Each has its own moment, and a list that changes begins none anew.
    await shown.setProps({ calls: [kept('a'), kept('b')] })
    expect(shown.text()).toBe('')
    await vi.advanceTimersByTimeAsync(1_500)
    expect(shown.text()).toContain('call a')
    await vi.advanceTimersByTimeAsync(1_500)
    expect(shown.text()).toContain('2 calls kept here, not recorded yet. Tried again until recorded')
    await shown.setProps({ calls: [] })
    expect(shown.text()).toBe('')
  })
})

describe('a call from the slot page', () => {
  it('that is sent twice while no answer comes is one call, said to be on its way', async () => {
    const asked: Unsent[] = []
    let fail: (problem: unknown) => void = () => undefined
    const { tell, outcome } = effectScope().run(() =>
      useOwnFuel({
        callSign: () => 'Alder 1',
        vocabulary: () => undefined,
        record: (request) => {
          asked.push(request)
          return new Promise((_, reject) => (fail = reject))
        }
      })
    ) as ReturnType<typeof useOwnFuel>
    const gone = { kind: 'setTrouble', shipId: 'a1', groupId: 'g1', tankNumber: 1, trouble: 'gone' } as never
    const first = tell(gone, 'tank gone')
    await tell(gone, 'tank gone')
    expect(asked).toHaveLength(1)
    expect(outcome.value).toEqual({ recorded: false, underWay: true, sentence: 'tank gone' })
    fail(new Kept('r-1', new Promise(() => undefined)))
    await first
    expect(outcome.value).toEqual({ recorded: false, keptId: 'r-1', sentence: 'tank gone' })

    // Answered, it may be said again.
    const again = tell(gone, 'tank gone')
    fail(new Refusal({ code: 'event-closed', title: 'closed' }))
    await again
    await nextTick()
    expect(asked).toHaveLength(2)
    expect(outcome.value?.recorded).toBe(false)
    expect(outcome.value?.underWay).toBeUndefined()
  })
})

describe('requests made here', () => {
  it('are told from others, over a reload, the latest of them; under their own link and event', () => {
    localStorage.clear()
    for (let turn = 0; turn < 205; turn++) madeHere('l-1', 'e-1').note(`r${String(turn)}`)
    const again = madeHere('l-1', 'e-1')
    expect(['r4', 'r5', 'r204', 'r205'].map(again.has)).toEqual([false, true, true, false])
    expect(madeHere('l-1', 'e-2').has('r204')).toBe(false)
  })
})
