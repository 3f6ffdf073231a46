import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { FACT_KINDS, REQUEST_KINDS } from '../../shared/contracts/kinds.ts'
import { anyFact } from '../../shared/contracts/facts.ts'
import { anyRequest } from '../../shared/contracts/requests.ts'
import { MAY_ASK } from '../../shared/live/permissions.ts'

const document = readFileSync(new URL('../../docs/facts.md', import.meta.url), 'utf8')
const rows = document.split('\n').filter((line) => line.startsWith('| ') && !line.startsWith('| fact |'))

describe('docs/facts.md', () => {
  it('has a row for every kind of fact and for nothing else', () => {
    const named = rows.flatMap((row) => (row.split('|')[1] ?? '').split(',').map((name) => name.trim()))
    expect(named.sort()).toEqual([...FACT_KINDS].sort())
  })

  it('names every request, and says who may ask it as the permissions do', () => {
    for (const kind of REQUEST_KINDS) {
      if (kind === 'adoptPlan') continue
      const row = rows.find((line) => new RegExp(`\\b${kind}\\b`).test(line.split('|')[3] ?? ''))
      expect(row, kind).toBeDefined()
      for (const role of ['crew', 'coordinator', 'commander'] as const) {
        expect((row?.split('|')[4] ?? '').includes(role), `${kind} by ${role}`).toBe(MAY_ASK[kind].includes(role))
      }
    }
  })
})

describe('the kinds written for pages', () => {
  it('are those of the schemas', () => {
    expect(anyFact.options.map((option) => option.shape.kind.value).sort()).toEqual([...FACT_KINDS].sort())
    const asked = anyRequest.options.map((option) => option.shape.kind.value)
    expect([...asked, 'adoptPlan'].sort()).toEqual([...REQUEST_KINDS].sort())
  })
})
