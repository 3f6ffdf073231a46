import { flushPromises, mount } from '@vue/test-utils'
import { describe, expect, it } from 'vitest'
import PlanFile from '../../client/parts/PlanFile.vue'
import { publishQuestion } from '../../client/publish.ts'
import { labelsOf } from '../../client/labels.ts'
import { demoPlan } from '../../server/demo/plan.ts'
import type { Plan } from '../../shared/contracts/plan.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { emptyState } from '../../shared/live/state.ts'

/* Constructed: the demonstration, and the same with pushes so early that they cannot be met. */

const demo = demoPlan(Date.UTC(2031, 4, 6, 9))
const asked = (plan: Plan): string => {
  const view = estimate({ ...emptyState('publish'), plan, revision: 1 }, plan.opensAtMs)
  if (!view) throw new Error('no view')
  return publishQuestion(view, labelsOf(plan), 3)
}

describe('publishing', () => {
  it('asks nothing of a plan that works', () => {
    expect(asked(demo)).toBe('')
  })

  it('names the worst of a plan that does not, and how much more there is', () => {
    const early = demo.pushGroups.map((group) => ({ ...group, pushAtMs: group.pushAtMs - 1_800_000 }))
    const question = asked({ ...demo, pushGroups: early })
    expect(question).toMatch(/^Revision 3 does not work\. [A-Z].*\. \d+ more problems?\. Publish it all the same\?$/)
  })

  it('goes on only by a second answer, and leads the keys to the one that changes nothing', async () => {
    const file = mount(PlanFile, {
      props: { exportAddress: '/', mayPlan: true, plan: demo, revision: 3, published: 2, question: '' },
      attachTo: document.body
    })
    const button = (name: string) => file.findAll('button').find((one) => one.text() === name)
    await button('Publish revision 3')?.trigger('click')
    expect([file.emitted('ask'), file.emitted('publish')]).toEqual([[[]], undefined])
    await file.setProps({ question: 'Revision 3 does not work. Publish it all the same?' })
    await flushPromises()
    expect(document.activeElement?.textContent).toBe('Do not publish')
    await button('Do not publish')?.trigger('click')
    expect([file.emitted('drop'), file.emitted('publish')]).toEqual([[[]], undefined])
    await file.setProps({ question: '' })
    await flushPromises()
    expect(document.activeElement?.textContent).toBe('Publish revision 3')
    await file.setProps({ question: 'Revision 3 does not work. Publish it all the same?' })
    await button('Publish all the same')?.trigger('click')
    expect(file.emitted('publish')).toEqual([[]])
    file.unmount()
  })
})
