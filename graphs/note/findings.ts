// Which recorded result speaks for which fault, and which one rules a fault out. Tables first, then the one rule that reads them.
// Only positive results count for a fault: what was never looked at proves nothing.
import type { Edition, Ending, Family } from '../edition/compiled.ts'
import type { JobState } from '../engine/state.ts'
import type { Answer } from './answers.ts'
import { stepName } from './answers.ts'
import type { CauseState } from './note-data.ts'
import type { NoteResult } from './results.ts'

/** 1 points to it, 2 shows it, 3 shows the faulty thing itself or the cure. */
export type Strength = 1 | 2 | 3
export type Finding = {
  /** "test-card=outcome", "block.step=outcome" or "part:slug". */
  readonly on: string
  readonly fault: string
  readonly strength: Strength
  /** Counts in full only where the job ended so; elsewhere it only points. */
  readonly endings?: readonly Ending[]
}

const PROVED: readonly Ending[] = ['repaired', 'repaired-to-confirm']
const NO_PART: readonly Ending[] = ['normal', 'solved-by-phone', 'repaired', 'repaired-to-confirm']

/** Source: the discriminating tests of the trade sheet, C2; strengths are common practice, no source. */
export const FINDINGS: readonly Finding[] = [
  { on: 'relay-contacts-dead=both-closed', fault: 'relay-stuck', strength: 3 },
  { on: 'relay-contacts-dead=one-closed', fault: 'relay-one-pole', strength: 2 },
  { on: 'house-meter=heater-power', fault: 'relay-stuck', strength: 2 },
  { on: 'heater-out-comparison=heater-was-on', fault: 'relay-stuck', strength: 2 },
  { on: 'heater-current-demand-off=present', fault: 'relay-stuck', strength: 2 },
  { on: 'rise-with-demand-off=fast', fault: 'relay-stuck', strength: 1 },
  { on: 'plug-clean-compare=corrected', fault: 'plug-corroded', strength: 3 },
  { on: 'sensor-seat=out', fault: 'tsensor-seat', strength: 2 },
  { on: 'overheating.reseat=seated', fault: 'tsensor-seat', strength: 3, endings: PROVED },
  { on: 'sensor-resistance=temp-off', fault: 'tsensor-bad', strength: 2 },
  { on: 'sensor-swap=follows', fault: 'tsensor-bad', strength: 2 },
  { on: 'part:water-sensor', fault: 'tsensor-bad', strength: 3, endings: PROVED },
  { on: 'sensor-resistance=highlimit-off', fault: 'highlimit-sensor-bad', strength: 2 },
  { on: 'part:high-limit-sensor', fault: 'highlimit-sensor-bad', strength: 3, endings: PROVED },
  { on: 'sensor-swap=stays', fault: 'board-logic', strength: 2 },
  { on: 'configuration-check=mismatch', fault: 'config-wrong', strength: 2 },
  { on: 'overheating.put-to-diagram=corrected', fault: 'config-wrong', strength: 3, endings: PROVED },
  { on: 'pump-behaviour=unexpected', fault: 'pump-stuck-on', strength: 1 },
  { on: 'output-walk=will-not-stop', fault: 'pump-stuck-on', strength: 2 },
  { on: 'settings-sheet=wrong-found', fault: 'set-mode', strength: 2 },
  { on: 'overheating.settings-right=right', fault: 'set-mode', strength: 3, endings: NO_PART },
  { on: 'overheating.schedule-right=right', fault: 'filter-hours', strength: 3, endings: PROVED },
  { on: 'weather-and-hours=explains', fault: 'heat-creep', strength: 2, endings: NO_PART },
  { on: 'cool-down-trial=settles', fault: 'heat-creep', strength: 3 },
  { on: 'filter-out=improves', fault: 'flow-low', strength: 2 },
  { on: 'overheating.water-path=mended', fault: 'flow-low', strength: 3 },
  { on: 'overheating.limit-flow=blocked', fault: 'flow-low', strength: 3 },
  { on: 'overheating.water-path=weak-pump', fault: 'circ-pump-weak', strength: 2 },
  { on: 'return-flow=weak', fault: 'flow-low', strength: 1 },
  { on: 'return-flow=none-or-surging', fault: 'air-lock', strength: 1 },
  { on: 'bleed-air=flow-returns', fault: 'air-lock', strength: 3 },
  { on: 'overheating.fill=filled', fault: 'water-low', strength: 2, endings: NO_PART },
  { on: 'overheating.other-heat-off=heat-gone', fault: 'external-heat', strength: 3 },
  { on: 'element-check=leaks', fault: 'element-leak', strength: 3 },
  { on: 'gfci-button=does-not-trip', fault: 'gfci-worn', strength: 1 },
]

/** Results that rule a fault out. A weld can let go as it cools: open contacts rule nothing out. */
export const RULES_OUT: { readonly [result: string]: readonly string[] } = {
  'sensor-resistance=both-good': ['tsensor-bad', 'highlimit-sensor-bad'],
  'sensor-seat=seated': ['tsensor-seat'],
  'plug-clean-compare=same': ['plug-corroded'],
  'configuration-check=match': ['config-wrong'],
  'settings-sheet=ok': ['set-mode'],
  'pump-behaviour=as-expected': ['pump-stuck-on'],
  'return-flow=strong': ['flow-low', 'circ-pump-weak', 'air-lock'],
  'weather-and-hours=does-not': ['heat-creep'],
  'rise-with-demand-off=fast': ['heat-creep'],
  'house-meter=heater-power': ['heat-creep'],
  'heater-out-comparison=heater-was-on': ['heat-creep'],
  'heater-current-demand-off=present': ['heat-creep'],
}

export type Candidate = { readonly fault: string; readonly strength: Strength; readonly by: readonly string[]; readonly ratio: number }
export type FoundFault = { readonly state: CauseState; readonly best?: Candidate; readonly others: readonly Candidate[] }

/**
 * The fault that the record shows.
 *
 * Shape:  the strongest finding wins; between equals the likelihood tables decide. Strength 1 alone only points; nothing = not found.
 *         A job that ended "not proved" has shown no cause below strength 3.
 */
export function foundFault(edition: Edition, state: JobState, answers: readonly Answer[], results: readonly NoteResult[]): FoundFault {
  const seen = namesSeen(state, answers, results)
  const byFault = new Map<string, { strength: Strength; by: string[] }>()
  for (const finding of FINDINGS) {
    if (!seen.has(finding.on) || edition.faults[finding.fault] === undefined) continue
    const full = finding.endings === undefined || (state.ended !== undefined && finding.endings.includes(state.ended.ending))
    const strength = full ? finding.strength : 1
    const known = byFault.get(finding.fault) ?? { strength, by: [] }
    byFault.set(finding.fault, { strength: Math.max(known.strength, strength) as Strength, by: [...known.by, finding.on] })
  }
  const candidates = [...byFault]
    .map(([fault, { strength, by }]) => ({ fault, strength, by, ratio: totalRatio(edition, state, fault, results) }))
    .toSorted((a, b) => b.strength - a.strength || b.ratio - a.ratio)
  const [best, ...others] = candidates
  if (best === undefined) return { state: 'not-found', others: [] }
  const enough = state.ended?.ending === 'not-proved' ? 3 : 2
  return { state: best.strength >= enough ? 'found' : 'points-to', best, others }
}

function namesSeen(state: JobState, answers: readonly Answer[], results: readonly NoteResult[]): ReadonlySet<string> {
  const standing = answers.filter((answer) => answer.struck === undefined)
  return new Set([
    ...results.map((result) => `${result.test}=${result.outcome}`),
    ...standing.map((answer) => `${stepName(answer)}=${answer.entry.outcome}`),
    ...state.tub.partsIn.filter((part) => !part.trial).map((part) => `part:${part.part}`),
  ])
}

/** How many times as likely a result is under a fault as under the others, by the tables; undefined where no table knows it. */
export function resultRatio(
  edition: Edition,
  complaint: string,
  fault: string,
  result: { readonly test: string; readonly outcome: string },
): number | undefined {
  for (const family of Object.values(edition.families)) {
    const ratio = ratioIn(family, complaint, fault, result)
    if (ratio !== undefined) return ratio
  }
  return undefined
}

function ratioIn(
  family: Family,
  complaint: string,
  fault: string,
  result: { readonly test: string; readonly outcome: string },
): number | undefined {
  const priors = family.priors[complaint]
  const table = family.tests.find((one) => one.test === result.test)?.table
  const own = table?.[fault]?.[result.outcome]
  if (priors === undefined || table === undefined || own === undefined) return undefined
  let weight = 0
  let sum = 0
  for (const [other, prior] of Object.entries(priors)) {
    const likely = table[other]?.[result.outcome]
    if (other === fault || likely === undefined) continue
    weight += prior
    sum += prior * likely
  }
  return weight === 0 || sum === 0 ? undefined : own / (sum / weight)
}

function totalRatio(edition: Edition, state: JobState, fault: string, results: readonly NoteResult[]): number {
  return results.reduce((product, result) => product * (resultRatio(edition, state.complaint, fault, result) ?? 1), 1)
}
