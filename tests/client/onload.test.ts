import { mount } from '@vue/test-utils'
import fc from 'fast-check'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { namesOf, plotOf, until } from '../../client/curve.ts'
import { answerTo } from '../../client/onload.ts'
import type { Asked } from '../../client/onload-worker.ts'
import {
  bodyOf,
  EXAMPLE,
  fieldOf,
  inUnit,
  ON_LOAD_KINDS,
  questionOf,
  RESERVES,
  searchOf,
  withType,
  type Question,
  type QuestionField
} from '../../client/question.ts'
import OnLoadView from '../../client/views/OnLoadView.vue'
import { answerSentence, troublesOf } from '../../client/words/onload.ts'
import { faultsOf } from '../../shared/contracts/faults.ts'
import { EXTERNALS, FUEL_GRADES, MASS_UNITS } from '../../shared/contracts/kinds.ts'
import { receiverType } from '../../shared/contracts/plan.ts'
import { onLoadBody } from '../../shared/contracts/requests.ts'
import { RECEIVERS } from '../../shared/library/receivers.ts'
import { massIn } from '../../shared/units.ts'

const ask = (over: Partial<Question>): Question => ({ ...EXAMPLE, ...over })
function answered(question: Question) {
  const outcome = answerTo(question)
  if ('faults' in outcome) throw new Error(JSON.stringify(outcome.faults))
  return outcome
}

/** A figure people type: sensible mostly, left empty where it may be, nonsense now and then. */
const JUNK = fc.constantFrom('', '0', ' 6,300 ', '-1', 'abc', '1e9', '.5', '99999999')
const figure = (min: number, max: number, mayBeEmpty = false) =>
  fc.oneof(
    { arbitrary: fc.double({ min, max, noNaN: true }).map((value) => value.toFixed(1)), weight: 30 },
    { arbitrary: mayBeEmpty ? fc.constant('') : fc.integer({ min, max }).map(String), weight: 15 },
    { arbitrary: JUNK, weight: 1 }
  )
const anyQuestion: fc.Arbitrary<Question> = fc
  .record({
    type: fc.constantFrom(...RECEIVERS.map(({ id }): string => id)),
    externalsFitted: fc.boolean(),
    unit: fc.constantFrom<string>(...MASS_UNITS),
    grade: fc.constantFrom<string>(...FUEL_GRADES),
    externals: fc.constantFrom<string>(...EXTERNALS),
    rule: fc.constantFrom<string>(...ON_LOAD_KINDS),
    reserve: fc.constantFrom<string>(...RESERVES),
    jettisons: fc.constantFrom('', 'yes'),
    fuel: figure(0, 9000),
    minutes1: figure(0, 90, true),
    flow1: figure(500, 9000),
    minutes2: figure(0, 90, true),
    flow2: figure(500, 9000),
    rate: figure(100, 4000),
    asked: figure(0, 12_000),
    window: figure(0, 60, true),
    give: figure(0, 12_000, true),
    distance: figure(0, 900, true),
    speed: figure(60, 600),
    reserveFigure: figure(0, 60),
    byHand: figure(0, 9000, true),
    late: figure(0, 60, true)
  })
  .map(({ externalsFitted, ...rest }) => {
    const groups = RECEIVERS.find(({ id }) => id === rest.type)?.groups ?? []
    const fitted = externalsFitted ? groups.flatMap(({ id, place }) => (place === 'external' ? [id] : [])) : []
    return { ...rest, fitted }
  })

describe('the library', () => {
  it.each(RECEIVERS.map((sheet) => [sheet.id, sheet] as const))(
    'has a sheet of %s that the contract reads',
    (_, sheet) => {
      expect(receiverType.parse(sheet)).toEqual(sheet)
    }
  )
})

describe('the question', () => {
  it('stands whole in its address', () => {
    fc.assert(
      fc.property(anyQuestion, (question) => {
        expect(questionOf(searchOf(question))).toEqual(question)
      })
    )
  })

  it('is an example with a knee and a hold where nothing is asked', () => {
    expect(questionOf('')).toEqual(EXAMPLE)
    const { answer } = answered(EXAMPLE)
    expect(answer.kneeIndex).not.toBeNull()
    expect(answer.hold.kind).toBe('hold')
  })

  it('comes back from kilograms in the same whole pounds', () => {
    const kilograms = inUnit(ask({ reserve: 'fixed', reserveFigure: '1100', give: '20000' }), 'kg')
    expect(kilograms).toMatchObject({
      unit: 'kg',
      fuel: '4445.2',
      reserveFigure: '499',
      give: '9071.8',
      minutes1: '40'
    })
    expect(inUnit(kilograms, 'lb')).toEqual(ask({ reserve: 'fixed', reserveFigure: '1100', give: '20000' }))
  })

  it.each(RECEIVERS.map(({ id }): string => id))('makes sense as soon as %s is taken', (id) => {
    for (const unit of MASS_UNITS) expect(answerTo(withType(inUnit(EXAMPLE, unit), id))).toHaveProperty('answer')
  })

  it('is answered or refused, and never breaks; what is not refused fits the contract', () => {
    let answers = 0
    fc.assert(
      fc.property(anyQuestion, (question) => {
        const outcome = answerTo(question)
        if ('faults' in outcome) {
          expect(outcome.faults.length).toBeGreaterThan(0)
          return
        }
        answers++
        const asked = bodyOf(question)
        expect('body' in asked && onLoadBody.safeParse(asked.body).success).toBe(true)
        const { answer } = outcome
        for (const value of [answer.onLoadKg, answer.minutesMin, answer.fuelAtContactKg, answer.fuelAtDisconnectKg])
          expect(value).toBeGreaterThanOrEqual(0)
        expect(answerSentence(answer, outcome.unit)).not.toMatch(/NaN|Infinity|undefined/)
      }),
      { numRuns: 3_000 }
    )
    expect(answers).toBeGreaterThan(500)
  })
})

/** Field, what stands in it, where that lands in the contract. */
const OUT_OF_BOUNDS: [field: QuestionField, text: string, path: string, over?: Partial<Question>][] = [
  ['fuel', '-1', '/fuelNow/value'],
  ['fuel', '1000000000', '/fuelNow/value'],
  ['rate', '0', '/stationRate/value'],
  ['rate', '100000', '/stationRate/value'],
  ['minutes1', '-1', '/ahead/0/durationMin'],
  ['minutes2', '1441', '/ahead/1/durationMin'],
  ['flow2', '0', '/ahead/1/flow/value'],
  ['asked', '-5', '/onLoad/fuel/value', { rule: 'fixed' }],
  ['asked', '500000', '/onLoad/fuel/value', { rule: 'fuelAtDisconnect' }],
  ['distance', '-1', '/abort/distance/value'],
  ['speed', '30', '/abort/groundSpeed/value'],
  ['reserveFigure', '61', '/abort/landingReserve/holdingMin'],
  ['reserveFigure', '-1', '/abort/landingReserve/fuel/value', { reserve: 'fixed' }],
  ['byHand', '-1', '/abort/byHand/value', { byHand: '1' }],
  ['late', '61', '/lateMarginMin', { late: '5' }],
  ['window', '-1', '/windowMin', { window: '5' }],
  ['give', '-1', '/give/value', { give: '5' }]
]

/** A copy with one value set at a JSON pointer. */
function withValue(body: unknown, path: string, value: number): unknown {
  const copy: unknown = JSON.parse(JSON.stringify(body))
  const keys = path.slice(1).split('/')
  let at = copy as Record<string, unknown>
  for (const key of keys.slice(0, -1)) at = at[key] as Record<string, unknown>
  at[keys.at(-1) ?? ''] = value
  return copy
}

describe('a figure that makes no sense', () => {
  it.each(OUT_OF_BOUNDS)('%s %s is refused at %s as the contract refuses it', (field, text, path, over = {}) => {
    const sound = bodyOf(ask({ asked: '100', ...over }))
    if ('faults' in sound) throw new Error(JSON.stringify(sound.faults))
    const sent = withValue(sound.body, path, Number(text))
    const read = onLoadBody.safeParse(sent)
    if (read.success) throw new Error('the contract takes it')
    const theirs = faultsOf(read.error, sent).faults.map(({ path, value, limit }) => ({ path, value, limit }))
    const question = ask({ asked: '100', ...over, [field]: text })
    const ours = answerTo(question)
    if (!('faults' in ours)) throw new Error('the page takes it')
    expect(ours.faults.map(({ path, value, limit }) => ({ path, value, limit }))).toEqual(theirs)
    expect(fieldOf(path, question)).toBe(field)
  })

  it.each([
    ['fuel', 'abc', '/fuelNow/value', '"abc"'],
    ['fuel', '', '/fuelNow/value', 'nothing'],
    ['rate', '', '/stationRate/value', 'nothing'],
    ['type', 'spruce', '/receiverType/id', '"spruce"'],
    ['unit', 'stone', '/fuelNow/unit', '"stone"'],
    ['rule', 'some', '/onLoad/kind', '"some"'],
    ['speed', '', '/abort/groundSpeed/value', 'nothing']
  ] as const)('%s "%s" is refused by name', (field, text, path, value) => {
    const outcome = answerTo(ask({ [field]: text }))
    expect(outcome).toMatchObject({ faults: [{ path, value }] })
    expect(fieldOf(path, EXAMPLE)).toBe(field)
  })

  it('is refused where only the second row of the way is filled, at that row', () => {
    const question = ask({ minutes1: '', flow2: '0' })
    expect(answerTo(question)).toMatchObject({ faults: [{ path: '/ahead/0/flow/value' }] })
    expect(fieldOf('/ahead/0/flow/value', question)).toBe('flow2')
  })

  it('names more fuel than the tanks hold, and tanks that the type does not have', () => {
    expect(answerTo(ask({ fuel: '20000' }))).toMatchObject({
      faults: [{ path: '/fuelNow/value', value: '20000', message: 'more fuel than its tanks hold' }]
    })
    expect(answerTo(ask({ fitted: ['sedge-wing-tank'] }))).toMatchObject({
      faults: [{ path: '/fitted/0', value: '"sedge-wing-tank"' }]
    })
  })
})

/*
 * Constructed, worked out on paper: Larch clean with 3,000 lb. Wings hold their unusable 30 lb, the sump is full, the
 * body holds 2,020 lb. Burn 5,000 lb/h is 83.33 lb/min. Wings take 1,610 lb at 580 lb/min: 2.7759 min. The body takes
 * 2,430 lb at 1,700 lb/min: 1.4294 min. On-load 1,610 + 2,430 + 2.7759 x 83.33 = 4,271.3 lb.
 */
const PAPER = ask({ fitted: [], fuel: '3000', minutes1: '', minutes2: '', distance: '' })

describe('the answer', () => {
  it('is what paper says', () => {
    const { answer, pieces } = answered(PAPER)
    expect(massIn('lb', answer.onLoadKg)).toBeCloseTo(4271.32, 1)
    expect(answer.minutesMin).toBeCloseTo(1610 / 580, 6)
    expect(pieces.map(({ toS }) => toS / 60)).toEqual([expect.closeTo(2430 / 1700, 6), expect.closeTo(1610 / 580, 6)])
    expect(pieces.map(({ rateKgPerS }) => massIn('lb', rateKgPerS * 60))).toEqual([
      expect.closeTo(1700 + 580 + 5000 / 60, 6),
      expect.closeTo(580 + 5000 / 60, 6)
    ])
    expect(answerSentence(answer, 'lb')).toBe(
      '4,280 lb in 02:47; there is no knee; no hold: the externals hold nothing to use.'
    )
  })

  it('adds up: pieces make the on-load, burn included; the way makes the fuel at contact', () => {
    fc.assert(
      fc.property(fc.integer({ min: 4_000, max: 11_500 }), fc.integer({ min: 0, max: 40 }), (fuelLb, minutes) => {
        const { answer, pieces, legs, fuelNowKg, starved } = answered(
          ask({ fuel: String(fuelLb), minutes1: String(minutes) })
        )
        fc.pre(!starved)
        const sum = (values: number[]) => values.reduce((total, value) => total + value, 0)
        expect(sum(pieces.map(({ takenKg }) => takenKg))).toBeCloseTo(answer.onLoadKg, 6)
        expect(fuelNowKg - sum(legs.map(({ burnedKg }) => burnedKg))).toBeCloseTo(answer.points[0]?.fuelKg ?? 0, 6)
        // 5,000 lb/h with two wing tanks fitted: drag 1.09.
        expect(sum(pieces.map(({ burnedKg }) => burnedKg))).toBeCloseTo(
          (answer.minutesMin / 60) * 5000 * 1.09 * 0.45359237,
          6
        )
      })
    )
  })

  it('says what stands against it', () => {
    const words = (over: Partial<Question>) => troublesOf(answered(ask(over))).map((trouble) => trouble.words)
    expect(words({})).toEqual([])
    expect(words({ fuel: '3000' })).toEqual([
      expect.stringMatching(/^The engines find no fuel on the way/),
      expect.stringMatching(/^It comes to contact past its latest contact by \d\d:\d\d\.$/)
    ])
    expect(words({ rule: 'fixed', asked: '5000', give: '3000' })).toEqual(['It gets 2,000 lb less than is asked.'])
    expect(words({ rule: 'internals', window: '1' })).toEqual(['It ends before its internals are full.'])
  })
})

describe('the picture', () => {
  const plot = plotOf({ atS: 400, onLoadKg: 3000 }, 'lb', { width: 390, height: 300 })

  it('keeps every figure inside its axes', () => {
    expect([plot.x(0), plot.x(400), plot.y(0)]).toEqual([plot.left, plot.right, plot.bottom])
    expect(plot.y(3000)).toBeGreaterThanOrEqual(plot.top)
    expect(plot.minutes.map(({ label }) => label)).toEqual(['0', '2', '4', '6'])
    expect(plot.masses.at(-1)?.label).toBe('8,000')
  })

  it('ends a curve between two of its points', () => {
    const points = [
      { atS: 0, onLoadKg: 0 },
      { atS: 100, onLoadKg: 1000 },
      { atS: 300, onLoadKg: 1400 }
    ]
    expect(until(points, 200)).toEqual([...points.slice(0, 2), { atS: 200, onLoadKg: 1200 }])
    expect(until(points, 300)).toEqual(points)
  })

  it('keeps names of points that lie close apart, and below the curve', () => {
    const points = [
      { atS: 0, onLoadKg: 0 },
      { atS: 100, onLoadKg: 2000 },
      { atS: 104, onLoadKg: 2030 },
      { atS: 400, onLoadKg: 3000 }
    ]
    const named = points.slice(1).map((point, index) => ({ ...point, text: `Group ${String(index)}` }))
    const names = namesOf(named, points, plot)
    const heights = names.map(({ y }) => y)
    expect((heights[0] ?? 0) - (heights[1] ?? 0)).toBeGreaterThanOrEqual(16)
    names.forEach(({ y }, index) => {
      expect(y).toBeGreaterThan(plot.y(named[index]?.onLoadKg ?? 0) + 12)
    })
    expect(names.at(-1)?.anchor).toBe('end')
  })
})

/** Answers at once what the worker of a browser answers soon: there are none here; the browser tests have the real one. */
class InPlace extends EventTarget {
  static readonly made: InPlace[] = []
  constructor() {
    super()
    InPlace.made.push(this)
  }
  postMessage({ turn, question }: Asked): void {
    this.dispatchEvent(new MessageEvent('message', { data: { turn, outcome: answerTo(question) } }))
  }
  terminate(): void {
    this.dispatchEvent(new Event('ended'))
  }
}

describe('the page', () => {
  beforeEach(() => {
    vi.stubGlobal('Worker', InPlace)
  })
  const open = (search: string) => {
    history.replaceState(null, '', `/onload${search}`)
    return mount(OnLoadView)
  }
  afterEach(() => {
    vi.unstubAllGlobals()
    history.replaceState(null, '', '/')
  })

  it('answers as one types', async () => {
    const page = open('')
    const before = page.find('[data-sentence]').text()
    const curve = page.find('[data-curve="flown"]').attributes('d')
    await page.find('#on-load-fuel').setValue('9000')
    expect(page.find('[data-sentence]').text()).not.toBe(before)
    expect(page.find('[data-curve="flown"]').attributes('d')).not.toBe(curve)
    page.unmount()
  })

  it('shows nothing of an answer while a figure is refused, and marks the field', async () => {
    const page = open('')
    await page.find('#on-load-rate').setValue('0')
    for (const part of ['[data-sentence]', '[data-figure]', '[data-curve]', '.stops', 'details'])
      expect(page.find(part).exists(), part).toBe(false)
    const row = page.find('[data-path="/stationRate/value"]')
    expect(row.findAll('td').map((cell) => cell.text())).toEqual([
      'Station, lb/min',
      '0',
      '0.001 to 120 kg/s',
      'outside 0.001 to 120 kg/s'
    ])
    const field = page.find('#on-load-rate')
    expect(field.attributes('aria-invalid')).toBe('true')
    expect(row.attributes('id')).toBe(field.attributes('aria-describedby'))
    page.unmount()
  })

  it('shows no contact of a ship whose engines stop on the way, and says so first', async () => {
    const page = open('')
    await page.find('#on-load-fuel').setValue('3000')
    expect(page.find('[data-trouble]').text()).toMatch(/^The engines find no fuel on the way/)
    for (const part of ['[data-sentence]', '[data-figure]', '[data-curve]', '.stops', '.pieces'])
      expect(page.find(part).exists(), part).toBe(false)
    page.unmount()
  })

  it('names every breakpoint, the knee and the end, with the held way beside', () => {
    const page = open('')
    const points = page.findAll('.point').map((point) => point.attributes('aria-label') ?? '')
    expect(points.filter((told) => told.startsWith('disconnect'))).toHaveLength(1)
    expect(points.filter((told) => told.startsWith('Wing, knee'))).toHaveLength(1)
    expect(points.filter((told) => told.startsWith('with the hold')).length).toBeGreaterThan(0)
    expect(page.findAll('.point').every((point) => point.attributes('tabindex') === '0')).toBe(true)
    expect(page.find('[data-curve="held"]').exists()).toBe(true)
    expect(page.findAll('.stops tbody tr')).toHaveLength(answered(EXAMPLE).answer.stops.length)
    page.unmount()
  })

  it('says so when nothing works answers out', async () => {
    const page = open('')
    InPlace.made.at(-1)?.dispatchEvent(new Event('error'))
    await page.vm.$nextTick()
    expect(page.find('[role="alert"]').text()).toContain('Load the page again')
    expect(page.find('[data-sentence]').exists()).toBe(false)
    page.unmount()
  })

  it('takes what belongs to another type when it is chosen', async () => {
    const page = open('')
    await page.find('#on-load-type').setValue('osier')
    expect(page.text()).toContain('Centre tank')
    expect(page.find('[data-sentence]').exists()).toBe(true)
    page.unmount()
  })

  it('never says that anybody is cleared', () => {
    for (const sheet of RECEIVERS) {
      const page = open(searchOf(withType(EXAMPLE, sheet.id)))
      expect(page.text()).not.toMatch(/cleared/i)
      page.unmount()
    }
  })
})
