// The style of the house as a test: every rule is held against the tree, and against planted files that break it.
// The rules stand in tests/tidy/; what each of them guards against is seen best in tests/tidy/planted.ts.
import { fileURLToPath } from 'node:url'
import { describe, expect, test } from 'vitest'
import { PLANTED } from './tidy/planted.ts'
import type { Planted } from './tidy/planted.ts'
import { RULES } from './tidy/rules.ts'
import type { RuleName } from './tidy/rules.ts'
import { createTree, readTree } from './tidy/tree.ts'

const tree = readTree(fileURLToPath(new URL('..', import.meta.url)))
const names = Object.keys(RULES) as RuleName[]

function breachesOf(rule: RuleName, planted: Planted): string[] {
  return RULES[rule](createTree(planted)).map((breach) => `${breach.path}:${breach.line}: ${breach.message}`)
}

describe('the tree', () => {
  test('is read from the disk', () => {
    const paths = tree.files.map((file) => file.path)
    expect(paths).toContain('graphs/errors.ts')
    expect(paths).toContain('.ci/run')
    expect(paths).toContain('tests/tidy.test.ts')
    expect(paths.filter((path) => path.startsWith('node_modules'))).toEqual([])
  })

  test.each(names)('%s', (name) => {
    expect(RULES[name](tree).map((breach) => `${breach.path}:${breach.line}: ${breach.message}`)).toEqual([])
  })
})

describe.each(names)('the rule "%s"', (name) => {
  test.each(Object.entries(PLANTED[name].bad))('sees the planted breach: %s', (_what, planted) => {
    expect(breachesOf(name, planted)).not.toEqual([])
  })

  test.each(Object.entries(PLANTED[name].good))('leaves in peace: %s', (_what, planted) => {
    expect(breachesOf(name, planted)).toEqual([])
  })
})

test('a breach names its file and its line', () => {
  const planted = { 'graphs/trade/a.ts': `// The boiling point is 100 °C.\n// Nothing else.\nexport const at = Date.now()\n` }
  expect(breachesOf('graphs has no clock, chance, network, disk or screen', planted)).toEqual([
    'graphs/trade/a.ts:3: Date.now is not for graphs/: take `now` as an argument.',
  ])
})

test('every rule has a planted breach and a good file', () => {
  for (const name of names) {
    expect(Object.keys(PLANTED[name].bad), name).not.toHaveLength(0)
    expect(Object.keys(PLANTED[name].good), name).not.toHaveLength(0)
  }
})
