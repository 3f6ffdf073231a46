import { describe, expect, it } from 'vitest'
import { firstLoad } from './bundle.ts'

/* The aim of the first load, compressed and without fonts; no outside source. */
const MOST_BYTES = 90_000

describe.each([
  ['board', 'BoardView'],
  ['slot', 'SlotView'],
  ['plan', 'PlanView']
])('the first load of the %s', (_, view) => {
  const files = firstLoad(['MemberView', view])
  const list = files
    .toSorted((a, b) => b.gzipBytes - a.gzipBytes)
    .map(({ name, gzipBytes }) => `${String(gzipBytes).padStart(7)} ${name}`)
    .join('\n')
  const bytes = files.reduce((sum, { gzipBytes }) => sum + gzipBytes, 0)

  it('is at most 90 kB compressed, without fonts', () => {
    console.log(`${view}, ${String(bytes)} bytes compressed:\n${list}`)
    expect(files.some(({ name }) => name.startsWith(`${view}-`) && name.endsWith('.css'))).toBe(true)
    expect(bytes, list).toBeLessThanOrEqual(MOST_BYTES)
  })

  it('has no schema in it', () => {
    const sources = files.flatMap((file) => file.sources)
    expect(sources.some((source) => source.includes('/client/') || source.includes('views/'))).toBe(true)
    expect(sources.filter((source) => source.includes('node_modules/zod/'))).toEqual([])
  })
})
