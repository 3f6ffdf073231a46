import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import type { Fact } from '../../shared/contracts/facts.ts'
import { demoPlan } from '../../server/demo/plan.ts'
import { changed, changesOf, inputsOf, movedResult, resultsOf, type Input } from './inputs.ts'

/*
 * No dead inputs: every number of the plan document, changed a little in the demonstration, moves a named result.
 * An input that moves nothing is deleted from the contract.
 */
const log = readFileSync(new URL('../logs/four-shores.jsonl', import.meta.url), 'utf8')
  .trim()
  .split('\n')
  .map((line) => JSON.parse(line) as Fact)
const AT_MINUTES = [30, 50, 76, 80, 92]
const document: unknown = JSON.parse(JSON.stringify(demoPlan(log[0]?.atMs ?? 0)))
const before = [...resultsOf(document, log, AT_MINUTES)]

const byName = new Map<string, Input[]>()
for (const input of inputsOf(document)) byName.set(input.name, [...(byName.get(input.name) ?? []), input])

/** The first change of any instance that leaves a plan and moves a figure of it. */
function moves(inputs: readonly Input[]): string | undefined {
  for (const input of inputs) {
    for (const value of changesOf(input)) {
      const moved = movedResult(before, resultsOf(changed(document, input.path, value), log, AT_MINUTES))
      if (moved !== undefined) return `${input.path.join('/')} moves ${moved}`
    }
  }
  return undefined
}

describe('every number of the plan', { timeout: 120_000 }, () => {
  it('is walked: the demonstration has more than sixty kinds of them', () => {
    expect(byName.size).toBeGreaterThan(60)
    expect(before.reduce((sum, part) => sum + part.size, 0)).toBeGreaterThan(5000)
    expect(before).toHaveLength(2 + AT_MINUTES.length)
    // What is compared here finds nothing between a plan and itself.
    expect(movedResult(before, resultsOf(structuredClone(document), log, AT_MINUTES))).toBeUndefined()
  })

  it.each([...byName.keys()])('%s moves a named result', (name) => {
    expect(moves(byName.get(name) ?? [])).toMatch(/ moves /)
  })
})
