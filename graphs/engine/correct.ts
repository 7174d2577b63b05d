// Corrections: a changed answer, one taken back, a fact learnt later. The path follows; the tub only gets less safe.
// First answers are decide.ts; statements about the tub are mend.ts.
import type { CommandOf, Form } from '../contract/index.ts'
import type { Effect, Outcome, Step } from '../edition/compiled.ts'
import type { Problem } from '../result.ts'
import { isSafer } from '../safety/undo.ts'
import { judgedAgain, meaningOf, statedFact, stored } from './answer.ts'
import type { StatedFact } from './answer.ts'
import { push, refuse } from './draft.ts'
import type { Draft } from './draft.ts'
import { applyEffects, mendEffects } from './effects.ts'
import { own, stepOfKey } from './lookup.ts'
import { isHeld, isHeldByOther, lastByHand, isOutsider, mayCorrect, personOf, refusal } from './offer.ts'
import type { Person } from './offer.ts'
import { endOfKey } from './place.ts'
import type { Entry, Passed } from './state.ts'
import { bodyOf, noteHotWater, outranked, pushFact } from './written.ts'

/** A past answer is corrected: the path is walked anew, the tub is not. */
export function change(draft: Draft, command: CommandOf<'change'>): void {
  const { key } = command
  const entry = own(draft.state.path.entries, key)
  const person = personOf(draft.state, draft.envelope.person, draft.envelope.device)
  const step = stepOfKey(draft.edition, key)
  if (
    entry === undefined ||
    step === undefined ||
    person === undefined ||
    entry.auto !== undefined ||
    !draft.state.path.trail.includes(key)
  )
    return refuse(draft, { code: 'JOB_PLACE_GONE', message: 'That answer no longer stands. Look at the log and change one that does.' })
  const problem = correctionRefusal(draft, step, entry, person) ?? refusal(draft.state, person, { step })
  if (problem !== undefined) return refuse(draft, problem)
  const meaning = meaningOf(draft.edition, draft.state, step, person.id, command, draft.now, key)
  if (!meaning.ok) return refuse(draft, meaning.problem)
  const before = own(step.outcomes, entry.outcome)
  const after = own(step.outcomes, meaning.value.outcome)
  if (after === undefined) return refuse(draft, { code: 'JOB_ANSWER_NOT_OFFERED', message: 'This step does not offer that answer.' })
  if (fitsPart(after) && meaning.value.outcome !== entry.outcome)
    return refuse(draft, {
      code: 'JOB_ANSWER_NOT_OFFERED',
      message: 'A part is fitted at its own step, with its evidence. Take answers back to that step.',
    })
  const walked = standing(draft)
  const { trail } = draft.state.path
  push(draft, 'answer-changed', { key, step: step.id, ...bodyOf(meaning.value, command) })
  outcomeMoved(draft, { key, entry, step, outcome: meaning.value.outcome }, walked)
  // A proof typed anew is another proof, whatever it says: the old one covered other places or other numbers.
  if (before?.effects?.some((effect) => effect.do === 'proof') && meaning.value.outcome === entry.outcome)
    mendEffects(draft, { ...before, effects: [{ do: 'proof' }] }, entry.person)
  if (entry.readings?.water !== undefined && meaning.value.readings?.water === undefined) push(draft, 'unmarked', { mark: 'water' })
  for (const fact of meaning.value.facts) changeFact(draft, fact, key)
  if (isRecordChanged(entry.form, meaning.value.form)) compareAgain(draft, key, trail)
  noteHotWater(draft, meaning.value)
}

function fitsPart(outcome: Outcome): boolean {
  return outcome.effects?.some((effect) => effect.do === 'part-in') ?? false
}

/** Who gave it, who holds the tub, whose step it is: what a correction asks before anything else. */
function correctionRefusal(draft: Draft, step: Step, entry: Entry, person: Person): Problem | undefined {
  if (!step.who.includes(person.role)) return { code: 'JOB_NOT_FOR_ROLE', message: `This answer is corrected by: ${step.who.join(', ')}.` }
  if (!mayCorrect(draft.state, step, entry, person.role))
    return { code: 'JOB_NOT_FOR_ROLE', message: 'Somebody on site gave this answer, and corrects it.' }
  if (isHeld(step) && isHeldByOther(draft.state, person))
    return { code: 'JOB_NOT_HOLDER', message: 'Another phone holds the tub. Take it over, said aloud, or wait.' }
  return undefined
}

type Standing = { readonly passed: readonly Passed[]; readonly entries: { readonly [key: string]: Entry } }

/** The path before a correction: every arrow it came by, every answer on it. */
function standing(draft: Draft): Standing {
  const { path } = draft.state
  return { passed: draft.walker.again(path).passed, entries: path.entries }
}

/**
 * An answer no longer stands as it did. What it said that made the tub safer is taken back, by itself, through the calls it led out of,
 * and through what the program decided after it; what the new outcome makes less safe is written.
 */
function outcomeMoved(
  draft: Draft,
  moved: { readonly key: string; readonly entry: Entry; readonly step: Step; readonly outcome?: string },
  walked: Standing,
): void {
  const { key, entry, step, outcome } = moved
  const undecided = Object.values(walked.entries).filter((one) => one.auto !== undefined && draft.state.path.entries[one.key] === undefined)
  const isSame = outcome === entry.outcome
  const led = draft.state.path.passed
  for (const one of undecided) {
    // A clearance stays while the marks it rests on stay.
    takeBack(draft, withoutClearance(own(stepOfKey(draft.edition, one.key)?.outcomes ?? {}, one.outcome)), one.person)
    for (const arrow of arrowsFrom(draft, walked.passed, one.key)) takeBack(draft, withoutClearance(arrow.outcome), one.person)
  }
  if (isSame) return
  takeBack(draft, own(step.outcomes, entry.outcome), entry.person)
  for (const arrow of arrowsFrom(draft, walked.passed, key)) takeBack(draft, arrow.outcome, entry.person)
  if (outcome === undefined) return
  worsen(draft, own(step.outcomes, outcome), key)
  for (const arrow of arrowsFrom(draft, led, key)) worsen(draft, arrow.outcome, arrow.key)
}

function takeBack(draft: Draft, outcome: Outcome | undefined, person: string): void {
  if (outcome !== undefined) mendEffects(draft, outcome, person)
}

function withoutClearance(outcome: Outcome | undefined): Outcome | undefined {
  return outcome === undefined
    ? undefined
    : { ...outcome, effects: (outcome.effects ?? []).filter((effect) => effect.do !== 'clear-hazard') }
}

function worsen(draft: Draft, outcome: Outcome | undefined, key: string): void {
  const worse = (outcome?.effects ?? []).filter((effect: Effect) => !isSafer(effect))
  if (outcome !== undefined && worse.length > 0) applyEffects(draft, { ...outcome, effects: worse }, key, [])
}

/** Arrows of calls that an answer led out of. */
function arrowsFrom(draft: Draft, passed: readonly Passed[], from: string): { key: string; outcome: Outcome }[] {
  return passed.flatMap((one) => {
    if ('put' in one || one.from !== from) return []
    const { block, step } = endOfKey(one.key)
    const outcome = own(draft.edition.blocks[block]?.steps[step]?.outcomes, one.outcome)
    return outcome === undefined ? [] : [{ key: one.key, outcome }]
  })
}

function isRecordChanged(before: Form | undefined, after: Form | undefined): boolean {
  return before?.form === 'switches' && JSON.stringify(before) !== JSON.stringify(after)
}

/** Other switches were recorded than was written at first: whatever was compared with them is compared anew. */
function compareAgain(draft: Draft, key: string, trail: readonly string[]): void {
  if (asksSwitches(draft, key) !== 'old') return
  for (const each of trail.filter((one) => asksSwitches(draft, one) === 'new')) {
    const entry = own(draft.state.path.entries, each)
    if (entry !== undefined) withdraw(draft, each, entry)
  }
}

function asksSwitches(draft: Draft, key: string): 'old' | 'new' | undefined {
  const form = stepOfKey(draft.edition, key)?.form
  return form?.form === 'switches' ? form.which : undefined
}

function withdraw(draft: Draft, key: string, entry: Entry): void {
  const step = stepOfKey(draft.edition, key)
  const walked = standing(draft)
  push(draft, 'answer-withdrawn', { key })
  if (step !== undefined) outcomeMoved(draft, { key, entry, step }, walked)
  // A thermometer reading that was taken back proves no bathing water.
  if (entry.readings?.water !== undefined) push(draft, 'unmarked', { mark: 'water' })
}

/** The last answer of a person is taken back; the tub keeps what was done to it. */
export function undo(draft: Draft): void {
  const key = lastByHand(draft.state)
  const entry = key === undefined ? undefined : own(draft.state.path.entries, key)
  if (key === undefined || entry === undefined)
    return refuse(draft, { code: 'JOB_NOTHING_TO_UNDO', message: 'There is no answer to take back.' })
  const step = stepOfKey(draft.edition, key)
  const person = personOf(draft.state, draft.envelope.person, draft.envelope.device)
  if (step === undefined || person === undefined)
    return refuse(draft, { code: 'JOB_NOTHING_TO_UNDO', message: 'There is no answer to take back.' })
  const problem = correctionRefusal(draft, step, entry, person)
  if (problem !== undefined) return refuse(draft, problem)
  withdraw(draft, key, entry)
}

export function stateFact(draft: Draft, command: CommandOf<'state-fact'>): void {
  const fact = statedFact(command.slug, command.value)
  if (!fact.ok) return refuse(draft, fact.problem)
  if (outranked(draft, command.slug))
    return refuse(draft, { code: 'JOB_NOT_FOR_ROLE', message: 'Somebody on site wrote this down, and corrects it.', path: command.slug })
  // Who is not of the trade tells; what was measured or read off a label is said by whoever did it.
  const source = isOutsider(draft.envelope.role) && command.source !== 'assumed' ? 'told' : command.source
  pushFact(draft, fact.value, source)
  reviseVerdicts(draft, command.slug)
}

function changeFact(draft: Draft, fact: StatedFact, key: string): void {
  pushFact(draft, fact, 'told', key)
  reviseVerdicts(draft, fact.slug)
}

/** A fact learnt later: every standing verdict that used it is judged again; a moved outcome counts as a changed answer. */
function reviseVerdicts(draft: Draft, fact: string): void {
  for (const key of draft.state.path.trail) {
    const entry = own(draft.state.path.entries, key)
    const step = stepOfKey(draft.edition, key)
    if (entry?.verdict === undefined || entry.readings === undefined || step === undefined || !entry.verdict.uses.includes(fact)) continue
    const verdict = judgedAgain(draft.state, step, entry.readings)
    if (!verdict.ok) continue
    const next = stored(verdict.value)
    if (JSON.stringify(next) === JSON.stringify(entry.verdict)) continue
    const walked = standing(draft)
    push(draft, 'verdict-revised', { key, outcome: next.outcome, verdict: next, fact })
    if (next.outcome !== entry.outcome) outcomeMoved(draft, { key, entry, step, outcome: next.outcome }, walked)
  }
}
