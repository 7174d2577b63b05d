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

/** Nine times nine times nine ... of one letter, in five lines. */
function bomb(): string {
  const rows = ['a: &a [x, x, x, x, x, x, x, x, x]']
  for (const [name, of] of ['ba', 'cb', 'dc', 'ed'])
    rows.push(`${name}: &${name} [${Array.from({ length: 9 }, () => `*${of}`).join(', ')}]`)
  return rows.join('\n')
}

describe('a broken library file', () => {
  const path = 'procedures/water-clear.yaml'
  test.each<[string, (text: string) => string, RegExp]>([
    ['that is not YAML', (text) => `${text}\n  : : [`, /./],
    ['with an unknown field', (text) => text.replace('    kind: ask', '    knd: ask'), /knd|kind/],
    ['with an arrow to a step that does not exist', (text) => text.replace('exit:clear', 'exit:cleer'), /leads to "exit:cleer"/],
    ['with an unknown effect', (text) => text.replace('effects: [water-clear', 'effects: [water-cleer'), /no effect/],
    ['without a reason why', (text) => text.replace(/\n {4}why:.*(\n {6}.*)*/, ''), /has no `why:`/],
    ['named other than its file', (text) => text.replace('block: water-clear', 'block: water-clean'), /is named|does not exist/],
    ['indented with a tab', (text) => text.replace('    kind: ask', '\tkind: ask'), /with a tab: use spaces/],
    ['that says a thing twice', (text) => text.replace('    kind: ask', '    kind: ask\n    kind: do'), /same thing twice/],
    ['of two documents', (text) => `${text}\n---\na: 1\n`, /second document/],
    ['with an alias to nothing', (text) => text.replace('kind: ask', 'kind: *nobody'), /anchor that is not there/],
    ['that unfolds without end', () => bomb(), /too often through aliases/],
    ['of fifty million characters', () => 'x'.repeat(50_000_000), /1000000 is the most/],
    ['that is empty', () => '', /is not a table of names and values/],
    ['with a name for every object', (text) => text.replace('    kind: ask', '    kind: ask\n    __proto__: { a: 1 }'), /nothing reads/],
    ['with a number for a text', (text) => text.replace('title: Is everybody clear?', 'title: 5'), /steps\.clear\.title is not text/],
    ['without a kind', (text) => text.replace(/\n {4}kind: ask/, ''), /kind is missing: one of ask, read/],
  ])('%s is refused with file and line', (_name, change, words) => {
    const problems = problemsOf(withFile(path, change))
    expect(problems.length).toBeGreaterThan(0)
    const found = problems.find((problem) => words.test(problem.message))
    expect(found, JSON.stringify(problems)).toBeDefined()
    expect(problems.every((problem) => problem.line >= 1)).toBe(true)
  })

  test.each([
    ['exit:clear', 'exit:cleer', 'clear'],
    ['kind: ask', 'kind: aks', 'ask'],
    ['kind: ask', 'kynd: ask', 'kind'],
    ['word: warning', 'word: warnin', 'warning'],
    ['effects: [water-clear', 'effects: [water-cleer', 'water-clear'],
    ['who: [homeowner', 'who: [homeowners', 'homeowner'],
  ])('says the likely mend of %s written as %s', (right, wrong, meant) => {
    const problems = problemsOf(withFile(path, (text) => text.replace(right, wrong)))
    expect(problems.map(({ message, mend }) => `${message} ${mend ?? ''}`).join('\n')).toContain(`did you mean "${meant}"?`)
  })

  test('names the line that is wrong', () => {
    const [problem] = problemsOf(withFile(path, (text) => text.replace('word: warning', 'word: warnin')))
    const lines = library.find((file) => file.path === path)?.text.split('\n') ?? []
    expect(lines[(problem?.line ?? 0) - 1]).toContain('word: warning')
  })

  test('whose calls go in a circle is refused', () => {
    const ring = (name: string, calls: string): SourceFile => ({
      path: `procedures/${name}.yaml`,
      text: [
        `block: ${name}`,
        'kind: procedure',
        'title: A ring',
        'start: round',
        'exits: { done: { label: Done } }',
        `steps: { round: { kind: call, title: Round, call: ${calls}, exits: { done: { to: exit:done } } } }`,
      ].join('\n'),
    })
    const problems = problemsOf([...library, ring('ring-one', 'ring-two'), ring('ring-two', 'ring-one')])
    expect(problems.map((problem) => problem.message)).toContain('calls itself in the end')
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
