import { mount } from '@vue/test-utils'
import { describe, expect, it } from 'vitest'
import { nextTick } from 'vue'
import TankPicture from '../../client/parts/TankPicture.vue'
import { receiverParts, ruleParts, tankerParts } from '../../client/pictures/sheet.ts'
import { tankRun, tanksAt } from '../../client/pictures/tanks.ts'
import TypesView from '../../client/views/TypesView.vue'
import { defaultText, fieldText, typedText } from '../../client/words/types.ts'
import { DEFAULT_FIGURES } from '../../shared/library/defaults.ts'
import { library } from '../../shared/library/library.ts'

/* Constructed: the library is invented. What is asked: that the picture follows the feed, and every figure has its basis. */
const { receivers, tankers, rules } = library()
const typeOf = (id: string) => {
  const type = receivers.find((one) => one.id === id)
  if (!type) throw new Error(`no type ${id}`)
  return type
}
const all = (id: string) => typeOf(id).groups.flatMap((group) => (group.place === 'external' ? [group.id] : []))

describe('the tanks of a type over time', () => {
  it('lose what is burned and nothing else, down to nothing usable, whatever the type', () => {
    for (const type of receivers) {
      for (const externals of ['selected', 'held'] as const) {
        const run = tankRun({ type, fitted: all(type.id), externals, flow: 'transit' })
        const start = tanksAt(run, 0)
        expect(start.totalKg, type.id).toBeCloseTo(start.capacityKg, 6)
        for (const share of [0.25, 0.5, 0.9]) {
          const now = tanksAt(run, share * run.endS)
          expect(start.totalKg - now.totalKg, type.id).toBeCloseTo(run.burnKgPerS * share * run.endS, 3)
          expect(now.bars.reduce((kg, bar) => kg + bar.quantityKg, 0)).toBeCloseTo(now.totalKg, 6)
        }
        const end = tanksAt(run, run.endS)
        const held = end.bars.reduce((kg, bar) => kg + (bar.external && externals === 'held' ? bar.usableKg : 0), 0)
        expect(end.usableKg - held, type.id).toBeLessThan(1)
      }
    }
  })

  it('are emptied in the order they stand in: externals first, the feed group last', () => {
    const run = tankRun({ type: typeOf('maple'), fitted: all('maple'), externals: 'selected', flow: 'transit' })
    const { bars } = tanksAt(run, 60)
    expect(bars.map(({ name, does }) => [name, does])).toEqual([
      ['Belly tank', 'gives'],
      ['Wing', 'silent'],
      ['Body', 'waits'],
      ['Feed', 'to the engines']
    ])
    const dry = run.events.flatMap(({ kind, group }) =>
      kind === 'group dry' ? (run.sheet.groups[group]?.name ?? '') : []
    )
    expect(dry).toEqual(['Belly tank', 'Wing', 'Body', 'Feed'])
  })

  it('keep held externals, and an internal gauge that does not see them', () => {
    const run = tankRun({ type: typeOf('osier'), fitted: all('osier'), externals: 'held', flow: 'loiter' })
    const { bars, gaugeKg, totalKg } = tanksAt(run, run.endS / 2)
    const [tank] = bars
    expect(tank).toMatchObject({ name: 'Centre tank', does: 'held' })
    expect(tank?.quantityKg).toBe(tank?.capacityKg)
    expect(totalKg - gaugeKg).toBeCloseTo(tank?.quantityKg ?? NaN, 6)
  })

  it('move with the slider, by keys and to what happens on the way', async () => {
    const page = mount(TankPicture, { props: { type: typeOf('maple') }, attachTo: document.body })
    const total = () => page.find('[data-total]').text()
    const full = total()
    await page.find('input[type="range"]').trigger('keydown', { key: 'ArrowRight' })
    expect(page.find('[data-time]').text()).toBe('01:00')
    expect(total()).not.toBe(full)
    const dry = page.findAll('.events button').find((button) => button.text().includes('Belly tank dry'))
    await dry?.trigger('click')
    expect(dry?.attributes('aria-current')).toBe('true')
    expect(page.find('[data-group="maple-belly-tank"] [data-does]').text()).toBe('dry')
    await page.find('[data-externals]').setValue('held')
    await page.find('input[type="range"]').trigger('keydown', { key: 'ArrowLeft' })
    expect(page.find('[data-group="maple-belly-tank"] [data-does]').text()).toBe('held')
    page.unmount()
  })
})

describe('the sheet of a type', () => {
  it('has a name in words and a basis for every figure of every type, of the rules and of the defaults', () => {
    const parts = [...receivers.flatMap(receiverParts), ...tankers.flatMap(tankerParts), ...ruleParts(rules)]
    const figures = parts.flatMap((part) => part.figures)
    expect(figures.length).toBeGreaterThan(250)
    for (const { field, basis } of figures) {
      expect(basis, field).toBeDefined()
      expect(fieldText(field), field).not.toMatch(/[A-Z]|undefined/)
    }
    for (const one of DEFAULT_FIGURES) expect(defaultText(one)).not.toBe('')
  })

  it('says a fill rate that is left out, as it is made up for, beside its basis', () => {
    const part = receiverParts(typeOf('larch')).find(({ name }) => name === 'Wing tank')
    const rate = part?.figures.find(({ field }) => field === 'groups fillRate')
    // A quarter of 700 + 1700 + 2 x 290 lb/min, over two tanks.
    expect(rate?.value).toBeCloseTo((0.25 * (700 + 1700 + 580) * 0.45359237) / 2, 6)
    expect(rate?.basis?.kind).toBe('common practice')
  })

  it('writes a figure as it was typed', () => {
    expect(typedText(17500, 'lb/h')).toBe('17,500 lb/h')
    expect(typedText(1.06, '')).toBe('1.06')
    expect(typedText(2.5, 'USgal')).toBe('2.5 USgal')
    expect(typedText(10, '%')).toBe('10 %')
  })

  it('is the one that the address names, the first where it names none', async () => {
    location.hash = ''
    const page = mount(TypesView)
    expect(page.find('article').attributes('data-type')).toBe('larch')
    for (const { id } of [...receivers, ...tankers]) {
      location.hash = `#${id}`
      window.dispatchEvent(new Event('hashchange'))
      await nextTick()
      expect(page.find('article').attributes('data-type')).toBe(id)
      expect(page.findAll('[aria-current="page"]')).toHaveLength(1)
      expect(page.findAll('[data-figure-row]').length).toBe(page.findAll('[data-basis]').length)
      for (const row of page.findAll('[data-figure-row]'))
        expect(row.text()).toMatch(/(?:published|common practice|assumed): \S/)
    }
    location.hash = '#rules'
    window.dispatchEvent(new Event('hashchange'))
    await nextTick()
    expect(page.text()).toContain('published')
    expect(page.text()).toContain('OPNAVINST 3710.7')
    page.unmount()
    location.hash = ''
  })
})
