// Loaded before the server: on SIGUSR2 it says how late its event loop has been since it was asked last, in ms.
import { monitorEventLoopDelay } from 'node:perf_hooks'
import { isMainThread } from 'node:worker_threads'

if (isMainThread) {
  const resolutionMs = 1
  const delay = monitorEventLoopDelay({ resolution: resolutionMs })
  delay.enable()
  // The histogram has the spans between two looks: what they are meant to be is no delay.
  const late = (ns) => Math.max(0, ns / 1e6 - resolutionMs)
  process.on('SIGUSR2', () => {
    console.log(`loop delay ${late(delay.percentile(50))} ${late(delay.percentile(99))} ${late(delay.max)}`)
    delay.reset()
  })
}
