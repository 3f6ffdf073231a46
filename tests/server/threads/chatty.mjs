// A thread that finds five hundred better orders in one breath, and goes on searching.
import { parentPort } from 'node:worker_threads'

parentPort.on('message', () => {
  for (let number = 1; number <= 500; number += 1) {
    parentPort.postMessage({ kind: 'better', proposal: JSON.stringify({ number }), seq: 2 })
  }
})
