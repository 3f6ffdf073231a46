// A thread run from the sources: Node 20 reads no TypeScript by itself. Where what was built is of these very sources it
// is run instead, since it is there in a quarter of the time.
import { workerData } from 'node:worker_threads'
import { isFresh } from '../../build.mjs'

const module = workerData?.module ?? 'thread'
if (isFresh()) {
  await import(`../../dist/server/work/${module}.js`)
} else {
  const { register } = await import('tsx/esm/api')
  register()
  await import(`./${module}.ts`)
}
