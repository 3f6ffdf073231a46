import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { ROOT } from '../../server/root.ts'
import type { Fuzzed } from '../server/schemas.test.ts'
import { newFolder } from './service.ts'

interface Report {
  testResults: { assertionResults: { status: string; failureMessages: string[]; meta: { fuzzed?: Fuzzed } }[] }[]
}

/** The requests that `npm test` makes from the schemas, only more of them, by the same test. */
export async function fuzzRows({ requests }: { requests: number }) {
  const report = join(newFolder(), 'report.json')
  const args = ['run', '--project', 'unit', 'tests/server/schemas.test.ts', '-t', 'by any link', '--reporter=json']
  const child = spawn(
    process.execPath,
    [join(ROOT, 'node_modules', 'vitest', 'vitest.mjs'), ...args, `--outputFile=${report}`],
    { cwd: ROOT, env: { ...process.env, FUZZ_REQUESTS: String(requests) }, stdio: ['ignore', 2, 2] }
  )
  await once(child, 'close')
  const { testResults } = JSON.parse(readFileSync(report, 'utf8')) as Report
  const results = testResults.flatMap(({ assertionResults }) => assertionResults)
  const result = results.find(({ meta }) => meta.fuzzed !== undefined)
  const fuzzed = result?.meta.fuzzed
  for (const message of result?.failureMessages ?? []) console.error(message)
  // A request that fails is made smaller and smaller, so there may be more of them than were asked for.
  return { holds: result?.status === 'passed' && fuzzed?.requests === requests, ...fuzzed }
}
