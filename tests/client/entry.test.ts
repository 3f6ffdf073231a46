import { mount } from '@vue/test-utils'
import { describe, expect, it } from 'vitest'
import { loadFlowed } from '../../client/flowed.ts'
import { labelsOf } from '../../client/labels.ts'
import EntryLine from '../../client/parts/EntryLine.vue'
import { useEntry } from '../../client/state/useEntry.ts'
import { vocabularyOf } from '../../client/vocabulary.ts'
import { ACTS, HELP, OTHERWISE } from '../../client/words/help.ts'
import { demoPlan } from '../../server/demo/plan.ts'
import type { RecordedAnswer } from '../../shared/contracts/answers.ts'
import { understand } from '../../shared/entry/understand.ts'
import type { Understanding, Unsent } from '../../shared/entry/understanding.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { KG_PER_LB } from '../../shared/units.ts'
import { MemoryEvent } from '../make/event.ts'

/* Constructed: the entry line by keyboard alone, on the board of the demonstration half an hour after its opening. */
const OPENS_AT_MS = Date.UTC(2031, 4, 6, 14)
const NOW_MS = OPENS_AT_MS + 30 * 60_000

const { state } = new MemoryEvent(demoPlan(OPENS_AT_MS))
const plan = state.plan
const view = estimate(state, NOW_MS)
if (plan === undefined || view === undefined) throw new Error('the demonstration has a plan and a picture')
const vocabulary = vocabularyOf(view, plan, labelsOf(plan), state)
const said = (line: string): Understanding => understand(line, vocabulary)

/** The line with something typed in it, as the page would show it. */
const typed = (line: string) => {
  const shown = mount(EntryLine, {
    props: {
      modelValue: line,
      understanding: said(line),
      outcome: undefined,
      'onUpdate:modelValue': (next: string) => void shown.setProps({ modelValue: next, understanding: said(next) })
    },
    attachTo: document.body
  })
  return shown
}
type Line = ReturnType<typeof typed>
const told = (line: Line) => line.find('[data-told]').text()
const press = (line: Line, key: string) => line.find('input').trigger('keydown', { key })
const enter = (line: Line) => line.find('form').trigger('submit')

describe('the entry line', () => {
  it('says what is understood before it is entered, in a status a screen reader speaks, with its time beside', () => {
    const line = typed('a1 72')
    expect(told(line)).toBe('Alder 1 has 7,200 lb total.')
    expect(line.find('[data-told]').attributes('role')).toBe('status')
    expect(line.find('[data-when]').text()).toBe('now')
    expect(typed('a1 72 at 1428').find('[data-when]').text()).toBe('14:28:00Z')
    expect(typed('alder 1 up').find('[data-when]').exists()).toBe(false)
  })

  it('has a name, and is told what its status says', () => {
    const line = typed('')
    const input = line.find('input')
    expect(line.find(`label[for="${input.attributes('id') ?? ''}"]`).text()).toBe('Entry line')
    expect(line.find(`#${input.attributes('aria-describedby') ?? ''}`).text()).toContain('Say help')
    expect(input.attributes('aria-expanded')).toBe('false')
  })

  it('enters what is understood, and nothing else: of a question it says why', async () => {
    const clear = typed('a1 72')
    await enter(clear)
    expect(clear.emitted('enter')).toHaveLength(1)
    const open = typed('a1 6')
    await enter(open)
    await enter(open)
    await enter(open)
    expect(open.emitted('enter')).toBeUndefined()
    expect(told(open)).toBe(
      'Nothing is recorded. Alder 1: 6 is open to more than one reading. Pick one by its number, or with the arrows and Enter.'
    )
    expect(open.find('button[type="submit"]').attributes('aria-disabled')).toBe('true')
    expect(clear.find('button[type="submit"]').attributes('aria-disabled')).toBe('false')
  })

  it('lets digits go on being typed, and pick only once it has asked back', async () => {
    const line = typed('a1 6')
    await press(line, '2')
    expect(line.emitted('update:modelValue')).toBeUndefined()
    await enter(line)
    await press(line, '2')
    expect(line.emitted('update:modelValue')).toEqual([['alder 1 6000 lb']])
    expect(line.emitted('enter')).toBeUndefined()
    expect(told(line)).toMatch(/^Alder 1 has 6,000 lb total\. Expected [\d,]+ lb to [\d,]+ lb: check it\.$/)
    await enter(line)
    expect(line.emitted('enter')).toHaveLength(1)
  })

  it('lets arrows mark a choice that Enter takes, and Escape go back to the line', async () => {
    const line = typed('s1 72')
    await press(line, 'ArrowDown')
    await press(line, 'ArrowDown')
    const options = line.findAll('[role="option"]')
    expect(options.map((option) => option.attributes('aria-selected'))).toEqual(['false', 'true'])
    expect(line.find('input').attributes('aria-activedescendant')).toBe(options[1]?.attributes('id'))
    await press(line, 'Escape')
    expect(line.findAll('[aria-selected="true"]')).toHaveLength(0)
    await press(line, 'ArrowUp')
    await enter(line)
    expect(line.emitted('update:modelValue')).toEqual([['squall 1 72']])
    expect(line.emitted('enter')).toBeUndefined()
  })

  it('offers what is near to a slip, and takes it only when it is picked', async () => {
    const line = typed('adler 1 7.2')
    expect(told(line)).toContain('Is this meant?')
    await line.find('[role="option"]').trigger('click')
    expect(line.emitted('update:modelValue')).toEqual([['alder 1 7.2']])
    expect(line.emitted('enter')).toBeUndefined()
  })

  it('tells of what was recorded its time, and remembers what was said of it', async () => {
    const sent: Unsent[] = []
    const entry = useEntry({
      vocabulary: () => vocabulary,
      record: (request) => {
        sent.push(request)
        return Promise.resolve({ facts: [{ seq: 7, atMs: NOW_MS }] } as unknown as RecordedAnswer)
      },
      act: () => undefined,
      setAside: () => undefined
    })
    await Promise.all([import('../../shared/entry/understand.ts'), loadFlowed()])
    entry.text.value = 'a1 72'
    await entry.enter()
    expect(sent).toEqual([{ kind: 'callFuel', shipId: 'alder-1', fuel: { value: 7200, unit: 'lb' }, covers: 'total' }])
    expect(entry.outcome.value).toEqual({ recorded: true, sentence: 'Alder 1 has 7,200 lb total.', atMs: NOW_MS })
    expect(entry.saidOf(7)).toBe('Alder 1 has 7,200 lb total.')
    expect(entry.text.value).toBe('')
    entry.text.value = 'a1 6'
    await entry.enter()
    expect(sent).toHaveLength(1)
    expect(entry.text.value).toBe('a1 6')
  })
})

describe('a line of two readings', () => {
  it('is asked about while one of them is still a question', () => {
    // In contact at one of two left pods, or left for Cresset Field.
    const means = said('a1 c left')
    expect(means.kind).toBe('ask')
    if (means.kind !== 'ask') return
    expect(means.choices.map(({ text }) => text)).toEqual([
      'alder 1 left cresset field',
      'alder 1 contact auger left pod',
      'alder 1 contact sorrel left pod'
    ])
    for (const { text } of means.choices) expect(said(text).kind, text).toBe('understood')
  })
})

describe('a disconnect', () => {
  const CONTACT_MS = OPENS_AT_MS + 40 * 60_000
  const event = new MemoryEvent(demoPlan(OPENS_AT_MS))
  expect(event.ask({ kind: 'makeContact', shipId: 'kelp-3' }, CONTACT_MS)).toBeUndefined()
  expect(event.ask({ kind: 'startFlow', shipId: 'kelp-3' }, CONTACT_MS + 10_000)).toBeUndefined()
  const meant = async (line: string, afterS: number) => {
    await loadFlowed()
    const then = estimate(event.state, CONTACT_MS + afterS * 1000)
    if (then === undefined) throw new Error('no picture')
    return understand(line, vocabularyOf(then, plan, labelsOf(plan), event.state))
  }

  it('asks where the clock is far from what is planned, and records what is picked as it is told', async () => {
    const open = await meant('kelp 3 d', 40)
    expect(open.kind).toBe('ask')
    if (open.kind !== 'ask') return
    expect(open.sentence).toMatch(/^Kelp 3 disconnect: 3,700 lb is planned, [\d,]+ lb has flowed by the clock\.$/)
    const [planned, byClock] = open.choices
    expect(await meant(planned?.text ?? '', 40)).toMatchObject({
      kind: 'understood',
      sentence: 'Kelp 3 disconnects with 3,700 lb; its contact was called late.',
      action: { request: { kind: 'disconnect', offLoad: { value: 3700, unit: 'lb' }, contactCalledLate: true } }
    })
    expect(await meant(byClock?.text ?? '', 40)).toMatchObject({
      kind: 'understood',
      action: { request: { kind: 'disconnect', shipId: 'kelp-3', how: 'whole' } }
    })
  })

  it('with what the ship would have is asked about, and with its off-load is not', async () => {
    const then = estimate(event.state, CONTACT_MS + 40_000)
    const slot = then?.slots.find((one) => one.shipId === 'kelp-3' && one.state === 'in contact')
    const afterS = ((slot?.disconnectAtMs ?? 0) - CONTACT_MS) / 1000
    const usableLb = (slot?.fuelAtDisconnectKg ?? 0) / KG_PER_LB
    const asked = await meant(`kelp 3 complete ${(usableLb / 1000).toFixed(1)}`, afterS)
    expect(asked.kind).toBe('ask')
    expect(asked.kind === 'ask' && asked.choices.at(-1)?.text).toMatch(/aboard$|by the clock$/)
    expect((await meant('kelp 3 complete 3.7', afterS)).kind).toBe('understood')
    expect((await meant('kelp 3 d', afterS)).kind).toBe('understood')
  })
})

describe('the help sheet', () => {
  it('gives only examples that are understood as they stand', () => {
    const examples = [...HELP, ...ACTS, ...OTHERWISE].flatMap(({ say }) => say.split(', '))
    expect(examples.length).toBeGreaterThan(60)
    const open = examples.filter((example) => said(example).kind !== 'understood')
    expect(open).toEqual([])
  })
})
