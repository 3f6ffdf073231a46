import { onLoadAnswer } from '../../shared/contracts/answers.ts'
import { onLoadBody, orderBody } from '../../shared/contracts/requests.ts'
import { view } from '../../shared/contracts/view.ts'
import { computeOnLoad } from '../../shared/plan/onload.ts'
import type { App, Door } from '../app.ts'
import { at } from '../auth/guard.ts'
import { takeText } from '../json.ts'
import { addressOf } from '../limits.ts'
import { Problem } from '../problem.ts'
import { asText } from '../validation.ts'
import { unlessBusy } from './busy.ts'
import { REFUSALS, sendText } from './answers.ts'
import { PLAN_BYTES } from './plans.ts'

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
      validatorCompiler: asText,
      schema: { body: orderBody, response: { 200: view, ...REFUSALS } },
      handler: async (request, reply) => {
        const text: unknown = request.body
        const asked = { what: 'order', text: typeof text === 'string' ? text : '' } as const
        return sendText(reply, await unlessBusy(computer.ask(asked, addressOf(request))))
      }
    })
  })
}
