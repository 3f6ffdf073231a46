import { mount } from '@vue/test-utils'
import { describe, expect, it } from 'vitest'
import { clockText } from '../../client/figures.ts'
import { labelsOf } from '../../client/labels.ts'
import FuelLadder from '../../client/parts/FuelLadder.vue'
import PlanSlots from '../../client/parts/PlanSlots.vue'
import { fuelAt } from '../../client/pictures/ladder.ts'
import { answerLines } from '../../client/words/answer.ts'
import { verdict } from '../../client/words/plan.ts'
import { reasonWords, saidReason } from '../../client/words/reasons.ts'
import type { Plan } from '../../shared/contracts/plan.ts'
import { lineOf } from '../../shared/live/lines.ts'
import { pushesMet } from '../../shared/live/met.ts'
import { computeOrder } from '../../shared/plan/order.ts'
import { OPENS_AT_MS, paperPlan } from '../make/plan.ts'

/*
 * Constructed on the paper plan, no outside source: two ships of 2,500 kg take so much on a boom and wait there for a push
 * at 0.4 kg/s.
 */
const MIN = 60_000

function waits(takesKg: number, pushMin: number, startKg = 2500): Plan {
  return paperPlan((raw) => {
    const document = raw as unknown as {
      flights: [{ route: { id: string; onLoad?: unknown }[]; ships: { startFuel: unknown }[] }]
      pushGroups: [{ pushAtMs: number }]
    }
    const fill = document.flights[0].route.find(({ id }) => id === 'fill')
    if (fill) fill.onLoad = { kind: 'fixed', fuel: { value: takesKg, unit: 'kg' } }
    for (const ship of document.flights[0].ships) ship.startFuel = { value: startKg, unit: 'kg' }
    document.pushGroups[0].pushAtMs = OPENS_AT_MS + pushMin * MIN
  })
}

function shown(plan: Plan) {
  const view = computeOrder({ plan })
  if ('faults' in view) throw new Error(JSON.stringify(view.faults))
  const labels = labelsOf(plan)
  const said = (words: ReturnType<typeof verdict>['findings']) => saidReason(words)
  const pushes = answerLines(plan, view, labels, undefined).find(({ name }) => name === 'Pushes')
  return {
    view,
    labels,
    verdict: { ...verdict(view), words: said(verdict(view).findings) },
    pushes: { bad: pushes?.bad, words: pushes?.parts.map(({ words }) => said(words)) },
    reasons: view.reasons.map((reason) => said(reasonWords(reason, labels, 'kg')))
  }
}

describe('the fuel ladder of a ship that runs dry', () => {
  const plan = waits(400, 150)
  const { view, labels } = shown(plan)
  const dry = view.reasons.find(({ kind }) => kind === 'out of fuel')

  it('falls to nothing there, and says when in the picture and in its table', async () => {
    const line = lineOf(plan, dry?.shipId ?? '')
    const atMs = dry?.atMs ?? undefined
    if (!line || !dry || atMs === undefined) throw new Error('nobody runs dry')
    expect(line.emptyAtMs).toBeCloseTo(atMs, 3)
    expect(fuelAt(line.points, atMs - MIN, 'countedKg')).toBeCloseTo(24, 3)
    for (const minutes of [0, 1, 20]) expect(fuelAt(line.points, atMs + minutes * MIN)).toBeCloseTo(0, 6)
    const picture = mount(FuelLadder, { props: { plan, view, labels } })
    await picture.find('select').setValue(dry.shipId)
    const text = `runs out of fuel ${clockText(atMs)}`
    const mark = picture.find('[data-mark][data-working="runs out at"]')
    expect(mark.attributes('aria-label')).toContain(text)
    expect(picture.find('svg').text()).toContain(text)
    expect(picture.findAll('table tr.now td').map((cell) => cell.text())).toEqual([
      'runs out of fuel',
      clockText(atMs),
      '',
      ''
    ])
    const calm = waits(1000, 60)
    expect(mount(FuelLadder, { props: { plan: calm, view: shown(calm).view, labels } }).text()).not.toContain(
      'runs out'
    )
  })
})

describe('a push', () => {
  it('is met in time where every ship comes to it with what it requires', () => {
    const { verdict: answer, pushes, view } = shown(waits(1000, 60))
    expect(pushes).toEqual({ bad: false, words: ['met in time: 1 of 1'] })
    expect(answer.words).toContain('every push met in time')
    expect(view.reasons.filter(({ kind }) => kind === 'out of fuel')).toEqual([])
  })

  it('is not met by a ship that is dry before it, however punctual it is', () => {
    const { verdict: answer, pushes, view, labels, reasons } = shown(waits(400, 150))
    expect(view.pushes.every(({ lateS }) => lateS === 0)).toBe(true)
    const lacking = view.slots.toSorted((a, b) => b.shortageKg - a.shortageKg)
    expect(lacking[0]?.fuelAtPushKg).toBeLessThan(0)
    expect(pushes.bad).toBe(true)
    expect(pushes.words?.[0]).toBe('met in time: 0 of 1')
    expect(pushes.words?.[1]).toMatch(/^First push short: Alder 2\d by [\d,]+ kg, and 1 more$/)
    expect(answer.works).toBe(false)
    expect(answer.words).toContain('0 of 1 pushes met in time')
    expect(answer.words).toContain('2 ships run out of fuel on the way')
    expect(answer.words).not.toContain('every push')
    expect(reasons[0]).toMatch(/^Alder 2\d runs out of fuel at \d\d:\d\d:\d\dZ on its planned way, before its push\./)
    const table = mount(PlanSlots, { props: { view, labels } }).text()
    expect(table.match(/runs out before push/g)).toHaveLength(2)
  })

  it('is counted by what each ship holds, to the five kilograms of the judge', () => {
    const { view } = shown(waits(1000, 60))
    const [first, ...others] = view.slots
    if (!first) throw new Error('no slot')
    const lacking = (shortageKg: number) =>
      pushesMet({ ...view, slots: [{ ...first, shortageKg }, ...others] })[0]?.isMet
    expect([0, 4.9, 5, 500].map(lacking)).toEqual([true, true, false, false])
    const state = (one: 'missed' | 'gone') => ({ ...first, shortageKg: 500, state: one })
    expect(pushesMet({ ...view, slots: [state('missed'), ...others] })[0]?.isMet).toBe(true)
    const deserted = pushesMet({
      ...view,
      slots: [state('missed'), ...others.map((slot) => ({ ...slot, state: 'gone' as const }))]
    })
    expect(deserted[0]).toMatchObject({ isMet: false, isDeserted: true, short: [] })
  })
})
