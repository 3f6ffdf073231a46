// A thread that never answers.
import { parentPort } from 'node:worker_threads'

parentPort.on('message', () => undefined)
parentPort.postMessage('ready')
