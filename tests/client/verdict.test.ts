import { mount } from '@vue/test-utils'
import { afterEach, describe, expect, it } from 'vitest'
import { demoPlan } from '../../server/demo/plan.ts'
import { labelsOf } from '../../client/labels.ts'
import PlanDemand from '../../client/parts/PlanDemand.vue'
import PlanVerdict from '../../client/parts/PlanVerdict.vue'
import { answerLines } from '../../client/words/answer.ts'
import { saidReason } from '../../client/words/reasons.ts'
import type { Plan } from '../../shared/contracts/plan.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { emptyState } from '../../shared/live/state.ts'

/* The answer of a plan over a draft with faults, and one whose tankers give nothing: constructed from the demonstration. */

const demo = demoPlan(Date.UTC(2031, 4, 17, 13))
const viewOf = (plan: Plan) => {
  const view = estimate({ ...emptyState('verdict'), plan, revision: 1 }, plan.opensAtMs)
  if (!view) throw new Error('no view')
  return view
}
const view = viewOf(demo)

const wrappers: { unmount: () => void }[] = []
afterEach(() => {
  for (const wrapper of wrappers.splice(0)) wrapper.unmount()
})
const shown = (faulty: InstanceType<typeof PlanVerdict>['$props']['faulty']) => {
  const wrapper = mount(PlanVerdict, {
    props: { view, labels: labelsOf(demo), rested: undefined, losses: undefined, faulty },
    attachTo: document.body
  })
  wrappers.push(wrapper)
  return wrapper
}

describe('the answer of a plan', () => {
  it('of a draft with faults says that they are not judged, how many they are, and leads to the first', async () => {
    let went = 0
    const go = () => (went += 1)
    const wrapper = shown({ count: 3, isWrong: true, first: 'Bases, Adze Field, Closes', go })
    const heading = wrapper.get('h2')
    expect(heading.text()).toBe('3 cells are wrong or missing: whether the draft works is not known.')
    expect(heading.classes()).toContain('now')
    expect(heading.find('svg').exists()).toBe(true)
    expect(wrapper.get('[data-last-sound]').text()).toMatch(
      /^Everything below is of the last draft without a fault\. It works: nobody past latest contact/
    )
    await wrapper.get('[data-first-fault]').trigger('click')
    expect([wrapper.get('[data-first-fault]').text(), went]).toEqual(['Bases, Adze Field, Closes', 1])
    expect(shown({ count: 1, isWrong: false, first: 'Event, Opens', go }).get('h2').classes()).toContain('soon')
  })

  it('of a draft without faults is the answer itself', () => {
    const wrapper = shown(undefined)
    expect(wrapper.get('h2').text()).toMatch(/^It works: /)
    expect(wrapper.find('[data-last-sound]').exists()).toBe(false)
  })

  it('of tankers that give nothing says so, and asks for no number of them', () => {
    const dry = {
      ...demo,
      tankers: demo.tankers.map((tanker) => ({ ...tanker, mostTransferable: { value: 0, unit: 'lb' as const } }))
    }
    const [line] = answerLines(dry, viewOf(dry), labelsOf(dry), undefined)
    const said = line?.parts.map(({ words }) => saidReason(words)) ?? []
    expect(said.length).toBeGreaterThan(0)
    for (const one of said) expect(one).toMatch(/^(?:boom|drogue): nothing to give aboard its \d+ tankers?, .*give/)
    const table = mount(PlanDemand, { props: { plan: dry, labels: labelsOf(dry) } })
    wrappers.push(table)
    expect(table.get('[data-method] td.now').text()).toBe('no number is enough')
  })
})
