import { existsSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'

const root = new URL('../../', import.meta.url)
const document = readFileSync(new URL('SECURITY.md', root), 'utf8')
const rows = [...document.matchAll(/^\| (V\S+) \| (.+) \| `([^`]+)` \| (.+) \|$/gm)]

describe('SECURITY.md', () => {
  it('has thirty requirements or more, each once, in the order of the standard', () => {
    const ids = rows.map(([, id = '']) => id)
    expect(ids.length).toBeGreaterThanOrEqual(30)
    // A line of the table that was not read would be one that nothing checks.
    expect(document.match(/^\| V/gm)).toHaveLength(ids.length)
    expect(new Set(ids).size).toBe(ids.length)
    const place = (id: string) =>
      id
        .slice(1)
        .split('.')
        .reduce((sum, part) => sum * 100 + Number(part), 0)
    expect(ids).toEqual(ids.toSorted((a, b) => place(a) - place(b)))
    for (const id of ids) expect(id).toMatch(/^V\d{1,2}\.\d{1,2}\.\d{1,2}$/)
  })

  it.each(rows.map(([, id, , file, test]) => [id, file, test]))(
    '%s is shown by a test of %s',
    (_, file = '', test = '') => {
      const place = new URL(file, root)
      expect(existsSync(place), file).toBe(true)
      const titles = [
        ...readFileSync(place, 'utf8').matchAll(/(?:\b(?:it|describe)|\))\(\s*(?:'((?:[^'\\]|\\.)+)'|`([^`]+)`)/g)
      ]
      const found = titles.map(([, plain, templated]) => (plain ?? templated ?? '').replace(/^%\w /, ''))
      expect(found).toContain(test)
    }
  )
})
