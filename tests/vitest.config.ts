// How the tests run: everything that needs no browser first, the walks through a real browser after it.
// No test and no shared fixture lives here.
import { fileURLToPath } from 'node:url'
import { defineConfig } from 'vitest/config'

const root = fileURLToPath(new URL('..', import.meta.url))
const never = ['**/node_modules/**', 'tests/bench/**', 'web/dist/**', 'data/**']

export default defineConfig({
  root,
  test: {
    pool: 'forks',
    maxWorkers: 2,
    // Node calls the stripping of types and its own store experimental, and says so in every worker.
    execArgv: ['--disable-warning=ExperimentalWarning'],
    projects: [
      {
        extends: true,
        test: {
          name: 'core',
          include: ['tests/**/*.test.ts'],
          exclude: [...never, 'tests/walks/**'],
          setupFiles: ['tests/setup.ts'],
          testTimeout: 120_000,
          hookTimeout: 120_000,
          sequence: { groupOrder: 0 },
        },
      },
      {
        extends: true,
        test: {
          name: 'walks',
          include: ['tests/walks/**/*.test.ts'],
          exclude: never,
          setupFiles: ['tests/setup.ts'],
          // One browser at a time: two of them on two cores slow each other into time-outs.
          fileParallelism: false,
          testTimeout: 120_000,
          hookTimeout: 120_000,
          sequence: { groupOrder: 1 },
        },
      },
    ],
  },
})
