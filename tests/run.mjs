// What `npm test` runs: builds when needed, runs every test project, ends with one line: N passed, N failed, N skipped.
import '../node.mjs'
import { buildWhenStale } from '../build.mjs'
import { spawnSync } from 'node:child_process'
import { mkdirSync, readFileSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'

const root = fileURLToPath(new URL('..', import.meta.url))
const cacheDir = join(root, 'node_modules', '.cache')
const report = join(cacheDir, 'test-report.json')

/** Ends the run. Whoever reads only the last line must see a failure there, so a failure outside any test counts as one. */
function finish({ passed, failed, skipped }, reason) {
  if (reason !== undefined) console.log(`\n${reason}`)
  const failures = reason === undefined ? failed : Math.max(failed, 1)
  process.exitCode = failures > 0 ? 1 : 0
  console.log(`${passed} passed, ${failures} failed, ${skipped} skipped`)
}

async function runTests() {
  const none = { passed: 0, failed: 0, skipped: 0 }
  if (!(await buildWhenStale())) return finish(none, 'The build failed; no test was run.')

  mkdirSync(cacheDir, { recursive: true })
  rmSync(report, { force: true })
  const vitest = join(root, 'node_modules', 'vitest', 'vitest.mjs')
  const args = [vitest, 'run', '--reporter=default', '--reporter=json', `--outputFile.json=${report}`]
  const { status, signal } = spawnSync(process.execPath, [...args, ...process.argv.slice(2)], {
    cwd: root,
    stdio: 'inherit'
  })

  const files = readReport()
  if (files === undefined) return finish(none, `vitest left no report (${signal ?? `exit code ${status}`}).`)
  const tests = files.flatMap((file) => file.assertionResults)
  const counts = {
    passed: tests.filter((test) => test.status === 'passed').length,
    // A file that cannot be loaded has no tests to count.
    failed:
      tests.filter((test) => test.status === 'failed').length +
      files.filter(
        (file) => file.status === 'failed' && !file.assertionResults.some((test) => test.status === 'failed')
      ).length,
    skipped: tests.filter((test) => test.status !== 'passed' && test.status !== 'failed').length
  }
  if (tests.length === 0) return finish(counts, 'No test was run.')
  if (status !== 0 && counts.failed === 0) return finish(counts, 'vitest failed outside the tests; see above.')
  finish(counts)
}

function readReport() {
  try {
    return JSON.parse(readFileSync(report, 'utf8')).testResults
  } catch {
    return undefined
  }
}

await runTests()
