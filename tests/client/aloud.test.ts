import { mount } from '@vue/test-utils'
import { afterEach, describe, expect, it, vi } from 'vitest'
import AloudLines from '../../client/parts/AloudLines.vue'
import TankerLine from '../../client/parts/TankerLine.vue'
import { aloud, spokenCallSign, spokenNumber, spokenTime, tankerAloud } from '../../client/words/aloud.ts'
import { labels, slotView, viewOf } from './fixture.ts'

const view = viewOf()
const [tanker] = view.tankers
if (!tanker) throw new Error('the fixture has no tanker')

describe('numbers as they are said', () => {
  // Source: ICAO Annex 10 Volume II, 5.2.1.4.1.1 and .2 with their examples, from memory: each digit by itself; whole
  // hundreds and thousands by the digits of their number and the word; both together likewise.
  it.each([
    [10, 'one zero'],
    [75, 'seven five'],
    [583, 'five eight three'],
    [600, 'six hundred'],
    [5000, 'five thousand'],
    [7600, 'seven thousand six hundred'],
    [11_000, 'one one thousand'],
    [18_900, 'one eight thousand nine hundred'],
    [38_143, 'three eight one four three'],
    [0, 'zero']
  ])('%i', (whole, said) => {
    expect(spokenNumber(whole)).toBe(said)
  })

  it('says a time digit by digit, up to the next whole minute, over midnight', () => {
    expect(spokenTime(Date.UTC(2031, 4, 17, 14, 32))).toBe('one four three two')
    expect(spokenTime(Date.UTC(2031, 4, 17, 14, 31, 1))).toBe('one four three two')
    expect(spokenTime(Date.UTC(2031, 4, 17, 23, 59, 30))).toBe('zero zero zero zero')
  })

  it('says the digits of a call sign one by one', () => {
    expect(spokenCallSign('Alder 21')).toBe('Alder two one')
    expect(spokenCallSign('Alder21')).toBe('Alder two one')
  })
})

describe('the lines of a tanker', () => {
  it('are who is on, who is next, and which station takes nobody new', () => {
    const slots = view.slots.map((slot) => (slot.shipId === 'alder-22' ? { ...slot, state: 'planned' as const } : slot))
    expect(tankerAloud(tanker, slots, labels, 'lb').map(({ text }) => text)).toEqual([
      'Alder two one, in contact on Kelp boom, expects disconnect at one two zero three.',
      'Alder two two, next on Kelp boom, after Alder two one, four five one zero, expects contact at one two zero six.',
      'Kelp port hose suspect, nobody new.'
    ])
  })

  it('say the on-load as it is shown, and that it is of internal fuel alone where the order says so', () => {
    const slot = slotView({ shipId: 'alder-21', internalsOnly: true, onLoadKg: 45 * 45.359237 })
    expect(aloud({ callSign: 'Alder 21' }, slot, labels, 'lb')).toContain(
      'four thousand five hundred, internal fuel only'
    )
    expect(aloud({ callSign: 'Alder 21' }, { ...slot, state: 'done' }, labels, 'lb')).toBeUndefined()
  })

  it('open by a button of the tanker, which names it', async () => {
    const line = mount(TankerLine, {
      props: { tanker, slots: view.slots, nowMs: view.atMs, unit: 'lb', labels, mayOrder: false, holder: undefined },
      global: { stubs: { AloudLines } }
    })
    const button = line.find('button[aria-label="Read out Kelp"]')
    expect(button.attributes('aria-expanded')).toBe('false')
    await button.trigger('click')
    expect(button.attributes('aria-expanded')).toBe('true')
    await vi.waitFor(() => {
      expect(line.find('[data-aloud]').text()).toContain('Alder two one, in contact on Kelp boom')
    })
  })
})

describe('a line to read', () => {
  const lines = [{ id: 'one', text: 'Alder two one, next.' }]
  afterEach(() => {
    vi.unstubAllGlobals()
  })
  const button = (part: ReturnType<typeof mount>, name: string) =>
    part.findAll('button').find((one) => one.text() === name)

  it('is copied whole; where no page may copy it is marked instead', async () => {
    const writeText = vi.fn(() => Promise.resolve())
    vi.stubGlobal('navigator', { clipboard: { writeText } })
    const part = mount(AloudLines, { props: { lines, name: 'Kelp' }, attachTo: document.body })
    await button(part, 'Copy')?.trigger('click')
    expect(writeText).toHaveBeenCalledWith('Alder two one, next.')
    await vi.waitFor(() => {
      expect(button(part, 'Copied')).toBeDefined()
    })
    vi.stubGlobal('navigator', {})
    await button(part, 'Copied')?.trigger('click')
    await vi.waitFor(() => {
      expect(button(part, 'Marked: copy it with the keys')).toBeDefined()
    })
    expect(getSelection()?.toString()).toBe('Alder two one, next.')
    part.unmount()
  })

  it('is said by the browser and stopped by the same button; without a voice there is no button', async () => {
    expect(button(mount(AloudLines, { props: { lines, name: 'Kelp' } }), 'Speak')).toBeUndefined()
    const speak = vi.fn()
    const cancel = vi.fn()
    vi.stubGlobal(
      'SpeechSynthesisUtterance',
      class {
        constructor(readonly text: string) {}
      }
    )
    vi.stubGlobal('speechSynthesis', { speak, cancel })
    const part = mount(AloudLines, { props: { lines, name: 'Kelp' } })
    await button(part, 'Speak')?.trigger('click')
    expect(speak).toHaveBeenCalledWith(expect.objectContaining({ text: 'Alder two one, next.' }))
    await button(part, 'Stop')?.trigger('click')
    expect(cancel).toHaveBeenCalledTimes(2)
    expect(button(part, 'Speak')).toBeDefined()
  })
})
