import { describe, expect, it, onTestFinished } from 'vitest'
import { killRows } from '../long/kills.ts'
import { removeFolders } from '../long/service.ts'

/** `npm run long -- kills` does the same two hundred times. */
const KILLS = 20

describe('a process that is killed without warning', () => {
  const seed = Date.now() % 1_000_000
  it(`has lost nothing it acknowledged and doubled nothing, killed ${String(KILLS)} times (seed ${String(seed)})`, async () => {
    onTestFinished(removeFolders)
    const { acknowledged, cutOff, ...rest } = await killRows({ kills: KILLS, seed })
    expect(rest).toMatchObject({ holds: true, kills: KILLS, lost: 0, doubled: 0, sameState: true })
    expect(acknowledged).toBeGreaterThan(KILLS)
    // Kills that cut nothing off would show nothing.
    expect(cutOff).toBeGreaterThan(0)
  }, 180_000)
})
