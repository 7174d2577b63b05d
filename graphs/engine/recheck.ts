// Verdicts of a job that today's computations would give otherwise. Nothing is changed by it: a verdict stands as it was given.
// How verdicts are revised when a fact is learnt later is correct.ts.
import type { StoredVerdict } from '../contract/index.ts'
import type { Edition } from '../edition/compiled.ts'
import { judgedAgain, stored } from './answer.ts'
import { stepOfKey } from './lookup.ts'
import type { JobState } from './state.ts'

export type Rechecked = {
  readonly key: string
  readonly title: string
  readonly given: StoredVerdict
  /** Missing where the readings can no longer be judged at all. */
  readonly today?: StoredVerdict
}

/** Standing verdicts of the job whose outcome or mark today's evaluators, with the facts as known now, would give otherwise. */
export function recheck(edition: Edition, state: JobState): Rechecked[] {
  return state.path.trail.flatMap((key) => {
    const entry = state.path.entries[key]
    const step = stepOfKey(edition, key)
    if (entry?.verdict === undefined || entry.readings === undefined || step === undefined) return []
    const judged = judgedAgain(state, step, entry.readings)
    if (!judged.ok) return [{ key, title: step.title, given: entry.verdict }]
    const today = stored(judged.value)
    const same = today.outcome === entry.verdict.outcome && today.mark === entry.verdict.mark
    return same ? [] : [{ key, title: step.title, given: entry.verdict, today }]
  })
}
