// Evidence for a part: which results stand for it, which rivals are ruled out, which were never tested.
// Probabilities are belief's business, not this file's.
import type { Evidence } from '../edition/compiled.ts'
import type { JobState } from './state.ts'

export function resultStands(state: JobState, named: string): boolean {
  const [test = '', outcome = ''] = named.split('=')
  return state.path.results[test]?.outcome === outcome
}

/** At least one positive result, and all that are asked for together. */
export function evidenceStands(state: JobState, evidence: Evidence): boolean {
  const all = evidence.all_of.every((named) => resultStands(state, named))
  const one = evidence.one_of.length === 0 || evidence.one_of.some((named) => resultStands(state, named))
  return all && one && evidence.one_of.length + evidence.all_of.length > 0
}

export type EvidenceLine = { readonly named: string; readonly stands: boolean }
export type RivalLine = { readonly fault: string; readonly ruledOutBy: readonly string[]; readonly untested: boolean }

export function evidenceLines(
  state: JobState,
  evidence: Evidence,
): { readonly for: readonly EvidenceLine[]; readonly rivals: readonly RivalLine[] } {
  return {
    for: [...evidence.all_of, ...evidence.one_of].map((named) => ({ named, stands: resultStands(state, named) })),
    rivals: evidence.rivals.map((rival) => {
      const ruledOutBy = rival.by.filter((named) => resultStands(state, named))
      return { fault: rival.fault, ruledOutBy, untested: ruledOutBy.length === 0 }
    }),
  }
}
