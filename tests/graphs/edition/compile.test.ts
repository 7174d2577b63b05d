// The compiler: the library as it stands compiles, and every kind of broken file is refused with file, line and mend.
// What editions mean is not tested here.
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { compileLibrary } from '#graphs/author'
import type { LibraryProblem, SourceFile } from '#graphs/author'
import { readLibrary } from '../../../server/commands/edition.ts'

const library = readLibrary()

function withFile(path: string, change: (text: string) => string): SourceFile[] {
  return library.map((file) => (file.path === path ? { path, text: change(file.text) } : file))
}

function problemsOf(files: readonly SourceFile[]): readonly LibraryProblem[] {
  const result = compileLibrary(files)
  if (result.ok) return []
  return result.problem.details?.problems as LibraryProblem[]
}

describe('the library', () => {
  test('compiles, and the same files give the same edition', () => {
    const [first, second] = [compileLibrary(library, 1), compileLibrary(library.toReversed(), 1)]
    expect(first.ok && second.ok).toBe(true)
    expect(JSON.stringify(first)).toBe(JSON.stringify(second))
  })

  test('leaves no constant open and no placeholder unknown', () => {
    const result = compileLibrary(library, 1)
    if (!result.ok) throw new Error(result.problem.message)
    const text = JSON.stringify(
      Object.values(result.value.blocks).filter((block) => block.id.includes('~') || !JSON.stringify(block).includes('{{')),
    )
    expect(text).not.toContain('{{')
  })
})

describe('a broken library file', () => {
  const path = 'procedures/water-clear.yaml'
  test.each<[string, (text: string) => string, RegExp]>([
    ['that is not YAML', (text) => `${text}\n  : : [`, /./],
    ['with an unknown field', (text) => text.replace('    kind: ask', '    knd: ask'), /knd|kind/],
    ['with an arrow to a step that does not exist', (text) => text.replace('exit:clear', 'exit:cleer'), /leads to "exit:cleer"/],
    ['with an unknown effect', (text) => text.replace('effects: [water-clear', 'effects: [water-cleer'), /no effect/],
    ['without a reason why', (text) => text.replace(/\n {4}why:.*(\n {6}.*)*/, ''), /has no `why:`/],
    ['named other than its file', (text) => text.replace('block: water-clear', 'block: water-clean'), /is named|does not exist/],
  ])('%s is refused with file and line', (_name, change, words) => {
    const problems = problemsOf(withFile(path, change))
    expect(problems.length).toBeGreaterThan(0)
    const found = problems.find((problem) => words.test(problem.message))
    expect(found, JSON.stringify(problems)).toBeDefined()
    expect(problems.every((problem) => problem.line >= 1)).toBe(true)
  })

  test('says the likely mend', () => {
    const problems = problemsOf(withFile(path, (text) => text.replace('exit:clear', 'exit:cleer')))
    expect(problems.some((problem) => problem.mend?.includes('"clear"'))).toBe(true)
  })

  test('that is missing altogether is named where it was called', () => {
    const problems = problemsOf(library.filter((file) => file.path !== path))
    expect(problems.some((problem) => problem.message.includes('no block "water-clear"'))).toBe(true)
  })

  test('with a loop that nothing bounds is refused', () => {
    const problems = problemsOf(
      withFile('procedures/make-dead.yaml', (text) => text.replace(', again: { most: 1, then: exit:cannot-lock }', '')),
    )
    expect(problems.some((problem) => problem.message.includes('without `again:`'))).toBe(true)
  })

  test('with a part fitted without evidence is refused', () => {
    const problems = problemsOf(
      withFile('procedures/board-replacement.yaml', (text) => text.replace(/one_of:[\s\S]*?\n(\s+)(all_of|rivals)/, 'one_of: []\n$1$2')),
    )
    expect(problems.some((problem) => problem.message.includes('without evidence'))).toBe(true)
  })

  test('never throws, whatever stands in it', () => {
    fc.assert(
      fc.property(fc.string(), fc.constantFrom(...library.map((file) => file.path)), (text, name) => {
        const result = compileLibrary(withFile(name, () => text))
        return !result.ok
      }),
      { numRuns: 25, verbose: true },
    )
  })
})
