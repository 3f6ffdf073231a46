import vue from '@vitejs/plugin-vue'
import { availableParallelism } from 'node:os'
import { defineConfig } from 'vitest/config'

// A zone with a 45-minute offset and daylight saving: local time that leaks into a figure shows at once.
process.env['TZ'] = 'Pacific/Chatham'

const e2e = 'tests/e2e/**/*.test.ts'
const client = 'tests/client/**/*.test.ts'

/*
 * The files of a project share their workers, so that each worker loads the sources once and not once a file: a test
 * leaves no module changed. By itself vitest would leave one core idle, of two every other. Projects come one after the
 * other, since a worker serves one of them only. A test that hangs is ended; a slow machine is no fault.
 */
const quick = {
  isolate: false,
  maxWorkers: availableParallelism(),
  testTimeout: 30_000,
  hookTimeout: 60_000,
  // Most of what a test makes is soon gone: with more room for it less of it is copied about, in MiB.
  execArgv: ['--max-semi-space-size=64']
}

export default defineConfig({
  test: {
    projects: [
      {
        test: {
          ...quick,
          name: 'unit',
          include: ['tests/**/*.test.ts'],
          exclude: [e2e, client],
          sequence: { groupOrder: 0 }
        }
      },
      {
        plugins: [vue()],
        test: {
          ...quick,
          name: 'client',
          include: [client],
          environment: 'happy-dom',
          setupFiles: 'tests/client/setup.ts',
          sequence: { groupOrder: 1 }
        }
      },
      {
        test: {
          name: 'e2e',
          include: [e2e],
          // Its files share a browser too, see tests/browser.ts.
          isolate: false,
          testTimeout: 60_000,
          hookTimeout: 120_000,
          // Two browsers at a time: one waits while the other works.
          maxWorkers: 2,
          sequence: { groupOrder: 2 }
        }
      }
    ]
  }
})
