import vue from '@vitejs/plugin-vue'
import { defineConfig } from 'vitest/config'

// A zone with a 45-minute offset and daylight saving: local time that leaks into a figure shows at once.
process.env['TZ'] = 'Pacific/Chatham'

const e2e = 'tests/e2e/**/*.test.ts'
const client = 'tests/client/**/*.test.ts'

export default defineConfig({
  test: {
    projects: [
      {
        test: {
          name: 'unit',
          include: ['tests/**/*.test.ts'],
          exclude: [e2e, client]
        }
      },
      { plugins: [vue()], test: { name: 'client', include: [client], environment: 'happy-dom' } },
      {
        test: {
          name: 'e2e',
          include: [e2e],
          testTimeout: 60_000,
          hookTimeout: 120_000,
          // Two browsers at a time, after the quick tests: one waits while the other works.
          maxWorkers: 2,
          sequence: { groupOrder: 1 }
        }
      }
    ]
  }
})
