import { parentPort } from 'node:worker_threads'
import { orderBody } from '../../shared/contracts/requests.ts'
import { computeOrder } from '../../shared/plan/order.ts'
import { readJson } from '../json.ts'
import { misfit, Problem } from '../problem.ts'
import type { Asked, Computed, FromComputing } from './computer.ts'
import { readPlanBody } from './reading.ts'

/* The computing thread: reads a document, judges it where that is asked, answers. Nothing of one is there for the next. */

const say = (message: FromComputing): void => parentPort?.postMessage(message)

parentPort?.on('message', (asked: Asked) => {
  say(computed(asked))
})
say('ready')

function computed({ what, text }: Asked): Computed {
  try {
    return { json: JSON.stringify(what === 'order' ? viewOf(text) : readPlanBody(what, text)) }
  } catch (error) {
    if (!(error instanceof Problem)) throw error
    return { code: error.code as 'bad-request', details: error.details }
  }
}

function viewOf(text: string): unknown {
  const input = readJson(text)
  const body = orderBody.safeParse(input)
  if (!body.success) throw misfit(body.error, input)
  const answer = computeOrder(body.data)
  if (!('faults' in answer)) return answer
  throw new Problem('plan-refused', { errors: answer.faults, errorCount: answer.faults.length })
}
