import { parentPort } from 'node:worker_threads'
import { orderBody } from '../../shared/contracts/requests.ts'
import { computeOrder } from '../../shared/plan/order.ts'
import { readJson } from '../json.ts'
import { misfit, Problem } from '../problem.ts'
import type { Computed, FromComputing } from './computer.ts'

/* The computing thread: reads a document, judges it, answers. Nothing of one document is there for the next. */

const say = (message: FromComputing): void => parentPort?.postMessage(message)

parentPort?.on('message', (text: string) => {
  say(computed(text))
})
say('ready')

function computed(text: string): Computed {
  try {
    const input = readJson(text)
    const body = orderBody.safeParse(input)
    if (!body.success) throw misfit(body.error, input)
    const answer = computeOrder(body.data)
    if (!('faults' in answer)) return { view: JSON.stringify(answer) }
    throw new Problem('plan-refused', { errors: answer.faults, errorCount: answer.faults.length })
  } catch (error) {
    if (!(error instanceof Problem)) throw error
    return { code: error.code as 'bad-request', details: error.details }
  }
}
