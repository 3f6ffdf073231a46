import vue from '@vitejs/plugin-vue'
import { defineConfig } from 'vitest/config'

// A zone with a 45-minute offset and daylight saving: local time that leaks into a figure shows at once.
process.env['TZ'] = 'Pacific/Chatham'

const e2e = 'tests/e2e/**/*.test.ts'
const client = 'tests/client/**/*.test.ts'
const long = 'tests/long/**/*.test.ts'

// `vitest run --mode long` runs only the long tests; they are no part of `npm test`.
export default defineConfig(({ mode }) => ({
  test: {
    projects:
      mode === 'long'
        ? [{ test: { name: 'long', include: [long], testTimeout: 600_000 } }]
        : [
            {
              test: {
                name: 'unit',
                include: ['tests/**/*.test.ts'],
                exclude: [e2e, client, long]
              }
            },
            { plugins: [vue()], test: { name: 'client', include: [client], environment: 'happy-dom' } },
            {
              test: {
                name: 'e2e',
                include: [e2e],
                testTimeout: 60_000,
                hookTimeout: 120_000,
                // One browser at a time, after the quick tests: two cores are enough to run everything.
                maxWorkers: 1,
                fileParallelism: false,
                sequence: { groupOrder: 1 }
              }
            }
          ]
  }
}))
