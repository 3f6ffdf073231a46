import { mount } from '@vue/test-utils'
import { describe, expect, it } from 'vitest'
import FigureMark from '../../client/parts/FigureMark.vue'
import { abortText, contactText, fuelNowText, marginText, onLoadText, slackText } from '../../client/figures.ts'
import { expressionText, quantityText, shownText, sourceText } from '../../client/words/working.ts'
import type { Working } from '../../shared/working/paper.ts'
import { viewOf } from './fixture.ts'

/* No outside source: how a working is written, and that its last line is written as the screen writes the figure. */

const view = viewOf()
const mass = (value: number) => ({ kind: 'mass', value }) as const
const span = (value: number) => ({ kind: 'span', value }) as const
const instant = (value: number) => ({ kind: 'instant', value }) as const

describe('the last line of a working', () => {
  it('is written as the screens write the figure', () => {
    const [ship] = view.ships
    const slot = view.slots[1]
    if (!ship?.margin || !slot) throw new Error('the fixture has a ship with a margin, and two slots')
    expect(shownText('margin', span(ship.margin.marginS), 'lb')).toBe(marginText(ship))
    expect(shownText('fuel', mass(ship.fuelKg), 'lb', 100)).toBe(fuelNowText(ship, 'lb'))
    expect(shownText('abort', mass(ship.abortKg ?? NaN), 'lb')).toBe(abortText(ship, 'lb'))
    expect(shownText('contact', instant(slot.contactAtMs), 'lb')).toBe(contactText(slot))
    expect(shownText('on-load', mass(slot.onLoadKg), 'lb')).toBe(onLoadText(slot, 'lb'))
    expect(shownText('slack', span(slot.slackS ?? NaN), 'lb')).toBe(slackText(slot))
  })
})

describe('what stands above it', () => {
  it('is written nearer than a screen does, in the units of the trade', () => {
    expect(quantityText(mass(1000), 'lb')).toBe('2,204.6 lb')
    expect(quantityText({ kind: 'flow', value: 0.5 }, 'kg')).toBe('30.0 kg/min')
    expect(quantityText(span(-61.26), 'lb')).toBe('\u221201:01.3')
    expect(quantityText({ kind: 'speed', value: 1852 / 36 }, 'lb')).toBe('100.0 kt')
    expect(quantityText({ kind: 'distance', value: 18_520 }, 'lb')).toBe('10.0 nmi')
  })

  it('says who said it, and when, as it was typed', () => {
    const typed = { value: 6400, unit: 'lb' }
    const atMs = Date.UTC(2031, 4, 6, 13, 5, 9)
    expect(sourceText({ from: 'called', atMs, seq: 7, typed })).toBe('called 13:05:09Z, 6,400 lb')
    expect(sourceText({ from: 'by hand', atMs, seq: 7, typed })).toBe('by hand 13:05:09Z, 6,400 lb')
    expect(sourceText({ from: 'plan', typed: { value: 1.5, unit: 'min' } })).toBe('plan, 1.5 min')
    expect(sourceText({ from: 'assumed' })).toBe('assumed')
  })

  it('puts brackets where the order of the arithmetic needs them', () => {
    const working: Working = {
      rule: 'fuel',
      inputs: [mass(600), mass(100), { kind: 'flow' as const, value: 2 }].map((quantity) => ({
        name: 'a figure',
        quantity,
        source: { from: 'computed' as const }
      })),
      lines: [],
      result: mass(0)
    }
    const left = { operation: 'subtract', of: [{ input: 0 }, { input: 1 }] } as const
    const time = { operation: 'divide', of: [left, { input: 2 }] } as const
    expect(expressionText(time, working, 'kg')).toBe('(600.0 kg \u2212 100.0 kg) \u00f7 120.0 kg/min')
    expect(expressionText({ operation: 'greatest', of: [{ number: 0 }, left] }, working, 'kg')).toBe(
      'greatest of (0; 600.0 kg \u2212 100.0 kg)'
    )
  })
})

describe('a mark', () => {
  it('says what it opens, and is no button where there is no figure', () => {
    const mark = mount(FigureMark, { props: { figure: 'contact', of: 'slot-1', text: '13:05:09Z' } })
    expect(mark.find('button').attributes()).toMatchObject({
      'aria-label': 'contact 13:05:09Z, show working',
      'data-working': 'contact',
      'data-of': 'slot-1'
    })
    const none = mount(FigureMark, { props: { figure: 'contact', of: 'slot-1', text: 'none' } })
    expect(none.find('button').exists()).toBe(false)
    expect(none.text()).toBe('none')
  })
})
