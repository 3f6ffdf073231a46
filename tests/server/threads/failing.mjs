// A thread that finds something and then hits a fault.
import { parentPort } from 'node:worker_threads'

parentPort.on('message', () => {
  parentPort.postMessage({ kind: 'better', proposal: '{"from":"failing"}', seq: 2 })
  throw new Error('a fault')
})
