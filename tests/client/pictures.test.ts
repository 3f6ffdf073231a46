import { mount } from '@vue/test-utils'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { nextTick } from 'vue'
import { clockText } from '../../client/figures.ts'
import { labelsOf } from '../../client/labels.ts'
import PlanAnswer from '../../client/parts/PlanAnswer.vue'
import PlanPictures from '../../client/parts/PlanPictures.vue'
import StationTimeline from '../../client/parts/StationTimeline.vue'
import { bindsFirst, givePictures, nearestPush, pushSpareS } from '../../client/pictures/demand.ts'
import { fuelAt, joined, phasesOf } from '../../client/pictures/ladder.ts'
import { geometryOf, positionsOf, projectionOf, scaleBarNmi } from '../../client/pictures/map.ts'
import { placedNames } from '../../client/pictures/names.ts'
import { fuelScale, lanesOf, scaleOf, stepFor, stepsThrough, timeMarks } from '../../client/pictures/scale.ts'
import { timelineOf } from '../../client/pictures/timeline.ts'
import { answerLines } from '../../client/words/answer.ts'
import { bindingWords, positionText } from '../../client/words/pictures.ts'
import { demoPlan } from '../../server/demo/plan.ts'
import type { Plan } from '../../shared/contracts/plan.ts'
import type { View } from '../../shared/contracts/view.ts'
import { distanceM } from '../../shared/geodesy.ts'
import { lineOf } from '../../shared/live/lines.ts'
import { lossesOf } from '../../shared/live/lost.ts'
import { emptyState } from '../../shared/live/state.ts'
import { computeOrder } from '../../shared/plan/order.ts'
import { figureRef } from '../../shared/working/figure.ts'

/* No outside source: a picture shows what the view has, in its place, and everything in it can be reached by keys. */

const MIN = 60_000
const demo = demoPlan(Date.UTC(2031, 4, 6, 9))
const seen = (plan: Plan): View => {
  const view = computeOrder({ plan })
  if ('faults' in view) throw new Error(JSON.stringify(view.faults))
  return view
}
const view = seen(demo)
const labels = labelsOf(demo)

/** The demonstration with half the give and pushes a quarter of an hour earlier. */
const poor: Plan = {
  ...demo,
  tankers: demo.tankers.map((tanker) => ({
    ...tanker,
    mostTransferable: { ...tanker.mostTransferable, value: tanker.mostTransferable.value * 0.3 }
  })),
  pushGroups: demo.pushGroups.map((group) => ({ ...group, pushAtMs: group.pushAtMs - 4 * MIN }))
}
const poorView = seen(poor)

describe('a scale', () => {
  it('marks round figures: 1, 2 or 5 of a power of ten, no more than so many', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.01, max: 1e6, noNaN: true }), fc.integer({ min: 1, max: 20 }), (most, steps) => {
        const step = stepFor(most, steps)
        expect(most / step).toBeLessThanOrEqual(steps * (1 + 1e-6))
        expect(['1', '2', '5']).toContain(step.toExponential()[0])
      })
    )
    expect(fuelScale(1000, 'kg', { top: 0, bottom: 200 }).marks.map(({ label }) => label)).toEqual([
      '0',
      '200',
      '400',
      '600',
      '800',
      '1,000'
    ])
  })

  it('marks times at which a clock is read, inside the span and clear of each other', () => {
    const pixels = { from: 100, to: 900 }
    for (const minutes of [7, 31, 118, 400]) {
      const span = { fromMs: demo.opensAtMs + 90_000, toMs: demo.opensAtMs + 90_000 + minutes * MIN }
      const marks = timeMarks(span, pixels)
      expect(marks.length, String(minutes)).toBeGreaterThan(2)
      for (const [index, mark] of marks.entries()) {
        expect(mark.label).toMatch(/^\d\d:\d\dZ$/)
        expect(mark.at).toBeGreaterThanOrEqual(100)
        if (index > 0) expect(mark.at - (marks[index - 1]?.at ?? 0)).toBeGreaterThan(50)
      }
    }
  })

  it('puts what is all alike at its start, and steps at once', () => {
    expect(scaleOf({ from: 3, to: 3 }, { from: 10, to: 20 })(3)).toBe(10)
    const points = [
      { x: 0, y: 5 },
      { x: 4, y: 9 }
    ]
    expect(stepsThrough(points)).toBe('M0.0 5.0H4.0V9.0')
    expect(
      lanesOf(
        [
          { x: 0, text: 'long name' },
          { x: 10, text: 'b' },
          { x: 200, text: 'c' }
        ],
        2
      )
    ).toEqual([0, 1, 0])
  })
})

describe('the station timeline', () => {
  const timeline = timelineOf(demo, view)

  it('has every slot once, in turn, and what is left to give after each, down to what the tanker has left', () => {
    const rows = timeline.tankers.flatMap(({ stations }) => stations.flatMap((station) => station.rows))
    expect(rows.map(({ slot }) => slot.slotId).toSorted()).toEqual(view.slots.map(({ slotId }) => slotId).toSorted())
    for (const { slot, freeFromMs } of rows)
      if (freeFromMs !== undefined) expect(slot.startAtMs, slot.slotId).toBeGreaterThanOrEqual(freeFromMs)
    for (const { tanker, give } of timeline.tankers)
      expect(give.at(-1)?.leftKg, tanker.tankerId).toBeCloseTo(tanker.giveKg - tanker.promisedKg, 6)
  })

  it('holds a station to its own window, inside the time of its tanker', () => {
    const [first, ...others] = demo.tankers
    if (!first) throw new Error('no tanker')
    const opensAtMs = first.onStationAtMs + 10 * MIN
    const closesAtMs = first.leavesAtMs - 10 * MIN
    const plan: Plan = {
      ...demo,
      tankers: [{ ...first, windows: [{ stationId: 'boom' as never, opensAtMs, closesAtMs }] }, ...others]
    }
    const [tanker] = timelineOf(plan, seen(plan)).tankers
    expect(tanker?.stations[0]).toMatchObject({ opensAtMs, closesAtMs })
  })

  it('draws who is past its latest contact where it would have been, with a shape, and says so', () => {
    const missed = poorView.slots.filter(({ state }) => state === 'missed')
    const page = mount(StationTimeline, { props: { plan: poor, view: poorView, labels } })
    expect(page.findAll('.warn')).toHaveLength(missed.length)
    expect(page.findAll('[data-working="past"]')).toHaveLength(missed.length)
    const late = poorView.pushes.filter(({ lateS }) => lateS >= 6)
    expect(late.length).toBeGreaterThan(0)
    expect(page.findAll('[data-working="push late"]')).toHaveLength(late.length)
    expect(page.findAll('.flag.now')).toHaveLength(late.length)
    expect(page.text()).toMatch(/late \d\d:\d\d/)
  })
})

describe('demand against give', () => {
  it('adds up to what the view promises and asks for, of each tanker and of all', () => {
    const [whole, ...each] = givePictures(view)
    const sum = (values: readonly number[]) => values.reduce((total, one) => total + one, 0)
    expect(whole?.giveKg).toBeCloseTo(sum(view.tankers.map(({ giveKg }) => giveKg)), 6)
    expect(whole?.promised.at(-1)?.kg).toBeCloseTo(sum(view.tankers.map(({ promisedKg }) => promisedKg)), 6)
    expect(whole?.asked.at(-1)?.kg).toBeCloseTo(sum(view.slots.map(({ neededKg }) => neededKg)), 6)
    expect(each.map(({ tankerId }) => tankerId)).toEqual(view.tankers.map(({ tankerId }) => tankerId))
  })

  it('says that neither binds, how near each is, and the time to spare as it comes to be late', () => {
    expect(bindsFirst(view)).toBeUndefined()
    const nearest = nearestPush(view)
    const spareS = pushSpareS(view, nearest?.pushGroupId ?? '', demo.rules.reformMin)
    for (const { pushGroupId } of view.pushes)
      expect(pushSpareS(view, pushGroupId, demo.rules.reformMin)).toBeGreaterThanOrEqual(spareS ?? Infinity)
    for (const { pushGroupId, lateS } of poorView.pushes) {
      const here = pushSpareS(poorView, pushGroupId, demo.rules.reformMin)
      if (here !== undefined && lateS > 0) expect(here).toBeCloseTo(-lateS, 3)
    }
    expect(JSON.stringify(bindingWords(view, demo.rules.reformMin, labels).words)).toMatch(
      /Neither.*push spare.*give left/
    )
  })

  it('names what binds first in time, be it time or give', () => {
    const first = bindsFirst(poorView)
    if (!first) throw new Error('nothing binds')
    const instants = [
      ...poorView.pushes.flatMap(({ lateS, plannedAtMs }) => (lateS >= 6 ? [plannedAtMs] : [])),
      ...poorView.tankers.flatMap(({ dryAtSlotId, shortKg }) =>
        shortKg >= 5 ? poorView.slots.flatMap((slot) => (slot.slotId === dryAtSlotId ? [slot.contactAtMs] : [])) : []
      ),
      ...poorView.slots.flatMap(({ state, latestContactAtMs }) => (state === 'missed' ? (latestContactAtMs ?? []) : []))
    ]
    expect(first.atMs).toBe(Math.min(...instants))
    const { binds, words } = bindingWords(poorView, poor.rules.reformMin, labels)
    expect(binds).toBe(true)
    expect(words[0]).toContain(clockText(first.atMs))
  })
})

describe('the fuel ladder', () => {
  it('has the phases of the route without gaps, and limits that stand on joined to one', () => {
    const line = lineOf(demo, 'alder-1')
    if (!line) throw new Error('no line')
    const phases = phasesOf(line)
    for (const [index, phase] of phases.entries()) if (index > 0) expect(phase.fromMs).toBe(phases[index - 1]?.toMs)
    const spans = joined(line.limits)
    expect(spans.length).toBeLessThan(line.limits.length)
    const over = (all: readonly { fromMs: number; toMs: number }[]) =>
      all.reduce((sum, { fromMs, toMs }) => sum + toMs - fromMs, 0)
    expect(over(spans)).toBeCloseTo(over(line.limits), 3)
    expect(fuelAt(line.points, line.points[0]?.atMs ?? 0)).toBe(line.points[0]?.fuelKg)
  })
})

describe('the map', () => {
  const geometry = geometryOf(demo)
  const box = { left: 40, right: 840, top: 10, bottom: 610 }

  it('has north up, east to the right, everything inside, and is true to scale in its middle', () => {
    const positions = positionsOf(geometry)
    const { xy, pxPerNmi } = projectionOf(positions, box)
    for (const at of positions) {
      const { x, y } = xy(at)
      expect(x).toBeGreaterThan(box.left)
      expect(x).toBeLessThan(box.right)
      expect(y).toBeGreaterThan(box.top)
      expect(y).toBeLessThan(box.bottom)
    }
    const at = (latitudeDeg: number, longitudeDeg: number) => ({ latitudeDeg, longitudeDeg })
    expect(xy(at(44, -155)).y).toBeLessThan(xy(at(43, -155)).y)
    expect(xy(at(44, -154)).x).toBeGreaterThan(xy(at(44, -155)).x)
    for (const [a, b] of [
      [at(43, -155), at(43.5, -155)],
      [at(43.25, -155.3), at(43.25, -154.7)]
    ] as const) {
      const px = Math.hypot(xy(a).x - xy(b).x, xy(a).y - xy(b).y)
      expect(px / pxPerNmi / (distanceM(a, b) / 1852)).toBeGreaterThan(0.99)
      expect(px / pxPerNmi / (distanceM(a, b) / 1852)).toBeLessThan(1.01)
    }
    expect(scaleBarNmi(pxPerNmi, 800) * pxPerNmi).toBeLessThan(200)
  })

  it('stays together over the antimeridian', () => {
    const near = [
      { latitudeDeg: 1, longitudeDeg: 179 },
      { latitudeDeg: 2, longitudeDeg: -179 }
    ]
    const { xy, meridians } = projectionOf(near, box)
    const [a, b] = near.map(xy)
    expect((b?.x ?? 0) - (a?.x ?? 0)).toBeGreaterThan(0)
    expect(meridians.map(({ label }) => label)).toContain('180°W')
  })

  it('has a way to the abort base of each track with what each flight needs there, as its slots say', () => {
    expect(geometry.aborts.map(({ trackId, baseId }) => [trackId, baseId])).toEqual([
      ['yarrow', 'adze'],
      ['tansy', 'cresset']
    ])
    for (const { needs, trackId } of geometry.aborts) {
      for (const { flightId, kg } of needs) {
        const there = view.slots.filter(
          (slot) =>
            slot.flightId === flightId &&
            view.tankers.find(({ tankerId }) => tankerId === slot.tankerId)?.trackId === trackId
        )
        expect(kg, flightId).toBeCloseTo(Math.max(...there.map(({ abortKg }) => abortKg ?? NaN)), 6)
      }
    }
  })

  it('names everything without a name on another', () => {
    const { xy } = projectionOf(positionsOf(geometry), box)
    const names = placedNames(
      geometry.bases.map(({ id, at }) => ({ ...xy(at), text: labels.base(id) })),
      box
    )
    expect(names.map(({ text }) => text)).toEqual(demo.bases.map(({ name }) => name))
    const twice = placedNames(
      [
        { x: 100, y: 100, text: 'Adze' },
        { x: 100, y: 100, text: 'Adze' }
      ],
      box
    )
    expect(twice[0]).not.toEqual(twice[1])
    expect(positionText({ latitudeDeg: 44.15, longitudeDeg: -155.4 })).toBe('44 09.0N 155 24.0W')
    expect(positionText({ latitudeDeg: -0.999999, longitudeDeg: 9.5 })).toBe('01 00.0S 009 30.0E')
  })
})

describe('the pictures of a plan', () => {
  const page = () => mount(PlanPictures, { props: { plan: demo, view, labels }, attachTo: document.body })

  it('open to a working wherever they have a figure, and have a table beside each', () => {
    const shown = page()
    const marks = shown.findAll('[data-mark]')
    expect(marks.length).toBeGreaterThan(120)
    for (const mark of shown.findAll('[data-working]')) {
      const { working = '', of = '', index } = (mark.element as HTMLElement).dataset
      expect(figureRef(working, of, Number(index)), working).toBeDefined()
    }
    for (const svg of shown.findAll('figure.picture svg[role="group"]'))
      expect(svg.attributes('aria-label')).not.toBe('')
    expect(shown.findAll('details table').length).toBeGreaterThanOrEqual(5)
    expect(shown.html()).not.toMatch(/NaN|undefined|Infinity/)
    shown.unmount()
  })

  it('have one mark each in the tab order; arrows go on, Enter opens, and the line below says where one is', async () => {
    const shown = page()
    await nextTick()
    const [timeline] = shown.findAll('figure.picture')
    if (!timeline) throw new Error('no picture')
    const inOrder = () => timeline.findAll('[data-mark][tabindex="0"]')
    expect(inOrder()).toHaveLength(1)
    const [first, second] = timeline.findAll('[data-mark]')
    ;(first?.element as HTMLElement).focus()
    await first?.trigger('keydown', { key: 'ArrowRight' })
    expect(document.activeElement).toBe(second?.element)
    await nextTick()
    expect(timeline.find('.says').text()).toBe(second?.attributes('aria-label'))
    await second?.trigger('keydown', { key: 'ArrowDown' })
    const row = (element: Element | null) => (element as HTMLElement | null)?.dataset['row']
    expect(row(document.activeElement)).not.toBe(row(second?.element ?? null))
    expect(inOrder()).toHaveLength(1)
    await timeline.find('[tabindex="0"][data-mark]').trigger('keydown', { key: 'End' })
    expect(document.activeElement).toBe(timeline.findAll('[data-mark]').at(-1)?.element)
    let opened = ''
    const hear = (event: Event) => (opened = (event.target as HTMLElement).dataset['working'] ?? '')
    document.addEventListener('click', hear)
    await timeline.findAll('[data-mark]').at(-1)?.trigger('keydown', { key: 'Enter' })
    document.removeEventListener('click', hear)
    expect(opened).toBe('give left')
    shown.unmount()
  })
})

/** What the page has from beside it. */
const lossesIn = (plan: Plan, of: View) => lossesOf({ ...emptyState('computed'), plan }, of.atMs)

describe('the answer in a few lines', () => {
  it('tells tankers, what binds, pushes, ships, holds, routes and losses, and leads to each', () => {
    const lines = answerLines(demo, view, labels, lossesIn(demo, view))
    expect(lines.map(({ name }) => name)).toEqual([
      'Tankers',
      'Binds first',
      'Pushes',
      'Ships short',
      'Holds that save most',
      'Weakest points',
      'Worst to lose'
    ])
    expect(lines.some(({ bad }) => bad)).toBe(false)
    const shown = mount(PlanAnswer, { props: { plan: demo, view, labels, losses: lossesIn(demo, view) } })
    for (const link of shown.findAll('a'))
      expect(link.attributes('href')).toMatch(/^#(slot|flight|demand|loss|slots|timeline|give)/)
    expect(shown.findAll('[data-working="weakest margin"]')).toHaveLength(demo.flights.length)
  })

  it('says what is bad with a shape, worst first, and which holds save most', () => {
    const lines = answerLines(poor, poorView, labels, lossesIn(poor, poorView))
    const bad = lines.filter((line) => line.bad).map(({ name }) => name)
    expect(bad).toEqual(expect.arrayContaining(['Binds first', 'Pushes']))
    const shown = mount(PlanAnswer, {
      props: { plan: poor, view: poorView, labels, losses: lossesIn(poor, poorView) }
    })
    expect(shown.findAll('dt.now svg').length).toBe(bad.length)
    const saves = view.slots
      .flatMap(({ hold }) => (hold?.kind === 'hold' ? [hold.savedS] : []))
      .toSorted((a, b) => b - a)
    const [first] =
      answerLines(demo, view, labels, lossesIn(demo, view)).find(({ name }) => name === 'Holds that save most')
        ?.parts ?? []
    const best = view.slots.find(({ hold }) => hold?.kind === 'hold' && hold.savedS === saves[0])
    expect(first?.to).toBe(`slot-${best?.slotId ?? ''}`)
  })
})
