// A thread that dies of whatever it is asked.
import { parentPort } from 'node:worker_threads'

parentPort.on('message', () => {
  throw new Error('a fault')
})
parentPort.postMessage('ready')
