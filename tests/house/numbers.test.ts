import { existsSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { describe, expect, it } from 'vitest'
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
})
