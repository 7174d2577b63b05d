// Evidence for a part: which results stand for it, which rivals are ruled out, which were never tested.
// Probabilities are belief's business, not this file's.
import type { Evidence } from '../edition/compiled.ts'
import { own } from './lookup.ts'
import type { JobState } from './state.ts'

export function resultStands(state: JobState, named: string, part?: string): boolean {
  const [test = '', outcome = ''] = named.split('=')
  const result = own(state.path.results, test)
  return result?.outcome === outcome && (part === undefined || result.fitted > lastFitted(state, part))
}

/** What was found before a part was fitted says nothing against the part that is in now. */
function lastFitted(state: JobState, part: string): number {
  return state.tub.partsIn.findLastIndex((one) => one.part === part)
}

/** At least one positive result, and all that are asked for together. */
export function evidenceStands(state: JobState, evidence: Evidence, part: string): boolean {
  const all = evidence.all_of.every((named) => resultStands(state, named, part))
  const one = evidence.one_of.length === 0 || evidence.one_of.some((named) => resultStands(state, named, part))
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
