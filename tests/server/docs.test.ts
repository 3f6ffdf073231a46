import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { readConfig } from '../../server/config.ts'
import { PROBLEMS } from '../../shared/contracts/problem.ts'
import { BEAT_MS, SILENCE_MS } from '../../shared/contracts/stream.ts'

const read = (file: string): string => readFileSync(new URL(`../../docs/${file}`, import.meta.url), 'utf8')
const rows = (text: string, pattern: RegExp): string[][] => [...text.matchAll(pattern)].map((found) => found.slice(1))

describe('docs/problems.md', () => {
  it('explains each code of the closed list once, with its status, and no other', () => {
    const documented = rows(read('problems.md'), /^\| `([a-z-]+)` \| (\d{3}) \| .+ \| .+ \|$/gm)
    const listed = Object.entries(PROBLEMS).map(([code, [status]]) => [code, String(status)])
    expect(documented.toSorted()).toEqual(listed.toSorted())
    expect(documented.length).toBeGreaterThan(40)
  })

  it('names no code elsewhere that is not on the list', () => {
    const named = rows(read('operate.md') + read('problems.md'), /`([a-z]+-[a-z-]+)`/g).flat()
    const known = new Set<string>([...Object.keys(PROBLEMS), 'ullage'])
    expect(named.filter((word) => !known.has(word))).toEqual([])
  })
})

describe('docs/operate.md', () => {
  it('has every setting with its default', () => {
    const documented = rows(read('operate.md'), /^\| `([A-Z_]+)` \| [^|]+ \| ([^|]+) \| .+ \|$/gm)
    const defaults = Object.fromEntries(documented.map(([name = '', value = '']) => [name, value.replaceAll('`', '')]))
    expect(defaults).toEqual({
      PORT: '8080',
      HOST: '127.0.0.1',
      DATA_DIR: 'data',
      PUBLIC_URL: 'none',
      DEMO: 'on',
      SEARCH_THREADS: 'auto',
      SEARCH_LIMIT_S: '120',
      KEEP_DAYS: 'all',
      LOG_LEVEL: 'warn',
      RATE_LIMITS: 'on',
      TRUSTED_PROXIES: 'loopback'
    })
    const { PUBLIC_URL, ...given } = defaults
    expect(PUBLIC_URL).toBe('none')
    expect(readConfig(given)).toEqual(readConfig({}))
  })

  it('gives the beat and the silence of the contract', () => {
    expect(read('operate.md')).toContain(`| beat | every ${String(BEAT_MS / 1000)} s |`)
    expect(read('operate.md')).toContain(`${String(SILENCE_MS / 1000)} s without an answer to a beat`)
  })
})
