// Silence is the passing state: whatever a test prints through the console makes that test fail.
// Nothing but this rule belongs here; fixtures stand beside the tests that use them.
import { format } from 'node:util'
import { afterEach } from 'vitest'

const METHODS = ['log', 'info', 'warn', 'error', 'debug', 'trace', 'dir', 'table'] as const
let printed: string | undefined

for (const method of METHODS) {
  console[method] = (...words: unknown[]): void => {
    printed ??= `console.${method} was called: ${format(...words)}. Hand in a logger, or return the words.`
    throw new Error(printed)
  }
}

// A throw can be swallowed by the code under test, so the first one is thrown again at the end of the test.
afterEach(() => {
  const words = printed
  printed = undefined
  if (words !== undefined) throw new Error(words)
})
