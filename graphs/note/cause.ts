// What the note says about the cause: found, only pointed to, or not found; evidence for and against; what was ruled out and what was not tested.
// The tables behind it are findings.ts.
import type { Edition } from '../edition/compiled.ts'
import type { JobState } from '../engine/state.ts'
import { answerWords, unitsOfShop } from '../engine/words.ts'
import { fillText } from '../trade/placeholder.ts'
import { stepName } from './answers.ts'
import type { Answer } from './answers.ts'
import { FINDINGS, foundFault, resultRatio, RULES_OUT } from './findings.ts'
import type { FoundFault } from './findings.ts'
import type { EvidenceWeight, NoteCause, NoteRuledOut } from './note-data.ts'
import { resultWords } from './results.ts'
import type { NoteResult } from './results.ts'

/** From here on an answer speaks for or against; between the two it says little. */
const SPEAKS = 2

export function causeOf(edition: Edition, state: JobState, answers: readonly Answer[], results: readonly NoteResult[]): NoteCause {
  const found = foundFault(edition, state, answers, results)
  const fault = found.best?.fault
  const known = fault === undefined ? undefined : edition.faults[fault]
  if (fault === undefined || known === undefined) {
    return { state: 'not-found', label: 'Cause not found', plain: '', shownBy: [], for: [], against: [], others: [] }
  }
  const weights = results.map((result) => weightOf(edition, state, fault, result))
  return {
    state: found.state,
    fault,
    label: known.label,
    plain: known.plain,
    shownBy: shownBy(edition, state, found, answers, results),
    for: weights.filter((one) => (one.times ?? 1) >= SPEAKS).toSorted((a, b) => (b.times ?? 0) - (a.times ?? 0)),
    against: weights.filter((one) => (one.times ?? 1) <= 1 / SPEAKS).toSorted((a, b) => (a.times ?? 0) - (b.times ?? 0)),
    others: found.others.flatMap((other) => edition.faults[other.fault]?.label ?? []),
  }
}

function weightOf(edition: Edition, state: JobState, fault: string, result: NoteResult): EvidenceWeight {
  const block = edition.blocks[result.test]
  const ratio = resultRatio(edition, state.complaint, fault, result)
  return {
    at: result.at,
    title: block?.title ?? result.test,
    answer: block?.exits[result.outcome]?.label ?? result.outcome,
    ...(ratio === undefined ? {} : { times: Number(ratio.toPrecision(2)) }),
  }
}

/** The results and answers that made the best candidate, as they stand in the record. */
function shownBy(
  edition: Edition,
  state: JobState,
  found: FoundFault,
  answers: readonly Answer[],
  results: readonly NoteResult[],
): EvidenceWeight[] {
  const names = new Set(found.best?.by)
  const fromResults = results
    .filter((result) => names.has(`${result.test}=${result.outcome}`))
    .map((result) => weightOf(edition, state, found.best?.fault ?? '', result))
  const units = unitsOfShop(state)
  const fromSteps = answers
    .filter((answer) => answer.struck === undefined && names.has(`${stepName(answer)}=${answer.entry.outcome}`))
    .map((answer) => ({
      at: answer.entry.at,
      title: fillText(answer.step.title, units),
      answer: answerWords(edition, answer.step, answer.entry, units),
    }))
  return [...fromResults, ...fromSteps].toSorted((a, b) => a.at - b.at)
}

/** Faults ruled out, each with the results that did it; the fault found is never among them. */
export function ruledOut(edition: Edition, results: readonly NoteResult[], found: string | undefined): readonly NoteRuledOut[] {
  const rows = new Map<string, Set<string>>()
  for (const result of results) {
    for (const fault of RULES_OUT[`${result.test}=${result.outcome}`] ?? []) {
      if (fault !== found && edition.faults[fault] !== undefined)
        rows.set(fault, (rows.get(fault) ?? new Set()).add(resultWords(edition, result)))
    }
  }
  for (const finding of FINDINGS) {
    // A fault that another result speaks for is in dispute, not out.
    if (finding.strength > 1 && results.some((result) => finding.on === `${result.test}=${result.outcome}`)) rows.delete(finding.fault)
  }
  return [...rows].map(([fault, by]) => ({ fault, label: edition.faults[fault]?.label ?? fault, by: [...by] }))
}

/** What was not tested, and why: steps not done, and the cards of the family that the way never reached. */
export function notTested(
  edition: Edition,
  state: JobState,
  answers: readonly Answer[],
  results: readonly NoteResult[],
): readonly { what: string; why: string }[] {
  const units = unitsOfShop(state)
  const tested = new Set(results.map((result) => result.test))
  const done = new Set(answers.filter((answer) => answer.struck === undefined && answer.entry.outcome !== 'not-done').map(stepName))
  const rows = new Map<string, string>()
  for (const answer of answers) {
    if (answer.struck !== undefined || answer.entry.outcome !== 'not-done') continue
    if (tested.has(answer.block) || done.has(stepName(answer))) continue
    const title =
      edition.blocks[answer.block]?.kind === 'test' ? (edition.blocks[answer.block]?.title ?? '') : fillText(answer.step.title, units)
    rows.set(title, whyNot(edition, answer))
  }
  if (state.visit > 0) rows.set('High limit', 'Not function-tested: no step of this job may provoke it.')
  const family = Object.values(edition.families).find((one) => one.priors[state.complaint] !== undefined)
  const left = [...new Set((family?.tests ?? []).map((one) => one.test))]
    .filter((test) => !tested.has(test))
    .map((test) => edition.blocks[test]?.title ?? test)
  const never = left.filter((title) => !rows.has(title))
  if (never.length > 0) rows.set(never.join(' · '), 'Not reached on the way of this job.')
  return [...rows].map(([what, why]) => ({ what, why }))
}

function whyNot(edition: Edition, answer: Answer): string {
  const { auto, reason, words } = answer.entry
  if (auto === 'gate-shut') return 'Hands stayed out of the water: no GFCI test had passed, or the water was too hot.'
  const label = edition.not_done.find((one) => one.slug === reason)?.label ?? 'No reason recorded'
  const said = words === undefined || words === '' ? '' : ` “${words}”`
  return `${label}.${said}`
}
