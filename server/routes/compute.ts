import { onLoadAnswer } from '../../shared/contracts/answers.ts'
import { onLoadBody, orderBody } from '../../shared/contracts/requests.ts'
import { view } from '../../shared/contracts/view.ts'
import { computeOnLoad } from '../../shared/plan/onload.ts'
import type { App, Door } from '../app.ts'
import { at } from '../auth/guard.ts'
import { takeText } from '../json.ts'
import { addressOf } from '../limits.ts'
import { Problem } from '../problem.ts'
import { bodyBy } from '../validation.ts'
import { TooBusy, type Computed } from '../work/computer.ts'
import { REFUSALS, sendText } from './answers.ts'
import { PLAN_BYTES } from './plans.ts'

const BUSY_S = 5

/** Figures for anyone, from what is sent and nothing else: no event, no link, nothing kept. */
export async function registerCompute(app: App, { computer }: Pick<Door, 'computer'>): Promise<void> {
  app.route({
    ...at('computeOnLoad'),
    schema: { body: onLoadBody, response: { 200: onLoadAnswer, ...REFUSALS } },
    handler: (request) => {
      const computed = computeOnLoad(request.body)
      if (!('faults' in computed)) return computed
      throw new Problem('plan-refused', { errors: computed.faults, errorCount: computed.faults.length })
    }
  })

  // The text goes to the computing thread as it came: reading four megabytes is work too.
  await app.register((texts: App) => {
    takeText(texts)
    texts.route({
      ...at('computeOrder'),
      bodyLimit: PLAN_BYTES,
      validatorCompiler: bodyBy((text) => ({ value: text })),
      schema: { body: orderBody, response: { 200: view, ...REFUSALS } },
      handler: async (request, reply) => {
        const text: unknown = request.body
        const computed = await unlessBusy(computer.order(typeof text === 'string' ? text : '', addressOf(request)))
        if (!('view' in computed)) throw new Problem(computed.code, computed.details)
        return sendText(reply, computed.view)
      }
    })
  })
}

async function unlessBusy(computing: Promise<Computed>): Promise<Computed> {
  try {
    return await computing
  } catch (error) {
    throw error instanceof TooBusy ? new Problem('busy', {}, BUSY_S) : error
  }
}
