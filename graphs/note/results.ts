// Results of test cards along the path, every one and not only the last: what was found before the repair counts after it too.
// Which fault a result speaks for is findings.ts.
import type { Edition } from '../edition/compiled.ts'
import { testName } from '../engine/walk.ts'
import type { JobState } from '../engine/state.ts'
import type { Answer } from './answers.ts'

export type NoteResult = {
  readonly test: string
  readonly outcome: string
  readonly at: number
  /** Place in the list of answers. */
  readonly index: number
}

/** The answer begins to prove what was mended. */
function provesRepair(answer: Answer): boolean {
  return answer.key.includes('prove-the-repair.')
}

function resultOf(answer: Answer, index: number, edition: Edition): NoteResult | undefined {
  const block = edition.blocks[answer.block]
  const target = answer.step.outcomes[answer.entry.outcome]?.to ?? ''
  if (block?.kind !== 'test' || !target.startsWith('exit:') || target === 'exit:not-done') return undefined
  return { test: testName(block.id), outcome: target.slice(5), at: answer.entry.at, index }
}

/**
 * Results that count: of each card the last one before a repair was put to the proof, and whatever a later search found.
 *
 * Shape:  in the order of the path. A result that was measured again before anything was mended is left out: the second look is the better one.
 */
export function countedResults(edition: Edition, state: JobState, answers: readonly Answer[]): readonly NoteResult[] {
  const counted: NoteResult[] = []
  let current = new Map<string, NoteResult>()
  let proving = false
  for (const [index, answer] of answers.entries()) {
    if (answer.struck !== undefined) continue
    const begins = provesRepair(answer)
    if (begins && !proving) {
      counted.push(...current.values())
      current = new Map()
    }
    proving = begins
    const result = resultOf(answer, index, edition)
    if (result !== undefined) current.set(result.test, result)
  }
  counted.push(...current.values())
  const seen = new Set(counted.map((result) => result.test))
  // A card that was left through a block it called has no answer of its own at its exit.
  for (const result of Object.values(state.path.results)) {
    if (!seen.has(result.test)) counted.push({ test: result.test, outcome: result.outcome, at: result.at, index: answers.length })
  }
  return counted.toSorted((a, b) => a.index - b.index)
}

/** Results as they stood when an answer was given: what a part was fitted on. */
export function resultsBefore(edition: Edition, state: JobState, answers: readonly Answer[], index: number): JobState['path']['results'] {
  const results: { [test: string]: JobState['path']['results'][string] } = {}
  for (const [at, answer] of answers.entries()) {
    if (at >= index) break
    const result = answer.struck === undefined ? resultOf(answer, at, edition) : undefined
    const { entry, key } = answer
    if (result !== undefined) {
      const { test, outcome } = result
      results[test] = {
        test,
        outcome,
        key,
        at: entry.at,
        visit: entry.visit,
        powerUps: entry.powerUps,
        fitted: entry.fitted,
        person: entry.person,
      }
    }
  }
  return results
}

/** "Resistance of both sensors: Both read right". */
export function resultWords(edition: Edition, result: { readonly test: string; readonly outcome: string }): string {
  const block = edition.blocks[result.test]
  const title = block?.title ?? result.test
  return `${title}${title.endsWith('?') ? '' : ':'} ${block?.exits[result.outcome]?.label ?? result.outcome}`
}
