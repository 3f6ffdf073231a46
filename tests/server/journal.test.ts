import { describe, expect, it } from 'vitest'
import { Journal } from '../../server/live/journal.ts'
import type { Batch, Store } from '../../server/store/store.ts'
import { eventId } from '../../shared/contracts/ids.ts'

/** A journal whose store tells how many batches each commit had. */
function watched() {
  const commits: number[] = []
  const append = (batches: readonly Batch[]): Promise<void> => {
    commits.push(batches.length)
    return Promise.resolve()
  }
  const journal = new Journal({ append } as unknown as Store)
  const kept: number[] = []
  const ask = (index: number): void => {
    journal.append({
      batch: { eventId: eventId.parse('e-1'), facts: [], outcome: undefined as never },
      kept: () => kept.push(index),
      lost: (error) => {
        throw error
      }
    })
  }
  /** One in each turn of the loop, so many in a row. */
  const stream = async (turns: number): Promise<void> => {
    for (let turn = 0; turn < turns; turn++) {
      ask(turn)
      await new Promise(setImmediate)
    }
    await journal.drained()
  }
  return { commits, kept, stream }
}

describe('commits', () => {
  it('are shared by turns of the loop that each bring more', async () => {
    const { commits, kept, stream } = watched()
    await stream(3)
    expect(commits).toEqual([3])
    expect(kept).toEqual([0, 1, 2])
  })

  it('are for one alone as soon as a turn brings nothing more', async () => {
    const { commits, stream } = watched()
    await stream(1)
    await stream(1)
    expect(commits).toEqual([1, 1])
  })

  it('wait for no more than eight turns, whatever these bring', async () => {
    const { commits, kept, stream } = watched()
    await stream(30)
    expect(Math.max(...commits)).toBeLessThanOrEqual(9)
    expect(kept).toEqual(Array.from({ length: 30 }, (_, index) => index))
  })
})
