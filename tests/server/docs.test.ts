import { execFile } from 'node:child_process'
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import { describe, expect, it, onTestFinished } from 'vitest'
import { readConfig } from '../../server/config.ts'
import { openSqlite } from '../../server/store/sqlite/file.ts'
import { PROBLEMS } from '../../shared/contracts/problem.ts'
import { BEAT_MS, SILENCE_MS } from '../../shared/contracts/stream.ts'
import { newFolder } from './service.ts'

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

  it('has a backup line with the data folder of the unit, and one that fails harms no copy', async () => {
    const text = read('operate.md')
    const unit = /^Environment=(.+)$/m.exec(text)?.[1] ?? ''
    const dataDir = /\bDATA_DIR=(\S+)/.exec(unit)?.[1]
    expect(`/var/lib/${/^StateDirectory=(.+)$/m.exec(text)?.[1] ?? ''}`).toBe(dataDir)
    const line = /^0 2 \* \* \* (.+)$/m.exec(text)?.[1] ?? ''
    expect(line.startsWith(`cd ${/^WorkingDirectory=(.+)$/m.exec(text)?.[1] ?? ''} && `)).toBe(true)
    expect([...line.matchAll(/\bDATA_DIR=(\S+)/g)].map(([, dir]) => dir)).toEqual([dataDir])

    const folder = newFolder()
    const [data, copies] = [join(folder, 'data'), join(folder, 'copies')]
    mkdirSync(data)
    mkdirSync(copies)
    const store = openSqlite(join(data, 'ullage.sqlite'))
    onTestFinished(() => store.close())
    // As cron has it: an escaped % is a %.
    const root = fileURLToPath(new URL('../..', import.meta.url))
    const here = (as: string) =>
      line
        .replaceAll('\\%', '%')
        .replace('/srv/ullage', root)
        // What the script of that name runs, once it is built.
        .replace('npm run --silent backup --', `"${process.execPath}" dist/server/commands/main.js backup`)
        .replace(dataDir ?? '', as)
        .replaceAll('/backup/', `${copies}/`)
    const run = (as: string) => promisify(execFile)('/bin/sh', ['-c', here(as)], { env: { PATH: process.env['PATH'] } })
    await run(data)
    const [name = ''] = readdirSync(copies)
    expect(name).toMatch(/^ullage-[1-7]\.sqlite$/)
    writeFileSync(join(copies, name), 'last week')
    await expect(run(join(folder, 'nothing here'))).rejects.toThrow()
    expect([readdirSync(copies), readFileSync(join(copies, name), 'utf8')]).toEqual([[name], 'last week'])
    await run(data)
    expect(readdirSync(copies)).toEqual([name])
    expect(readFileSync(join(copies, name)).subarray(0, 15).toString()).toBe('SQLite format 3')
  }, 60_000)

  it('has a proxy that puts the address it sees in place of what a caller claims', () => {
    const block = /^server \{\n[^]+?^\}$/m.exec(read('operate.md'))?.[0] ?? ''
    const told = rows(block, /^ *proxy_set_header X-Forwarded-For (.+);$/gm)
    expect(told).toEqual([['$remote_addr']])
    expect(block).toContain('proxy_pass http://127.0.0.1:')
    // The proxy on the same machine is believed.
    expect(readConfig({})).toMatchObject({ trustedProxies: ['loopback'] })
  })

  it('gives the beat and the silence of the contract', () => {
    expect(read('operate.md')).toContain(`| beat | every ${String(BEAT_MS / 1000)} s |`)
    expect(read('operate.md')).toContain(`${String(SILENCE_MS / 1000)} s without an answer to a beat`)
  })
})
