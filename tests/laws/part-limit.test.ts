// The bound of a part of the job: the library keeps it, and a library that breaks it is refused with the place.
// How the bound behaves while a job runs is jobs.test.ts.
import { expect, test } from 'vitest'
import { compileLibrary, createLengths, PARTS } from '#graphs/author'
import type { LibraryProblem } from '#graphs/author'
import { readLibrary } from '../../server/commands/edition.ts'
import { libraryEdition } from './library.ts'

const LIMIT = 25

test('no part of the job has more than 25 steps, from the first words and from the arrival on site', () => {
  const edition = libraryEdition()
  const lengths = createLengths(edition)
  const flow = edition.blocks.overheating
  if (flow?.arrive === undefined) throw new Error('the flow has an entry on site')
  for (const step of [flow.start, flow.arrive]) {
    for (const part of PARTS) {
      const longest = Math.max(0, ...Object.values(lengths.from(flow.id, step, part)))
      expect(`${step} ${part} ${longest <= LIMIT ? 'short enough' : longest}`).toBe(`${step} ${part} short enough`)
    }
  }
})

/** The standing words of the red questions asked one after another, so often. */
function withChain(length: number) {
  const steps = Array.from({ length }, (_, index) => {
    const to = index + 1 === length ? 'result' : `word-${index + 1}`
    return [
      `  word-${index}:`,
      '    kind: do',
      `    title: Word ${index}`,
      '    says: [Keep out.]',
      '    why: It is said once more.',
      `    outcomes: { done: { label: Said, to: ${to} } }`,
      `    not-done: { to: ${to} }`,
    ].join('\n')
  }).join('\n')
  return readLibrary().map((file) => {
    if (file.path !== 'procedures/red-flags.yaml') return file
    const led = file.text.replaceAll('to: result', 'to: word-0')
    return { path: file.path, text: led.replace('\n  result:\n', `\n${steps}\n  result:\n`) }
  })
}

test('a part that is too long is refused, with the step where the job begins', () => {
  expect(compileLibrary(withChain(1)).ok).toBe(true)
  const result = compileLibrary(withChain(30))
  if (result.ok) throw new Error('a part of more than 25 steps was let through')
  const problems = result.problem.details?.problems as LibraryProblem[]
  expect(problems.map((problem) => problem.step)).toContain('overheating.red-questions')
  expect(problems[0]?.message).toMatch(/has \d\d steps of "phone" on its longest way; 25 is the most/)
})
