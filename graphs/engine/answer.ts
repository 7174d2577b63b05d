// What an answer means: the outcome it has, the verdict computed from readings, the facts a form states. Every number is judged here, never by the screen.
// Nothing is written; decide.ts turns the meaning into events.
import type { CommandOf, Form, StoredVerdict, TypedReading } from '../contract/index.ts'
import type { Edition, Step } from '../edition/compiled.ts'
import { failed, ok } from '../result.ts'
import type { Result } from '../result.ts'
import { EVALUATORS } from '../trade/evaluators.ts'
import { FACTS } from '../trade/facts.ts'
import { parseReading } from '../trade/quantity.ts'
import type { Fact, Facts, Reading, Readings, Verdict } from '../trade/verdict.ts'
import { evidenceStands } from './evidence.ts'
import { own, stepOfKey } from './lookup.ts'
import { judgeProof } from './proof.ts'
import { askedReadings, parseAll, timesFit } from './reading.ts'
import type { JobState } from './state.ts'

export type Answer = Pick<CommandOf<'answer'>, 'outcome' | 'readings' | 'form' | 'sure' | 'not_done' | 'words'>
export type StatedFact = {
  readonly slug: string
  readonly value: string | number | boolean | null
  readonly typed?: string
  readonly uncertainty?: number
}
export type Meaning = {
  readonly outcome: string
  readonly reason?: string
  readonly readings?: NonNullable<Answer['readings']>
  readonly form?: Form
  readonly verdict?: StoredVerdict
  readonly facts: readonly StatedFact[]
}

/** What the answer means at this step, for this person, now. */
export function meaningOf(
  edition: Edition,
  state: JobState,
  step: Step,
  person: string,
  answer: Answer,
  now: number,
  key: string,
): Result<Meaning> {
  if (answer.not_done !== undefined) return notDone(edition, step, answer.not_done)
  if (step.kind === 'wait') return waited(state, step, answer, now, key)
  const picked = answer.outcome
  if (picked !== undefined && picked !== 'not-done' && own(step.outcomes, picked) !== undefined && !isComputed(step, picked)) {
    return pickedOutcome(state, step, picked, answer)
  }
  if (step.kind === 'read') return measured(state, step, answer, now)
  if (step.kind === 'record') return recorded(edition, state, step, person, answer)
  return failed('JOB_ANSWER_NOT_OFFERED', `Pick one of: ${offeredLabels(step)}.`, { details: { offered: Object.keys(step.outcomes) } })
}

function notDone(edition: Edition, step: Step, reason: string): Result<Meaning> {
  if (step.outcomes['not-done'] === undefined)
    return failed('JOB_ANSWER_NOT_OFFERED', 'This step cannot be left out. Stop the job instead if it has to wait.')
  if (!edition.not_done.some((one) => one.slug === reason)) {
    return failed('JOB_ANSWER_NOT_OFFERED', 'Pick a reason from the list.', {
      path: 'not_done',
      details: { offered: edition.not_done.map((one) => one.slug) },
    })
  }
  return ok({ outcome: 'not-done', reason, facts: [] })
}

function waited(state: JobState, step: Step, answer: Answer, now: number, key: string): Result<Meaning> {
  if (answer.outcome !== 'done') return failed('JOB_ANSWER_NOT_OFFERED', 'Say done when the time is over.')
  const until = own(state.waits, key) ?? now + (step.wait?.minutes ?? 0) * 60_000
  if (now < until && !state.practice) {
    const left = Math.ceil((until - now) / 60_000)
    return failed('JOB_TOO_EARLY', `Wait ${left} more ${left === 1 ? 'minute' : 'minutes'}.`, { details: { until } })
  }
  return ok({ outcome: 'done', facts: [] })
}

/** Outcomes that only readings or a form decide; sending one by hand is refused. */
export function isComputed(step: Step, outcome: string): boolean {
  if (step.kind === 'read') return EVALUATORS[step.evaluator ?? '']?.outcomes.includes(outcome) ?? false
  if (step.kind !== 'record') return false
  if (step.form?.form === 'pairs') return ['zero', 'voltage', 'not-proved'].includes(outcome)
  if (step.form?.form === 'switches' && step.form.which === 'new') return ['match', 'mismatch'].includes(outcome)
  return outcome === 'done'
}

function offeredLabels(step: Step): string {
  return Object.entries(step.outcomes)
    .filter(([name]) => name !== 'not-done' && !isComputed(step, name))
    .map(([, outcome]) => `"${outcome.label}"`)
    .join(', ')
}

function pickedOutcome(state: JobState, step: Step, picked: string, answer: Answer): Result<Meaning> {
  if (
    step.kind === 'fit' &&
    picked === 'fitted' &&
    step.fit !== undefined &&
    !step.fit.consumable &&
    !evidenceStands(state, step.fit.evidence, step.fit.part)
  ) {
    return failed('JOB_EVIDENCE_MISSING', 'This part has no evidence yet. Go back and measure before it is fitted.', {
      details: { evidence: step.fit.evidence },
    })
  }
  // A form that this step does not ask for is nobody's record.
  return ok({
    outcome: picked,
    facts: [],
    ...(answer.form === undefined || answer.form.form !== step.form?.form ? {} : { form: answer.form }),
  })
}

/** What is known, with readings that carry the name of a fact on top. */
export function factsFor(state: JobState, readings: Readings): Facts {
  const facts: { [slug: string]: Fact } = {}
  for (const [slug, value] of Object.entries(state.path.constants)) facts[slug] = { slug, value, source: 'told' }
  for (const fact of Object.values(state.facts)) facts[fact.slug] = fact
  for (const [name, reading] of Object.entries(readings)) {
    if (!FACTS.some((fact) => fact.slug === name) || Array.isArray(reading)) continue
    facts[name] = { slug: name, value: (reading as Reading).si, source: 'told' }
  }
  return facts
}

function measured(state: JobState, step: Step, answer: Answer, now: number): Result<Meaning> {
  const readings = parseAll(step, answer)
  if (!readings.ok) return readings
  const times = timesFit(state, step, answer.readings, now)
  if (!times.ok) return times
  const asked = askedReadings(step, answer.readings)
  const verdict = judged(state, step, readings.value)
  if (!verdict.ok) return verdict
  return ok({
    outcome: verdict.value.outcome,
    verdict: stored(verdict.value),
    facts: statedByReadings(readings.value),
    ...(asked === undefined ? {} : { readings: asked }),
  })
}

/** Judges stored or fresh readings of a step by what is known now. */
export function judged(state: JobState, step: Step, readings: Readings): Result<Verdict> {
  const evaluator = EVALUATORS[step.evaluator ?? '']
  if (evaluator === undefined)
    return failed('GRAPH_REFERENCE_MISSING', `This edition names a computation that this program does not have: ${step.evaluator}.`)
  const verdict = evaluator.evaluate(readings, factsFor(state, readings))
  if (!verdict.ok) return verdict
  if (own(step.outcomes, verdict.value.outcome) === undefined) {
    return failed('JOB_ANSWER_NOT_OFFERED', 'The computation gave an outcome that this step does not know. Say it cannot be done here.', {
      details: { outcome: verdict.value.outcome },
    })
  }
  return verdict
}

/** Judges an answer that already stands anew, for a fact that was learnt later or today's formulas. */
export function judgedAgain(state: JobState, step: Step, readings: NonNullable<Answer['readings']>): Result<Verdict> {
  const parsed = parseAll(step, { readings, sure: true })
  return parsed.ok ? judged(state, step, parsed.value) : parsed
}

export function stored(verdict: Verdict): StoredVerdict {
  const number = (value: number) => (Number.isFinite(value) ? value : null)
  return {
    outcome: verdict.outcome,
    mark: verdict.mark,
    quantity: verdict.quantity,
    value: number(verdict.value),
    error: number(verdict.error),
    bands: verdict.bands.map((band) => ({ ...band })),
    reason: verdict.reason,
    basis: verdict.basis,
    evaluator: verdict.evaluator,
    uses: [...verdict.uses],
    ...(verdict.direction === undefined ? {} : { direction: verdict.direction }),
    ...(verdict.settle === undefined ? {} : { settle: verdict.settle }),
  }
}

function statedByReadings(readings: Readings): StatedFact[] {
  return Object.entries(readings).flatMap(([name, reading]) => {
    if (!FACTS.some((fact) => fact.slug === name) || Array.isArray(reading)) return []
    const { si, typed } = reading as Reading
    return [{ slug: name, value: si, typed }]
  })
}

function recorded(edition: Edition, state: JobState, step: Step, person: string, answer: Answer): Result<Meaning> {
  const { form } = answer
  if (form === undefined || form.form !== step.form?.form)
    return failed('JOB_ANSWER_INCOMPLETE', 'Fill in the form of this step.', { path: 'form' })
  if (form.form === 'pairs') return provedDead(edition, state, step, person, answer, form)
  const missing = missingIn(step, form)
  if (missing !== undefined) return failed('JOB_ANSWER_INCOMPLETE', missing, { path: 'form' })
  const facts = form.form === 'facts' ? statedByForm(step, form) : ok([])
  if (!facts.ok) return facts
  return ok({ outcome: outcomeOfForm(edition, state, step, form), form, facts: facts.value })
}

function missingIn(step: Step, form: Form): string | undefined {
  if (form.form === 'conductors' && form.conductors.length === 0) return 'Write at least one conductor, from where to where.'
  if (form.form === 'loads' && form.loads.length === 0) return 'Write at least one load with its outlet and voltage.'
  if (form.form === 'switches' && form.positions === '' && form.jumpers.trim() === '')
    return 'Set the switches as they stand, or write what the jumpers are.'
  if (form.form === 'checklist' && step.form?.form === 'checklist') {
    const open = step.form.items.filter((item) => !form.ticked.includes(item))
    return open.length === 0 ? undefined : `Still open: ${open.join(', ')}. Do it, or say it cannot be done here.`
  }
  if (form.form === 'text' && Object.values(form.fields).every((text) => text.trim() === '')) return 'Write a few words.'
  return undefined
}

function statedByForm(step: Step, form: Extract<Form, { form: 'facts' }>): Result<StatedFact[]> {
  const stated: StatedFact[] = []
  const asked = step.form?.form === 'facts' ? step.form.facts : []
  for (const [slug, value] of Object.entries(form.facts)) {
    if (!asked.includes(slug))
      return failed('JOB_ANSWER_INCOMPLETE', `This form does not ask for "${slug}". State it as a fact of the tub.`, { path: slug })
    const fact = statedFact(slug, value)
    if (!fact.ok) return fact
    stated.push(fact.value)
  }
  return ok(stated)
}

/** One fact as typed or chosen; null = not known. */
export function statedFact(slug: string, value: TypedReading | string | number | boolean | null): Result<StatedFact> {
  const definition = FACTS.find((fact) => fact.slug === slug)
  if (definition === undefined) return failed('JOB_ANSWER_INCOMPLETE', `Nothing is known of a fact called "${slug}".`, { path: slug })
  if (value === null) return ok({ slug, value: null })
  if (typeof value === 'object') {
    const reading = parseReading({ quantity: definition.quantity ?? 'count', typed: value.typed, unit: value.unit })
    if (!reading.ok)
      return failed(reading.problem.code, `${definition.label}: ${reading.problem.message}`, { ...reading.problem, path: slug })
    const { range } = definition
    if (range !== undefined && (reading.value.si < range.low || reading.value.si > range.high)) {
      return failed('CALC_INPUT_OUT_OF_RANGE', `${definition.label}: that is not a size a hot tub has. Look again, or say not known.`, {
        path: slug,
        details: { range },
      })
    }
    return ok({ slug, value: reading.value.si, typed: `${value.typed} ${value.unit}`.trim() })
  }
  if (definition.choices !== undefined && !definition.choices.some((choice) => choice.value === value)) {
    return failed('JOB_ANSWER_INCOMPLETE', `${definition.label}: pick one of the list, or say not known.`, {
      path: slug,
      details: { offered: definition.choices.map((choice) => choice.value) },
    })
  }
  if (definition.quantity !== undefined) {
    return failed('JOB_ANSWER_INCOMPLETE', `${definition.label}: type the number with its unit.`, { path: slug })
  }
  return ok({ slug, value, typed: String(value).slice(0, 80) })
}

function outcomeOfForm(edition: Edition, state: JobState, step: Step, form: Form): string {
  if (form.form === 'switches' && step.form?.form === 'switches' && step.form.which === 'new') {
    const old = recordedSwitches(edition, state)
    const same = old !== undefined && old.positions === form.positions && old.jumpers.trim() === form.jumpers.trim()
    return same ? 'match' : 'mismatch'
  }
  return step.outcomes.done === undefined ? (Object.keys(step.outcomes).find((name) => name !== 'not-done') ?? 'done') : 'done'
}

/** The old board's switches as recorded on the path. */
export function recordedSwitches(edition: Edition, state: JobState): { positions: string; jumpers: string } | undefined {
  for (const key of state.path.trail.toReversed()) {
    const form = state.path.entries[key]?.form
    const asked = stepOfKey(edition, key)?.form
    if (form?.form === 'switches' && asked?.form === 'switches' && asked.which === 'old')
      return { positions: form.positions, jumpers: form.jumpers }
  }
  return undefined
}

/** A proof is judged as a whole; nothing of it is picked by hand. */
function provedDead(
  edition: Edition,
  state: JobState,
  step: Step,
  person: string,
  answer: Answer,
  form: Extract<Form, { form: 'pairs' }>,
): Result<Meaning> {
  const verdict = judgeProof(edition, state, person, form, { sure: answer.sure === true, facts: factsFor(state, {}) })
  if (!verdict.ok) return verdict
  if (own(step.outcomes, verdict.value.outcome) === undefined)
    return failed('JOB_ANSWER_NOT_OFFERED', 'This step does not know that outcome. Say it cannot be done here.')
  return ok({ outcome: verdict.value.outcome, verdict: stored(verdict.value), form, facts: [] })
}
