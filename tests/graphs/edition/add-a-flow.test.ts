// The example of "Add a flow" in DEVELOPERS.md holds: its files compile with the library, and random jobs on it keep every law.
// The library itself is compile.test.ts and the laws.
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { createEngine } from '#graphs'
import type { Edition } from '#graphs'
import { compileLibrary } from '#graphs/author'
import type { SourceFile } from '#graphs/author'
import { readLibrary } from '../../../server/commands/edition.ts'
import { nothingTaken, runRandomJob } from '../../laws/random-job.ts'
import { Endings, Watch } from '../../laws/laws.ts'

const FLOW = 'wrong-times'

/** Code blocks of the page that begin with the name of a library file. */
function filesOfThePage(): SourceFile[] {
  const page = readFileSync(new URL('../../../DEVELOPERS.md', import.meta.url), 'utf8')
  return [...page.matchAll(/^ {3}```yaml\n {3}# (\S+\.yaml)\n([\s\S]*?)^ {3}```$/gm)].map(([, path = '', text = '']) => ({
    path,
    text: text.replaceAll(/^ {3}/gm, ''),
  }))
}

/** The library with the example put in: a file that is there gets longer, another is added. */
function withExample(): Edition {
  const added = filesOfThePage()
  const longer = readLibrary().map((file) => ({
    ...file,
    text: [file, ...added.filter(({ path }) => path === file.path)].map(({ text }) => text).join('\n'),
  }))
  const fresh = added.filter(({ path }) => longer.every((file) => file.path !== path))
  const result = compileLibrary([...longer, ...fresh], 1)
  if (!result.ok) throw new Error(JSON.stringify(result.problem.details, undefined, 1))
  return result.value
}

test('the example compiles, and its complaint opens a job', () => {
  expect(filesOfThePage().map((file) => file.path)).toEqual(['symptoms.yaml', `flows/${FLOW}.yaml`])
  const edition = withExample()
  expect(edition.blocks[FLOW]?.kind).toBe('flow')
  expect(edition.symptoms.some((symptom) => symptom.flow === FLOW)).toBe(true)
})

test('random jobs on the example end as the rules allow, and no unsafe step is offered', () => {
  const engine = createEngine(withExample())
  const taken = nothingTaken(engine.edition)
  const ended = new Set<string>()
  for (let seed = 1; seed <= 60; seed += 1) {
    const [watch, endings] = [new Watch(engine), new Endings()]
    let isOpen = false
    runRandomJob(engine, seed, taken, {
      flow: FLOW,
      watch: (moment) => {
        if (!isOpen) watch.open(moment.opening)
        isOpen = true
        expect([watch.look(moment), endings.look(moment)]).toEqual([undefined, undefined])
      },
      ends: ({ step }) => void ended.add(step.replace(/^.*[|>]/, '').replace(/#\d+$/, '')),
    })
  }
  for (const step of ['end-set', 'end-as-wanted', 'for-a-visit']) expect([...ended]).toContain(`${FLOW}.${step}`)
})
