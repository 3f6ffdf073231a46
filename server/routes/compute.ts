import { onLoadAnswer } from '../../shared/contracts/answers.ts'
import type { Fault } from '../../shared/contracts/problem.ts'
import { onLoadBody, orderBody } from '../../shared/contracts/requests.ts'
import { view } from '../../shared/contracts/view.ts'
import { computeOnLoad } from '../../shared/plan/onload.ts'
import { computeOrder } from '../../shared/plan/order.ts'
import type { App } from '../app.ts'
import { at } from '../auth/guard.ts'
import { Problem } from '../problem.ts'
import { REFUSALS } from './answers.ts'
import { PLAN_BYTES } from './plans.ts'

/** Figures for anyone, from what is sent and nothing else: no event, no link, nothing kept. */
export function registerCompute(app: App): void {
  app.route({
    ...at('computeOnLoad'),
    schema: { body: onLoadBody, response: { 200: onLoadAnswer, ...REFUSALS } },
    handler: (request) => unlessFaulty(computeOnLoad(request.body))
  })

  app.route({
    ...at('computeOrder'),
    bodyLimit: PLAN_BYTES,
    schema: { body: orderBody, response: { 200: view, ...REFUSALS } },
    handler: (request) => unlessFaulty(computeOrder(request.body))
  })
}

function unlessFaulty<Answer extends object>(computed: Answer | { faults: Fault[] }): Answer {
  if (!('faults' in computed)) return computed
  throw new Problem('plan-refused', { errors: computed.faults, errorCount: computed.faults.length })
}
