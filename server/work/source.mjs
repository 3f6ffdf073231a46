// A thread run from the sources: Node 20 reads no TypeScript by itself.
import { workerData } from 'node:worker_threads'
import { register } from 'tsx/esm/api'

register()
await import(`./${workerData?.module ?? 'thread'}.ts`)
