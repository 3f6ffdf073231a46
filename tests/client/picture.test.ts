import { describe, expect, it } from 'vitest'
import { Painter } from '../../client/painter.ts'
import { newsOf, pictureOf } from '../../client/picture.ts'
import type { View } from '../../shared/contracts/view.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { MemoryEvent } from '../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../make/plan.ts'

/* What the page shows is what the same facts give at the same instant, however it came. */

const MIN = 60_000

describe('pictures made beside the page', () => {
  it('are those that the page would make itself, one after the other, with what did not change left where it was', () => {
    const event = new MemoryEvent(paperPlan())
    const painter = new Painter()
    painter.hear({ eventId: 'paper' })
    let saidCount = 0
    let last: View | undefined
    const show = (atMs: number): View => {
      // As they come through the wall between page and worker.
      painter.hear(structuredClone({ facts: event.log.slice(saidCount) }))
      saidCount = event.log.length
      painter.hear({ atMs })
      const news = painter.paint()
      if (news === undefined) throw new Error('no picture')
      last = pictureOf(last, structuredClone(news))
      return last
    }
    expect(show(OPENS_AT_MS)).toEqual(estimate(event.state, OPENS_AT_MS))
    const before = last
    const second = show(OPENS_AT_MS + 1_000)
    expect(second).toEqual(estimate(event.state, OPENS_AT_MS + 1_000))
    expect(second.slots.map((slot, place) => slot === before?.slots[place])).toContain(true)
    event.ask({ kind: 'joinShip', shipId: 'alder-21' }, OPENS_AT_MS + 19 * MIN)
    event.ask(
      { kind: 'callFuel', shipId: 'alder-22', fuel: { value: 1_500, unit: 'kg' }, covers: 'total' },
      OPENS_AT_MS + 19 * MIN
    )
    expect(show(OPENS_AT_MS + 20 * MIN)).toEqual(estimate(event.state, OPENS_AT_MS + 20 * MIN))
  })

  it('come only when asked for, and only of the newest instant', () => {
    const event = new MemoryEvent(paperPlan())
    const painter = new Painter()
    painter.hear({ eventId: 'paper' })
    expect(painter.paint()).toBeUndefined()
    painter.hear({ atMs: OPENS_AT_MS })
    // There is no plan yet.
    expect(painter.paint()).toBeUndefined()
    painter.hear({ facts: event.log })
    painter.hear({ atMs: OPENS_AT_MS })
    painter.hear({ atMs: OPENS_AT_MS + MIN })
    expect(painter.paint()?.view.atMs).toBe(OPENS_AT_MS + MIN)
    expect(painter.paint()).toBeUndefined()
  })

  it('follow slots that change places, come and go', () => {
    const view = estimate(new MemoryEvent(paperPlan()).state, OPENS_AT_MS)
    if (!view) throw new Error('no view')
    const [first, second] = view.slots
    if (!first || !second) throw new Error('no slots')
    const turned: View = { ...view, slots: [second, { ...first, pinned: true }] }
    const news = newsOf(view, structuredClone(turned))
    expect(news.slots[0]).toBe(1)
    expect(pictureOf(view, news)).toEqual(turned)
    const one: View = { ...view, slots: [second] }
    expect(pictureOf(turned, newsOf(turned, structuredClone(one)))).toEqual(one)
    expect(() => pictureOf(undefined, news)).toThrow(/^place \d of a picture that has 0$/)
  })

  it('tell of a ship what is new, wherever it stands now', () => {
    const view = estimate(new MemoryEvent(paperPlan()).state, OPENS_AT_MS)
    const [first, second] = view?.ships ?? []
    if (!view || !first || !second) throw new Error('no ships')
    const turned: View = { ...view, ships: [second, { ...first, fuelKg: first.fuelKg - 1 }] }
    const news = newsOf(view, structuredClone(turned))
    expect(news.ships).toEqual([
      { place: 1, news: {} },
      { place: 0, news: { fuelKg: first.fuelKg - 1 } }
    ])
    expect(pictureOf(view, structuredClone(news))).toEqual(turned)
  })
})
