import { executionAsyncResource } from 'node:async_hooks'
import { setFlagsFromString } from 'node:v8'

/** Kept for its shape alone. */
const kept = new Set<object>()

/** How the engine below us is set, before there is anything to do. */
export function tuneEngine(): void {
  /*
   * Garbage may be half of what is in use before it is looked for. Left to itself the engine lets it grow to several times
   * that on a large machine, over a quarter of an hour, and nobody could tell it from a leak.
   */
  setFlagsFromString('--heap-growing-percent=50')
  /*
   * Whatever node puts off to the end of a step, some six times a request, is an object of one shape. Where garbage is looked
   * for at an instant at which there is none, the engine forgets the shape, and builds all that follow in its slowest way, for
   * good. One that is never let go keeps the shape.
   */
  process.nextTick(() => {
    kept.add(executionAsyncResource())
  })
}
