import { existsSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { describe, expect, it } from 'vitest'
import { AREAS } from '../truth/registry.ts'
import { NUMBERS_FILE, numbersDocument } from './numbers.ts'

describe('docs/numbers.md', () => {
  const document = numbersDocument()

  it('is what the code says: run `npm run numbers` after changing a docblock', () => {
    expect(readFileSync(NUMBERS_FILE, 'utf8')).toBe(document)
  })

  it('names only tests that are there', () => {
    const named = [...new Set(document.match(/tests\/[\w./-]+\.(?:ts|json)/g))]
    expect(named.length).toBeGreaterThan(10)
    const missing = named.filter((file) => !existsSync(fileURLToPath(new URL(`../../${file}`, import.meta.url))))
    expect(missing).toEqual([])
  })

  it('has the formula, source, range and worst error of every area of published values', () => {
    for (const area of AREAS) {
      const row = document.split('\n').find((line) => line.startsWith(`| ${area} |`))
      expect(row?.split(' | ').length, area).toBe(7)
      expect(row, area).toMatch(/\d+ of \d+ \| (below 1e-11 in all|0 in all|[\d.e-]+ of [\d.e-]+ allowed)/)
    }
  })
})
