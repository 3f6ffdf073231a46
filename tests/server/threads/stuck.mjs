// A thread that finds something and then neither ends nor looks whether it is to stop.
import { parentPort } from 'node:worker_threads'

parentPort.on('message', () => {
  parentPort.postMessage({ kind: 'better', proposal: '{"from":"stuck"}', seq: 2 })
  for (;;);
})
