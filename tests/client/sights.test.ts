import { afterEach, beforeEach, expect, it, vi } from 'vitest'
import { effectScope } from 'vue'
import type { LiveEvent } from '../../client/state/useEvent.ts'
import { useSights } from '../../client/state/useSights.ts'
import { viewOf } from './fixture.ts'

/* No outside source: of what sees proposals one stands at a time, and none once the page is gone. */

class Beside {
  static all: Beside[] = []
  ended = false
  private readonly told = new Map<string, (event: object) => void>()
  constructor() {
    Beside.all.push(this)
  }
  addEventListener(kind: string, tell: (event: object) => void) {
    this.told.set(kind, tell)
  }
  postMessage() {
    // It never answers.
  }
  terminate() {
    this.ended = true
  }
  fail() {
    this.told.get('error')?.({})
  }
}

beforeEach(() => {
  Beside.all = []
  vi.useFakeTimers()
  vi.stubGlobal('Worker', Beside)
})
afterEach(() => {
  vi.useRealTimers()
  vi.unstubAllGlobals()
})

it('stands once at a time, though one that has ended says once more that it failed', () => {
  const scope = effectScope()
  const event = { log: [], state: { value: { eventId: 'basin' } } } as unknown as LiveEvent
  const sights = scope.run(() => useSights(event, { seen: () => undefined, fail: () => undefined }))
  const look = () => sights?.look(viewOf(), new Map())
  look()
  Beside.all[0]?.fail()
  look()
  Beside.all[0]?.fail()
  look()
  expect(Beside.all.map(({ ended }) => ended)).toEqual([true, false])
  scope.stop()
  vi.advanceTimersByTime(60_000)
  expect(Beside.all.map(({ ended }) => ended)).toEqual([true, true])
})
