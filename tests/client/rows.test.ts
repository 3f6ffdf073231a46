import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { effectScope, nextTick, shallowRef, type EffectScope } from 'vue'
import { useRows, type Wanted } from '../../client/state/useRows.ts'

/* No outside source: what is drawn when follows from what is wanted and seen. Rows of numbers: each as its picture had it. */

const COUNT = 100
const SEEN = 20
const ids = Array.from({ length: COUNT }, (_, place) => String(place))
let frames: (() => void)[] = []
const frame = async () => {
  for (const work of frames.splice(0)) work()
  await nextTick()
}

/** A board on which the first rows can be seen, of one picture after another. */
function board(scope: EffectScope, order = ids) {
  const wanted = shallowRef<Wanted<number>>({ ids: order, rowOf: () => 0, pressingOf: () => 'calm' })
  let nowMs = 0
  const rows = scope.run(() =>
    useRows({ wanted: () => wanted.value, isSeen: (id) => Number(id) < SEEN, all: () => '', nowMs: () => nowMs })
  )
  if (rows === undefined) throw new Error('there is no scope')
  const { drawn } = rows
  return {
    order: () => drawn.value.map(({ id }) => id),
    pictureOf: (id: string) => drawn.value.find((holder) => holder.id === id)?.row.value,
    show: async (picture: number, over: Partial<Wanted<number>> = {}, afterMs = 1_000) => {
      nowMs += afterMs
      wanted.value = { ids: order, pressingOf: () => 'calm', ...over, rowOf: () => picture }
      await nextTick()
    }
  }
}

describe('rows as they are drawn', () => {
  let scope: EffectScope
  beforeEach(() => {
    frames = []
    scope = effectScope()
    vi.stubGlobal('requestAnimationFrame', (work: () => void) => frames.push(work))
  })
  afterEach(() => {
    scope.stop()
    // What is asked of the frames of the page is no start for the next test.
    while (frames.length > 0) for (const work of frames.splice(0)) work()
    vi.unstubAllGlobals()
  })
  const drawnWhole = async (shown: ReturnType<typeof board>) => {
    for (let n = 0; n < COUNT && frames.length > 0; n += 1) await frame()
    expect(shown.order()).toEqual(ids)
  }

  it('are a screen at first and the others after it', async () => {
    const shown = board(scope)
    expect(shown.order()).toEqual(ids.slice(0, 40))
    await drawnWhole(shown)
  })

  it('follow a picture at once where they fit a few screens', async () => {
    const shown = board(scope, ids.slice(0, 30))
    await shown.show(1)
    expect(ids.slice(0, 30).every((id) => shown.pictureOf(id) === 1)).toBe(true)
    expect(frames).toHaveLength(0)
  })

  it('show what presses a frame after a long picture, take their places after it, and follow in sight within a few', async () => {
    const shown = board(scope)
    await drawnWhole(shown)
    const moved = ['90', ...ids.filter((id) => id !== '90')]
    await shown.show(1, { ids: moved, pressingOf: (id) => (id === '90' ? 'now' : 'calm') })
    await frame()
    // The first is left to the picture itself.
    expect(shown.pictureOf('90')).toBe(0)
    await frame()
    expect(shown.pictureOf('90')).toBe(1)
    expect(shown.pictureOf('19')).toBe(0)
    // Nor is a frame that draws rows held up by those that move.
    expect(shown.order()).toEqual(ids)
    for (let n = 0; n < 2; n += 1) await frame()
    expect(shown.order()).toEqual(moved)
    for (let n = 0; n < 4; n += 1) await frame()
    expect(ids.slice(0, SEEN).every((id) => shown.pictureOf(id) === 1)).toBe(true)
  })

  it.each([
    { everyMs: 1_000, pictures: 4, each: 20 },
    { everyMs: 250, pictures: 16, each: 5 }
  ])(
    'follow out of sight within four seconds, with a picture every $everyMs ms',
    async ({ everyMs, pictures, each }) => {
      const shown = board(scope)
      await drawnWhole(shown)
      for (let picture = 1; picture <= pictures; picture += 1) {
        // Eighty of them, and none is left out where they change places meanwhile.
        const moved = [...ids.slice(picture), ...ids.slice(0, picture)]
        await shown.show(picture, { ids: moved }, everyMs)
        while (frames.length > 0) await frame()
        expect(ids.filter((id) => shown.pictureOf(id) === picture)).toHaveLength(SEEN + each)
      }
      expect(ids.every((id) => (shown.pictureOf(id) ?? 0) > 0)).toBe(true)
    }
  )

  it('follow in sight as soon where all others are behind, after a gap between pictures', async () => {
    const shown = board(scope)
    await drawnWhole(shown)
    await shown.show(1, {}, 5_000)
    for (let n = 0; n < 7; n += 1) await frame()
    await shown.show(2, {}, 120)
    for (let n = 0; n < 7; n += 1) await frame()
    expect(ids.slice(0, SEEN).every((id) => shown.pictureOf(id) === 2)).toBe(true)
    while (frames.length > 0) await frame()
    expect(ids.every((id) => (shown.pictureOf(id) ?? 0) > 0)).toBe(true)
  })

  it('follow while pictures come as fast as frames, what presses within three of them', async () => {
    const shown = board(scope)
    await drawnWhole(shown)
    const FROM = 46
    let pressedAt = 0
    for (let picture = 1; picture <= 300; picture += 1) {
      await shown.show(picture, { pressingOf: (id) => (picture >= FROM && id === '90' ? 'now' : 'calm') }, 1_000 / 60)
      await frame()
      if (pressedAt === 0 && (shown.pictureOf('90') ?? 0) >= FROM) pressedAt = picture
    }
    expect(pressedAt).toBeGreaterThanOrEqual(FROM)
    expect(pressedAt).toBeLessThan(FROM + 3)
    // A third of the frames is theirs, six rows each: enough for those out of sight in five seconds.
    expect(ids.every((id) => (shown.pictureOf(id) ?? 0) > 0)).toBe(true)
  })
})
